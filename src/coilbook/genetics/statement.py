"""What a genetics text says, gene by gene: the meeting point of notation, import, findings and labels."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coilbook.records.message import Message
from coilbook.records.vocabulary import Sex


class Says(StrEnum):
    """What is said of one gene. The values are the output marks of the notation."""

    ONE = "1"
    TWO = "2"
    ONE_OR_TWO = "1-2"
    #: a recessive that shows
    VISUAL = "V"
    #: one copy, sure
    HET = "het"
    #: possible het; `percent` says how likely, None where no number was given
    POSSIBLE_HET = "ph"
    #: read, never printed
    PROVEN_NOT = "not"


@dataclass(frozen=True, slots=True)
class Statement:
    """One gene in a text. `gene` is a catalogue key; `doubtful` the trailing question mark; `proven` by its young."""

    gene: str
    says: Says
    percent: int | None = None
    doubtful: bool = False
    proven: bool = False
    #: the combination word it was expanded from, as a catalogue key
    combination: str = ""


class Tier(StrEnum):
    """How an import takes a reading: in bulk, with one click, or as text only."""

    READY = "ready"
    QUESTION = "question"
    TEXT_KEPT = "text_kept"


@dataclass(frozen=True, slots=True)
class Flag:
    """Something the keeper should look at. `options` are the texts one of which may be meant, with their readings."""

    kind: str
    message: Message
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """A text, read. `rest` is what was not understood, verbatim; `refused` when the text cannot be one animal."""

    text: str
    statements: tuple[Statement, ...]
    flags: tuple[Flag, ...] = ()
    rest: str = ""
    sex: Sex | None = None
    refused: Message | None = None
    tier: Tier = Tier.READY
