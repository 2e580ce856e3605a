"""Layered drawing: an order within columns with few crossings, and places in it with nothing on anything.

Order by barycentres (Sugiyama, Tagawa and Toda 1981, IEEE Trans. Syst. Man Cybern. 11:109, from memory); places by
least squares under the order and the gaps, column after column, which is isotonic regression and leaves no overlap by
construction.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor

#: rounds of sorting the columns by their neighbours; most drawings are settled after a few
_SORTS = 8
#: rounds of moving the columns towards their neighbours
_MOVES = 6


@dataclass(frozen=True)
class Layers:
    """Nodes 0..n-1 in columns; `left`, `right` the neighbours of each in the next column, `height` of each."""

    columns: Sequence[Sequence[int]]
    left: Sequence[Sequence[int]]
    right: Sequence[Sequence[int]]
    height: Sequence[int]
    #: room between two nodes, the first above the second in one column
    gap: Callable[[int, int], int]


def crossings(columns: Sequence[Sequence[int]], right: Sequence[Sequence[int]]) -> int:
    """How many pairs of lines between neighbouring columns cross."""
    total = 0
    for column, following in pairwise(columns):
        at = {node: place for place, node in enumerate(following)}
        seen: list[int] = []
        for node in column:
            ends = sorted(at[other] for other in right[node])
            total += sum(len(seen) - bisect_right(seen, end) for end in ends)
            for end in ends:
                insort(seen, end)
    return total


def ordered(layers: Layers) -> list[list[int]]:
    """The columns in the order of fewest crossings found; the given order wins a tie."""
    best = [list(column) for column in layers.columns]
    fewest = crossings(best, layers.right)
    now, idle = best, 0
    for turn in range(_SORTS):
        if not fewest or idle == 2:
            break
        now = _sorted_by(now, layers.left, range(1, len(now))) if turn % 2 == 0 else _sorted_by(
            now, layers.right, range(len(now) - 2, -1, -1)
        )  # fmt: skip
        count = crossings(now, layers.right)
        idle = 0 if count < fewest else idle + 1
        if count < fewest:
            best, fewest = now, count
    return best


def inserted(layers: Layers, before: Sequence[Sequence[int]]) -> list[list[int]]:
    """The columns with the nodes of `before` in that order, and every other node beside its neighbours."""
    columns = [list(column) for column in before]
    known = {node for column in before for node in column}
    for number, column in enumerate(layers.columns):
        fixed = columns[number]
        near = [{node: place for place, node in enumerate(columns[at])} if 0 <= at < len(columns) else {}
                for at in (number - 1, number + 1)]  # fmt: skip
        for node in (one for one in column if one not in known):
            place = _place_beside(node, layers, near, fixed)
            fixed.insert(place, node)
    return columns


def _place_beside(node: int, layers: Layers, near: Sequence[dict[int, int]], fixed: Sequence[int]) -> int:
    """Before the first node of the column whose neighbours lie farther down than this one's."""
    for side, places in ((layers.right, near[1]), (layers.left, near[0])):
        mine = [places[other] for other in side[node] if other in places]
        if not mine:
            continue
        middle = sum(mine) / len(mine)
        last = 0
        for place, other in enumerate(fixed):
            theirs = [places[one] for one in side[other] if one in places]
            if theirs and sum(theirs) / len(theirs) <= middle:
                last = place + 1
        return last
    return len(fixed)


def _sorted_by(columns: list[list[int]], towards: Sequence[Sequence[int]], numbers: Sequence[int]) -> list[list[int]]:
    """Columns sorted one after another by the mean place of their neighbours on one side."""
    found = list(columns)
    place = {node: at for column in found for at, node in enumerate(column)}
    for number in numbers:
        middle: dict[int, float] = {}
        for node in found[number]:
            others = towards[node]
            middle[node] = sum(place[other] for other in others) / len(others) if others else place[node]
        found[number] = sorted(found[number], key=middle.__getitem__)
        place |= {node: at for at, node in enumerate(found[number])}
    return found


def placed(layers: Layers, columns: Sequence[Sequence[int]]) -> list[int]:
    """The upper edge of every node, whole numbers from 0: drawn to its neighbours as far as order and gaps allow."""
    offsets = [_offsets(layers, column) for column in columns]
    middle = [0.0] * len(layers.height)
    for column, offset in zip(columns, offsets):
        for node, at in zip(column, offset):
            middle[node] = at
    last = range(len(columns) - 1, -1, -1)
    for _ in range(_MOVES):
        for number in last:
            _draw_to(columns[number], offsets[number], layers.right, middle)
        for number in range(len(columns)):
            _draw_to(columns[number], offsets[number], layers.left, middle)
    for number in last:
        _draw_to(columns[number], offsets[number], layers.right, middle)
    upper = [floor(at - height / 2 + 0.5) for at, height in zip(middle, layers.height)]
    shift = min(upper, default=0)
    return [at - shift for at in upper]


def _offsets(layers: Layers, column: Sequence[int]) -> list[float]:
    """Middles of a column packed as tightly as its gaps allow."""
    found, edge = [], 0.0
    for number, node in enumerate(column):
        edge += layers.gap(column[number - 1], node) if number else 0
        found.append(edge + layers.height[node] / 2)
        edge += layers.height[node]
    return found


def _draw_to(
    column: Sequence[int], offset: Sequence[float], side: Sequence[Sequence[int]], middle: list[float]
) -> None:
    """Move a column to where its neighbours pull it: isotonic regression by pooling adjacent violators."""
    blocks: list[tuple[float, float, int]] = []
    for node, at in zip(column, offset):
        others = side[node]
        # a node without neighbours on this side stays where it is if nothing pushes
        weight = float(len(others)) or 0.05
        wanted = (sum(middle[o] for o in others) / len(others) if others else middle[node]) - at
        total, count = wanted * weight, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / weight:
            more, heavier, many = blocks.pop()
            total, weight, count = total + more, weight + heavier, count + many
        blocks.append((total, weight, count))
    number = 0
    for total, weight, count in blocks:
        for _ in range(count):
            middle[column[number]] = total / weight + offset[number]
            number += 1
