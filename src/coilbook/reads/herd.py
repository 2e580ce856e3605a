"""The whole collection in memory as columns of numbers and one text an animal: what the filter and the list work on.

A herd belongs to one thread (the window's). It is read from its snapshot when there is one, else from the file, and
`advance` brings it up to the newest act, whoever wrote it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from coilbook.derived.touched import animals_touched, interval_touched, tables_touched
from coilbook.reads.herd_columns import HERD_SQL, SEXES, STATUSES, GenesKnown, IntArray, Mask, YoungKnown, numbers_from
from coilbook.reads.place_book import PLACES_SQL, PlaceBook
from coilbook.reads.text_column import TextColumn
from coilbook.records.vocabulary import Sex, Status
from coilbook.storage.collection import Collection
from coilbook.wording.natural import natural_key

#: more animals than this in one step are cheaper to read anew
RELOAD_FROM = 2_000
#: acts that changed more rows than this are not looked through on the window's thread
MANY_ROWS = 5_000
_TAGS_SQL = "SELECT animal_id, word FROM tag"


@dataclass
class Herd:
    """Columns by name, all in ascending order of animal id; `order` are the rows as their ids sort."""

    columns: dict[str, IntArray]
    texts: TextColumn
    order: IntArray
    places: PlaceBook
    tags: dict[str, set[int]]
    #: newest act the herd knows
    revision: int
    #: how that act was written, to know another past when it has the same number
    stamp: str
    #: who has or may have which gene, once somebody asked for it and it was worked out
    genes: GenesKnown | None = None
    #: which hatchlings are ready for sale or have not started, likewise
    young: YoungKnown | None = None
    _ranks: dict[str, IntArray] = field(default_factory=dict)
    _orders: dict[tuple[str, bool], IntArray] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.texts)

    def __getitem__(self, name: str) -> IntArray:
        return self.columns[name]

    @property
    def ids(self) -> IntArray:
        return self.columns["id"]

    def row_of(self, animal: int) -> int:
        """Row of an animal, -1 when it is not in the collection."""
        # the id in the column's own type: a Python number would have the whole column converted
        row = int(np.searchsorted(self.ids, np.int32(animal)))
        return row if row < len(self) and int(self.ids[row]) == animal else -1

    def where_status(self, *statuses: Status) -> Mask:
        """Rows whose status is one of these."""
        if len(statuses) == 1:
            return np.asarray(self["status"] == STATUSES.index(statuses[0]))
        return np.isin(self["status"], [STATUSES.index(s) for s in statuses])

    def where_sex(self, sex: Sex) -> Mask:
        """Rows called this sex, sure or not."""
        return np.asarray(self["sex"] == SEXES.index(sex))

    # --- keeping up -----------------------------------------------------------------------------------------
    def advance(self, collection: Collection) -> set[int] | None:
        """Take in every act since `revision`; the animals that may look different, None when all may."""
        newest = newest_act(collection)
        same_past = self.stamp == act_stamp(collection, self.revision)
        if newest == self.revision and same_past:
            return set()
        tables = tables_touched(collection.read, self.revision)
        animals = animals_touched(collection.read, self.revision, tables)
        interval = interval_touched(collection.read, self.revision, tables)
        if not same_past or len(animals) > RELOAD_FROM or interval:
            self._become(load(collection))
            return None
        if "place" in tables:
            self.places = PlaceBook.from_rows(collection.read(PLACES_SQL))
            self._ranks.pop("place", None)
        self._orders.clear()
        self._take_in(collection, animals)
        self.revision, self.stamp = newest, act_stamp(collection, newest)
        return animals

    def make_ready(self) -> None:
        """Work out the orders a list asks for first; a worker does, so that the window need not."""
        self.places.warm()
        for column in ("place", "animal"):
            self.sorted_order(column)

    def is_far_behind(self, collection: Collection) -> bool:
        """True when `advance` would read the whole file anew: work for a worker when the book is large."""
        if self.stamp != act_stamp(collection, self.revision):
            return True
        (rows,) = collection.read_one("SELECT total(size) FROM act WHERE id > ?", (self.revision,)) or (0,)
        if rows > MANY_ROWS:
            # asking which animals they were would take longer than it may on the window's thread
            return True
        tables = tables_touched(collection.read, self.revision)
        touched = animals_touched(collection.read, self.revision, tables)
        return len(touched) > RELOAD_FROM or interval_touched(collection.read, self.revision, tables)

    def _become(self, other: Herd) -> None:
        self.columns, self.texts, self.order = other.columns, other.texts, other.order
        self.places, self.tags = other.places, other.tags
        self.revision, self.stamp = other.revision, other.stamp
        self._ranks.clear()
        self._orders.clear()

    def _take_in(self, collection: Collection, animals: set[int]) -> None:
        if not animals:
            return
        listed = (json.dumps(sorted(animals)),)
        which = "SELECT value FROM json_each(?)"
        rows = collection.read(f"{HERD_SQL} WHERE a.id IN ({which})", listed)
        numbers = numbers_from(rows)
        fresh = {int(row[0]): k for k, row in enumerate(rows)}
        kept = {a: self.row_of(a) for a in animals}
        self._remove([row for a, row in kept.items() if row >= 0 and a not in fresh])
        for animal, k in sorted(fresh.items()):
            self._put(animal, {name: int(column[k]) for name, column in numbers.items()}, str(rows[k][-1]))
        for holders in self.tags.values():
            holders -= animals
        _add_tags(self.tags, collection.read(f"{_TAGS_SQL} WHERE animal_id IN ({which})", listed))

    def _put(self, animal: int, values: dict[str, int], text: str) -> None:
        row = self.row_of(animal)
        if row < 0:
            row = int(np.searchsorted(self.ids, animal))
            self.columns = {name: np.insert(column, row, values[name]) for name, column in self.columns.items()}
            self.texts.insert(row, text)
            self.order = np.where(self.order >= row, self.order + 1, self.order)
            self._place_in_order(row)
            self._ranks.clear()
            return
        for name, value in values.items():
            self.columns[name][row] = value
        before = self.texts[row]
        if before != text:
            self.texts.put(row, text)
        if before.split("\n", 3)[:3] != text.split("\n", 3)[:3]:
            self.order = self.order[self.order != row]
            self._place_in_order(row)
            self._ranks.clear()
        self._ranks.pop("place", None)

    def _remove(self, rows: list[int]) -> None:
        for row in sorted(rows, reverse=True):
            self.columns = {n: np.delete(c, row) for n, c in self.columns.items()}
            self.texts.delete(row)
            rest = self.order[self.order != row]
            self.order = np.where(rest > row, rest - 1, rest)
            self._ranks.clear()

    def _place_in_order(self, row: int) -> None:
        key = (_id_key(self.texts[row]), row)
        low, high = 0, len(self.order)
        while low < high:
            middle = (low + high) // 2
            there = int(self.order[middle])
            if (_id_key(self.texts[there]), there) < key:
                low = middle + 1
            else:
                high = middle
        self.order = np.insert(self.order, low, row).astype(np.int32)

    # --- sorting --------------------------------------------------------------------------------------------
    def rank(self, name: str) -> IntArray:
        """A number for each row that sorts as the column does, 0 for unknown; also of "genetics" and "place"."""
        if name not in self._ranks:
            if name == "genetics":
                self._ranks[name] = _text_rank([text.split("\n", 3)[2] for text in self.texts.all()])
            elif name == "place":
                self._ranks[name] = self._place_rank()
            else:
                return self[name]
        return self._ranks[name]

    def give_rank(self, name: str, rank: IntArray) -> None:
        """A rank worked out before, from the herd's snapshot."""
        self._ranks[name] = rank

    def _place_rank(self) -> IntArray:
        book = self.places
        if not len(book.ids):
            return np.zeros(len(self), dtype=np.int32)
        row = np.minimum(np.searchsorted(book.ids, self["place"]), len(book.ids) - 1)
        return np.where(book.ids[row] == self["place"], book.walking_rank[row] + 1, 0).astype(np.int32)

    def sorted_order(self, name: str, *, descending: bool = False) -> IntArray:
        """Every row by a column; what is unknown (0) comes last either way, and equals stand in the order of ids.

        Kept until a row changes, so that a filter only has to pick from it.
        """
        key = (name, descending)
        if key not in self._orders:
            self._orders[key] = self._sort(name, descending)
        return self._orders[key]

    def _sort(self, name: str, descending: bool) -> IntArray:
        if name == "animal":
            return self.order[::-1] if descending else self.order
        values = self.rank(name)[self.order]
        signed = np.where(values == 0, np.iinfo(np.int32).max, -values if descending else values)
        return self.order[np.argsort(signed, kind="stable")]


