"""Identification of a hatchling: the scenario's numbers, and everything written out by hand."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from tests.reference import pairings as p
from tests.reference.pairings import HET, TWO, WILD, doses
from tests.reference.pairings import sure as settled
from tests.reference.test_outlook import drawn_parents

from coilbook.genetics.catalogue import EVERYTHING
from coilbook.genetics.identify import Identification
from coilbook.genetics.impossible import Cause, faults, suspects
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_chance import to_be_sure
from coilbook.genetics.sights import Sight, lean, sure
from coilbook.genetics.states import State
from coilbook.records.vocabulary import Sex

F = Fraction


def outlook_of(*loci: p.Parents, hides=None) -> Outlook:
    return Outlook(
        p.catalogue(*(parents.states.locus for parents in loci), hides=hides),
        (Part(1.0, tuple(parents.quick() for parents in loci)),),
    )


class TestTheClownThatMayBePastel:
    """Scenario S4: sire Pastel Enchi het clown, dam Enchi het clown, egg 6 a Clown, "enchi yes; pastel maybe 60%"."""

    pastel = doses(p.PASTEL, settled(HET), settled(WILD))
    enchi = doses(p.ENCHI, settled(HET), settled(HET))
    clown = doses(p.CLOWN, settled(HET), settled(HET))

    def hatchling(self, percent: float | None) -> Identification:
        sights = {
            "clown": sure(self.clown.states, frozenset({"clown"})),
            "enchi": sure(self.enchi.states, frozenset({"enchi", "super enchi"})),
        }
        if percent is not None:
            sights["pastel"] = lean(self.pastel.states.with_look("pastel"), percent)
        outlook = outlook_of(self.pastel, self.enchi, self.clown, hides={"clown": ("pastel", "enchi")})
        return Identification(outlook, sights, (1.0, 0.0))

    def test_as_it_hatches(self) -> None:
        """Pastel 60% - the parents' even odds times 60 : 40 -, super Enchi 33% of those with Enchi."""
        doubts = {doubt.locus: doubt for doubt in self.hatchling(60).doubts()}
        assert doubts["pastel"].parents == pytest.approx((1 / 2, 1 / 2, 0))
        assert doubts["pastel"].eye == pytest.approx((0.4, 0.6, 0.0))
        assert doubts["pastel"].both == pytest.approx((0.4, 0.6, 0.0))
        assert doubts["enchi"].parents == pytest.approx((1 / 4, 1 / 2, 1 / 4))
        assert doubts["enchi"].both == pytest.approx((0, 2 / 3, 1 / 3))
        assert doubts["clown"].both == pytest.approx((0, 0, 1))

    def test_after_six_enchi_and_no_pastel(self) -> None:
        """At 16 months x normal: 6 young, 6 Enchi, 0 Pastel: 97%, 2.3%; and 1.5% from an even prior."""
        for percent, pastel_left in ((60, 2.3), (None, 1.5)):
            hatchling = self.hatchling(percent)
            bred = {
                "pastel": Sight(hatchling.sights["pastel"].likelihood if percent else np.ones(3)),
                "enchi": hatchling.sights["enchi"],
                "clown": hatchling.sights["clown"],
            }
            none_pastel = np.array([1.0, 0.5**6, 0.0])
            all_enchi = np.array([0.0, 0.5**6, 1.0])
            after = Identification(
                hatchling.outlook,
                {
                    **bred,
                    "pastel": Sight(bred["pastel"].likelihood * none_pastel),
                    "enchi": Sight(bred["enchi"].likelihood * all_enchi),
                },
            )
            doubts = {doubt.locus: doubt for doubt in after.doubts()}
            assert round(100 * doubts["enchi"].both[2]) == 97
            assert round(100 * doubts["pastel"].both[1], 1) == pastel_left

    def test_candidates(self) -> None:
        """Four genotypes, ranked, their chances the products of the doubts."""
        chances = [round(candidate.chance, 4) for candidate in self.hatchling(60).candidates()]
        assert chances == [0.4, 0.2667, 0.2, 0.1333]

    def test_the_siblings_and_the_parents_are_not_moved(self) -> None:
        """The hatchling's outlook is that of the pairing, before and after."""
        hatchling = self.hatchling(60)
        before = [group.each for group in hatchling.outlook.groups()]
        list(hatchling.candidates())
        assert [group.each for group in hatchling.outlook.groups()] == before

    def test_how_many_young_would_settle_it(self) -> None:
        """One dose or two of Enchi, 33%: 6 young all Enchi leave 3% that it has one; five leave 5.9%."""
        assert to_be_sure(2 / 3, 0.5) == 6
        assert to_be_sure(0.6, 0.5) == 5


