"""On paper: what follows from the parents' statuses alone, in exact fractions, as the trade writes it on a card.

The recursion: an animal's law comes from its parents' statuses, taken as independent, and from its own sure look ("did
not turn out visual"). A parent's status is its own law on paper, raised where the parent is proven. The animal's own
young, tests and siblings never change its paper value; they change the number with evidence, which is another column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from coilbook.genetics.evidence import absent_law, founder_law, likelihood
from coilbook.genetics.known import Known, Sighting
from coilbook.genetics.problem import NONE, Litter, Pedigree
from coilbook.genetics.states import Bools, Floats, LocusStates
from coilbook.records.vocabulary import Sex
from coilbook.wording.chances import TRADE

Law = tuple[Fraction, ...]

#: every chance of a locus is a fraction with a smaller denominator (quarters, thirds after lethals, a recombination
#: fraction of three decimals), so that this recovers it exactly from a float
_DENOMINATOR = 1_000_000


class StatusKind(StrEnum):
    """What a parent is on paper, of one gene."""

    VISUAL = "visual"
    PROVEN = "proven"
    HET = "het"
    POSSIBLE = "possible"
    NOT = "not"
    #: no parent recorded
    ABSENT = "absent"


@dataclass(frozen=True, slots=True)
class Status:
    """One parent's status: `animal` (NONE where not recorded), its carrier chance, and its weight among several."""

    animal: int
    kind: StatusKind
    chance: Fraction
    weight: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class PaperValue:
    """Of one animal and gene: chance of at least one copy and of two, and the statuses that gave it.

    `carrier` is of an animal of the look she has: of a recessive that does not show, the trade's "possible het".
    """

    carrier: Fraction
    two: Fraction
    dam: Status | None = None
    sires: tuple[Status, ...] = ()


def trade_percent(chance: Fraction) -> int | None:
    """The highest of 100/66/50/33/25 not above the chance; None below 25%.

    >>> trade_percent(Fraction(3, 5)), trade_percent(Fraction(2, 3)), trade_percent(Fraction(1, 5))
    (50, 66, None)
    """
    return next((word for word in TRADE if Fraction(word, 100) <= chance), None)


def rounded_down(chance: Fraction, decimals: int = 0) -> str:
    """The chance as a percentage, never rounded up.

    >>> rounded_down(Fraction(2, 3)), rounded_down(Fraction(2, 3), 1), rounded_down(Fraction(4, 7), 1)
    ('66%', '66.6%', '57.1%')
    """
    scale: int = 10**decimals
    whole = chance * 100 * scale // 1
    return f"{whole / scale:.{decimals}f}%" if decimals else f"{whole}%"


@dataclass(frozen=True, slots=True)
class PaperKept:
    """Laws of an earlier revision with the ground each stood on: what was known, and what parents had proven."""

    wild: Law
    laws: Mapping[int, Law | None]
    known: Mapping[int, Known]
    proven: Mapping[int, frozenset[int]]


