"""A problem as the Bayesian network of a general library (pyAgrum): every animal, fresh parent and choice a node."""

from __future__ import annotations

import warnings
from fractions import Fraction
from functools import lru_cache

import numpy as np
from tests.reference.pedigrees import scaled, young_of

from coilbook.genetics.problem import NONE, Problem
from coilbook.genetics.states import LocusStates
from coilbook.records.vocabulary import Sex

with warnings.catch_warnings():
    # its bindings warn about their own types as they load, and crash where a warning is an error
    warnings.simplefilter("ignore")
    import pyagrum as gum


@lru_cache(maxsize=64)
def law_table(states: LocusStates) -> np.ndarray:
    """(S+1, S+1, S+1) law by [sire, dam, young]; the last state says that there can be no such young."""
    size = len(states.states)
    law = np.zeros((size + 1, size + 1, size + 1))
    for sire in range(size):
        for dam in range(size):
            for state, chance in young_of(states, sire, dam).items():
                law[sire, dam, state] = float(chance)
    law[..., size] = 1 - law.sum(axis=2).clip(0, 1)
    law[law < 1e-15] = 0
    return law


class Network:
    """The network of a problem, with its evidence.

    A node has the states that its animal's own findings allow, and one more for young that cannot be.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.size = len(problem.states.states)
        self.net = gum.BayesNet()
        self.law = law_table(problem.states)
        self.kept: dict[str, list[int]] = {}
        self._nodes()

    def _node(self, name: str, kept: list[int]) -> str:
        self.kept[name] = kept
        self.net.add(gum.RangeVariable(name, name, 0, max(1, len(kept) - 1)))
        return name

    def _nodes(self) -> None:
        pedigree, n = self.problem.pedigree, self.problem.pedigree.size
        evidence = self.problem.evidence
        for animal in range(n):
            self._node(f"a{animal}", [*np.flatnonzero(evidence.rows[evidence.of[animal]]), self.size])
        in_litter = set()
        for at, litter in enumerate(pedigree.litters):
            choice, fresh = "", ""
            for number, animal in enumerate(litter.young):
                in_litter.add(animal)
                if number == 0 or not litter.shared:
                    choice = self._node(f"c{at}_{number}", list(range(len(litter.weights))))
                    self._fill(choice, [], np.array(litter.weights))
                    fresh = self._absent(litter.young[0], Sex.MALE, f"s{at}_{number}") if NONE in litter.sires else ""
                sires = [fresh if sire == NONE else f"a{sire}" for sire in litter.sires]
                self._chosen(animal, choice, sires, self._dam(animal))
        for animal in range(n):
            sire, dam = int(pedigree.sire[animal]), int(pedigree.dam[animal])
            if animal in in_litter:
                continue
            if sire == NONE and dam == NONE:
                rows = self.problem.founder
                self._prior(f"a{animal}", scaled(self.problem.states, rows.rows[rows.of[animal]]))
                continue
            father = f"a{sire}" if sire != NONE else self._absent(animal, Sex.MALE, f"s_{animal}")
            self._fill(f"a{animal}", [father, self._dam(animal)], self.law)

    def _dam(self, animal: int) -> str:
        dam = int(self.problem.pedigree.dam[animal])
        return f"a{dam}" if dam != NONE else self._absent(animal, Sex.FEMALE, f"d_{animal}")

    def _absent(self, animal: int, sex: Sex, name: str) -> str:
        rows = self.problem.absent
        law = scaled(self.problem.states, rows.rows[rows.of[animal]], sex)
        self._node(name, sorted(law))
        self._prior(name, law)
        return name

    def _prior(self, name: str, law: dict[int, Fraction]) -> None:
        row = np.zeros(self.size + 1)
        for state, chance in law.items():
            row[state] = float(chance)
        self._fill(name, [], row)

    def _chosen(self, animal: int, choice: str, sires: list[str], dam: str) -> None:
        """The young's law by [choice, sires..., dam, young]: that of the sire chosen."""
        width = len(sires)
        own = self.kept[f"a{animal}"]
        kept = [self.kept[one] for one in (*sires, dam)]
        table = np.zeros((width, *map(len, kept), len(own)))
        for number in range(width):
            law = self.law[np.ix_(kept[number], kept[-1], own)]
            law[..., -1] = 1 - law[..., :-1].sum(axis=2)
            shape = [len(kept[number]) if axis == number else 1 for axis in range(width)]
            table[number] = law.reshape(*shape, *law.shape[1:])
        self._write(f"a{animal}", [choice, *sires, dam], table)

    def _fill(self, name: str, parents: list[str], law: np.ndarray) -> None:
        """A table over all states, cut to those kept; what is cut off from an animal falls to its last state."""
        table = law[np.ix_(*(self.kept[one] for one in (*parents, name)))]
        if name.startswith("a"):
            table[..., -1] = 1 - table[..., :-1].sum(axis=-1)
        self._write(name, parents, table)

    def _write(self, name: str, parents: list[str], table: np.ndarray) -> None:
        """`table` by [parents..., node]; the library's own order of axes is asked for, not assumed."""
        given = [*parents, name]
        for axis in range(len(given)):
            if table.shape[axis] == 1:
                # a variable of the library has two states at least
                table = np.concatenate([table, np.zeros_like(table)], axis=axis)
                if axis < len(parents):
                    np.moveaxis(table, axis, 0)[1] = np.moveaxis(table, axis, 0)[0]
        for parent in parents:
            self.net.addArc(parent, name)
        axes = list(reversed(self.net.cpt(name).names))
        self.net.cpt(name)[:] = np.ascontiguousarray(table.transpose([given.index(axis) for axis in axes]))

    def laws(self) -> np.ndarray:
        """(n, S) posteriors of all animals."""
        engine = gum.LazyPropagation(self.net)
        evidence = self.problem.evidence
        # a row with one tiny entry would come out as all zeros: the library wants evidence scaled
        rows = evidence.rows / evidence.rows.max(axis=1, keepdims=True)
        engine.setEvidence(
            {
                f"a{animal}": [*(float(rows[of][state]) for state in self.kept[f"a{animal}"][:-1]), 0.0]
                for animal, of in enumerate(evidence.of.tolist())
            }
        )
        engine.makeInference()
        found = np.zeros((self.problem.pedigree.size, self.size))
        for animal in range(len(found)):
            name = f"a{animal}"
            found[animal, self.kept[name][:-1]] = engine.posterior(name).toarray()[:-1]
        return found
