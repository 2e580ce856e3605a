"""How far a row got: ready, one question, text kept, or refused."""

from __future__ import annotations

from enum import StrEnum

from coilbook.records.message import Message, say


class Tier(StrEnum):
    """Told by word as well as by colour; the worst thing about a row decides."""

    READY = "ready"
    QUESTION = "question"
    TEXT_KEPT = "text_kept"
    REFUSED = "refused"


TIER_WORDS: dict[Tier, Message] = {
    Tier.READY: say("ready"),
    Tier.QUESTION: say("one question"),
    Tier.TEXT_KEPT: say("text kept"),
    Tier.REFUSED: say("refused"),
}


def tier_of(*, refused: bool, waits: bool, text_kept: bool) -> Tier:
    """The tier of a row: refused, else waiting for an answer, else with a cell kept as text, else ready."""
    if refused:
        return Tier.REFUSED
    if waits:
        return Tier.QUESTION
    return Tier.TEXT_KEPT if text_kept else Tier.READY
