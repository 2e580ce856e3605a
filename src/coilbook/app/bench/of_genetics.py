"""Figures of the genetics engine on simulated collections, beside a general library (pyAgrum) on the same networks."""

from __future__ import annotations

import tracemalloc
import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from coilbook.app.bench.figures import Line, each_ms, median, milliseconds
from coilbook.app.bench.herds import Herd
from coilbook.genetics.inference import Solved, solve, solve_all
from coilbook.genetics.inference.attempt import families_kept
from coilbook.genetics.inference.laws import laws_of
from coilbook.genetics.inference.network import pairs_of
from coilbook.genetics.inference.numbers import factors, sort_pairs
from coilbook.genetics.problem import NONE, Pedigree, Problem

LOCI = 12
#: animals, share of founders that carry, goal in ms, runs
_COLD = (
    (200, 0.05, 5, 15),
    (2_000, 0.05, 25, 15),
    (2_000, 0.20, 25, 7),
    (20_000, 0.05, 250, 3),
    (100_000, 0.02, 1500, 2),
)
_MEMORY = 500
#: the whole network of a library grows past a machine's memory soon after this
_RAW = 200
#: animals up to which the widths of the loci are told
_WIDTHS = 2_000


def genetics_lines(told: Callable[[str], None]) -> list[Line]:
    """Every line of the genetics engine. No collection is needed."""
    lines: list[Line] = []
    herds = {size: Herd(size, 1) for size, *_ in _COLD}
    for size, carrying, goal, runs in _COLD:
        told(f"  genetics of {size:,} animals")
        loci = [herds[size].problem(carrying, seed) for seed in range(LOCI)]
        lines.append(_cold(herds[size], loci, f"{size:,} animals, {carrying:.0%} carry", goal, runs))
    lines.append(_memory(loci))
    told("  one new observation, one new clutch")
    middle = [herds[2_000].problem(0.20, seed) for seed in range(LOCI)]
    lines += _observed(middle) + _new_clutch(herds[2_000], [herds[2_000].problem(0.05, seed) for seed in range(LOCI)])
    told("  the same networks in a general library")
    return lines + _library(herds[_RAW].problem(0.5, 0), middle)


def _fresh(herd: Herd, loci: list[Problem]) -> list[Problem]:
    """The same loci on a pedigree of which nothing is kept."""
    pedigree = Pedigree(herd.pedigree.sire, herd.pedigree.dam)
    return [replace(locus, pedigree=pedigree) for locus in loci]


def _cold(herd: Herd, loci: list[Problem], what: str, goal: float, runs: int) -> Line:
    times = [milliseconds(partial(solve_all, _fresh(herd, loci))) for _ in range(runs)]
    answers = solve_all(loci)
    sampled = sum(not answer.exact for answer in answers)
    note = f"fastest of {runs}, median {median(times):,.1f}; {int(herd.depth.max())} generations"
    note += f"; {sampled} loci by the bounded method" if sampled else "; all exact"
    if herd.size <= _WIDTHS:
        note += f"; {_widths(loci)}"
    return Line(f"all odds of {LOCI} loci, cold: {what}", goal, min(times), note=note)


def _widths(loci: list[Problem]) -> str:
    """How tangled the loci are: what any exact method must pay for."""
    widest = sorted((solve(locus).structure.network.widest for locus in loci), reverse=True)
    return "largest tables " + ", ".join(f"{entries:,}" for entries in widest[:3]) + f", median {median(widest):,.0f}"


def _memory(loci: list[Problem]) -> Line:
    tracemalloc.start()
    kept = solve_all(loci)
    peak = tracemalloc.get_traced_memory()[1] / 2**20
    tracemalloc.stop()
    return Line(f"memory of the last, peak of {len(kept)} loci", _MEMORY, peak, "MB")


def _observed(loci: list[Problem]) -> list[Line]:
    """A further, unsure observation of an animal whose odds are open, again and again at each locus."""
    answers = [solve(locus) for locus in loci]
    middles: list[float] = []
    widest: list[int] = []
    count = 0
    row = np.array([0.02, 0.98, 0.0])
    for answer in answers:
        laws = answer.all_posteriors()
        unsure = np.flatnonzero((laws[:, 1] > 0.05) & (laws[:, 1] < 0.95))[::10]
        if len(unsure):
            middles.append(median(each_ms(partial(_seen, answer, one, row) for one in unsure.tolist())))
            widest.append(answer.structure.network.widest)
            count += len(unsure)
    tangled = int(np.argmax(widest))
    kept = min(each_ms([lambda: [_seen(answer, 5, row) for answer in answers]] * 5))
    return [
        Line("one observation, one locus, 2,000 animals, median of loci", 1, median(middles),
             note=f"{count} observations"),
        Line("one observation, the most tangled locus", 1, middles[tangled],
             note=f"all odds again over a table of {widest[tangled]:,} entries"),
        Line(f"one animal at {LOCI} loci, structures kept", 5, kept, note="20% of founders carry"),
    ]  # fmt: skip


def _seen(answer: Solved, animal: int, row: np.ndarray) -> object:
    old = answer.problem.evidence.rows[answer.problem.evidence.of[animal]]
    return answer.with_evidence({animal: row * old if (row * old).any() else old}).all_posteriors()


def _new_clutch(herd: Herd, loci: list[Problem]) -> list[Line]:
    """Six animals of the last year get other parents: everything is worked out again."""
    sire, dam = herd.pedigree.sire.copy(), herd.pedigree.dam.copy()
    sire[-6:], dam[-6:] = sire[-20], dam[-20]

    def changed() -> object:
        pedigree = Pedigree(sire, dam)
        return solve_all([replace(locus, pedigree=pedigree) for locus in loci])

    return [Line(f"a clutch of six with new parents, {LOCI} loci, 2,000 animals", 30, min(each_ms([changed] * 9)))]


