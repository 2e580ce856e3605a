"""Doubtful sires weighed over several loci at once, against every world of the family in fractions."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from tests.reference.pedigrees import kind
from tests.reference.several_loci import Together, random_loci

from coilbook.genetics.inference import solve, weighing
from coilbook.genetics.inference.joined import Joined, JoinedLocus, join
from coilbook.genetics.inference.worlds import worlds
from coilbook.genetics.problem import NONE, Litter, Pedigree, Problem, Rows

KINDS = (
    ("recessive", "incomplete dominant"),
    ("recessive", "recessive", "incomplete dominant"),
    ("recessive", "lethal double"),
    ("wholly sex-linked XY", "recessive"),
    ("dominant", "partly sex-linked ZW"),
)
FAMILIES = 34


def over_all_loci(joined: Joined, one: int, other: int, loci: int) -> np.ndarray:
    """(S1, S1, S2, S2, ...) the joint law of a pair at all loci, from the worlds."""
    found = worlds(joined, one, [other], range(loci))
    table = np.zeros(1)
    for world, weight in enumerate(found.weights):
        part = np.array(weight)
        for locus in range(loci):
            part = np.multiply.outer(part, found.joints[locus][world, 0])
        table = table + part
    return table


def several_differences(problems: Sequence[Problem], chance: Random) -> np.ndarray:
    """How far laws, pairs, a pair over all loci, and the chances of the sires are from every world."""
    exact, pedigree = Together(problems), problems[0].pedigree
    joined = join([solve(problem) for problem in problems])
    one, other = chance.sample(range(pedigree.size), 2)
    off = [over_all_loci(joined, one, other, len(problems)) - exact.at_all(one, other)]
    for locus, answer in enumerate(joined.answers):
        expected = np.stack([exact.law(locus, animal) for animal in range(pedigree.size)])
        off += [answer.all_posteriors() - expected, answer.joint(one, other) - exact.law(locus, one, other)]
    for young in (young for litter in pedigree.litters for young in litter.young):
        doubt = joined.selector_of(young)
        assert doubt is not None
        sires, chances = joined.with_answers({}, keep={doubt}).sires(doubt)
        by_world = exact.sire(young)
        off.append(chances - np.array([by_world.get(sire, 0.0) for sire in sires]))
    return np.abs(np.concatenate([one.ravel() for one in off]))


@pytest.mark.parametrize("names", KINDS, ids=" & ".join)
def test_laws_pairs_sires_and_pairs_over_all_loci_are_those_of_every_world(names: Sequence[str]) -> None:
    tied = 0
    for seed in range(FAMILIES):
        chance = Random(f"{names} {seed}")
        problems = random_loci(names, chance, chance.choice((6, 7)))
        assert several_differences(problems, chance).max() < 1e-12
        tied += bool(join([solve(problem) for problem in problems]).clusters)
    assert tied > FAMILIES // 2


@pytest.mark.parametrize("seed", range(40))
def test_what_is_seen_anew_at_one_locus_moves_the_others_as_every_world_says(seed: int) -> None:
    chance = Random(f"anew {seed}")
    problems = random_loci(KINDS[seed % len(KINDS)], chance, 7)
    joined = join([solve(problem) for problem in problems])
    locus = chance.randrange(len(problems))
    problem = problems[locus]
    animal = chance.randrange(problem.pedigree.size)
    row = problem.evidence.rows[animal] * np.array([chance.choice((1.0, 0.9, 0.5)) for _ in problem.states.states])
    if seed % 2:
        # taken back, it rules out less than before: sires that were impossible may come again
        row = np.ones(len(row))
    after = joined.with_answers({locus: joined.alone[locus].with_evidence({animal: row})})
    rows = problem.evidence.rows.copy()
    rows[animal] = row
    changed = list(problems)
    changed[locus] = Problem(
        problem.states, problem.pedigree, Rows(rows, problem.evidence.of), problem.founder, problem.absent
    )
    exact = Together(changed)
    for other, answer in enumerate(after.answers):
        expected = np.stack([exact.law(other, one) for one in range(problem.pedigree.size)])
        np.testing.assert_allclose(answer.all_posteriors(), expected, atol=1e-12)


def clown_or_pied(looks: tuple[str, str] = ("", "")) -> list[Problem]:
    """A daughter (3) of a dam (2) whose sire was a clown (0) or a pied (1); two loci, all else wild."""
    states = kind("recessive")
    pedigree = Pedigree(np.full(4, NONE), np.array([NONE, NONE, NONE, 2]), (Litter((3,), (0, 1), (0.5, 0.5)),))
    prior = np.eye(3)
    problems: list[Problem] = []
    for visual, look in zip((0, 1), looks):
        evidence = np.ones((4, 3))
        evidence[3] = states.with_look(look) if look != "het" else states.copies(1) == 1
        founders = Rows(prior, np.array([2 if one == visual else 0 for one in range(4)]))
        problems.append(Problem(states, pedigree, Rows(evidence, np.arange(4)), founders, founders))
    return problems


def test_a_dam_whose_sire_was_a_clown_or_a_pied_is_never_het_for_both() -> None:
    joined = join([solve(problem) for problem in clown_or_pied()])
    table = over_all_loci(joined, 0, 3, 2)
    # sire 0 is a visual clown; the daughter is het for one of the two, as likely as for the other
    assert table[2, 1, 0, 0] == pytest.approx(0.5) and table[2, 0, 0, 1] == pytest.approx(0.5)
    assert table[2, 1, 0, 1] == 0
    assert [joined.answers[locus].posterior(3)[1] for locus in (0, 1)] == pytest.approx([0.5, 0.5])


def test_evidence_that_excludes_a_sire_at_one_gene_counts_at_every_other() -> None:
    """A proven het clown is the clown's daughter, and so surely not het pied."""
    joined = join([solve(problem) for problem in clown_or_pied(("het", ""))])
    assert joined.answers[1].posterior(3)[1] == 0
    assert joined.alone[1].posterior(3)[1] == pytest.approx(0.5)


