"""Verdicts by letter: on the egg in focus at once, or walking egg by egg through a box and kept together."""

from __future__ import annotations

from dataclasses import replace

from coilbook.operations.eggs import EggSeen
from coilbook.records.egg_vocabulary import Dents, Outcome, Veins, Verdict
from coilbook.records.ids import EggId
from coilbook.ui.eggs.at import AtHand
from coilbook.wording.language import translated
from coilbook.wording.texts import words

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
    ".": EggSeen(dents=Dents.NONE, thin_shell=False, wet=False, mould=False),
    "+": EggSeen(came_of=Outcome.BETTER),
    "=": EggSeen(came_of=Outcome.SAME),
    "-": EggSeen(came_of=Outcome.WORSE),
}


class Candling:
    """A walk through the eggs of a clutch: a verdict goes on to the next, a mark such as mould stays for more of the
    same egg; nothing is kept until Enter."""

    def __init__(self, at: AtHand) -> None:
        self.order: list[EggId] = [egg.id for egg in at.lying]
        self.seen: dict[EggId, EggSeen] = {}
        self.place = 0

    @property
    def egg(self) -> EggId | None:
        """The egg in the light; None past the last."""
        return self.order[self.place] if self.place < len(self.order) else None

    def judge(self, seen: EggSeen) -> None:
        """Say what this egg showed beside what was said of it just now, and go on when that judges it."""
        if self.egg is None:
            return
        before = self.seen.get(self.egg, EggSeen())
        self.seen[self.egg] = replace(before, **seen.said())
        if seen.verdict is not Verdict.UNSAID or seen.dents is Dents.NONE:
            self.place += 1

    def words(self) -> dict[EggId, str]:
        """What was said so far, in a word for each egg."""
        marked = translated("marked")
        return {
            egg: words(seen.verdict) if seen.verdict is not Verdict.UNSAID else marked
            for egg, seen in self.seen.items()
        }

    def skip(self) -> None:
        """Not looked at: it keeps its dot."""
        self.place = min(self.place + 1, len(self.order))

    def back(self) -> None:
        """Once more the egg before."""
        self.place = max(self.place - 1, 0)
