"""What would settle a doubt about one animal: a test, or young by a given mate, and how many of them.

A doubt is about a set of states ("she carries it", "she has two copies"). A young settles it where it can have a look
that one side of the doubt cannot give: one such young decides, and none of n leaves the other side likely.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log

import numpy as np

from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex

#: a doubt is called settled at this chance
SETTLED = 0.95
#: more young than this settle nothing in a keeper's life
MOST_YOUNG = 200


@dataclass(frozen=True, slots=True)
class ByYoung:
    """What young by one mate say. `young` None: they say nothing, or not within a lifetime.

    `hit` is the chance that one young decides where it can; `proves`: such a young proves the doubt's "yes", else it
    disproves it. `left` is the chance of "yes" after `young` without any such.
    """

    hit: float
    proves: bool
    young: int | None
    left: float


@dataclass(frozen=True, slots=True)
class ByTest:
    """The chance of "yes" after a test that said yes and after one that said no."""

    after_yes: float
    after_no: float


def by_test(yes: float, error: float) -> ByTest:
    """A test of the one allele in doubt, wrong with the chance `error` (an even half of it for each other count)."""
    wrong = error / 2
    told_yes = yes * (1 - error) + (1 - yes) * wrong
    told_no = yes * wrong + (1 - yes) * (1 - error)
    return ByTest(yes * (1 - error) / told_yes if told_yes else yes, yes * wrong / told_no if told_no else yes)


def by_young(states: LocusStates, law: Floats, yes: Bools, mate: Floats, sex: Sex) -> ByYoung:
    """What young of the animal (`law`, of `sex`) by a mate of law `mate` say of the chance that she is in `yes`."""
    chance = float(law[yes].sum())
    if_yes, if_no = (_looks(states, law * side, mate, sex) for side in (yes, ~yes))
    if not 0 < chance < 1 or if_yes is None or if_no is None:
        return ByYoung(0.0, True, None, chance)
    proving = float(if_yes[if_no <= 0].sum())
    disproving = float(if_no[if_yes <= 0].sum())
    ways = [(hit, proves) for hit, proves in ((proving, True), (disproving, False)) if hit > 0]
    found = [_count(chance, hit, proves) for hit, proves in ways]
    best = min((f for f in found if f.young is not None), key=lambda f: f.young or 0, default=None)
    return best or ByYoung(max((h for h, _ in ways), default=0.0), True, None, chance)


def _count(chance: float, hit: float, proves: bool) -> ByYoung:
    """The smallest n after which none that decides settles the other side."""
    against, for_it = (chance, 1 - chance) if proves else (1 - chance, chance)
    odds = (1 - SETTLED) / SETTLED * for_it / against
    needed = 1 if hit >= 1 else max(1, ceil(log(odds) / log(1 - hit) - 1e-9)) if odds < 1 else 1
    if needed > MOST_YOUNG:
        return ByYoung(hit, proves, None, chance)
    rest = against * (1 - hit) ** needed
    left = rest / (rest + for_it)
    return ByYoung(hit, proves, needed, left if proves else 1 - left)


def _looks(states: LocusStates, side: Floats, mate: Floats, sex: Sex) -> Floats | None:
    """(looks,) the law of a young's look when she is on one side of the doubt; None where that side cannot be."""
    total = side.sum()
    if total <= 0:
        return None
    sire, dam = (side / total, mate) if sex is Sex.MALE else (mate, side / total)
    young = np.einsum("s,d,sdc->c", sire, dam, states.transmission)
    keys = {look.key: place for place, look in enumerate(states.locus.looks)}
    law = np.zeros(len(keys))
    for place, look in enumerate(states.looks):
        law[keys[look.key]] += young[place]
    return law / law.sum() if law.sum() else None
