"""The engine against published and standard values, the source beside each. All animals of each family are compared.

Values marked "from memory" are of sources known to exist whose numbers were not read again for this table; each is
recomputed here by its own formula, in exact fractions, so that the formula and the engine check each other.
"""

from __future__ import annotations

from fractions import Fraction
from math import comb

import numpy as np
import pytest

from coilbook.genetics.inference import solve
from coilbook.genetics.locus import Inheritance, Linkage, SexSystem, simple_locus
from coilbook.genetics.problem import NONE, Pedigree, Problem, Rows
from coilbook.genetics.states import LocusStates, State
from coilbook.records.vocabulary import Sex

RECESSIVE = LocusStates(simple_locus("a", Inheritance.RECESSIVE), SexSystem.XY)
#: an XY locus in the way of man: no copy on the Y
ON_X = LocusStates(
    simple_locus("x", Inheritance.RECESSIVE, linkage=Linkage(0.0, hemizygous=True)),
    SexSystem.XY,
)
WILD, HET, VISUAL = 0, 1, 2
NORMAL = np.array([1.0, 1.0, 0.0])


class Family:
    """A pedigree at the recessive locus, built animal by animal."""

    def __init__(self, states: LocusStates = RECESSIVE) -> None:
        self.states = states
        self.parents: list[tuple[int, int]] = []
        self.priors: list[np.ndarray] = []
        self.seen: list[np.ndarray] = []

    def add(
        self, prior: np.ndarray | None = None, seen: np.ndarray | None = None, sire: int = NONE, dam: int = NONE
    ) -> int:
        """One animal; its index."""
        size = len(self.states.states)
        self.parents.append((sire, dam))
        self.priors.append(np.full(size, 1 / size) if prior is None else prior)
        self.seen.append(np.ones(size) if seen is None else seen)
        return len(self.parents) - 1

    def young(self, sire: int, dam: int, seen: np.ndarray, count: int) -> list[int]:
        """`count` young alike."""
        return [self.add(None, seen, sire, dam) for _ in range(count)]

    def problem(self) -> Problem:
        """As a problem."""
        sire, dam = np.array(self.parents).T
        priors = Rows(np.array(self.priors), np.arange(len(self.parents)))
        seen, place = np.unique(np.array(self.seen), axis=0, return_inverse=True)
        return Problem(self.states, Pedigree(sire, dam), Rows(seen, place.reshape(-1)), priors, priors)


def prior(het: Fraction) -> np.ndarray:
    """A normal-looking founder that is het with this chance."""
    return np.array([float(1 - het), float(het), 0.0])


def sure(state: int) -> np.ndarray:
    """A founder of known genotype."""
    return np.eye(3)[state]


def both_het_after(n: int) -> Fraction:
    """P(both parents het) after n normal young, priors 2/3 each: Bayes by hand."""
    both = Fraction(4, 9) * Fraction(3, 4) ** n
    return both / (both + Fraction(5, 9))


TWO_THIRDS, HALF = Fraction(2, 3), Fraction(1, 2)


# --- facts 0, row 7: standard test-cross rule, n >= ln(1-c)/ln(1-p) (from memory), recomputed


@pytest.mark.parametrize(
    ("mate", "n", "percent"), [(VISUAL, 5, 96.875), (VISUAL, 7, 99.219), (HET, 11, 95.776), (HET, 17, 99.248)]
)
def test_chance_that_a_carrier_shows_in_n_young(mate: int, n: int, percent: float) -> None:
    """The chance that n young of a sure carrier are all normal, read off as the Bayes factor of carrier to wild."""
    family = Family()
    sire, dam = family.add(prior(HALF), NORMAL), family.add(sure(mate))
    family.young(sire, dam, NORMAL, n)
    law = solve(family.problem()).posterior(sire)
    assert 100 * (1 - law[HET] / law[WILD]) == pytest.approx(percent, abs=6e-4)


# --- facts 0, row 8 and facts 5.3: Young, Risk Calculation in Genetic Counseling; Harper (from memory): Bayes for an
# --- unaffected sib of an affected one