def test_a_lean_is_evidence_and_not_the_answer() -> None:
    """60 : 40 on a parents' chance of 1/4 is 1/3: (1/4 x 60) : (3/4 x 40)."""
    clown = doses(p.CLOWN, settled(HET), settled(HET))
    eye = lean(clown.states.with_look("clown"), 60)
    (doubt,) = Identification(outlook_of(clown), {"clown": eye}).doubts()
    assert doubt.both[2] == pytest.approx(1 / 3)
    assert doubt.eye is not None and doubt.eye[2] == pytest.approx(60 / 140) and eye.said == 60


def test_a_hidden_gene_is_not_seen() -> None:
    """ "No pastel" in a Clown says nothing; in a normal-looking one it says there is none."""
    pastel = doses(p.PASTEL, settled(HET), settled(WILD))
    clown = doses(p.CLOWN, settled(HET), settled(TWO))
    outlook = outlook_of(pastel, clown, hides={"clown": ("pastel",)})
    none = sure(pastel.states, frozenset({""}))
    for look, left in (("clown", 0.5), ("", 0.0)):
        doubts = Identification(outlook, {"pastel": none, "clown": sure(clown.states, frozenset({look}))}).doubts()
        assert next(d for d in doubts if d.locus == "pastel").both[1] == pytest.approx(left)


def test_sex_hints_both_ways() -> None:
    """A gene on his sire's Y: shown makes it 95% a son; a daughter for certain makes it 5% likely to show."""
    parents = p.Parents(p.EMBER, {(State(0, 1, Sex.MALE, ordered=True), State(0, 0, Sex.FEMALE)): F(1)})
    outlook = outlook_of(parents)
    shown = Identification(outlook, {"ember": sure(parents.states, frozenset({"ember"}))})
    assert shown.sex == pytest.approx((0.95, 0.05))
    daughter = Identification(outlook, {}, (0.0, 1.0))
    assert daughter.doubts()[0].both[1] == pytest.approx(0.05)
    unsure = Identification(outlook, shown.sights, (0.2, 0.8))
    assert unsure.sex_by_look == pytest.approx((0.95, 0.05))
    assert unsure.sex == pytest.approx((0.19 / 0.23, 0.04 / 0.23))


def test_which_sire() -> None:
    """Two sires, 50 : 50; a Clown from a visual dam cannot be the normal male's."""
    first, second = (doses(p.CLOWN, settled(kind), settled(TWO)).quick() for kind in (HET, WILD))
    outlook = Outlook(p.catalogue(p.CLOWN), (Part(0.5, (first,)), Part(0.5, (second,))))
    plain = Identification(outlook, {"clown": sure(first.states, frozenset({""}))})
    assert plain.sires == pytest.approx((1 / 3, 2 / 3))
    clown = Identification(outlook, {"clown": sure(first.states, frozenset({"clown"}))})
    assert clown.sires == pytest.approx((1.0, 0.0))


class TestImpossible:
    """Young that cannot come from these parents."""

    def test_a_clown_from_a_normal_male(self) -> None:
        """His dam carries it: the sire, the eye, the egg, or no sire at all; her two alleles allow a daughter alone."""
        clown = doses(p.CLOWN, settled(WILD), settled(HET))
        daughter = Identification(outlook_of(clown), {"clown": sure(clown.states, frozenset({"clown"}))}, (0.0, 1.0))
        assert not daughter.possible and list(daughter.candidates()) == []
        assert faults(daughter) == ["clown"]
        causes = [suspect.cause for suspect in suspects(daughter)]
        assert causes == [Cause.MISREAD_LOOK, Cause.WRONG_SIRE, Cause.SWAPPED_EGG, Cause.DAM_ONLY]
        son = Identification(daughter.outlook, daughter.sights, (1.0, 0.0))
        assert Cause.DAM_ONLY not in [suspect.cause for suspect in suspects(son)]

    def test_a_normal_one_from_a_super(self) -> None:
        """A Super Pastel dam gives Pastel to all: no sire mends that, another clutch does."""
        pastel = doses(p.PASTEL, settled(WILD), settled(TWO))
        hatchling = Identification(outlook_of(pastel), {"pastel": sure(pastel.states, frozenset({""}))})
        other = outlook_of(doses(p.PASTEL, settled(WILD), settled(WILD)))
        found = suspects(hatchling, {"C-07": other, "C-08": outlook_of(pastel)})
        assert [(suspect.cause, suspect.about) for suspect in found] == [
            (Cause.MISREAD_LOOK, "pastel"),
            (Cause.SWAPPED_EGG, "C-07"),
        ]

    def test_a_possible_one_has_no_suspects(self) -> None:
        pastel = doses(p.PASTEL, settled(WILD), settled(HET))
        assert suspects(Identification(outlook_of(pastel), {})) == []