def newest_act(collection: Collection) -> int:
    """Id of the newest act, 0 before the first."""
    row = collection.read_one("SELECT max(id) FROM act")
    return int(row[0] or 0) if row else 0


def act_stamp(collection: Collection, act: int) -> str:
    """What only this act of this past can have: its moment, kind, device and size."""
    return str(collection.read_one("SELECT at, kind, device, size FROM act WHERE id = ?", (act,)))


def load(collection: Collection) -> Herd:
    """The herd read from the file."""
    revision = newest_act(collection)
    stamp = act_stamp(collection, revision)
    rows = collection.read(f"{HERD_SQL} ORDER BY a.id")
    texts = [row[-1] for row in rows]
    keys = [_id_key(text) for text in texts]
    order = np.array(sorted(range(len(texts)), key=keys.__getitem__), dtype=np.int32)
    tags: dict[str, set[int]] = {}
    _add_tags(tags, collection.read(_TAGS_SQL))
    book = PlaceBook.from_rows(collection.read(PLACES_SQL))
    return Herd(numbers_from(rows), TextColumn.of(texts), order, book, tags, revision, stamp)


def _add_tags(tags: dict[str, set[int]], rows: Iterable[tuple[Any, ...]]) -> None:
    for animal, word in rows:
        tags.setdefault(str(word).casefold(), set()).add(int(animal))


def _id_key(text: str) -> str:
    return natural_key(text[: text.find("\n")])


def _text_rank(words: list[str]) -> IntArray:
    """1 for the first word in order and so on; 0 for no word."""
    place = {word: k for k, word in enumerate(sorted(set(words) - {""}), 1)}
    place[""] = 0
    return np.fromiter(map(place.__getitem__, words), np.int32, len(words))