@pytest.mark.parametrize("n", range(9))
def test_sib_of_a_visual_with_a_visual_mate_and_n_normal_young(n: int) -> None:
    family = Family()
    father, mother = family.add(sure(HET)), family.add(sure(HET))
    sib = family.add(None, np.array([0.0, 0.0, 1.0]), father, mother)
    animal = family.add(None, NORMAL, father, mother)
    mate = family.add(sure(VISUAL))
    young = family.young(animal, mate, NORMAL, n)
    laws = solve(family.problem()).all_posteriors()
    carrier = Fraction(2, 2 + 2**n)
    assert laws[animal] == pytest.approx([float(1 - carrier), float(carrier), 0], abs=1e-12)
    assert laws[[father, mother, mate, sib]] == pytest.approx(np.eye(3)[[HET, HET, VISUAL, VISUAL]], abs=1e-12)
    assert laws[young] == pytest.approx(np.tile([0, 1, 0], (n, 1)), abs=1e-12)


# --- facts 5.3, table: priors 2/3 and 1/2, mate visual or het, n normal young (computed from Bayes' rule)

TABLE_5_3 = {
    0: ("2/3", "1/2", "2/3", "1/2"),
    1: ("1/2", "1/3", "3/5", "3/7"),
    2: ("1/3", "1/5", "9/17", "9/25"),
    3: ("1/5", "1/9", "27/59", "27/91"),
    4: ("1/9", "1/17", "81/209", "81/337"),
    5: ("1/17", "1/33", "243/755", "243/1267"),
    6: ("1/33", "1/65", "729/2777", "729/4825"),
    8: ("1/129", "1/257", "6561/39329", "6561/72097"),
}


@pytest.mark.parametrize("n", TABLE_5_3)
@pytest.mark.parametrize("column", range(4))
def test_posterior_after_n_normal_young(n: int, column: int) -> None:
    start = (TWO_THIRDS, HALF)[column % 2]
    mate = VISUAL if column < 2 else HET
    family = Family()
    animal, other = family.add(prior(start), NORMAL), family.add(sure(mate))
    young = family.young(animal, other, NORMAL, n)
    laws = solve(family.problem()).all_posteriors()
    expected = Fraction(TABLE_5_3[n][column])
    assert laws[animal] == pytest.approx([float(1 - expected), float(expected), 0], abs=1e-12)
    if mate == VISUAL:
        assert laws[young] == pytest.approx(np.tile([0, 1, 0], (n, 1)), abs=1e-12)
    elif n:
        # a normal young of het x het is het in 2 of 3, of wild x het in 1 of 2
        het = expected * Fraction(2, 3) + (1 - expected) / 2
        assert laws[young, HET] == pytest.approx([float(het)] * n, abs=1e-12)


@pytest.mark.parametrize(("n", "printed"), [(0, 4 / 9), (4, 0.20200), (6, 0.12464), (8, 0.07415), (10, 0.04311)])
def test_both_parents_het_after_n_normal_young(n: int, printed: float) -> None:
    """Facts 5.3, last column (computed from Bayes' rule)."""
    family = Family()
    sire, dam = family.add(prior(TWO_THIRDS), NORMAL), family.add(prior(TWO_THIRDS), NORMAL)
    family.young(sire, dam, NORMAL, n)
    joint = solve(family.problem()).joint(sire, dam)
    assert joint[HET, HET] == pytest.approx(float(both_het_after(n)), abs=1e-12)
    assert joint[HET, HET] == pytest.approx(printed, abs=6e-6)
    assert joint.sum() == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("mate", [VISUAL, HET])
def test_one_visual_young_proves_the_parent(mate: int) -> None:
    """Facts 5.3: one visual young sets the posterior to 1."""
    family = Family()
    animal, other = family.add(prior(HALF), NORMAL), family.add(sure(mate))
    family.young(animal, other, NORMAL, 3)
    family.young(animal, other, np.array([0.0, 0.0, 1.0]), 1)
    assert solve(family.problem()).posterior(animal)[HET] == 1.0


# --- facts 0, row 10 and facts 5.2: two-parent prior mixtures (computed from Mendel's law)

TABLE_5_2 = [
    ("1", "1", "1/4", "1/2", "1/4", "2/3"),
    ("2/3", "1", "1/6", "1/2", "1/3", "3/5"),
    ("2/3", "2/3", "1/9", "4/9", "4/9", "1/2"),
    ("1/2", "1", "1/8", "1/2", "3/8", "4/7"),
    ("1/2", "1/2", "1/16", "3/8", "9/16", "2/5"),
    ("1", "0", "0", "1/2", "1/2", "1/2"),
    ("2/3", "0", "0", "1/3", "2/3", "1/3"),
]