@pytest.mark.parametrize("seed", range(60))
def test_against_everything_written_out(seed) -> None:
    """Evidence, law of every locus, sex, and every candidate, with masking, to 1e-12."""
    rng = random.Random(seed)
    chosen = rng.sample([p.PASTEL, p.ENCHI, p.SPECKLE, p.EMBER, p.SERIES], k=2)
    chosen.insert(rng.randint(0, 2), p.CLOWN)
    loci = tuple(drawn_parents(rng, locus) for locus in chosen)
    hides = {"clown": tuple(a for locus in chosen if locus is not p.CLOWN for a in locus.alleles[1:])}
    outlook = outlook_of(*loci, hides=hides)
    white = {("butter", "bel"), ("enchi", "super enchi"), ("ember", "super ember")} if seed % 2 else set()
    veils = {**outlook.catalogue.masks, **dict.fromkeys(white, frozenset({EVERYTHING}))}
    outlook = Outlook(replace(outlook.catalogue, masks=veils), outlook.parts)
    sights: dict[str, Sight] = {}
    for parents in loci:
        states = parents.states
        kind = rng.choice(["plain", "lean", "nothing"])
        if kind == "plain":
            sights[states.locus.key] = Sight(np.array([1.0 if look.key == "" else 0.2 for look in states.looks]), True)
        elif kind == "lean":
            sights[states.locus.key] = lean(np.array([rng.random() < 0.5 for _ in states.states]), rng.randint(5, 95))
    sex_seen = (rng.randint(1, 9) / 10, rng.randint(1, 9) / 10)

    def likelihood(young, sex) -> float:
        total = sex_seen[0] if sex is Sex.MALE else sex_seen[1]
        masked = any(locus is p.CLOWN and state == State(1, 1) for locus, state in zip(chosen, young))
        looks = [(locus.key, p.look(locus, state).key) for locus, state in zip(chosen, young)]
        veil = next((look[0] for look in looks if look in white), "")
        for parents, state in zip(loci, young):
            states = parents.states
            sight = sights.get(states.locus.key)
            if sight is None:
                continue
            said = float(sight.likelihood[states.index[state]])
            singles = {p.look(states.locus, State(0, allele)).key for allele in range(1, len(states.locus.alleles))}
            if sight.plain and masked and states.locus is not p.CLOWN and p.look(states.locus, state).key in singles:
                said = float(sight.likelihood[0])
            if sight.plain and veil not in ("", states.locus.key):
                said = float(sight.likelihood[0])
            total *= said
        return total

    by_hand: dict[tuple, float] = {}
    for weight, pair in p.pairs(loci):
        for (young, sex), q in p.young_law(loci, pair).items():
            by_hand[young, sex] = by_hand.get((young, sex), 0.0) + float(weight * q) * likelihood(young, sex)
    evidence = sum(by_hand.values())
    hatchling = Identification(outlook, sights, sex_seen)
    assert hatchling.evidence == pytest.approx(evidence, abs=1e-12)
    sons = sum(q for (_, sex), q in by_hand.items() if sex is Sex.MALE) / evidence
    assert hatchling.sex[0] == pytest.approx(sons, abs=1e-12)
    for place, parents in enumerate(loci):
        law = np.zeros(len(parents.states.states))
        for (young, _), q in by_hand.items():
            law[parents.states.index[young[place]]] += q / evidence
        assert hatchling.laws[place] == pytest.approx(law, abs=1e-12)
    named: dict[tuple, float] = {}
    for (young, sex), q in by_hand.items():
        copies = tuple(
            (locus.key, allele, state.copies(allele))
            for locus, state in zip(chosen, young)
            for allele in range(1, len(locus.alleles))
            if state.copies(allele)
        )
        shown = sex if any(state.sex for state in young) else None
        named[copies, shown] = named.get((copies, shown), 0.0) + q / evidence
    found = {(candidate.copies, candidate.sex): candidate.chance for candidate in hatchling.candidates()}
    assert found == pytest.approx({key: q for key, q in named.items() if q > 0}, abs=1e-12)
    chances = [candidate.chance for candidate in hatchling.candidates()]
    assert len(chances) == len(found), "no candidate is told twice"
    assert all(before >= after - 1e-12 for before, after in pairwise(chances)), "likeliest first"