class Paper:
    """Paper values at one locus, computed on demand and kept.

    `known(i)` is what is known of animal i itself; `proven(i)` the alleles (indexes) its young have proven.
    """

    def __init__(
        self,
        states: LocusStates,
        pedigree: Pedigree,
        known: Callable[[int], Known],
        proven: Callable[[int], frozenset[int]],
        litter_of: Callable[[int], Litter | None],
        earlier: PaperKept | None = None,
    ) -> None:
        self.states, self._pedigree, self._known, self._ask_proven = states, pedigree, known, proven
        self._earlier = earlier
        self._ground: dict[int, Known] = {}
        self._proofs: dict[int, frozenset[int]] = {}
        self._litter_of = litter_of
        self._laws: dict[int, Law | None] = {}
        self._young: dict[tuple[int, int], tuple[tuple[int, Fraction], ...]] = {}
        self._copies = [states.copies(a) for a in range(len(states.locus.alleles))]
        #: what most animals are at most loci, told by its identity so that nothing is multiplied for it
        wild: Law = tuple(Fraction(int(place == 0)) for place in range(len(states.states)))
        self._wild = earlier.wild if earlier is not None else wild
        self._looks_alike: dict[Known, Bools] = {}

    def law(self, animal: int) -> Law | None:
        """The law of an animal on paper; None where its own look cannot come from these parents."""
        waiting = [animal]
        while waiting:
            one = waiting[-1]
            if one in self._laws:
                waiting.pop()
                continue
            missing = [p for p, _ in self._parents(one) if p != NONE and p not in self._laws]
            if missing:
                waiting += missing
                continue
            self._laws[waiting.pop()] = self._compute(one)
        return self._laws[animal]

    def kept(self) -> PaperKept:
        """What is worked out so far, for a later revision of the same pedigree."""
        return PaperKept(self._wild, self._laws, self._ground, self._proofs)

    def _proven(self, animal: int) -> frozenset[int]:
        if animal not in self._proofs:
            self._proofs[animal] = self._ask_proven(animal)
        return self._proofs[animal]

    def _as_before(self, animal: int, known: Known, parents: Sequence[tuple[int, Fraction | None]]) -> bool:
        """True when an earlier law stands on the same ground."""
        old = self._earlier
        if old is None or animal not in old.laws or old.known.get(animal) != known:
            return False
        # a parent whose own look its parents do not explain hands on by its look, whatever its law
        return all(
            p == NONE
            or (
                self._laws[p] is old.laws.get(p, ())
                and self._ground[p] == old.known.get(p)
                and self._proven(p) == old.proven.get(p)
            )
            for p, _ in parents
        )

    def carries(self, animal: int, allele: int) -> bool:
        """True where anything but nothing follows on paper: worth a `value`."""
        law = self.law(animal)
        if law is self._wild:
            return False
        return law is None or _sum(law, self._copies[allele] > 0) > 0

    def value(self, animal: int, allele: int) -> PaperValue | None:
        """Carrier chances of one allele (index) with the parents' statuses; None as `law`."""
        law = self.law(animal)
        if law is None:
            return None
        copies = self._copies[allele]
        parents = self._parents(animal)
        dam = next((self._status(p, w, allele) for p, w in parents if w is None), None)
        sires = tuple(self._status(p, w, allele) for p, w in parents if w is not None)
        return PaperValue(_sum(law, copies > 0), _sum(law, copies == 2), dam, sires)

    def of_young(self, dam: int, sires: Sequence[tuple[int, Fraction]], allele: int, among: Bools) -> Fraction | None:
        """The chance of an allele (index) in young of these parents (sires by weight) that are in `among` (S,).

        None where the parents can have no such young on paper.
        """
        for parent in (dam, *(sire for sire, _ in sires)):
            self.law(parent)
        mother = self._handed(dam, dam, Sex.FEMALE)
        law = self._mixed(mother, [(self._handed(sire, sire, Sex.MALE), weight) for sire, weight in sires])
        kept = _normal([chance if among[place] else Fraction(0) for place, chance in enumerate(law)])
        return _sum(kept, self._copies[allele] > 0) if kept is not None else None

    def _mixed(self, dam: Law, sires: Iterable[tuple[Law, Fraction | None]]) -> list[Fraction]:
        """The law of young of a dam with one of several sires, each with his weight."""
        law = [Fraction(0)] * len(dam)
        for sire, weight in sires:
            for s, p in enumerate(sire):
                for d, q in enumerate(dam) if p else ():
                    for c, chance in self._young_of(s, d) if q else ():
                        law[c] += (weight or 1) * p * q * chance
        return law

    def _parents(self, animal: int) -> list[tuple[int, Fraction | None]]:
        """(parent, weight): the dam has no weight; nothing for a founder."""
        dam, litter = int(self._pedigree.dam[animal]), self._litter_of(animal)
        sires: list[tuple[int, Fraction | None]] = [(int(self._pedigree.sire[animal]), Fraction(1))]
        if litter is not None:
            sires = [(s, _exact(w)) for s, w in zip(litter.sires, litter.weights, strict=True)]
        if dam == NONE and all(s == NONE for s, _ in sires):
            return []
        return [(dam, None), *sires]

    def _compute(self, animal: int) -> Law | None:
        known = self._ground[animal] = self._known(animal)
        parents = self._parents(animal)
        if self._as_before(animal, known, parents):
            return self._earlier.laws[animal] if self._earlier is not None else None
        if not parents:
            return self._plainly(_fractions(founder_law(self.states, _as_sold(known))))
        own = self._fits(known)
        handed = [self._handed(animal, p, Sex.FEMALE if w is None else Sex.MALE) for p, w in parents]
        if own[0] and all(law is self._wild for law in handed):
            return self._wild
        weights = [weight for _, weight in parents[1:]]
        law = self._mixed(handed[0], zip(handed[1:], weights, strict=True))
        kept = [chance if own[place] else Fraction(0) for place, chance in enumerate(law)]
        return self._plainly(_normal(kept))

    def _plainly(self, law: Law | None) -> Law | None:
        return self._wild if law == self._wild else law

    def _fits(self, known: Known) -> Bools:
        """(S,) the states that have an animal's sure looks, and its sex if that is sure."""
        if known not in self._looks_alike:
            # as an unsure look, an unsure sex takes nothing away
            sex = known.sex if known.sex_sure == 1.0 else Sex.UNSEXED
            plain = Known(_sure(known), hidden=known.hidden, sex=sex)
            self._looks_alike[known] = likelihood(self.states, plain) > 0
        return self._looks_alike[known]

    def _handed(self, animal: int, parent: int, sex: Sex) -> Law:
        """The law of a parent by its status, as the sex it was a parent of."""
        if parent == NONE:
            law = self._plainly(_fractions(absent_law(self.states, self._known(animal)))) or self._wild
        else:
            law = self._by_status(parent)
        if self.states.locus.linkage is None:
            return law
        mine = self.states.of_sex(sex)
        return _normal([p if mine[place] else Fraction(0) for place, p in enumerate(law)]) or law

    def _young_of(self, sire: int, dam: int) -> tuple[tuple[int, Fraction], ...]:
        """(state, chance) of a hatchling of two parents' states."""
        if (sire, dam) not in self._young:
            law = self.states.transmission[sire, dam]
            self._young[sire, dam] = tuple((c, _exact(float(law[c]))) for c in range(len(law)) if law[c])
        return self._young[sire, dam]

    def _by_status(self, parent: int) -> Law:
        known, law = self._known(parent), self._laws[parent]
        alleles = self._proven(parent) | {self.states.locus.allele_index(g) for g in known.proven}
        if not alleles and law is not None:
            return law
        raised = [
            chance if all(state.copies(a) for a in alleles) else Fraction(0)
            for state, chance in zip(self.states.states, law or (), strict=False)
        ]
        proven = tuple(self.states.locus.alleles[a] for a in sorted(alleles))
        # a look or a proof that her own parents do not explain stands: the least that explains it is taken
        return _normal(raised) or _fractions(founder_law(self.states, replace(_as_sold(known), proven=proven)))

    def _status(self, parent: int, weight: Fraction | None, allele: int) -> Status:
        share = Fraction(1) if weight is None else weight
        if parent == NONE:
            return Status(NONE, StatusKind.ABSENT, Fraction(0), share)
        copies = self._copies[allele]
        law = self._by_status(parent)
        chance = _sum(law, copies > 0)
        if self._shows(parent, allele):
            return Status(parent, StatusKind.VISUAL, chance, share)
        named = self.states.locus.alleles[allele] in self._known(parent).proven
        by_parents = _sum(self._laws[parent] or (), copies > 0) if self._laws[parent] else Fraction(0)
        if named or (by_parents < 1 and allele in self._proven(parent)):
            kind = StatusKind.PROVEN
        else:
            kind = StatusKind.HET if chance == 1 else StatusKind.POSSIBLE if chance else StatusKind.NOT
        return Status(parent, kind, chance, share)

    def _shows(self, animal: int, allele: int) -> bool:
        """True where a sure look of hers needs the allele and is not the wild one."""
        sure = _sure(self._known(animal))
        if not any(s.seen and "" not in s.looks for s in sure):
            return False
        fits = likelihood(self.states, Known(sure)) > 0
        return bool((self.states.copies(allele)[fits] > 0).all())


def _as_sold(known: Known) -> Known:
    """What is known of an animal without parents, as it counts on paper: sure looks and claims, no test and no lean."""
    return replace(known, sightings=_sure(known), tests=())


def _sure(known: Known) -> tuple[Sighting, ...]:
    return tuple(s for s in known.sightings if s.sure == 1.0)


def _exact(chance: float) -> Fraction:
    return Fraction(chance).limit_denominator(_DENOMINATOR)


def _fractions(law: Floats) -> Law:
    return tuple(_exact(float(chance)) for chance in law)


def _normal(law: Sequence[Fraction]) -> Law | None:
    total = sum(law, Fraction(0))
    return tuple(chance / total for chance in law) if total else None


def _sum(law: Law, where: Bools) -> Fraction:
    return sum((chance for chance, taken in zip(law, where, strict=True) if taken), Fraction(0))