@pytest.mark.parametrize(("first", "second", "visual", "het", "wild", "given_normal"), TABLE_5_2)
def test_young_of_two_possible_hets(
    first: str, second: str, visual: str, het: str, wild: str, given_normal: str
) -> None:
    family = Family()
    sire, dam = family.add(prior(Fraction(first)), NORMAL), family.add(prior(Fraction(second)), NORMAL)
    young = family.add(None, None, sire, dam)
    problem = family.problem()
    answer = solve(problem)
    laws = answer.all_posteriors()
    assert laws[young] == pytest.approx([float(Fraction(x)) for x in (wild, het, visual)], abs=1e-12)
    # a young of which nothing is known says nothing of its parents
    assert laws[[sire, dam], HET] == pytest.approx([float(Fraction(first)), float(Fraction(second))], abs=1e-12)
    assert answer.with_evidence({young: NORMAL}).posterior(young)[HET] == pytest.approx(
        float(Fraction(given_normal)), abs=1e-12
    )


# --- facts 5.3: at least one visual of n, het x het, and double recessives (computed)


@pytest.mark.parametrize(
    ("n", "single", "double"), [(4, 0.6836, 0.2275), (6, 0.8220, 0.3211), (8, 0.8999, 0.4033), (10, 0.9437, 0.4755)]
)
def test_at_least_one_visual_of_n(n: int, single: float, double: float) -> None:
    family = Family()
    sire, dam = family.add(sure(HET)), family.add(sure(HET))
    young = family.add(None, None, sire, dam)
    visual = float(solve(family.problem()).posterior(young)[VISUAL])
    assert 1 - (1 - visual) ** n == pytest.approx(single, abs=6e-5)
    assert 1 - (1 - visual**2) ** n == pytest.approx(double, abs=6e-5)


@pytest.mark.parametrize(("q", "printed"), [(0.01, 0.019802), (0.05, 0.095238)])
def test_random_carriers_among_normals(q: float, printed: float) -> None:
    """Facts 5.3: 2q/(1+q), Hardy-Weinberg founders that look normal (computed)."""
    family = Family()
    animal = family.add(np.array([(1 - q) ** 2, 2 * q * (1 - q), q**2]), NORMAL)
    law = solve(family.problem()).posterior(animal)
    assert law[HET] == pytest.approx(2 * q / (1 + q), abs=1e-12)
    assert law[HET] == pytest.approx(printed, abs=6e-7)


# --- X-linked: facts 0, row 9 (read) and facts 5.3, Bridge 1997 (read): a daughter of an obligate carrier

XX = {copies: ON_X.index[State(*pair, Sex.FEMALE)] for copies, pair in enumerate([(0, 0), (0, 1), (1, 1)])}
XY = {allele: ON_X.index[State(allele, -1, Sex.MALE, ordered=True)] for allele in (0, 1)}


def only(*states: int) -> np.ndarray:
    """A row that allows these states alone."""
    row = np.zeros(len(ON_X.states))
    row[list(states)] = 1.0
    return row


@pytest.mark.parametrize("n", range(6))
def test_daughter_of_an_obligate_carrier_with_n_unaffected_sons(n: int) -> None:
    family = Family(ON_X)
    father, mother = family.add(only(XY[0])), family.add(only(XX[1]))
    daughter = family.add(None, only(*XX.values()), father, mother)
    mate = family.add(only(XY[0]))
    sons = family.young(mate, daughter, only(XY[0]), n)
    unborn = family.add(None, ON_X.of_sex(Sex.MALE).astype(float), mate, daughter)
    laws = solve(family.problem()).all_posteriors()
    carrier = Fraction(1, 1 + 2**n)
    assert laws[daughter, XX[1]] == pytest.approx(float(carrier), abs=1e-12)
    assert laws[daughter, XX[0]] == pytest.approx(float(1 - carrier), abs=1e-12)
    assert laws[sons, XY[0]] == pytest.approx([1.0] * n, abs=1e-12)
    assert laws[unborn, XY[1]] == pytest.approx(float(carrier / 2), abs=1e-12)


