"""What is in focus on the screen of eggs: a box, a clutch in it, an egg of that clutch."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, EggNow, IncubatorNow, OpenDoubt, PhotoTaken
from coilbook.reads.eggs_now import EggsNow
from coilbook.records.egg_vocabulary import MAY_HATCH


@dataclass(frozen=True)
class AtHand:
    """Box, clutch and egg in focus, each None where there is none."""

    now: EggsNow
    box: BoxNowRow | None = None
    clutch: ClutchNow | None = None
    egg: EggNow | None = None
    #: the doubt in focus in the list of all of them
    doubt: OpenDoubt | None = None

    @property
    def incubator(self) -> IncubatorNow | None:
        """That of the box in focus, else the first there is."""
        its = self.box.incubator if self.box is not None else None
        there = self.now.incubators
        return next((one for one in there if one.id == its), there[0] if there else None)

    @property
    def doubts(self) -> tuple[OpenDoubt, ...]:
        """The doubt in focus, else those about the box."""
        if self.doubt is not None:
            return (self.doubt,)
        return self.box.doubts if self.box is not None else ()

    @property
    def newest_photo(self) -> PhotoTaken | None:
        """The newest picture of the egg in focus, else of its box."""
        photos = self.egg.photos if self.egg is not None else self.box.photos if self.box is not None else ()
        return photos[-1] if photos else None

    @property
    def boxes(self) -> tuple[BoxNowRow, ...]:
        """Every box in which eggs of the clutch in focus lie or lay."""
        return self.now.boxes_of(self.clutch) if self.clutch is not None else ()

    @property
    def eggs(self) -> tuple[EggNow, ...]:
        """The clutch's eggs that lie in this box, or all of them for a clutch without one."""
        if self.clutch is None:
            return ()
        box = self.box
        return self.clutch.eggs if box is None else tuple(egg for egg in self.clutch.eggs if egg.box == box.id)

    @property
    def waiting(self) -> tuple[EggNow, ...]:
        """Eggs of which young may still come."""
        return tuple(egg for egg in self.eggs if egg.state in MAY_HATCH)

    @property
    def lying(self) -> tuple[EggNow, ...]:
        """Eggs that lie there still."""
        return tuple(egg for egg in self.eggs if egg.in_the_box)

    def numbered(self, number: int) -> EggNow | None:
        """An egg of the clutch by its number."""
        return next((egg for egg in self.eggs if egg.number == number), None)
