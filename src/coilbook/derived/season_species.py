"""What seasons are counted with, female by female: the profile of her species, and past intervals of that species.

A species without a profile is counted with that of the one this collection keeps, and nothing of it is forecast.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from coilbook.derived.season_book import SeasonBook
from coilbook.derived.season_profile import ProfileSource, source_known, source_now
from coilbook.derived.season_rows import Read
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.profile import Profile
from coilbook.records.ids import AnimalId


@dataclass(frozen=True, slots=True)
class Ground:
    """What one female's season is counted with; `forecast` is False where her species has no profile."""

    source: ProfileSource
    past: tuple[PastInterval, ...]
    forecast: bool = True

    @property
    def profile(self) -> Profile:
        """The profile itself."""
        return self.source.profile


class Grounds:
    """The ground of every female of a book, one for each species."""

    def __init__(self, read: Read, book: SeasonBook) -> None:
        self._read, self._book = read, book
        self._species = _species(read, book.seasons)
        self._found: dict[str | None, Ground] = {}

    def of(self, female: AnimalId) -> Ground:
        """That of a female; one with nothing on record is asked for too."""
        if female not in self._species:
            self._species |= _species(self._read, [female])
        species = self._species.get(female)
        if species not in self._found:
            self._found[species] = self._ground(species)
        return self._found[species]

    def _ground(self, species: str | None) -> Ground:
        source = source_or_kept(self._read, species)
        if species is not None and source.species != species:
            return Ground(source, (), forecast=False)
        alike = frozenset(female for female, its in self._species.items() if its == species)
        return Ground(source, self._book.past(source.profile, alike))


def profile_for(read: Read, animal: AnimalId) -> Profile:
    """The profile of an animal's species, or of the species this collection keeps where that one has none."""
    return source_or_kept(read, _species(read, [animal]).get(animal)).profile


def source_or_kept(read: Read, species: str | None) -> ProfileSource:
    """Where the profile of a species comes from, or that of the species this collection keeps."""
    return source_known(read, species) or source_now(read)


def _species(read: Read, animals: Iterable[AnimalId]) -> dict[AnimalId, str]:
    rows = read("SELECT id, species FROM animal WHERE id IN (SELECT value FROM json_each(?))",
                (json.dumps([int(a) for a in animals]),))  # fmt: skip
    return {AnimalId(animal): str(species) for animal, species in rows if species}
