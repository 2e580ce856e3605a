"""Sentences about an animal's genes, as messages: what a parent is on paper, what young have shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from coilbook.genetics.paper import PaperValue, Status, StatusKind, rounded_down
from coilbook.genetics.problem import NONE
from coilbook.records.message import Message, say

#: the keeper's id of an animal by its place
Names = Callable[[int], str]

#: a chance below this is not told, nor counted as "may carry": one in a million
LEAST = 1e-6

#: said wherever odds stand that rest on more possible sires than can be weighed over all genes together
SIRES_BY_GENE = say(
    "So many sires are possible in this family that these odds weigh them gene by gene: what a litter shows of one "
    "gene is not counted at another."
)


def paper_basis(value: PaperValue, gene: str, names: Names) -> Message | None:
    """Why a paper value is what it is: "both parents proven het", "dam F-2 66% possible het, sire M-1 visual".

    None for a founder, whose value is what was said of it.
    """
    if value.dam is None:
        return None
    parents = (value.dam, *value.sires)
    if all(p.kind in (StatusKind.HET, StatusKind.PROVEN) for p in parents) and len(parents) == 2:
        proven = all(p.kind is StatusKind.PROVEN for p in parents)
        return say("both parents proven het {gene}", gene=gene) if proven else say("both parents het {gene}", gene=gene)
    words = [_status(value.dam, gene, names, "dam")]
    words += [_status(s, gene, names, "sire") for s in value.sires]
    return joined(words)


def short_basis(value: PaperValue, gene: str, names: Names) -> Message | None:
    """The parents that matter only: those that may hand the gene on."""
    if value.dam is None:
        return None
    able = [(p, side) for p, side in _sides(value) if p.chance > 0 and p.animal != NONE]
    if len(able) == 2 and able[0][0].kind is able[1][0].kind:
        return paper_basis(value, gene, names)
    return joined([_status(p, gene, names, side) for p, side in able]) if able else None


def _sides(value: PaperValue) -> list[tuple[Status, str]]:
    dam = [(value.dam, "dam")] if value.dam is not None else []
    return [*dam, *((s, "sire") for s in value.sires)]


def _status(status: Status, gene: str, names: Names, side: str) -> Message:
    who: object = names(status.animal) if status.animal != NONE else ""
    # each side has sentences of its own: words are not put together from pieces that a translator cannot turn
    texts = _DAM if side == "dam" else _SIRE
    said = say(texts[status.kind], animal=who, gene=gene, percent=rounded_down(status.chance))
    if status.weight != 1:
        return say("{said} ({share} likely)", said=said, share=rounded_down(status.weight))
    return said


_DAM = {
    StatusKind.VISUAL: "dam {animal} is {gene}",
    StatusKind.PROVEN: "dam {animal} is proven het {gene}",
    StatusKind.HET: "dam {animal} is het {gene}",
    StatusKind.POSSIBLE: "dam {animal} is {percent} het {gene}",
    StatusKind.NOT: "dam {animal} is taken as not carrying {gene}",
    StatusKind.ABSENT: "dam not known",
}
_SIRE = {
    StatusKind.VISUAL: "sire {animal} is {gene}",
    StatusKind.PROVEN: "sire {animal} is proven het {gene}",
    StatusKind.HET: "sire {animal} is het {gene}",
    StatusKind.POSSIBLE: "sire {animal} is {percent} het {gene}",
    StatusKind.NOT: "sire {animal} is taken as not carrying {gene}",
    StatusKind.ABSENT: "sire not known",
}


def joined(words: Sequence[Message]) -> Message:
    """Several messages with commas between."""
    said = words[0]
    for word in words[1:]:
        said = say("{first}, {second}", first=said, second=word)
    return said


def young_shown(young: int, shown: int, mates: Sequence[str]) -> Message:
    """What her young have shown: "0 of 4 shown by M-03"."""
    if len(mates) == 1:
        return say("{shown} of {n} shown by {mate}", shown=shown, n=young, mate=mates[0])
    return say("{shown} of {n} shown", shown=shown, n=young)
