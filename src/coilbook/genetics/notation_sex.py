"""The sex that a genetics text says beside the genes: "1.0", "female", a sign."""

from __future__ import annotations

from coilbook.genetics.notation_flags import Asked
from coilbook.genetics.notation_tokens import sex_counts
from coilbook.records.vocabulary import Sex


class SexSaid:
    """`sex` is what was said last, None where nothing was; `sure` without a question mark or a "possible"."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self.sex: Sex | None = None
        self.sure = True
        #: it was said by the word before, so that a question mark is on it
        self.at_hand = False

    def say(self, sex: Sex, *, sure: bool = True) -> None:
        """A word or sign for it."""
        self.sex, self.at_hand = sex, True
        self.sure = self.sure and sure

    def count(self, text: str, *, genes_before: bool, last: bool) -> bool:
        """True for "1.0" and its like at the beginning, or of one animal at the end; asks where it is of several."""
        counts = sex_counts(text)
        if not counts or self.sex is not None or (genes_before and not (last and sum(counts) == 1)):
            return False
        if sum(counts) == 1:
            self.say((Sex.MALE, Sex.FEMALE, Sex.UNSEXED)[counts.index(1)])
        elif sum(counts):
            self._asked.several(text)
        return sum(counts) > 0