@pytest.mark.parametrize(
    ("sons", "brothers", "printed"),
    [(0, 0, "2/3"), (1, 0, "1/2"), (0, 1, "3/5"), (1, 1, "3/7"), (2, 2, "5/21")],
)
def test_mother_of_one_affected_son_under_new_mutation(sons: int, brothers: int, printed: str) -> None:
    """A lethal X-linked gene in balance with new mutation (Bridge 1997), ns normal sons, nb normal brothers.

    Her mother carries with 4u and a new egg of her parents mutates with 2u, so she carries by descent with weight
    2u/2^nb and by new mutation with 2u; an affected son has weight 1/2 of a carrier and u of a wild one. By Bayes' rule
    (2^nb+1)/(2^(ns+nb)+2^nb+1), u -> 0. A note that writes 2^ns for the last 2^nb agrees where ns = nb only; it would
    have a normal brother raise her odds above 2/3.
    """
    u = 1e-9
    family = Family(ON_X)
    grandfather = family.add(only(XY[0]))
    # in balance every woman carries with 4u; the new mutation in her own two X is 2u of these
    grandmother = family.add(only(XX[0]) * (1 - 4 * u) + only(XX[1]) * 4 * u)
    affected_son = only(XX[0]) * u + only(XX[1]) * 0.5
    inherited = family.add(None, only(*XX.values()), grandfather, grandmother)
    family.young(grandfather, grandmother, only(XY[0]), brothers)
    # 2u of new mutation: she is a carrier in her findings' eyes although born wild
    new = 2 * u * 0.5 * 0.5**sons
    family.seen[inherited] = only(XX[0]) * (u + new) + affected_son * only(XX[1]) * 0.5**sons
    answer = solve(family.problem())
    law = answer.posterior(inherited)
    # of the "born wild" part, `new` is carriers by new mutation
    carrier = law[XX[1]] + law[XX[0]] * new / (u + new)
    ns, nb = sons, brothers
    formula = Fraction(2**nb + 1, 2 ** (ns + nb) + 2**nb + 1)
    assert formula == Fraction(printed)
    assert carrier == pytest.approx(float(formula), abs=1e-6)


# --- Mallery & Carrillo 2016 (read): a sex-linked, recombining XY locus; expectation per maker type (computed, 4.3)


@pytest.mark.parametrize("r", [0.0, 0.05, 0.5])
@pytest.mark.parametrize("on_y", [True, False])
def test_young_of_a_male_that_carries_on_one_chromosome(r: float, on_y: bool) -> None:
    states = LocusStates(simple_locus("s", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(r)), SexSystem.XY)
    male = State(0, 1, Sex.MALE, ordered=True) if on_y else State(1, 0, Sex.MALE, ordered=True)
    family = Family(states)
    sire = family.add(np.eye(len(states.states))[states.index[male]])
    dam = family.add(np.eye(len(states.states))[states.index[State(0, 0, Sex.FEMALE)]])
    son = family.add(None, states.of_sex(Sex.MALE).astype(float), sire, dam)
    daughter = family.add(None, states.of_sex(Sex.FEMALE).astype(float), sire, dam)
    laws = solve(family.problem()).all_posteriors()
    carries = states.copies(1) == 1
    assert laws[son, carries].sum() == pytest.approx(1 - r if on_y else r, abs=1e-12)
    assert laws[daughter, carries].sum() == pytest.approx(r if on_y else 1 - r, abs=1e-12)
    # recombinants switch the maker type: a son's copy from his sire lies on the Y whichever it was
    assert laws[son, states.index[State(1, 0, Sex.MALE, ordered=True)]] == pytest.approx(0, abs=1e-12)


def test_lod_style_likelihood_of_ten_meioses_one_recombinant() -> None:
    """Morton 1955; Ott (from memory): 10 phase-known meioses, 1 recombinant, t = 0.1 against 1/2: LOD 1.5985.

    Each daughter of a male that carries on the Y shows with t: nine sons' worth of evidence as a Bayes factor.
    """
    factor = 0.1 * 0.9**9 / 0.5**10
    assert np.log10(factor) == pytest.approx(1.5985, abs=5e-5)
    chances = []
    for r in (0.1, 0.5):
        states = LocusStates(simple_locus("s", Inheritance.INCOMPLETE_DOMINANT, linkage=Linkage(r)), SexSystem.XY)
        family = Family(states)
        male = np.eye(len(states.states))[states.index[State(0, 1, Sex.MALE, ordered=True)]]
        sire = family.add(male)
        dam = family.add(np.eye(len(states.states))[states.index[State(0, 0, Sex.FEMALE)]])
        daughter = family.add(None, states.of_sex(Sex.FEMALE).astype(float), sire, dam)
        law = solve(family.problem()).posterior(daughter)
        shows = float(law[states.copies(1) == 1].sum())
        chances.append(comb(10, 1) * shows * (1 - shows) ** 9)
    assert np.log10(chances[0] / chances[1]) == pytest.approx(1.5985, abs=5e-5)
