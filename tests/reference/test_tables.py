"""Marginals of random factors over a tree of tables, small and large, against a plain sum over all combinations.

Large tables hold plain chances or, where these could underflow, logarithms: both ways are held to the same sums.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random

import numpy as np
import pytest

from coilbook.genetics.inference import clique_passes, layout, order
from coilbook.genetics.inference.builder import Builder
from coilbook.genetics.inference.layout import FactorGroup, Factors, Layout
from coilbook.genetics.inference.order import Graph, eliminate, neighbours
from coilbook.genetics.inference.tree import run, run_again, run_kept
from coilbook.genetics.states import Floats

TIMES = 120


@pytest.fixture(params=[4, 12, 10**6])
def large(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """Beyond how many entries a table counts as large."""
    monkeypatch.setattr(layout, "LARGE", request.param)
    yield request.param


def _network(chance: Random, spread: float) -> tuple[list[int], tuple[FactorGroup, ...], Floats]:
    """Up to nine variables of two or three states under random factors, some entries of them impossible."""
    sizes = [chance.choice((2, 2, 3)) for _ in range(chance.randint(2, 9))]
    builder = Builder(sizes)
    for one in range(len(sizes)):
        builder.add(np.array([[one]]), (sizes[one],))
    for _ in range(chance.randint(1, 12)):
        scope = chance.sample(range(len(sizes)), min(len(sizes), chance.randint(2, 3)))
        builder.add(np.array([scope]), tuple(sizes[one] for one in scope), read=chance.random() < 0.7)
    draw = np.random.default_rng(chance.randint(0, 10**9))
    logs = -spread * draw.random(builder.entries)
    logs[draw.random(builder.entries) < 0.08] = -np.inf
    return sizes, tuple(builder.groups), logs


def _summed(sizes: list[int], groups: tuple[FactorGroup, ...], logs: Floats) -> tuple[list[Floats], float]:
    """(marginal of each factor, log of the sum over all combinations)."""
    total = np.zeros(sizes)
    tables = []
    for group in groups:
        scope = group.scope[0].tolist()
        table = logs[group.offset : group.offset + group.entries].reshape(group.shape)
        order = sorted(range(len(scope)), key=scope.__getitem__)
        shape = [size if one in scope else 1 for one, size in enumerate(sizes)]
        total = total + table.transpose(order).reshape(shape)
        tables.append(scope)
    top = float(total.max())
    if top == -np.inf:
        return [np.zeros(group.shape) for group in groups], -np.inf
    chances = np.exp(total - top)
    whole = float(chances.sum())
    found = []
    for scope in tables:
        away = tuple(one for one in range(len(sizes)) if one not in scope)
        left = chances.sum(axis=away) / whole
        found.append(left.transpose(np.argsort(np.argsort(scope))))
    return found, top + float(np.log(whole))


@pytest.mark.parametrize("spread", [3.0, 2000.0])
def test_marginals_and_the_chance_of_the_evidence(large: int, spread: float, monkeypatch: pytest.MonkeyPatch) -> None:
    taken = {"_sum_out": 0, "_sum_out_logs": 0}
    for name in taken:
        _count(monkeypatch, name, taken)
    impossible = 0
    for seed in range(TIMES):
        chance = Random(f"{spread} {seed}")
        sizes, groups, logs = _network(chance, spread)
        scopes = [group.scope[0].tolist() for group in groups if group.scope.shape[1] > 1]
        elimination = eliminate(sizes, scopes, 10**6)
        laid = Layout(np.array(sizes), elimination, Factors(groups), len(logs))
        marginals, family = run(laid, logs)
        expected, whole = _summed(sizes, groups, logs)
        # families apart are multiplied: each has its own chance
        roots = {int(laid.root[one]): float(family[one]) for one in range(len(sizes))}
        assert sum(roots.values()) == pytest.approx(whole, abs=1e-8)
        if whole == -np.inf:
            impossible += 1
            continue
        for group, table in zip(groups, expected, strict=True):
            if group.read:
                mine = marginals[group.offset : group.offset + group.entries].reshape(group.shape)
                assert np.abs(mine - table).max() < 1e-9
    assert impossible < TIMES / 2
    assert (taken["_sum_out"] > 0) == (large < 100)
    assert (taken["_sum_out_logs"] > 20) == (large < 100 and spread > 1000)


@pytest.mark.parametrize("spread", [3.0, 2000.0])
def test_a_run_that_begins_with_an_earlier_one_gives_what_a_run_anew_does(large: int, spread: float) -> None:
    """Factors get likelier, less likely, impossible and possible, one after the other and several at once."""
    swept = refused = 0
    for seed in range(TIMES):
        chance = Random(f"again {spread} {seed}")
        sizes, groups, logs = _network(chance, spread)
        scopes = [group.scope[0].tolist() for group in groups if group.scope.shape[1] > 1]
        laid = Layout(np.array(sizes), eliminate(sizes, scopes, 10**6), Factors(groups), len(logs))
        _, _, kept = run_kept(laid, logs)
        if kept is None:
            continue
        for _ in range(5):
            now = logs.copy()
            for group in chance.sample(groups, chance.choice((1, 1, 1, 2))):
                for entry in range(group.offset, group.offset + group.entries):
                    now[entry] = chance.choice(
                        (now[entry], now[entry] + spread * (chance.random() - 0.7), -spread, -np.inf)
                    )
            again = run_again(laid, now, now != logs, kept)
            expected, whole = _summed(sizes, groups, now)
            if again is None:
                refused += 1
                continue
            marginals, family, left = again
            roots = {int(laid.root[one]): float(family[one]) for one in range(len(sizes))}
            assert sum(roots.values()) == pytest.approx(whole, abs=1e-8)
            if whole == -np.inf:
                continue
            swept += 1
            logs, kept = now, left
            for group, table in zip(groups, expected, strict=True):
                if group.read:
                    mine = marginals[group.offset : group.offset + group.entries].reshape(group.shape)
                    assert np.abs(mine - table).max() < 1e-9
    assert (swept > 60) == (large < 100) and (refused > 20) == (large < 100)


def _count(monkeypatch: pytest.MonkeyPatch, name: str, taken: dict[str, int]) -> None:
    """Count how often one of the two ways to sum a clique out is gone."""
    true: Callable[..., None] = getattr(clique_passes, name)

    def counted(*arguments: object) -> None:
        taken[name] += 1
        true(*arguments)

    monkeypatch.setattr(clique_passes, name, counted)


def test_scores_carried_along_are_those_counted_afresh() -> None:
    for seed in range(200):
        chance = Random(seed)
        count = chance.randint(2, 12)
        sizes = [chance.randint(2, 4) for _ in range(count)]
        scopes = [chance.sample(range(count), min(count, chance.randint(2, 3))) for _ in range(chance.randint(1, 14))]
        graph = Graph(range(count), neighbours(count, scopes), sizes)
        while graph.left:
            for one in graph.left:
                around = graph.near[one]
                pairs = [(a, b) for a in around for b in around if a < b and b not in graph.near[a]]
                assert around <= graph.left
                assert graph.fill[one] == len(pairs)
                assert graph.weight(one) == sizes[one] * np.prod([sizes[other] for other in around], dtype=np.int64)
            gone = chance.choice(sorted(graph.left))
            (graph.sum_out if chance.random() < 0.6 else graph.hold)(gone)


@pytest.mark.parametrize("apart", [4, 4096])
def test_an_order_names_with_each_variable_what_shares_its_table(apart: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(order, "_APART", apart)
    wide = 0
    for seed in range(100):
        chance = Random(seed)
        count = chance.randint(2, 24)
        sizes = [chance.choice((2, 2, 3)) for _ in range(count)]
        scopes = [chance.sample(range(count), min(count, chance.randint(2, 3))) for _ in range(2 * count)]
        found = eliminate(sizes, scopes, 10**9)
        wide += len(found.apart)
        together = eliminate(sizes, scopes, 10**9, again=False)
        assert not together.apart
        for parts in ([found, *found.apart], [together]):
            near = neighbours(count, scopes)
            gone: list[int] = []
            for one, later in ((one, later) for part in parts for one, later in zip(part.order, part.later)):
                assert set(later) == near[one]
                gone.append(one)
                for other in later:
                    near[other] = (near[other] | near[one]) - {one, other}
            assert sorted(gone) == list(range(count))
            place = {one: at for at, one in enumerate(gone)}
            for part in parts:
                assert all(later == sorted(later, key=place.__getitem__) for later in part.later)
    assert (wide > 50) == (apart == 4)
