"""What stands on a label: only what may stand there, as texts the caller has put into words.

A cage card has no place for a price, a buyer or an address, and a text that looks like one is refused: the card
travels with the animal and is read by whoever stands before the rack.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coilbook.labels.code import LabelCode
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import CodeKind, Sex
from coilbook.wording.style import SEX_SIGNS

MOST_FLAGS = 2
_PRIVATE = re.compile(
    r"[€$£¥]\s?\d|\d\s?[€$£¥]|\b(?:EUR|USD|GBP|CHF)\s?\d|\d\s?(?:EUR|USD|GBP|CHF)\b|\S+@\S+\.\w|\bwww\.|https?:",
    re.IGNORECASE,
)


def sex_mark(sex: Sex, *, unsure: bool = False) -> str:
    """Sign and letter of a sex, never the sign alone; "?" when it is unsure or not known.

    >>> sex_mark(Sex.FEMALE), sex_mark(Sex.MALE, unsure=True), sex_mark(Sex.UNSEXED)
    ('♀ F', '♂ M?', '?')
    """
    if sex is Sex.UNSEXED:
        return "?"
    sign, letter = SEX_SIGNS[sex]
    return f"{sign} {letter}{'?' if unsure else ''}"


@dataclass(frozen=True, slots=True)
class Flag:
    """A black bar with white words: `word` says what ("GRAVID"), `detail` what follows from it."""

    word: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class CageCard:
    """The card in a tub's pocket: who lives here, `name` being what it is called. Every text is ready to print."""

    code: LabelCode
    animal: str
    sex: Sex
    sex_unsure: bool = False
    genetics: str = ""
    doubt: str = ""
    hatched: str = ""
    prey: str = ""
    flags: tuple[Flag, ...] = ()
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse what a card may not carry; the sentence names the animal."""
        _want_kind(self.code, CodeKind.ANIMAL, CodeKind.HATCHLING)
        if len(self.flags) > MOST_FLAGS:
            raise Refusal(
                say(
                    "The card of {animal} has room for two flags, not {n}. Choose the two that matter at the tub.",
                    animal=self.animal,
                    n=len(self.flags),
                )
            )
        flags = [text for flag in self.flags for text in (flag.word, flag.detail)]
        for text in (self.name, self.genetics, self.doubt, self.hatched, self.prey, *flags):
            if _PRIVATE.search(text):
                raise Refusal(
                    say(
                        "A cage card carries no price and no address, and '{words}' on the card of {animal}"
                        " looks like one. Take it out of what the card says.",
                        words=text,
                        animal=self.animal,
                    )
                )


@dataclass(frozen=True, slots=True)
class SlotLabel:
    """The label on the rack: which place this is, and nothing about any animal."""

    code: LabelCode
    rack: str
    slot: str

    def __post_init__(self) -> None:
        """A slot label carries a slot's code, or a scan would open an animal in the wrong place."""
        _want_kind(self.code, CodeKind.SLOT)


@dataclass(frozen=True, slots=True)
class EggBoxLabel:
    """The side of an egg box: whose eggs, since when, when they hatch, and what the box weighed at the start.

    `rows` are at most four (word, value), the clutch's day 0 first; `start` is the framed line, empty when the box was
    not weighed.
    """

    code: LabelCode
    clutch: str
    box: str
    parents: str
    rows: tuple[tuple[str, str], ...]
    start: str = ""

    def __post_init__(self) -> None:
        """Only a box's code may stand on a box."""
        _want_kind(self.code, CodeKind.EGG_BOX)


@dataclass(frozen=True, slots=True)
class EggBoxLid:
    """The lid of an egg box, since lids get swapped: its name, its clutch, its code."""

    code: LabelCode
    box: str
    clutch: str

    def __post_init__(self) -> None:
        """Only a box's code may stand on a lid."""
        _want_kind(self.code, CodeKind.EGG_BOX)


@dataclass(frozen=True, slots=True)
class CupLabel:
    """A hatchling's cup: clutch and egg, what it looks like so far with its doubt, sex, weight, day. Never a price."""

    code: LabelCode
    name: str
    look: str
    about: str
    hatched: str

    def __post_init__(self) -> None:
        """A hatchling's code, and nothing that looks like a price."""
        _want_kind(self.code, CodeKind.HATCHLING, CodeKind.ANIMAL)
        if any(_PRIVATE.search(text) for text in (self.look, self.about, self.hatched)):
            raise Refusal(say("A cup label carries no price and no address; take it out of {name}.", name=self.name))


LabelContent = CageCard | SlotLabel | EggBoxLabel | EggBoxLid | CupLabel


def _want_kind(code: LabelCode, *kinds: CodeKind) -> None:
    if code.kind not in kinds:
        raise ValueError(f"a code of kind {code.kind.value} does not belong on this label")
