"""What came of a clutch: laid, ever judged good, hatched, with the doubtful ones apart. Twins count one egg."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from coilbook.husbandry.wilson import wilson
from coilbook.records.egg_vocabulary import Verdict
from coilbook.records.message import Message, say


class EggEnd(StrEnum):
    """What became of an egg, from its hatch events and removal."""

    HATCHED = "hatched"
    DEAD_IN_SHELL = "dead_in_shell"
    REMOVED = "removed"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class EggStory:
    """One numbered egg: its verdicts in order of time, whether it pipped, and what became of it."""

    number: int
    verdicts: tuple[Verdict, ...]
    end: EggEnd
    pipped: bool = False

    @property
    def ever_good(self) -> bool:
        """Judged good at some look, or proven to have held young: it pipped, hatched, or they died in the shell."""
        proven = self.pipped or self.end in (EggEnd.HATCHED, EggEnd.DEAD_IN_SHELL)
        return Verdict.GOOD in self.verdicts or proven

    @property
    def is_slug(self) -> bool:
        """Last judged a slug and never proven otherwise."""
        judged = [v for v in self.verdicts if v is not Verdict.UNSAID]
        return not self.ever_good and bool(judged) and judged[-1] is Verdict.SLUG


@dataclass(frozen=True, slots=True)
class HatchResult:
    """Counts of eggs; `unresolved` were neither ever good nor slugs, and stand apart from every share; of them
    `undecided` still lie there."""

    laid: int
    slugs: int
    ever_good: int
    hatched: int
    still_open: int
    unresolved: int
    undecided: int = 0

    @property
    def dead(self) -> int:
        """Good eggs that died."""
        return self.ever_good - self.hatched - self.still_open

    def range(self, level: float = 0.9) -> tuple[float, float] | None:
        """Wilson's interval of the share that hatches; None while eggs are open or none was good."""
        return None if self.still_open or not self.ever_good else wilson(self.hatched, self.ever_good, level)

    def told(self) -> tuple[Message, ...]:
        """In sentences, with the range of so few eggs, never as "reliable"."""
        told = [say("{laid} laid: {good} judged good, {n} slug.", "{laid} laid: {good} judged good, {n} slugs.",
                    n=self.slugs, laid=self.laid, good=self.ever_good)]  # fmt: skip
        span = self.range()
        if span is not None:
            share = 100 * self.hatched / self.ever_good
            told.append(say("{hatched} of {good} good eggs hatched ({share:.0f}%; 90% range {low:.0f}-{high:.0f}%).",
                            hatched=self.hatched, good=self.ever_good, share=share,
                            low=100 * span[0], high=100 * span[1]))  # fmt: skip
        elif self.still_open:
            told.append(say("{hatched} hatched, {still} of {good} good eggs still to come.",
                            hatched=self.hatched, still=self.still_open, good=self.ever_good))  # fmt: skip
        if self.undecided:
            told.append(say("{n} egg is in doubt and counted in no share.",
                            "{n} eggs are in doubt and counted in no share.", n=self.undecided))  # fmt: skip
        stayed = self.unresolved - self.undecided
        if stayed:
            told.append(say("{n} egg stayed doubtful and is counted in no share.",
                            "{n} eggs stayed doubtful and are counted in no share.", n=stayed))  # fmt: skip
        return tuple(told)


def hatch_result(eggs: Sequence[EggStory]) -> HatchResult:
    """The counts of a clutch from its eggs."""
    good = [egg for egg in eggs if egg.ever_good]
    slugs = sum(egg.is_slug for egg in eggs)
    rest = [egg for egg in eggs if not egg.ever_good and not egg.is_slug]
    return HatchResult(
        laid=len(eggs),
        slugs=slugs,
        ever_good=len(good),
        hatched=sum(egg.end is EggEnd.HATCHED for egg in good),
        still_open=sum(egg.end is EggEnd.OPEN for egg in good),
        unresolved=len(rest),
        undecided=sum(egg.end is EggEnd.OPEN for egg in rest),
    )
