"""Places as the filter and the lists need them: labels, what lies in what, and the walking order."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np

from coilbook.reads.herd_columns import IntArray
from coilbook.wording.natural import natural_key

PLACES_SQL = "SELECT id, coalesce(parent_id, 0), walk, quarantine, label FROM place ORDER BY id"
_DEEPEST = 4


@dataclass(frozen=True)
class PlaceBook:
    """Every place by its id; arrays share one order, ascending by id."""

    ids: IntArray
    parents: IntArray
    walks: IntArray
    quarantines: IntArray
    labels: tuple[str, ...]

    @classmethod
    def from_rows(cls, rows: Sequence[tuple[Any, ...]]) -> PlaceBook:
        """A book from rows of `PLACES_SQL`."""
        numbers = np.array([row[:4] for row in rows], dtype=np.int32).reshape(-1, 4)
        ids, parents, walks, marks = (np.ascontiguousarray(numbers[:, k]) for k in range(4))
        return cls(ids, parents, walks, marks, tuple(str(row[4]) for row in rows))

    @cached_property
    def by_word(self) -> dict[str, int]:
        """Place id by its label in lower case."""
        return {label.casefold(): int(i) for label, i in zip(self.labels, self.ids.tolist())}

    @cached_property
    def _sorted_words(self) -> list[str]:
        return sorted(self.by_word)

    def warm(self) -> None:
        """Work out what the first "in R2" would otherwise wait for; a worker may do it."""
        _ = self._sorted_words, self.containers, self.quarantined

    def starting(self, beginning: str, limit: int) -> list[str]:
        """Labels that go on from `beginning` (in lower case), as printed."""
        first = bisect_left(self._sorted_words, beginning)
        words = self._sorted_words[first : first + limit]
        return [self.label(self.by_word[word]) for word in words if word.startswith(beginning)]

    @cached_property
    def containers(self) -> list[str]:
        """Labels of the places that others lie in, in walking order."""
        rows = np.flatnonzero(np.isin(self.ids, self.parents))
        return [self.labels[row] for row in rows[np.argsort(self.walking_rank[rows])].tolist()]

    @cached_property
    def _parent_rows(self) -> IntArray:
        """Row of each place's parent, the place's own row where it has none."""
        own = np.arange(len(self.ids), dtype=np.int32)
        if not len(self.ids):
            return own
        found = np.minimum(np.searchsorted(self.ids, self.parents), len(self.ids) - 1)
        return np.where(self.ids[found] == self.parents, found, own).astype(np.int32)

    def label(self, place: int) -> str:
        """What is printed on a place; nothing for no place."""
        row = self.row_of(place)
        return self.labels[row] if row >= 0 else ""

    def row_of(self, place: int) -> int:
        """Row of a place id, -1 when there is none."""
        row = int(np.searchsorted(self.ids, np.int32(place)))
        return row if row < len(self.ids) and int(self.ids[row]) == place else -1

    def within(self, places: Sequence[int]) -> IntArray:
        """Ids of these places and of everything that lies in them."""
        inside = np.isin(self.ids, np.array(places, dtype=np.int32))
        for _ in range(_DEEPEST):
            inside |= inside[self._parent_rows]
        return self.ids[inside]

    @cached_property
    def quarantined(self) -> IntArray:
        """Ids of the places in quarantine, by their own mark or by what they lie in."""
        return self.within(self.ids[self.quarantines > 0].tolist())

    @cached_property
    def walking_rank(self) -> IntArray:
        """Place in the walking order (room, rack, slot) of each row."""
        up = self._parent_rows
        path = [np.arange(len(self.ids), dtype=np.int32)]
        for _ in range(_DEEPEST - 1):
            path.append(up[path[-1]])
        depth = sum((a != b).astype(np.int32) for a, b in pairwise(path)) if len(self.ids) else self.ids
        keys: list[Any] = []
        for level in range(_DEEPEST):
            # the ancestor `level` steps below the top; a place higher up than that sorts first
            step = np.asarray(depth - level)
            row = np.choose(np.clip(step, 0, _DEEPEST - 1), path)
            keys.append(np.where(step >= 0, self.walks[row].astype(np.int64) * 2**31 + self._label_rank[row], -1))
        rank = np.empty(len(self.ids), dtype=np.int32)
        rank[np.lexsort(keys[::-1])] = np.arange(len(self.ids), dtype=np.int32)
        return rank

    @cached_property
    def _label_rank(self) -> IntArray:
        order = sorted(range(len(self.labels)), key=[natural_key(label) for label in self.labels].__getitem__)
        rank = np.empty(len(order), dtype=np.int32)
        rank[order] = np.arange(len(order), dtype=np.int32)
        return rank
