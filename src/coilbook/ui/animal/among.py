"""The list an animal's page was opened from, so that PgUp and PgDn walk along it."""

from __future__ import annotations

from collections.abc import Iterable

from coilbook.records.ids import AnimalId
from coilbook.wording.language import translated


class Among:
    """Ids in the order of the list, and where the page stands in it; kept by the window with the way back."""

    def __init__(self, animals: Iterable[AnimalId] = (), here: AnimalId | None = None) -> None:
        self._animals = tuple(animals)
        self.here = here

    @classmethod
    def of(cls, given: object, here: AnimalId) -> Among:
        """From what a screen was opened with: an `Among` goes on where it stood, ids begin a new one."""
        if isinstance(given, Among):
            if given.here is None:
                given.here = here
            return given
        return cls((AnimalId(int(i)) for i in given), here) if isinstance(given, (tuple, list)) else cls((), here)

    @property
    def many(self) -> bool:
        """True when there is another animal to go to."""
        return len(self._animals) > 1 and self.here in self._animals

    def step(self, by: int) -> AnimalId | None:
        """Go on by so many; None at the ends."""
        if not self.many or self.here is None:
            return None
        place = self._animals.index(self.here) + by
        if not 0 <= place < len(self._animals):
            return None
        self.here = self._animals[place]
        return self.here

    def words(self) -> str:
        """Where the page stands."""
        if self.here is None or self.here not in self._animals:
            return ""
        return translated("{n} of {all}").format(n=self._animals.index(self.here) + 1, all=len(self._animals))
