"""The two passes over large tables. They hold plain chances, not logarithms, wherever these cannot underflow.

Whether they can is known beforehand: no product of arrays lies further from its largest entry than their ranges
together say. A clique for which that is too far is worked out in logarithms.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import log, prod

import numpy as np

from coilbook.genetics.inference.cliques import Clique, Cliques, Step
from coilbook.genetics.inference.scratch import Scratch, scratch
from coilbook.genetics.states import Floats

#: a product may be smaller than its largest entry by exp of this; float64 has room for 708
_SAFE = 600.0
#: a run of at most so many entries is a short one; as many arrays are many, as many entries a wide matrix
_SHORT, _MANY, _WIDE = 8, 64, 512
_USED = np.zeros(0)


@dataclass
class Message:
    """What a clique says of its upper variables, the largest entry 1 (as logarithms: 0); `scale` was taken out.

    `spread`: by how much, in logarithms, the smallest entry that is not 0 lies below the largest. `whole`: none is 0.
    """

    values: Floats
    logs: bool
    scale: float
    spread: float
    whole: bool = False


@dataclass
class Upward:
    """What the pass upwards leaves: each clique's table, what it sums to over the upper variables, and its message."""

    tables: list[Floats]
    totals: list[Floats]
    messages: list[Message]
    #: the joint law of each clique's upper variables, once the pass downwards is done
    shares: list[Floats | float]
    #: (entries of all cells,) the logarithms that went in
    entries: Floats


def cell_entries(cliques: Cliques, logs: Floats, messages: Floats) -> Floats:
    """(entries of all cells,) what bears on them added up, as logarithms."""
    cells = np.concatenate([cliques.factor_cell, cliques.message_cell])
    weights = np.concatenate([logs[cliques.factor_at], messages[cliques.message_at]])
    return np.bincount(cells, weights=weights, minlength=cliques.size).astype(np.float64, copy=False)


def clique_upward(cliques: Cliques, logs: Floats, messages: Floats) -> Upward:
    """Fill all large tables. `logs`: factors, `messages`: those of the small tables, both logarithms.

    What it returns lies in scratch memory and holds until the next call on this thread.
    """
    room = scratch()
    room.begin()
    entries = cell_entries(cliques, logs, messages)
    found = Upward([], [], [], [], entries.copy())
    tops = np.maximum.reduceat(entries, cliques.starts)
    tops[tops == -np.inf] = 0.0
    entries -= np.repeat(tops, np.diff(np.append(cliques.starts, cliques.size)))
    spreads = -np.minimum.reduceat(np.where(entries == -np.inf, 0.0, entries), cliques.starts)
    chances = np.exp(entries)
    first = 0
    for clique in cliques.cliques:
        mine = slice(first, first + len(clique.cells))
        first = mine.stop
        below = [found.messages[child] for child in clique.children]
        spread = float(spreads[mine].sum()) + sum(message.spread for message in below)
        scale = float(tops[mine].sum()) + sum(message.scale for message in below)
        logarithms = spread > _SAFE
        arrays = [(entries if logarithms else chances)[low:high] for low, high in clique.cells]
        arrays += [_turned(one, turned, logarithms, room) for one, turned in zip(below, clique.turned, strict=True)]
        if logarithms:
            _sum_out_logs(clique, _combined(arrays, clique.steps, np.add, room), scale, found)
        else:
            _sum_out(clique, _combined(arrays, clique.steps, np.multiply, room), scale, found, room)
    return found


def _turned(
    message: Message, turned: tuple[tuple[int, ...], tuple[int, ...]] | None, logarithms: bool, room: Scratch
) -> Floats:
    """A message in the order of axes of the clique above, as logarithms or as plain chances."""
    values = message.values
    if turned is not None:
        seen = values.reshape(turned[0]).transpose(turned[1])
        values = room.take(seen.shape)
        values[...] = seen
    if logarithms == message.logs:
        return values
    return np.asarray(np.log(values) if logarithms else np.exp(values))


def clique_downward(cliques: Cliques, found: Upward) -> Floats:
    """(entries of all cells,) the joint chances of the cells of which anything is wanted."""
    joint = np.zeros(cliques.size)
    found.shares += [1.0] * len(cliques.cliques)
    above: dict[int, Floats | float] = {}
    for number in range(len(cliques.cliques) - 1, -1, -1):
        clique, total = cliques.cliques[number], found.totals[number]
        over = found.shares[number] = above.pop(number, 1.0)
        if found.messages[number].whole:
            ratio = np.divide(over, total, out=total)
        else:
            ratio = np.divide(over, total, out=np.zeros_like(total), where=total > 0)
        table = found.tables[number].reshape(clique.own, -1)
        table *= ratio
        arrays = _parts(table, clique.steps, len(clique.cells) + len(clique.children))
        for (low, high), array in zip(clique.cells, arrays, strict=False):
            if array is not None:
                joint[low:high] = array.reshape(-1)
        for child, turned, array in zip(clique.children, clique.turned, arrays[len(clique.cells) :], strict=True):
            assert array is not None
            if turned is not None:
                shape, axes = turned
                array = array.reshape([shape[axis] for axis in axes]).transpose(np.argsort(axes))
            above[child] = array.reshape(-1)
    return joint


