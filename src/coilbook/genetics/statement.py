"""What a genetics text says, gene by gene: the meeting point of notation, import, findings and labels."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from coilbook.genetics.catalogue import LineWord
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
    """One gene in a text. `gene` is a catalogue key; `doubtful` the trailing question mark; `proven` by its young.

    The key of a line of a gene may be new to the catalogue: `Reading.lines` names those, `Catalogue.with_lines` adds
    them. ONE of a recessive is said only of two different alleles of its complex that show together.
    """

    gene: str
    says: Says
    percent: int | None = None
    doubtful: bool = False
    proven: bool = False
    #: the combination word it was expanded from, as a catalogue key; how it was said, not part of what is said
    combination: str = field(default="", compare=False)

    @property
    def mark(self) -> str:
        """The output mark, as in "ph66" or "1?"."""
        percent = (self.percent if self.percent is not None else "?") if self.says is Says.POSSIBLE_HET else ""
        return f"{self.says.value}{percent}{'?' if self.doubtful else ''}"


class Tier(StrEnum):
    """How an import takes a reading: in bulk, with one click, or as text only."""

    READY = "ready"
    QUESTION = "question"
    TEXT_KEPT = "text_kept"


class FlagKind(StrEnum):
    """What a flag is about."""

    #: a word that is nearly a known one
    SPELLING = "spelling"
    #: a word that is none
    UNKNOWN_WORD = "unknown_word"
    #: a remark in quotation marks, kept beside
    REMARK = "remark"
    #: "possible het" without a number
    NO_PERCENT = "no_percent"
    #: "het" without a number
    BARE_HET = "bare_het"
    #: a number before a gene without "het"
    BARE_PERCENT = "bare_percent"
    #: a number between two genes, which may belong to either
    LOOSE_PERCENT = "loose_percent"
    #: a gene whose line is not said
    LINE = "line"
    #: a gene that ended "het"
    SCOPE = "scope"
    #: a question mark
    DOUBT = "doubt"
    #: "het" behind its gene
    HET_BEHIND = "het_behind"
    #: "super" before a recessive
    SUPER_RECESSIVE = "super_recessive"
    #: "het" before a gene whose one dose shows
    HET_SHOWN = "het_shown"
    #: "double het" with another number of genes
    COUNT = "count"
    #: more than two alleles of one complex
    ALLELES = "alleles"
    #: "proven" before a gene, without "het"
    PROVEN = "proven"
    #: one gene said twice, in two ways
    TWICE = "twice"
    #: sexes of several animals
    SEVERAL = "several"


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to a flag: its stable `value`, and what it means in words."""

    value: str
    message: Message


@dataclass(frozen=True, slots=True)
class Flag:
    """Something the keeper should look at. With `options` it is a question, answered once under `key`.

    `lasting`: the answer is about a word and holds for every text; else about this text alone.
    """

    kind: FlagKind
    message: Message
    key: str = ""
    options: tuple[Choice, ...] = ()
    lasting: bool = False
    #: the value given, empty while open
    answer: str = ""

    @property
    def open(self) -> bool:
        """True for a question without an answer."""
        return bool(self.options) and not self.answer


@dataclass(frozen=True, slots=True)
class Reading:
    """A text, read. `rest` is what was not understood, verbatim; `refused` when the text cannot be one animal.

    `lines` are lines of genes the text names, which the catalogue may not have yet. `statements` of an open question
    are the first reading; nothing of them is sure before it is answered.
    """

    text: str
    statements: tuple[Statement, ...]
    flags: tuple[Flag, ...] = ()
    rest: str = ""
    sex: Sex | None = None
    sex_sure: bool = True
    refused: Message | None = None
    tier: Tier = Tier.READY
    lines: tuple[LineWord, ...] = ()
    #: the text says that she looks normal, in that word or one like it
    normal: bool = False

    @property
    def questions(self) -> tuple[Flag, ...]:
        """The flags that wait for an answer."""
        return tuple(flag for flag in self.flags if flag.open)

    @property
    def sure_lines(self) -> tuple[LineWord, ...]:
        """The lines that are certainly meant as lines."""
        asked = {flag.key for flag in self.flags if flag.open and flag.kind is FlagKind.LINE}
        return tuple(
            line for line in self.lines if f"line|{line.of}|{' '.join(line.words.casefold().split())}" not in asked
        )
