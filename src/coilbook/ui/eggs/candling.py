"""Verdicts by letter: on the egg in focus at once, or walking egg by egg through a box and kept together."""

from __future__ import annotations

from coilbook.operations.eggs import EggSeen
from coilbook.records.egg_vocabulary import Dents, Outcome, Veins, Verdict
from coilbook.records.ids import EggId
from coilbook.ui.eggs.at import AtHand

#: what each letter says of an egg
LETTERS: dict[str, EggSeen] = {
    "G": EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR),
    "A": EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.FAINT),
    "D": EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.NONE),
    "S": EggSeen(verdict=Verdict.SLUG, veins=Veins.NONE),
    "X": EggSeen(verdict=Verdict.DEAD, veins=Veins.NONE),
    "E": EggSeen(dents=Dents.SLIGHT),
    "U": EggSeen(mould=True),
    "K": EggSeen(wet=True),
    "+": EggSeen(came_of=Outcome.BETTER),
    "=": EggSeen(came_of=Outcome.SAME),
    "-": EggSeen(came_of=Outcome.WORSE),
}


class Candling:
    """A walk through the eggs of a clutch: a letter judges one and goes on to the next; nothing is kept until Enter."""

    def __init__(self, at: AtHand) -> None:
        self.order: list[EggId] = [egg.id for egg in at.lying]
        self.seen: dict[EggId, EggSeen] = {}
        self.place = 0

    @property
    def egg(self) -> EggId | None:
        """The egg in the light; None past the last."""
        return self.order[self.place] if self.place < len(self.order) else None

    def judge(self, seen: EggSeen) -> None:
        """Say what this egg showed, and go on."""
        if self.egg is not None:
            self.seen[self.egg] = seen
            self.place += 1

    def skip(self) -> None:
        """Not looked at: it keeps its dot."""
        self.place = min(self.place + 1, len(self.order))

    def back(self) -> None:
        """Once more the egg before."""
        self.place = max(self.place - 1, 0)
