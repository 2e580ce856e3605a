"""All loci of a species together: what is seen at one locus of who the sires are counts at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from coilbook.derived.genetics_locus import Inputs, LocusView, Solver, answered_anew
from coilbook.genetics.inference import Joined, Solved, join
from coilbook.genetics.inference.laws import Watch

#: rounds of letting assumptions fall where loci contradict each other on no better ground
_ROUNDS = 3


@dataclass(frozen=True, eq=False)
class Loci:
    """The views of all loci by key: `alone` as each answers by itself, `views` with what the others know of the sires.

    `joined` numbers the loci in the order of the keys; None where no sire is in doubt.
    """

    alone: Mapping[str, LocusView]
    views: Mapping[str, LocusView]
    joined: Joined | None = None


def joined_loci(
    inputs: Inputs,
    alone: Mapping[str, LocusView],
    solver: Solver,
    cancelled: Callable[[], bool],
    before: Loci | None = None,
) -> Loci:
    """Weigh the doubtful sires of a species over all its loci. Raises `Cancelled`.

    A contradiction between loci that rests on assumptions only is none: at all loci of it the assumptions fall.
    """
    if not inputs.rows.pedigree.litters:
        return Loci(alone, alone)
    views, keys = dict(alone), tuple(alone)
    known = before.joined if before is not None and tuple(before.alone) == keys else None
    found = _join(views, keys, cancelled, known)
    for _ in range(_ROUNDS):
        more = _assumptions(inputs, found, views, keys) if found is not None else {}
        if not more:
            break
        views |= {key: answered_anew(views[key], solver, free) for key, free in more.items()}
        found = _join(views, keys, cancelled, found)
    if found is None:
        return Loci(alone, alone)
    for number, key in enumerate(keys):
        views[key] = replace(views[key], answer=found.answers[number], joined=(found, number))
    return Loci(alone, views, found)


def _join(
    views: Mapping[str, LocusView], keys: tuple[str, ...], cancelled: Callable[[], bool], before: Joined | None
) -> Joined | None:
    answers = [views[key].answer for key in keys]
    solved = [answer for answer in answers if isinstance(answer, Solved)]
    if not solved or len(solved) < len(answers):
        return None
    same = before is not None and before.alone[0].problem.pedigree is solved[0].problem.pedigree
    return join(solved, watch=Watch(None, cancelled), before=before if same else None)


def _assumptions(
    inputs: Inputs, found: Joined, views: Mapping[str, LocusView], keys: tuple[str, ...]
) -> dict[str, frozenset[int]]:
    """By locus, whose assumptions fall: of all above the young whose sires the loci do not agree on."""
    more: dict[str, frozenset[int]] = {}
    for cluster in found.contradictions():
        above = frozenset(one for young in found.young_of(cluster) for one in inputs.descent.above(young))
        for group in cluster.groups:
            key = keys[group.locus]
            free = more.get(key, views[key].lifted) | above
            if free != views[key].lifted:
                more[key] = free
    return more
