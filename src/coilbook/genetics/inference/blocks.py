"""Which variables of a tangled family to hold fast so that the rest can be drawn exactly, in several ways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.genetics.inference.order import Elimination, Graph

#: the most entries of one table, and of all tables together, of a block
_TABLE, _TOTAL = 128, 12_000
#: blocks at least, so that what is held fast changes
_BLOCKS = 4


@dataclass(frozen=True)
class Block:
    """The variables held fast, and how to sum out the others."""

    held: tuple[int, ...]
    elimination: Elimination


def blocks_of(family: Sequence[int], near: list[set[int]], sizes: Sequence[int]) -> list[Block]:
    """Blocks such that every variable of the family is free in at least one of them."""
    times_held = dict.fromkeys(family, 0)
    blocks: list[Block] = []
    never_free = set(family)
    while never_free or len(blocks) < _BLOCKS:
        block = _block(family, [set(others) for others in near], sizes, times_held, never_free if blocks else set())
        for one in block.held:
            times_held[one] += 1
        never_free -= set(block.elimination.order)
        blocks.append(block)
    return blocks


def _block(
    family: Sequence[int], near: list[set[int]], sizes: Sequence[int], times_held: dict[int, int], wanted: set[int]
) -> Block:
    """Sum out what is cheap; where nothing is, hold fast what is most entangled, least often held and not wanted."""
    graph = Graph(family, near, sizes)
    order: list[int] = []
    later: list[set[int]] = []
    held: list[int] = []
    total = 0
    while graph.left:
        # half of the room is kept for those wanted, so that at least one of them goes free
        room = {one: (_TOTAL if one in wanted or not wanted else _TOTAL // 2) - total for one in graph.left}
        cheap = {one for one in graph.left if graph.weight(one) <= min(_TABLE, room[one])}
        if cheap:
            for one in graph.round_of(cheap):
                total += graph.weight(one)
                order.append(one)
                later.append(near[one])
                graph.sum_out(one)
        else:
            one = max(graph.left, key=lambda v: (v not in wanted, -times_held[v], len(near[v]), -v))
            held.append(one)
            graph.hold(one)
    place = {one: at for at, one in enumerate(order)}
    # what was held fast after a variable went is not above it in the tree: it is known
    sorted_later = [sorted(around & place.keys(), key=place.__getitem__) for around in later]
    return Block(tuple(held), Elimination(order, sorted_later))
