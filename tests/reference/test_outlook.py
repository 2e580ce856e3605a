"""The outlook against published values and against everything written out by hand in fractions."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from tests.reference import pairings as p
from tests.reference.pairings import HET, TWO, WILD, doses, possible_het, sure

from coilbook.genetics import outlook_chance as chance
from coilbook.genetics.catalogue import EVERYTHING
from coilbook.genetics.locus import Linkage, simple_locus
from coilbook.genetics.outlook import Outlook, Part
from coilbook.genetics.outlook_clutch import ClutchLaw, HatchRate
from coilbook.genetics.outlook_pair import PairLocus, cases_of
from coilbook.genetics.outlook_rank import Asked, rank
from coilbook.genetics.states import State
from coilbook.records.vocabulary import Sex

F = Fraction
#: the clutch the pictures of the design assume: 3 to 9 eggs, 88% hatching, each egg by itself
PICTURED = ClutchLaw(dict(zip(range(3, 10), (0.05, 0.12, 0.20, 0.26, 0.20, 0.12, 0.05))), HatchRate(0.88))


def visual(*loci: p.Parents):
    """The cases for a hatchling that shows every one of these recessives."""
    return cases_of(
        [parents.quick() for parents in loci],
        {parents.states.locus.key: parents.states.with_look(parents.states.locus.key) for parents in loci},
    )


def clown(sire, dam) -> p.Parents:
    return doses(p.CLOWN, sire, dam)


HETS = {"1": sure(HET), "2/3": possible_het(F(2, 3)), "1/2": possible_het(F(1, 2)), "0": sure(WILD)}


class TestPublished:
    """Values the handbook states; the source is beside each."""

    @pytest.mark.parametrize(
        ("one", "other", "shown", "het", "het_if_normal"),
        [
            ("1", "1", F(1, 4), F(1, 2), F(2, 3)),
            ("2/3", "1", F(1, 6), F(1, 2), F(3, 5)),
            ("2/3", "2/3", F(1, 9), F(4, 9), F(1, 2)),
            ("1/2", "1", F(1, 8), F(1, 2), F(4, 7)),
            ("1/2", "1/2", F(1, 16), F(3, 8), F(2, 5)),
            ("1", "0", F(0), F(1, 2), F(1, 2)),
            ("2/3", "0", F(0), F(1, 3), F(1, 3)),
        ],
    )
    def test_two_uncertain_parents(self, one, other, shown, het, het_if_normal) -> None:
        """facts 5.2 (arithmetic of Mendel's law); job 4.1: 60% and 57.1%, 50% and 40%, never 66."""
        parents = clown(HETS[one], HETS[other])
        assert chance.each(visual(parents)) == pytest.approx(float(shown), abs=1e-12)
        outlook = Outlook(p.catalogue(p.CLOWN), (Part(1.0, (parents.quick(),)),))
        plain = next(group for group in outlook.groups() if group.masks["clown"][0])
        (carries,) = outlook.carries(plain)
        assert carries.any == pytest.approx(float(het_if_normal), abs=1e-12)
        assert carries.any * plain.each == pytest.approx(float(het), abs=1e-12)

    @pytest.mark.parametrize(
        ("one", "other", "right", "naive"),
        [
            (possible_het(F(2, 3)), sure(TWO), 65.6, 91.2),
            (possible_het(F(2, 3)), possible_het(F(1, 2)), 27.4, 40.7),
            (possible_het(F(2, 3)), possible_het(F(2, 3)), 36.5, 50.7),
        ],
    )
    def test_at_least_one_in_six(self, one, other, right, naive) -> None:
        """job 4.4: the mixture, beside what taking the doubt as a coin for each egg would say."""
        parts = chance.two_parts(visual(clown(other, one)), 6)
        assert round(100 * parts.overall, 1) == right
        assert round(100 * parts.coins, 1) == naive

    def test_the_two_part_sentence(self) -> None:
        """job 4.4: "66% chance she carries it; if she does, 98% you see one in 6. Overall 66%"."""
        parts = chance.two_parts(visual(clown(sure(TWO), possible_het(F(2, 3)))), 6)
        assert parts.who is chance.Who.DAM
        assert (round(parts.carries, 4), round(parts.given, 4), round(parts.each_given, 4)) == (0.6667, 0.9844, 0.5)
        assert parts.overall == pytest.approx(parts.carries * parts.given, abs=1e-12)

    @pytest.mark.parametrize(
        ("n", "one", "two"), [(4, 0.6836, 0.2275), (6, 0.8220, 0.3211), (8, 0.8999, 0.4033), (10, 0.9437, 0.4755)]
    )
    def test_het_by_het(self, n, one, two) -> None:
        """facts 5.3: at least one visual of het x het, and of double het x double het."""
        hets = clown(sure(HET), sure(HET))
        both = visual(hets, doses(p.PIED, sure(HET), sure(HET)))
        assert round(chance.at_least_one(visual(hets), n), 4) == one
        assert round(chance.at_least_one(both, n), 4) == two

    @pytest.mark.parametrize(
        ("each", "n95", "n99"), [(2, 5, 7), (4, 11, 17), (8, 23, 35), (16, 47, 72), (64, 191, 293)]
    )
    def test_sizes_for_95_and_99(self, each, n95, n99) -> None:
        """facts 5.3: n >= ln(1-c)/ln(1-p), the test-cross rule."""
        pairs = {2: (HET, TWO), 4: (HET, HET)}
        loci = {
            2: [clown(sure(HET), sure(TWO))],
            4: [clown(sure(HET), sure(HET))],
            8: [clown(sure(HET), sure(HET)), doses(p.PIED, sure(HET), sure(TWO))],
            16: [clown(sure(HET), sure(HET)), doses(p.PIED, sure(HET), sure(HET))],
            64: [
                clown(sure(HET), sure(HET)),
                doses(p.PIED, sure(HET), sure(HET)),
                doses(simple_locus("albino", p.Inheritance.RECESSIVE), sure(HET), sure(HET)),
            ],
        }[each]
        assert pairs
        cases = visual(*loci)
        assert chance.needed_eggs(cases, 1.0, 0.95).count == n95
        assert chance.needed_eggs(cases, 1.0, 0.99).count == n99

    @pytest.mark.parametrize(
        ("prior", "mate", "left"),
        [
            (F(2, 3), TWO, {1: F(1, 2), 2: F(1, 3), 3: F(1, 5), 4: F(1, 9), 5: F(1, 17), 6: F(1, 33), 8: F(1, 129)}),
            (F(1, 2), TWO, {1: F(1, 3), 2: F(1, 5), 3: F(1, 9), 4: F(1, 17), 5: F(1, 33), 6: F(1, 65), 8: F(1, 257)}),
            (F(2, 3), HET, {1: F(3, 5), 2: F(9, 17), 3: F(27, 59), 4: F(81, 209), 5: F(243, 755), 6: F(729, 2777)}),
            (F(1, 2), HET, {1: F(3, 7), 2: F(9, 25), 3: F(27, 91), 4: F(81, 337), 5: F(243, 1267), 6: F(729, 4825)}),
        ],
    )
    def test_none_of_n(self, prior, mate, left) -> None:
        """facts 5.3 (Young, Risk Calculation in Genetic Counseling; from memory there): prior 2/3 or 1/2, n plain."""
        cases = visual(clown(sure(mate), possible_het(prior)))
        for n, value in left.items():
            assert chance.if_none(cases, n).dam == pytest.approx(float(value), abs=1e-12)

    def test_young_to_settle(self) -> None:
        """facts 0.7 in reverse: 66% by a visual mate, 6 plain young leave 3.0%; by a possible het no number does."""
        assert chance.young_to_settle(visual(clown(sure(TWO), possible_het(F(2, 3)))), dam=True) == 6
        assert chance.young_to_settle(visual(clown(possible_het(F(1, 2)), possible_het(F(2, 3)))), dam=True) is None

    def test_both_parents_possible_and_none(self) -> None:
        """facts 5.3, last column: the chance that both are het after n plain young."""
        cases = visual(clown(possible_het(F(2, 3)), possible_het(F(2, 3))))
        for n, value in ((0, 4 / 9), (4, 0.20200), (6, 0.12464), (8, 0.07415), (10, 0.04311)):
            assert round(chance.if_none(cases, n).pair, 5) == round(value, 5)

    def test_on_the_sex_chromosomes(self) -> None:
        """job 4.6 and facts 4.3, r = 5% (common practice): 95% sons of a male maker, 95% daughters of a female one."""
        male, female, plain = (
            State(0, 1, Sex.MALE, ordered=True),
            State(0, 1, Sex.FEMALE),
            State(0, 0, Sex.MALE, ordered=True),
        )
        on_x = State(1, 0, Sex.MALE, ordered=True)
        wild = State(0, 0, Sex.FEMALE)
        expected = {(male, wild): (0.95, 0.05), (on_x, wild): (0.05, 0.95), (plain, female): (0.5, 0.5)}
        for pair, (sons, daughters) in expected.items():
            parents = p.Parents(p.EMBER, {pair: F(1)})
            shows = {"ember": parents.states.with_look("ember")}
            for sex, share in ((Sex.MALE, sons), (Sex.FEMALE, daughters)):
                assert 2 * chance.each(cases_of([parents.quick()], shows, sex)) == pytest.approx(share, abs=1e-12)

    def test_the_pictures(self) -> None:
        """The design's outlook picture, both columns: every number it shows of the clown question."""
        left = visual(clown(sure(TWO), possible_het(F(2, 3))))
        right = visual(clown(sure(HET), possible_het(F(2, 3))))
        assert round(100 * chance.in_a_clutch(left, PICTURED), 1) == 63.7
        assert round(100 * chance.in_a_clutch(right, PICTURED), 1) == 50.6
        assert chance.needed_eggs(left, 0.88, 0.5).count == 3
        assert chance.needed_eggs(right, 0.88, 0.5).count == 6
        assert chance.needed_eggs(left, 0.88, 0.8).count is None
        assert round(100 * chance.at_least_one(right, 6), 1) == 54.8
        assert round(100 * chance.if_none(left, 6).dam, 1) == 3.0
        assert round(100 * chance.if_none(right, 6).dam, 1) == 26.3  # 729/2777 = 26.25%: the picture cut it to 26.2
        assert [round(100 * x, 1) for x in chance.how_many(left, 6)] == [34.4, 6.2, 15.6, 20.8, 15.6, 6.2, 1.0]

    def test_pastel_clown_of_seven(self) -> None:
        """job 4.3: Pastel het clown x het clown, 7 eggs: 1/8 an egg, 60.7% at least one; 56.6% at 90% hatching."""
        pastel = doses(p.PASTEL, sure(HET), sure(WILD))
        hets = clown(sure(HET), sure(HET))
        masks = {"clown": hets.states.with_look("clown"), "pastel": pastel.states.with_look("pastel")}
        cases = cases_of([pastel.quick(), hets.quick()], masks)
        assert round(100 * chance.at_least_one(cases, 7), 1) == 60.7
        assert round(100 * chance.in_a_clutch(cases, ClutchLaw({7: 1.0}, HatchRate(0.9))), 1) == 56.6

    def test_double_het_trap(self) -> None:
        """job 4.1: 66% double het - each gene 66%, both 44%, at least one 89%."""
        loci = [clown(sure(HET), sure(HET)), doses(p.PIED, sure(HET), sure(HET))]
        plain = {parents.states.locus.key: parents.states.with_look("") for parents in loci}
        het = {key: parents.states.copies(1) == 1 for key, parents in zip(plain, loci)}
        quick = [parents.quick() for parents in loci]
        base = chance.each(cases_of(quick, plain))
        both = chance.each(cases_of(quick, het)) / base
        wild = {key: plain[key] & ~het[key] for key in plain}
        assert (round(100 * both), round(100 * (1 - chance.each(cases_of(quick, wild)) / base))) == (44, 89)


LOCI = (p.CLOWN, p.PASTEL, p.LEOPARD, p.SPECKLE, p.EMBER, p.SERIES)


def drawn_parents(rng: random.Random, locus) -> p.Parents:
    """Parents whose doubts may hang together, drawn at random."""
    states = p.LocusStates(locus, p.SexSystem.XY)
    living = [state for state in states.states if not p.look(locus, state).lethal]
    sires = [state for state in living if state.sex is not Sex.FEMALE]
    dams = [state for state in living if state.sex is not Sex.MALE]
    pairs = rng.sample(list(product(sires, dams)), k=rng.randint(1, 4))
    weights = [rng.randint(1, 9) for _ in pairs]
    return p.Parents(locus, {pair: F(weight, sum(weights)) for pair, weight in zip(pairs, weights)})


@pytest.mark.parametrize("seed", range(40))
def test_against_everything_written_out(seed) -> None:
    """At least one, per egg, by sex and the ranking, for parents whose doubts hang together, to 1e-12."""
    rng = random.Random(seed)
    loci = tuple(drawn_parents(rng, locus) for locus in rng.sample(LOCI, k=rng.randint(1, 3)))
    masks = {}
    for parents in loci:
        size = len(parents.states.states)
        masks[parents.states.locus.key] = np.array([rng.random() < 0.5 for _ in range(size)])
    sex = rng.choice([None, Sex.MALE, Sex.FEMALE])
    count = rng.randint(1, 9)

    def wanted(young, its_sex) -> bool:
        return sex in (None, its_sex) and all(
            masks[parents.states.locus.key][parents.states.index[state]] for parents, state in zip(loci, young)
        )

    cases = cases_of([parents.quick() for parents in loci], masks, sex)
    assert chance.each(cases) == pytest.approx(float(p.chance_of(loci, wanted, 1)), abs=1e-12)
    assert chance.at_least_one(cases, count) == pytest.approx(float(p.chance_of(loci, wanted, count)), abs=1e-12)
    law = chance.how_many(cases, count)
    assert (law.sum(), law[0]) == pytest.approx((1.0, 1 - chance.at_least_one(cases, count)), abs=1e-12)
    alive = sum(
        (
            weight
            * np.prod(
                [
                    float(
                        sum(
                            q
                            for (state, _), q in p.eggs(parents.states.locus, *pair).items()
                            if not p.look(parents.states.locus, state).lethal
                        )
                    )
                    for parents, pair in zip(loci, chosen)
                ]
            )
            for weight, chosen in p.pairs(loci)
        ),
        0.0,
    )
    assert 1 - chance.lethal(cases) == pytest.approx(float(alive), abs=1e-12)
    if sex is None:
        asked = [
            Asked(parents.states, masks[parents.states.locus.key], parents.quick().joint[None]) for parents in loci
        ]
        assert rank(asked, count).at_least_one[0] == pytest.approx(chance.at_least_one(cases, count), abs=1e-12)


@pytest.mark.parametrize("seed", range(50))
def test_groups_against_everything_written_out(seed) -> None:
    """Every told-apart group with its chance, masking included, and what each may carry."""
    rng = random.Random(seed)
    chosen = rng.sample([p.CLOWN, p.PASTEL, p.ENCHI, p.SPECKLE, p.EMBER, p.SERIES], k=3)
    if p.CLOWN not in chosen:
        chosen[0] = p.CLOWN
    loci = tuple(drawn_parents(rng, locus) for locus in chosen)
    hides = {
        "clown": tuple(
            a for locus in chosen[1:] for a in locus.alleles[1:] if rng.random() < 0.7 and locus is not p.CLOWN
        )
    }
    #: looks that hide everything, in two loci at once where both are drawn
    white = {("butter", "bel"), ("enchi", "super enchi"), ("ember", "super ember")} if seed % 2 else set()
    catalogue = p.catalogue(*chosen, hides=hides)
    veils = {**catalogue.masks, **dict.fromkeys(white, frozenset({EVERYTHING}))}
    outlook = Outlook(replace(catalogue, masks=veils), (Part(1.0, tuple(parents.quick() for parents in loci)),))

    def label(young) -> tuple[str, ...]:
        """The looks, with every look of a single hidden dose called normal where Clown shows."""
        looks = [p.look(parents.states.locus, state).key for parents, state in zip(loci, young)]
        first = next((n for n, (locus, key) in enumerate(zip(chosen, looks)) if (locus.key, key) in white), None)
        if first is not None:
            return tuple(key if place == first else "anything" for place, key in enumerate(looks))
        unseen = {
            (locus.key, p.look(locus, State(0, allele)).key)
            for locus in chosen
            for allele in range(1, len(locus.alleles))
            if "clown" in looks and locus.alleles[allele] in hides["clown"]
        }
        return tuple("" if (locus.key, key) in unseen else key for locus, key in zip(chosen, looks))

    by_hand: dict[tuple[str, ...], Fraction] = {}
    for weight, pair in p.pairs(loci):
        for (young, _), q in p.young_law(loci, pair).items():
            by_hand[label(young)] = by_hand.get(label(young), F(0)) + weight * q
    groups = outlook.groups()
    assert len(groups) == outlook.count == len(by_hand)
    assert [group.each for group in groups] == pytest.approx(
        sorted(map(float, by_hand.values()), reverse=True), abs=1e-12
    )
    for group in groups:
        inside = list(outlook.inside(group))
        assert sum(look.each for look in inside) == pytest.approx(group.each, abs=1e-12)
        assert chance.each(outlook.cases(group.masks)) == pytest.approx(group.each, abs=1e-12)
        for carries in outlook.carries(group):
            hold = dict(group.masks)
            states = next(locus.states for locus in outlook.loci if locus.key == carries.locus)
            hold[carries.locus] = hold[carries.locus] & (states.copies(carries.allele) > 0)
            assert chance.each(outlook.cases(hold)) == pytest.approx(carries.any * group.each, abs=1e-12)


def test_one_of_two_sires() -> None:
    """A sire list, one sire for the whole clutch: the chances of each, by his weight."""
    dam = possible_het(F(2, 3))
    first, second = clown(sure(TWO), dam).quick(), clown(sure(WILD), dam).quick()
    outlook = Outlook(p.catalogue(p.CLOWN), (Part(0.75, (first,)), Part(0.25, (second,))))
    cases = outlook.cases({"clown": first.states.with_look("clown")})
    assert chance.at_least_one(cases, 6) == pytest.approx(0.75 * (2 / 3) * (1 - 0.5**6), abs=1e-12)
    assert sum(group.each for group in outlook.groups()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("seed", range(15))
def test_each_egg_its_own_sire(seed) -> None:
    """Two males, each egg by one of them: everything written out over dam and males, in fractions."""
    rng = random.Random(seed)
    locus = rng.choice([p.CLOWN, p.PASTEL, p.SPECKLE])
    living = [WILD, HET] if locus is p.SPECKLE else [WILD, HET, TWO]
    laws = []
    for _ in range(3):
        weights = [rng.randint(0, 5) for _ in living]
        weights[rng.randrange(len(living))] += 1
        laws.append({kind: F(weight, sum(weights)) for kind, weight in zip(living, weights) if weight})
    dam, males = laws[0], laws[1:]
    share = F(rng.randint(1, 9), 10)
    wanted = p.LocusStates(locus, p.SexSystem.XY).copies(1) >= 1
    states = p.LocusStates(locus, p.SexSystem.XY)
    total = F(0)
    for (d, pd), (a, pa), (b, pb) in product(dam.items(), males[0].items(), males[1].items()):
        alive, ones = F(0), F(0)
        for his, male in ((share, a), (1 - share, b)):
            for (state, _), q in p.eggs(locus, State(*male), State(*d)).items():
                if not p.look(locus, state).lethal:
                    alive += his * q
                    ones += his * q * int(bool(wanted[states.index[state]]))
        total += pd * pa * pb * (1 - (1 - ones / alive) ** 5)
    parts = tuple(Part(float(w), (doses(locus, male, dam).quick(),)) for w, male in zip((share, 1 - share), males))
    outlook = Outlook(p.catalogue(locus), parts, each_own=True)
    cases = outlook.cases({locus.key: wanted})
    assert chance.at_least_one(cases, 5) == pytest.approx(float(total), abs=1e-12)


def test_lethal_young_are_not_counted_twice() -> None:
    """A quarter of the eggs cannot hatch: it is said apart, and the hatch rate is that of the others."""
    speckled = doses(p.SPECKLE, sure(HET), sure(HET))
    cases = cases_of([speckled.quick()], {"speckle": speckled.states.with_look("speckle")})
    assert chance.lethal(cases) == pytest.approx(0.25)
    assert chance.each(cases) == pytest.approx(2 / 3)
    assert chance.each_egg(cases, 0.9) == pytest.approx(0.9 * 0.5)


def test_a_ranking_of_many_agrees_with_each_alone() -> None:
    """Ranked together or looked at one by one, the same."""
    rng = random.Random(7)
    loci = (p.CLOWN, p.SPECKLE)
    table = [tuple(drawn_parents(rng, locus) for locus in loci) for _ in range(20)]
    states = [table[0][i].states for i in range(2)]
    masks = [states[0].with_look("clown"), states[1].with_look("speckle")]
    asked = [Asked(states[i], masks[i], np.array([row[i].quick().joint for row in table])) for i in range(2)]
    ranked = rank(asked, 6)
    for place, row in enumerate(table):
        cases = cases_of([parents.quick() for parents in row], {"clown": masks[0], "speckle": masks[1]})
        assert ranked.at_least_one[place] == pytest.approx(chance.at_least_one(cases, 6), abs=1e-12)
        assert ranked.each[place] == pytest.approx(chance.each(cases), abs=1e-12)
        assert ranked.lethal[place] == pytest.approx(chance.lethal(cases), abs=1e-12)
    assert [ranked.at_least_one[i] for i in ranked.order()] == sorted(ranked.at_least_one, reverse=True)


def test_linkage_needs_no_case_of_its_own() -> None:
    """With r = 1/2 a locus on the sex chromosomes is inherited like any other."""
    loose = simple_locus("loose", p.Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(0.5))
    pair = (State(0, 1, Sex.MALE, ordered=True), State(0, 1, Sex.FEMALE))
    parents = p.Parents(loose, {pair: F(1)})
    cases = cases_of([parents.quick()], {"loose": parents.states.with_look("loose")})
    assert isinstance(parents.quick(), PairLocus)
    assert chance.each(cases) == pytest.approx(0.5, abs=1e-12)
