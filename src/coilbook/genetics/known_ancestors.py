"""How much of an animal's ancestry is recorded, generation by generation; and the lines an inbreeding comes by.

A figure from a pedigree says nothing of what the pedigree does not hold: beside "F at least 12.5%" stands "11 of 14
known". A place is one of the 2^g of generation g back; an ancestor reached twice fills two places.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.genetics.problem import NONE, Pedigree
from coilbook.genetics.states import Floats

#: lines from either parent looked through before the list is cut off
_MOST_LINES = 2_000


@dataclass(frozen=True, slots=True)
class Parentage:
    """Dam (index or NONE) and possible sires with the chance of each; one of 1.0 is a known sire, none unknown."""

    dam: int
    sires: tuple[tuple[int, float], ...]

    def terms(self) -> list[tuple[int, float]]:
        """Every recorded parent with its chance."""
        dam = [] if self.dam == NONE else [(self.dam, 1.0)]
        return [*dam, *((sire, chance) for sire, chance in self.sires if sire != NONE and chance > 0)]


class Parents:
    """Each animal's parents, whatever way the pedigree holds them."""

    def __init__(self, pedigree: Pedigree) -> None:
        self._pedigree = pedigree
        self._lists = {
            young: tuple(zip(litter.sires, litter.weights)) for litter in pedigree.litters for young in litter.young
        }

    def of(self, animal: int) -> Parentage:
        """Dam and sires of one animal."""
        sire = int(self._pedigree.sire[animal])
        sires = ((sire, 1.0),) if sire != NONE else self._lists.get(animal, ())
        return Parentage(int(self._pedigree.dam[animal]), sires)


@dataclass(frozen=True, slots=True)
class GenerationKnown:
    """Of the `places` of one generation back: surely known, and filled by one of several."""

    places: int
    known: int
    possible: int

    @property
    def unknown(self) -> int:
        """Places nobody is recorded for."""
        return self.places - self.known - self.possible


def generations_known(parents: Parents, animal: int, generations: int) -> tuple[GenerationKnown, ...]:
    """Parents first, then grandparents, ...; a place filled through a list of sires is possible, never known."""
    found = []
    level: Counter[tuple[frozenset[int], bool]] = Counter({(frozenset((animal,)), True): 1})
    for back in range(1, generations + 1):
        above: Counter[tuple[frozenset[int], bool]] = Counter()
        for (who, sure), count in level.items():
            each = [parents.of(one) for one in who]
            dams = frozenset(one.dam for one in each if one.dam != NONE)
            sires = frozenset(sire for one in each for sire, chance in one.sires if sire != NONE and chance > 0)
            certain_sire = sure and len(each) == 1 and len(each[0].sires) == 1
            above[dams, sure and len(who) == 1] += count
            above[sires, certain_sire] += count
        level = Counter({place: count for place, count in above.items() if place[0]})
        known = sum(count for (_, sure), count in level.items() if sure)
        found.append(GenerationKnown(2**back, known, sum(level.values()) - known))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class SharedLine:
    """One line of Wright's sum: from the dam up to the shared ancestor and down to the sire, by index.

    `top` is the place of the ancestor in `animals`; `share` what the line adds to F, times the chances of its doubtful
    sires.
    """

    animals: tuple[int, ...]
    top: int
    share: float

    @property
    def ancestor(self) -> int:
        """Where both sides meet."""
        return self.animals[self.top]


@dataclass(frozen=True, slots=True)
class SharedLines:
    """Lines, the heaviest first; `complete` False when there were more than could be followed."""

    lines: tuple[SharedLine, ...]
    complete: bool


def shared_lines(parents: Parents, inbreeding: Floats, animal: int) -> SharedLines:
    """Every line that makes an animal inbred: (1/2)^(steps + 1) (1 + F of the ancestor), Wright 1922."""
    own = parents.of(animal)
    if own.dam == NONE:
        return SharedLines((), True)
    above_dam = _ancestors(parents, [own.dam])
    common = above_dam & _ancestors(parents, [sire for sire, _ in own.sires if sire != NONE])
    dam_side, dam_whole = _lines(parents, [(own.dam, 1.0)], common)
    sire_side, sire_whole = _lines(parents, [(s, w) for s, w in own.sires if s != NONE], common)
    met: dict[int, list[tuple[tuple[int, ...], float]]] = {}
    for line, chance in sire_side:
        met.setdefault(line[-1], []).append((line, chance))
    found = []
    for line, chance in dam_side:
        for other, also in met.get(line[-1], ()):
            if not set(line[:-1]) & set(other[:-1]):
                whole = (*line, *reversed(other[:-1]))
                share = 0.5 ** len(whole) * (1 + float(inbreeding[line[-1]])) * chance * also
                found.append(SharedLine(whole, len(line) - 1, share))
    found.sort(key=lambda one: (-one.share, one.animals))
    return SharedLines(tuple(found), dam_whole and sire_whole)


def _ancestors(parents: Parents, start: Sequence[int]) -> set[int]:
    """The animals and everything above them."""
    seen, waiting = set(start), list(start)
    while waiting:
        for parent, _ in parents.of(waiting.pop()).terms():
            if parent not in seen:
                seen.add(parent)
                waiting.append(parent)
    return seen


def _lines(
    parents: Parents, start: Sequence[tuple[int, float]], common: set[int]
) -> tuple[list[tuple[tuple[int, ...], float]], bool]:
    """Lines upward that end in a common ancestor, shortest first, with their chance; False when cut off."""
    waiting: list[tuple[tuple[int, ...], float]] = [((animal,), chance) for animal, chance in start]
    found: list[tuple[tuple[int, ...], float]] = []
    for at in range(_MOST_LINES):
        if at >= len(waiting):
            return found, True
        line, chance = waiting[at]
        if line[-1] in common:
            found.append((line, chance))
        waiting += [((*line, parent), chance * part) for parent, part in parents.of(line[-1]).terms()]
    return found, at + 1 >= len(waiting)