def test_a_sire_that_was_excluded_may_come_again_when_what_excluded_him_is_taken_back() -> None:
    plain, proven = ([solve(problem) for problem in clown_or_pied((look, ""))] for look in ("", "het"))
    before = join(proven)
    assert before.answers[1].posterior(3)[1] == 0
    after = before.with_answers({0: plain[0]})
    assert [after.answers[locus].posterior(3)[1] for locus in (0, 1)] == pytest.approx([0.5, 0.5])


def test_loci_that_exclude_each_others_sires_are_a_contradiction() -> None:
    joined = join([solve(problem) for problem in clown_or_pied(("het", "het"))])
    for answer in joined.answers:
        assert np.isnan(answer.posterior(3)).all() and not np.isnan(answer.posterior(0)).any()
        assert [clash.animals for clash in answer.clashes] == [(3,)]
        assert np.isnan(answer.joint(0, 3)).all()


def test_too_many_combinations_are_weighed_gene_by_gene_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    problems = clown_or_pied(("het", ""))
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    joined = join([solve(problem) for problem in problems])
    for locus, answer in enumerate(joined.answers):
        assert isinstance(answer, JoinedLocus) and not answer.exact and answer.apart == {3}
        np.testing.assert_array_equal(answer.all_posteriors(), joined.alone[locus].all_posteriors())


def test_a_collection_without_doubtful_sires_keeps_its_answers() -> None:
    sire, dam = np.array([NONE, NONE, 0]), np.array([NONE, NONE, 1])
    rows = Rows(np.full((1, 3), 1 / 3), np.zeros(3, dtype=np.int64))
    answers = [solve(Problem(kind("recessive"), Pedigree(sire, dam), rows, rows, rows)) for _ in range(2)]
    assert all(new is old for new, old in zip(join(answers).answers, answers, strict=True))