def _combined(arrays: list[Floats], steps: tuple[Step, ...], how: np.ufunc, room: Scratch) -> Floats:
    """Make a table of its arrays. Those made on the way are used up, so that little memory is touched."""
    count = len(arrays)
    for step in steps:
        one, two = arrays[step.first].reshape(step.first_as), arrays[step.second].reshape(step.second_as)
        if step.first >= count and step.first_as == step.whole:
            made = how(one, two, out=one)
        elif step.second >= count and step.second_as == step.whole:
            made = how(one, two, out=two)
        else:
            made = how(one, two, out=room.take(step.whole))
        arrays[step.first] = arrays[step.second] = _USED
        arrays.append(made)
    return arrays[-1]


def _parts(table: Floats, steps: tuple[Step, ...], count: int) -> list[Floats | None]:
    """The marginal of each of the `count` arrays a joint table was made of, None where nobody asks."""
    arrays: list[Floats | None] = [None] * (count + len(steps))
    arrays[-1] = table
    for at in range(len(steps) - 1, -1, -1):
        step, whole = steps[at], arrays[count + at]
        if whole is not None:
            arrays[count + at] = None
            whole = whole.reshape(step.whole)
            for place, gone in ((step.first, step.first_gone), (step.second, step.second_gone)):
                arrays[place] = summed(whole, gone) if gone is not None else None
    return arrays[:count]


def summed(whole: Floats, gone: tuple[int, ...]) -> Floats:
    """Sum axes away; they stay as axes of one."""
    for axis in gone:
        whole = _without(whole, axis)
    return whole


def _without(whole: Floats, axis: int) -> Floats:
    """Sum an axis away. A product of matrices is two to six times as quick as a reduction; over halves if very many."""
    states, after = whole.shape[axis], whole.shape[axis + 1 :]
    run = prod(after)
    count = whole.size // (states * run)
    if run <= _SHORT and (count >= _MANY or run == 1) and states * run <= _WIDE:
        found = whole.reshape(count, states * run) @ _adder(states, run)
    elif states == 2 and count > _WIDE:
        first, second = whole.reshape(count, 2, run)[:, 0], whole.reshape(count, 2, run)[:, 1]
        found = first + second
    else:
        found = _adder(states, 1).T @ whole.reshape(count, states, run)
    return np.asarray(found.reshape(*whole.shape[:axis], 1, *after))


@lru_cache(maxsize=64)
def _adder(states: int, run: int) -> Floats:
    """(states * run, run) of 0 and 1 that adds `states` runs up."""
    return np.tile(np.eye(run), (states, 1))


def _sum_out(clique: Clique, table: Floats, scale: float, found: Upward, room: Scratch) -> None:
    """Sum a table of plain chances over its own variables."""
    total = np.sum(table.reshape(clique.own, -1), axis=0, out=room.take((clique.message,)))
    top = float(total.max())
    found.tables.append(table)
    found.totals.append(total)
    if top == 0.0:
        found.messages.append(Message(total, False, -np.inf, 0.0))
        return
    least = float(total.min())
    whole = least > 0.0
    spread = log(top) - log(least if whole else float(total[total > 0].min()))
    values = np.multiply(total, 1.0 / top, out=room.take(total.shape))
    found.messages.append(Message(values, False, scale + log(top), spread, whole))


def _sum_out_logs(clique: Clique, table: Floats, scale: float, found: Upward) -> None:
    """The same for logarithms; the table that stays is one of chances, scaled for each state of the upper variables."""
    rows = table.reshape(clique.own, -1)
    tops = rows.max(axis=0)
    tops[tops == -np.inf] = 0.0
    chances = np.exp(rows - tops)
    total = chances.sum(axis=0)
    found.tables.append(chances)
    found.totals.append(total)
    values = tops + np.log(total)
    top = float(values.max())
    if top == -np.inf:
        found.messages.append(Message(np.zeros_like(total), False, -np.inf, 0.0))
        return
    values -= top
    spread = -float(values[values > -np.inf].min())
    found.messages.append(Message(values, True, scale + top, spread))