def _library(small: Problem, loci: list[Problem]) -> list[Line]:
    """pyAgrum on the raw network of a small collection and on our reduced ones of a larger; ours beside each."""
    with warnings.catch_warnings():
        # its bindings warn about their own types as they load, and crash where a warning is an error
        warnings.simplefilter("ignore")
        try:
            import pyagrum as gum
        except ImportError:
            return [Line("pyAgrum on the same networks", None, None, note="not installed (test extra)")]
        ours = min(each_ms([lambda: solve(replace(small, pedigree=replace(small.pedigree)))] * 5))
        found: list[Any] = []
        raw = milliseconds(lambda: found.append(_raw(gum, small)))
        off = float(np.abs(found[0] - solve(small).all_posteriors()).max())
        lines = [
            Line(f"one locus, {_RAW} animals: ours, cold", None, ours),
            Line(f"one locus, {_RAW} animals: pyAgrum, raw network", None, raw, note=f"agrees to {off:.0e}"),
        ]
        for locus in loci[:2]:
            lines += _reduced_lines(gum, locus)
        return lines


def _reduced_lines(gum: Any, locus: Problem) -> list[Line]:
    answer = solve(locus)
    network = answer.structure.network
    found: list[Any] = []
    cold = min(each_ms([lambda: solve(replace(locus, pedigree=replace(locus.pedigree)))] * 5))
    # an animal of the widest family, so that its tables are run
    widest = max(network.layouts, key=lambda layout: layout.size)
    animal = int(network.animals[next(one for one in widest.members.tolist() if one < len(network.animals))])
    passes = min(each_ms([partial(_seen, answer, animal, np.array([0.9, 1.0, 0.8]))] * 5))
    built: list[Any] = []
    build = milliseconds(lambda: built.append(_reduced(gum, answer)))
    infer = milliseconds(lambda: found.append(_marginals(gum, built[0], len(network.animals))))
    off = _apart(answer, found[-1])
    what = f"one locus, 2,000 animals, {len(network.animals)} open, widest table {network.widest:,}"
    return [
        Line(f"{what}: ours, cold", None, cold),
        Line(f"{what}: ours, one observation", None, passes),
        Line(f"{what}: pyAgrum, reduced network", None, infer, note=f"{build:,.1f} ms to build; agrees to {off:.0e}"),
    ]  # fmt: skip


def _raw(gum: Any, problem: Problem) -> np.ndarray:
    """(n, S) laws by LazyPropagation on one node an animal."""
    net = gum.BayesNet()
    size, law = problem.pedigree.size, problem.states.transmission
    for animal in range(size):
        net.add(gum.RangeVariable(f"a{animal}", "", 0, 2))
    for animal in range(size):
        sire, dam = int(problem.pedigree.sire[animal]), int(problem.pedigree.dam[animal])
        if sire == NONE:
            net.cpt(animal)[:] = problem.founder.rows[problem.founder.of[animal]]
            continue
        net.addArc(sire, animal)
        net.addArc(dam, animal)
        # both parents alike: the order of the two axes does not matter
        net.cpt(animal)[:] = np.ascontiguousarray(law)
    engine = gum.LazyPropagation(net)
    evidence = problem.evidence
    engine.setEvidence({animal: evidence.rows[evidence.of[animal]].tolist() for animal in range(size)})
    engine.makeInference()
    return np.array([engine.posterior(animal).toarray() for animal in range(size)])


def _reduced(gum: Any, answer: Solved) -> Any:
    """Our network as a Markov random field: the same variables and the same tables."""
    network, problem = answer.structure.network, answer.problem
    families = families_kept(problem.pedigree)
    laws = laws_of(problem, families)
    pairs = pairs_of(families, laws)
    logs = factors(network, laws, pairs, sort_pairs(network, pairs))
    tables: dict[tuple[int, ...], np.ndarray] = {}
    for group in network.groups:
        for scope, base in zip(group.scope.tolist(), group.bases().tolist(), strict=True):
            order = sorted(range(len(scope)), key=scope.__getitem__)
            table = logs[base : base + group.entries].reshape(group.shape).transpose(order)
            key = tuple(scope[axis] for axis in order)
            tables[key] = tables.get(key, np.zeros(table.shape)) + table
    field = gum.MarkovRandomField()
    for variable, states in enumerate(network.sizes.tolist()):
        field.add(gum.RangeVariable(f"v{variable}", "", 0, states - 1))
    for key, table in tables.items():
        names = [f"v{variable}" for variable in key]
        factor = field.addFactor(names)
        axes = [names.index(name) for name in reversed(factor.names)]
        factor[:] = np.ascontiguousarray(np.exp(table - table.max()).transpose(axes))
    return field


def _marginals(gum: Any, field: Any, count: int) -> list[np.ndarray]:
    engine = gum.ShaferShenoyMRFInference(field)
    engine.makeInference()
    return [engine.posterior(f"v{variable}").toarray() for variable in range(count)]


def _apart(answer: Solved, found: list[np.ndarray]) -> float:
    """The largest difference over all open animals."""
    network, laws = answer.structure.network, answer.all_posteriors()
    worst = 0.0
    for number, variables, _ in network.own:
        for variable in variables.tolist():
            if variable < len(network.animals):
                mine = laws[network.animals[variable], network.masks.members(number)]
                worst = max(worst, float(np.abs(mine - found[variable]).max()))
    return worst
