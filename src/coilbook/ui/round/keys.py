"""Every key of a round and what it means. Digits are always the weight; letters are results and signs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coilbook.records.vocabulary import FeedingResult, RefusalReason, ShedKind, Sign


@dataclass(frozen=True, slots=True)
class ResultKey:
    """A result with its key, its word on the button, and the small line under it."""

    key: str
    result: FeedingResult
    words: str
    note: str
    #: a reason is asked for before anything is written
    why: bool = False


#: tonight's offers
EVENING = (
    ResultKey("L", FeedingResult.PENDING, "Left in", "look tomorrow"),
    ResultKey("T", FeedingResult.TAKEN, "Taken", "seen to eat"),
    ResultKey("R", FeedingResult.REFUSED, "Refused", "then: why?", why=True),
    ResultKey("K", FeedingResult.STRUCK, "Struck", "not eaten"),
    ResultKey("N", FeedingResult.NOT_OFFERED, "Not offered", "then: why?", why=True),
)
#: the close of offers that were left in: the meal was offered, so "not offered" has no place
CLOSE = (
    ResultKey("L", FeedingResult.TAKEN_LATE, "Taken late", "gone by now"),
    ResultKey("T", FeedingResult.TAKEN, "Taken", "gone overnight"),
    *EVENING[2:4],
)


@dataclass(frozen=True, slots=True)
class SignKey:
    """A thing seen, with its key; a shed stage or a sign."""

    key: str
    words: str
    seen: Sign | ShedKind
    #: seen on females in the breeding year only
    female: bool = False


#: in the order of the two rows, the females' own in the last columns
SIGNS = (
    SignKey("S", "Shed", ShedKind.COMPLETE),
    SignKey("B", "In blue", ShedKind.BLUE),
    SignKey("O", "Stool", Sign.STOOL),
    SignKey("Y", "Urates", Sign.URATES),
    SignKey("G", "Glow", Sign.GLOW, female=True),
    SignKey("W", "Wraps bowl", Sign.WRAPS_BOWL, female=True),
    SignKey("H", "Seeks heat", Sign.SEEKS_HEAT),
    SignKey("C", "Seeks cool", Sign.SEEKS_COOL),
    SignKey("M", "Mites", Sign.MITES),
    SignKey("Z", "Wheeze", Sign.WHEEZE),
    SignKey("I", "Inverted", Sign.INVERTED, female=True),
    SignKey("E", "Swelling", Sign.SWELLING, female=True),
)


@dataclass(frozen=True, slots=True)
class ReasonKey:
    """Why an offer was refused or not made; the same places as the signs, which give way to them."""

    key: str
    words: str
    reason: RefusalReason | None
    note: str = ""


REASONS = (
    ReasonKey("B", "In blue", RefusalReason.BLUE),
    ReasonKey("S", "Season", RefusalReason.SEASON),
    ReasonKey("G", "Gravid", RefusalReason.GRAVID),
    ReasonKey("W", "New here", RefusalReason.NEW),
    ReasonKey("Z", "Prey size", RefusalReason.SIZE),
    ReasonKey("O", "Not known", RefusalReason.UNKNOWN),
)
#: takes the place of "not known" while a meal that came back is being waited out; kept as a note
REST = ReasonKey("O", "At rest", None, "at rest after a meal that came back")

#: two or three in one slot: one key a head
HEADS = "DFP"


class Key(StrEnum):
    """Keys that are neither a result nor a sign."""

    ALL = "A"
    UNDO = "U"
    VIEW = "V"
    SEPARATED = "Q"
    YES = "J"
    OTHER = "X"


def letters() -> list[tuple[str, str]]:
    """(letter, words) of everything a round answers to, each letter once."""
    found = [(r.key, r.words) for r in EVENING] + [(s.key, s.words) for s in SIGNS]
    found += [(head, "This one of those in the slot") for head in HEADS]
    return [
        *found,
        (Key.ALL, "The whole rack"),
        (Key.UNDO, "Undo"),
        (Key.VIEW, "Due only, or everybody"),
        (Key.SEPARATED, "They are separated"),
        (Key.YES, "Yes to the question"),
        (Key.OTHER, "The other answer to the question"),
    ]
