"""A finding in words, from its stored columns; the same in the foot, the timeline and an explanation."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.records.message import Message, say
from coilbook.records.vocabulary import FindingKind

SURE = 1_000_000


def finding_words(
    kind: FindingKind, locus: str, gene: str, looks: Sequence[str], copies: int | None, ppm: int
) -> Message:
    """What was found, without whose it is: "Clown seen", "60% Pastel seen", "test: 1 copy of clown"."""
    match kind:
        case FindingKind.SEEN:
            return _doubted(_looks(looks, locus, seen=True), ppm)
        case FindingKind.NOT_SEEN:
            return _doubted(_looks(looks, locus, seen=False), ppm)
        case FindingKind.TEST:
            return say("test: {n} copy of {gene}", "test: {n} copies of {gene}", n=copies or 0, gene=gene)
        case FindingKind.PROVEN:
            return say("proven {gene} by young not on record", gene=gene)
        case FindingKind.ASSUMED:
            return say("taken to carry {gene} with {percent}", gene=gene, percent=percent_words(ppm))
        case FindingKind.CARD:
            return say("card says at most {percent} {gene}", gene=gene, percent=percent_words(ppm))
        case FindingKind.RETRACTED:
            return say("a finding of {locus} taken back", locus=gene or locus)


def percent_words(ppm: int) -> str:
    """Millionths as a percentage without needless zeros.

    >>> percent_words(600_000)
    '60%'
    """
    return f"{ppm / 10_000:g}%"


def _looks(looks: Sequence[str], locus: str, *, seen: bool) -> Message:
    named = [look for look in looks if look]
    if not named:
        return say("normal at {locus} seen", locus=locus) if seen else say("not normal at {locus}", locus=locus)
    text = named[0]
    for look in named[1:]:
        text = f"{text} / {look}"
    if "" in looks:
        return say("{looks} or normal seen", looks=text) if seen else say("{looks} not seen, not normal", looks=text)
    return say("{looks} seen", looks=text) if seen else say("{looks} not seen", looks=text)


def _doubted(said: Message, ppm: int) -> Message:
    return said if ppm == SURE else say("{said}, {percent} sure", said=said, percent=percent_words(ppm))
