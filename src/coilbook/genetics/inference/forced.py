"""One family of one locus with its doubtful sires settled in every possible way at once.

The family is cut out of the collection: what surrounds it is settled and enters as such. Each combination of sires is a
copy of it, an ordinary pedigree; all copies are one run. Of every copy come the chance of all that was seen (so that
the combinations can be weighed) and the laws of its animals.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np

from coilbook.genetics.inference.attempt import Attempt, attempt, with_rows
from coilbook.genetics.inference.engine import Solved
from coilbook.genetics.inference.families import Families
from coilbook.genetics.inference.laws import Laws, Watch, laws_of
from coilbook.genetics.inference.network import Network
from coilbook.genetics.inference.own_sires import Held, held_parents
from coilbook.genetics.inference.selectors import LiveFamily, Selectors, roots_of, unrecorded
from coilbook.genetics.problem import NONE, Ints, Pedigree, Problem, Rows
from coilbook.genetics.states import Bools, Floats


@dataclass(frozen=True, eq=False)
class Cut:
    """One family alone: `problem` without litters, `place` of each animal in it, of `unrecorded` sires too.

    `who` are the animals whose laws it gives, in order. `options[j]` of `numbers[j]`, a selector settled in the copies:
    (its young by place, and by candidate the place of each one's sire). `held`: parents held fast for the other
    selectors, whose young are left out.
    """

    network: Network
    family: LiveFamily
    problem: Problem
    place: dict[int, int]
    who: Ints
    held: Held
    numbers: tuple[int, ...]
    options: tuple[tuple[tuple[int, ...], tuple[tuple[int, ...], ...]], ...]

    @property
    def combinations(self) -> int:
        """How many copies there are: ways to settle selectors, times what the parents held fast can be."""
        return prod(len(sires) for _, sires in self.options) * self.held.count


@dataclass(frozen=True, eq=False)
class Forced:
    """All combinations of one family: `logs` (K,) of the chance of the evidence, `laws` (K, W, S) of `cut.who`.

    Combinations are numbered with the parents held fast running fastest, then the last selector. One that cannot be has
    -inf and zeros.
    """

    cut: Cut
    logs: Floats
    laws: Floats
    #: (K,) the copy each combination is in `problem`, -1 of those left out
    copy: Ints
    problem: Problem
    tried: Attempt | None

    def law_of(self, animal: int) -> Floats:
        """(K, S) the laws of an animal of this family."""
        states = self.laws.shape[2]
        found = np.zeros((len(self.logs), states))
        live = np.flatnonzero(np.isfinite(self.logs))
        if len(live) and self.tried is not None and self.tried.laws is not None:
            laws = self.tried.laws.reshape(-1, self.cut.problem.pedigree.size, states)
            found[live] = laws[self.copy[live], self.cut.place[animal]]
        return found

    def joints(self, one: int, others: Ints) -> Floats:
        """(K, N, S, S) joint law of `one` (axis 2) with each of `others` (axis 3), animals of this family."""
        size = self.cut.problem.pedigree.size
        states = len(self.cut.problem.states.states)
        mine, theirs = self.cut.place[one], np.array([self.cut.place[int(other)] for other in others])
        found = np.zeros((len(self.logs), len(others), states, states))
        there = np.flatnonzero(self.copy >= 0)
        if not len(there) or self.tried is None:
            return found
        assert self.tried.laws is not None
        laws = self.tried.laws.reshape(-1, size, states)[self.copy[there]]
        live = there[np.isfinite(self.logs[there])]
        rows = self.problem.evidence
        for state in np.flatnonzero((laws[:, mine] > 0).any(axis=0)).tolist():
            able = live[self.tried.laws.reshape(-1, size, states)[self.copy[live], mine, state] > 0]
            given = {}
            for copy in self.copy[able].tolist():
                sure = np.zeros(states)
                sure[state] = rows.rows[rows.of[copy * size + mine], state]
                given[copy * size + mine] = sure
            run = attempt(
                with_rows(self.problem, given), self.tried.structure, _limit(self.tried), Watch(), sampling=False
            )
            assert run.laws is not None
            after = run.laws.reshape(-1, size, states)[self.copy[able]][:, theirs]
            before = self.tried.laws.reshape(-1, size, states)[self.copy[able], mine, state]
            found[able, :, state] = before[:, None, None] * after
        return found


def _limit(tried: Attempt) -> int:
    assert tried.structure is not None
    return tried.structure.width_limit


def cut_family(answer: Solved, family: LiveFamily, selectors: Selectors) -> Cut:
    """Cut a live family out of its locus."""
    return _Cutting(answer, family, selectors).cut()


class _Cutting:
    def __init__(self, answer: Solved, family: LiveFamily, selectors: Selectors) -> None:
        structure = answer.structure
        self.ground, self.network, self.family, self.selectors = answer.ground, structure.network, family, selectors
        self.families: Families = self.network.families
        self.laws: Laws = laws_of(answer.ground, self.families, structure.laws)
        self.broods = {young: brood for brood in self.families.broods for young in brood.young}
        self.held = held_parents(answer, self.laws, family, selectors)
        own = {one.number for one in self.held.young}
        self.numbers = tuple(number for number in family.selectors if number not in own)

    def cut(self) -> Cut:
        """The family as a problem of its own."""
        families, network = self.families, self.network
        roots = np.append(roots_of(network), -2)
        mine = np.isin(roots[network.variable_of], list(self.family.roots)) & (network.variable_of >= 0)
        open_ = np.zeros(families.count, dtype=np.bool_)
        open_[families.breeders[mine]] = True
        born = np.zeros(families.count, dtype=np.bool_)
        born[families.edge_young[open_[families.edge_parent]]] = True
        born |= open_ & ~families.founder
        asked = [young for number in self.family.selectors for young in self.selectors.all[number].young]
        born[[one for one in asked if one in self.broods]] = True
        born[[one.animal for one in self.held.young]] = False
        inside = open_ | born
        inside[families.edge_parent[born[families.edge_young]]] = True
        animals = np.flatnonzero(inside)
        place = np.full(families.count + 1, NONE, dtype=np.int64)
        place[animals] = np.arange(len(animals))
        sire = np.where(born[animals], place[self._sires(born)[animals]], NONE)
        dam = np.where(born[animals], place[families.dam[animals]], NONE)
        options, more_founders = self._options(place, len(animals))
        more = np.full(len(more_founders), NONE, dtype=np.int64)
        pedigree = Pedigree(np.concatenate([sire, more]), np.concatenate([dam, more]))
        problem = Problem(self.ground.states, pedigree, *self._rows(animals, open_, born, more_founders))
        settled = families.breeder_at[animals] >= 0
        settled[settled] = network.variable_of[families.breeder_at[animals[settled]]] < 0
        who = animals[(open_ | born)[animals] & ~settled & (animals < families.recorded)]
        places = dict(zip(animals.tolist(), range(len(animals))))
        for number, (_, sires) in zip(self.numbers, options, strict=True):
            candidates = self.selectors.all[number].sires
            if NONE in candidates:
                places[unrecorded(number)] = sires[candidates.index(NONE)][0]
        return Cut(network, self.family, problem, places, who, self.held, self.numbers, options)

    def _sires(self, born: Bools) -> Ints:
        """(count,) the sires; of a litter whose candidates are all alike here, any of them that is recorded."""
        sires = self.families.sire.copy()
        live = {young for number in self.family.selectors for young in self.selectors.all[number].young}
        for young, brood in self.broods.items():
            if born[young] and young not in live:
                sires[young] = next(sire for sire in brood.sires if sire != NONE)
        return sires

    def _options(
        self, place: Ints, size: int
    ) -> tuple[tuple[tuple[tuple[int, ...], tuple[tuple[int, ...], ...]], ...], list[int]]:
        """By selector its young and, by candidate, the place of each one's sire; rows of founders to be thought up."""
        options = []
        founders: list[int] = []
        for number in self.numbers:
            young = [one for one in self.selectors.all[number].young if one in self.broods]
            brood = self.broods[young[0]]
            candidates: list[tuple[int, ...]] = []
            for sire in brood.sires:
                if sire != NONE:
                    candidates.append((int(place[sire]),) * len(young))
                    continue
                # an egg of its own sire: a founder for this egg alone
                candidates.append(tuple(size + len(founders) + at for at in range(len(young))))
                founders += [int(self.laws.founder_rows + self.laws.absent_of[brood.first])] * len(young)
            options.append((tuple(int(place[one]) for one in young), tuple(candidates)))
        return tuple(options), founders

    def _rows(self, animals: Ints, open_: Bools, born: Bools, founders: list[int]) -> tuple[Rows, Rows, Rows]:
        """Evidence, founders' laws and laws of parents not recorded; what is settled enters as seen."""
        families, laws, network = self.families, self.laws, self.network
        one_of = np.eye(laws.young.shape[0])
        flat, at = laws.classes - 1, families.breeder_at[animals]
        variable = np.where(at >= 0, network.variable_of[at], 0)
        state = network.masks.only[network.slots.sets[np.where(at >= 0, at, 0)]]
        seen = np.where(variable >= 0, laws.evidence_of[animals], laws.classes + state)
        seen = np.where(open_[animals] | born[animals], seen, flat)
        prior = np.where(open_[animals], laws.prior_of[animals], len(laws.prior) + state)
        absent = np.where(animals < families.recorded, animals, 0)
        absent_of = self.ground.absent.of[absent]
        more = len(founders)
        return (
            Rows(np.concatenate([laws.evidence, one_of]), np.append(seen, np.full(more, flat))),
            Rows(np.concatenate([laws.prior, one_of]), np.append(prior, np.array(founders, dtype=np.int64))),
            Rows(self.ground.absent.rows, np.append(absent_of, np.zeros(more, dtype=np.int64))),
        )


def force(cut: Cut, width_limit: int, watch: Watch, before: Forced | None = None) -> Forced | None:
    """Run all combinations of a family; None where a copy is too tangled to be counted.

    `before`: combinations of the same family when something else was seen.
    """
    combinations = list(product(*(range(len(sires)) for _, sires in cut.options), *cut.held.states))
    size, states = cut.problem.pedigree.size, len(cut.problem.states.states)
    if size == 0:
        # all that hangs on the sires is young weighed one by one
        nobody = np.zeros((len(combinations), 0, states))
        return Forced(cut, np.zeros(len(combinations)), nobody, np.full(1, -1), cut.problem, None)
    if before is not None and before.tried is not None and alike(before.cut, cut) and _rules_out_as_much(before, cut):
        problem = _again(before, cut, combinations)
        tried = attempt(problem, before.tried.structure, width_limit, watch, sampling=False)
        if tried.laws is not None:
            return _read(cut, before.copy, problem, tried, combinations)
    left = np.arange(len(combinations))
    while len(left):
        problem = _copies(cut, [combinations[number] for number in left.tolist()])
        tried = attempt(problem, None, width_limit, watch, sampling=False)
        if tried.laws is not None:
            copy = np.full(len(combinations), -1, dtype=np.int64)
            copy[left] = np.arange(len(left))
            return _read(cut, copy, problem, tried, combinations)
        wrong = {animal // size for animal in tried.spot}
        left = np.delete(left, sorted(wrong))
    nothing = np.full(len(combinations), -1, dtype=np.int64)
    laws = np.zeros((len(combinations), len(cut.who), states))
    return Forced(cut, np.full(len(combinations), -np.inf), laws, nothing, cut.problem, None)


def _read(cut: Cut, copy: Ints, problem: Problem, tried: Attempt, combinations: list[tuple[int, ...]]) -> Forced | None:
    assert tried.laws is not None
    size = cut.problem.pedigree.size
    if np.isnan(tried.laws).any():
        return None
    laws = tried.laws.reshape(-1, size, tried.laws.shape[1])
    logs = log_chances(tried).reshape(-1, size).sum(axis=1)
    there = np.flatnonzero(copy >= 0)
    found = np.full(len(copy), -np.inf)
    found[there] = logs[copy[there]] + _held_logs(cut, combinations)[there]
    of_who = np.zeros((len(copy), len(cut.who), laws.shape[2]))
    live = np.flatnonzero(np.isfinite(found))
    places = np.array([cut.place[int(one)] for one in cut.who], dtype=np.int64)
    of_who[live] = laws[copy[live][:, None], places]
    return Forced(cut, found, of_who, copy, problem, tried)


def _held_logs(cut: Cut, combinations: list[tuple[int, ...]]) -> Floats:
    """(K,) what was seen of the parents held fast, as logarithms: a run scales the one state that is left to 1."""
    rows, found = cut.problem.evidence, np.zeros(len(combinations))
    for at, animal in enumerate(cut.held.animals):
        seen = rows.rows[rows.of[cut.place[animal]]]
        found += np.log(seen[[one[len(cut.options) + at] for one in combinations]])
    return found


def _copies(cut: Cut, combinations: list[tuple[int, ...]]) -> Problem:
    """The family once for each combination, its sires settled."""
    problem, times = cut.problem, len(combinations)
    size = problem.pedigree.size
    sire, dam = (np.tile(parents, (times, 1)) for parents in (problem.pedigree.sire, problem.pedigree.dam))
    picks = np.array(combinations, dtype=np.int64).reshape(times, -1)
    for at, (young, sires) in enumerate(cut.options):
        sire[:, list(young)] = np.array(sires)[picks[:, at]]
    shift = np.arange(times, dtype=np.int64)[:, None] * size
    sire, dam = (np.where(parents == NONE, NONE, parents + shift).reshape(-1) for parents in (sire, dam))
    priors = (Rows(rows.rows, np.tile(rows.of, times)) for rows in (problem.founder, problem.absent))
    return Problem(problem.states, Pedigree(sire, dam), _seen(cut, combinations), *priors)


def _seen(cut: Cut, combinations: list[tuple[int, ...]]) -> Rows:
    """What is seen in every copy; a parent held fast has only the states of its own evidence it is held in."""
    rows, states = cut.problem.evidence, len(cut.problem.states.states)
    of = np.tile(rows.of, (len(combinations), 1))
    more: list[Floats] = []
    for at, animal in enumerate(cut.held.animals):
        place = cut.place[animal]
        of[:, place] = (
            len(rows.rows) + len(more) * states + np.array([one[len(cut.options) + at] for one in combinations])
        )
        more.append(np.eye(states) * rows.rows[rows.of[place]])
    return Rows(np.concatenate([rows.rows, *more]), of.reshape(-1))


def alike(old: Cut, new: Cut) -> bool:
    """Whether copies of one are copies of the other but for what is seen: the same animals, parents and priors."""
    own = [[one.animal for one in cut.held.young] for cut in (old, new)]
    if old.place != new.place or own[0] != own[1]:
        return False
    if old.options != new.options or old.held.animals != new.held.animals or old.held.states != new.held.states:
        return False
    one, two = old.problem, new.problem
    return (
        np.array_equal(one.pedigree.sire, two.pedigree.sire)
        and np.array_equal(one.pedigree.dam, two.pedigree.dam)
        and one.states is two.states
        and np.array_equal(one.founder.rows[one.founder.of], two.founder.rows[two.founder.of])
        and np.array_equal(one.absent.rows[one.absent.of], two.absent.rows[two.absent.of])
    )


def _rules_out_as_much(before: Forced, cut: Cut) -> bool:
    """Whether combinations that were left out as impossible still are: no genotype is possible that was not."""
    if (before.copy >= 0).all():
        return True
    old, new = before.cut.problem.evidence, cut.problem.evidence
    return not ((new.rows[new.of] > 0) & ~(old.rows[old.of] > 0)).any()


def same(old: Cut, new: Cut) -> bool:
    """Whether nothing of a family has changed."""
    young = zip(old.held.young, new.held.young)
    before, now = (cut.problem.evidence.rows[cut.problem.evidence.of] for cut in (old, new))
    return (
        alike(old, new)
        and np.array_equal(before, now)
        and all(np.array_equal(one.chances, two.chances) and np.array_equal(one.laws, two.laws) for one, two in young)
    )


def _again(before: Forced, cut: Cut, combinations: list[tuple[int, ...]]) -> Problem:
    """The copies of an earlier run with what is seen now."""
    old = before.problem
    there = [combinations[number] for number in np.flatnonzero(before.copy >= 0).tolist()]
    return Problem(old.states, old.pedigree, _seen(cut, there), old.founder, old.absent)


def log_chances(tried: Attempt) -> Floats:
    """(n,) logarithms that sum, over the animals of a family, to the chance of all that was seen of it.

    What the network leaves out, because it is settled, is counted here too. Of a pedigree without litters.
    """
    structure, numbers = tried.structure, tried.numbers
    assert structure is not None and numbers is not None and tried.given is not None
    network = structure.network
    families, masks = network.families, network.masks
    laws, pairs = tried.given
    found = np.zeros(families.count)
    for layout in network.layouts:
        roots = np.unique(layout.root[layout.members])
        found[network.animals[roots]] += numbers.family[roots]
    settled = families.breeders[network.variable_of < 0]
    only = masks.only[network.slots.sets[families.breeder_at[settled]]]
    alone = np.flatnonzero(families.founder & (families.breeder_at < 0))
    with np.errstate(divide="ignore"):
        found[settled] += np.log(
            laws.evidence[laws.evidence_of[settled], only] * laws.prior[laws.prior_of[settled], only]
        )
        found[alone] += np.log((laws.evidence[laws.evidence_of[alone]] * laws.prior[laws.prior_of[alone]]).sum(axis=1))
        bred, state = settled[families.mating_of[settled] >= 0], only[families.mating_of[settled] >= 0]
        kinds = network.kin_of[families.mating_of[bred]]
        leaves, rows = pairs.leaves, pairs.row[pairs.of]
        kinds_of_leaves = network.kin_of[pairs.mating[pairs.of]]
        for number, kin in enumerate(network.kin):
            if kin.law.shape[:2] == (1, 1):
                mine, mine_too = kinds == number, kinds_of_leaves == number
                found[bred[mine]] += np.log(kin.law[0, 0, state[mine]])
                found[leaves[mine_too]] += np.log(laws.evidence[rows[mine_too]] @ kin.law[0, 0])
    return found[: families.recorded]
