"""The nodes of a family picture as the layering sees them: cards, and bends where a line passes a column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.drawing.family import Certainty, FamilyPicture, Mating
from coilbook.drawing.layered import Layers
from coilbook.drawing.pedigree_lines import End, Trunk


@dataclass(frozen=True, slots=True)
class NodeSizes:
    """What of the sizes the nodes need, in pixels."""

    #: of a card, by column from the left
    heights: tuple[int, ...]
    unknown_height: int
    pair_gap: int
    gap: int
    #: between two bends
    track: int
    #: most room between two lines that end at one card
    port_gap: int
    #: of a block: height of a cell, room between two, how many side by side
    cells: tuple[int, int, int] = (0, 0, 1)


@dataclass(frozen=True, slots=True)
class _Draft:
    """An upright line before heights are known, by nodes; `right` with the percent of each."""

    left: tuple[int, ...]
    right: tuple[tuple[int, int], ...]
    certainty: Certainty
    young: tuple[int, ...]


class Nodes:
    """Nodes 0..real-1 are the picture's keys column by column, the rest bends of lines that pass columns."""

    def __init__(self, picture: FamilyPicture, sizes: NodeSizes) -> None:
        self._sizes = sizes
        self._loops = frozenset(picture.loops)
        self.columns: list[list[int]] = []
        self.key: list[int] = []
        for column in picture.columns:
            self.columns.append(list(range(len(self.key), len(self.key) + len(column))))
            self.key += column
        self.real = len(self.key)
        #: cards in each real node
        self._held = [len(picture.together(key)) for key in self.key]
        self.node = {one: node for node, key in enumerate(self.key) for one in picture.together(key)}
        self.column_of = [number for number, column in enumerate(self.columns) for _ in column]
        self._bends: dict[tuple[int, tuple[Certainty, int], int], int] = {}
        self._drafts: list[list[_Draft]] = [[] for _ in self.columns]
        self._pairs: set[tuple[int, int]] = set()
        for mating in picture.matings:
            self._add(mating)

    def has_disc(self, node: int) -> bool:
        """True for the card of an ancestor that is reached twice."""
        return node < self.real and self.key[node] in self._loops

    def _add(self, mating: Mating) -> None:
        young = tuple(self.node[key] for key in mating.young)
        column = self.column_of[young[0]]
        right = []
        for parent, percent in mating.parents:
            node = self.node[parent]
            right.append((self._towards(node, (mating.certainty, percent), column + 1), percent))
        # couples and clutches stand closer than strangers
        for together in (young, [node for node, _ in right]):
            for one in together:
                self._pairs.update((one, other) for other in together)
        self._drafts[column].append(_Draft(young, tuple(right), mating.certainty, mating.young))

    def _towards(self, parent: int, sure: tuple[Certainty, int], column: int) -> int:
        """The node of a line to a parent at a column: the parent itself, or a bend on the way to it."""
        if self.column_of[parent] == column:
            return parent
        name = (parent, sure, column)
        if name not in self._bends:
            bend = len(self.key)
            self._bends[name] = bend
            self.key.append(0)
            self.column_of.append(column)
            self.columns[column].append(bend)
            further = self._towards(parent, sure, column + 1)
            self._drafts[column].append(_Draft((bend,), ((further, sure[1]),), sure[0], ()))
        return self._bends[name]

    def height(self, node: int) -> int:
        """How high a node is."""
        if node >= self.real:
            return 0
        if self._held[node] > 1:
            high, gap, across = self._sizes.cells
            return -(-self._held[node] // across) * (high + gap) - gap
        return self._sizes.unknown_height if self.key[node] < 0 else self._sizes.heights[self.column_of[node]]

    def layers(self) -> Layers:
        """What the layering is asked."""
        left: list[list[int]] = [[] for _ in self.key]
        right: list[list[int]] = [[] for _ in self.key]
        for drafts in self._drafts:
            for draft in drafts:
                for young in draft.left:
                    for parent, _ in draft.right:
                        right[young].append(parent)
                        left[parent].append(young)
        return Layers(self._first_order(right), left, right, [self.height(n) for n in range(len(self.key))], self._gap)

    def _first_order(self, right: Sequence[Sequence[int]]) -> list[list[int]]:
        """Bends stand where the reading order puts what they come from."""
        found = [self.columns[0]] if self.columns else []
        for column in self.columns[1:]:
            reached = {node: place for place, node in enumerate(o for n in found[-1] for o in right[n])}
            cards = [node for node in column if node < self.real]
            bends = sorted((node for node in column if node >= self.real), key=lambda n: reached.get(n, 0))
            merged = list(cards)
            for bend in bends:
                at = next(
                    (i for i, node in enumerate(merged) if reached.get(node, -1) > reached.get(bend, 0)), len(merged)
                )
                merged.insert(at, bend)
            found.append(merged)
        return found

    def _gap(self, above: int, below: int) -> int:
        if above >= self.real and below >= self.real:
            return self._sizes.track
        if above >= self.real or below >= self.real or (above, below) in self._pairs:
            return self._sizes.pair_gap
        return self._sizes.gap

    def known(self, before: Sequence[Sequence[int]]) -> list[list[int]]:
        """An earlier order as nodes, as far as its animals still stand in the same column."""
        offset = self._same_columns(before)
        found: list[list[int]] = [[] for _ in self.columns]
        for number, column in enumerate(before):
            at = number + offset
            if 0 <= at < len(found):
                nodes = dict.fromkeys(self.node[key] for key in column if key in self.node)
                found[at] = [node for node in nodes if self.column_of[node] == at]
        return found

    def _same_columns(self, before: Sequence[Sequence[int]]) -> int:
        """By how many columns most of the earlier animals have moved together."""
        moved: dict[int, int] = {}
        for number, column in enumerate(before):
            for key in column:
                if key in self.node:
                    by = self.column_of[self.node[key]] - number
                    moved[by] = moved.get(by, 0) + 1
        return max(moved, key=lambda by: moved[by]) if moved else 0

    def trunks(self, column: int, upper: Sequence[int]) -> list[Trunk]:
        """The upright lines right of a column, with the heights at which they leave and arrive."""
        drafts = self._drafts[column]
        middle = [upper[n] + self.height(n) // 2 for n in range(len(self.key))]
        leaving: dict[int, list[int]] = {}
        arriving: dict[int, list[int]] = {}
        for number, draft in enumerate(drafts):
            for node in draft.left:
                leaving.setdefault(node, []).append(number)
            for node, _ in draft.right:
                arriving.setdefault(node, []).append(number)
        out: dict[tuple[int, int], int] = {}
        into: dict[tuple[int, int], int] = {}
        for node, numbers in leaving.items():
            numbers.sort(key=lambda n: _mean([middle[p] for p, _ in drafts[n].right]))
            out |= self._ports(node, numbers, middle[node], 16)
        for node, numbers in arriving.items():
            numbers.sort(key=lambda n: _mean([middle[y] for y in drafts[n].left]))
            into |= self._ports(node, numbers, middle[node], self._sizes.port_gap)
        return [
            Trunk(
                tuple(End(node, out[node, number]) for node in draft.left),
                tuple(End(node, into[node, number], percent) for node, percent in draft.right),
                draft.certainty,
                draft.young,
            )
            for number, draft in enumerate(drafts)
        ]

    def _ports(self, node: int, numbers: Sequence[int], middle: int, most: int) -> Mapping[tuple[int, int], int]:
        """Heights at which lines meet a node's edge, spread about its middle."""
        if node >= self.real or len(numbers) == 1:
            return {(node, number): middle for number in numbers}
        apart = min(most, (self.height(node) - 12) / (len(numbers) - 1))
        first = middle - apart * (len(numbers) - 1) / 2
        return {(node, number): round(first + apart * place) for place, number in enumerate(numbers)}


def _mean(values: Sequence[int]) -> float:
    return sum(values) / len(values)
