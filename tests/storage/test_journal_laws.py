"""Laws of undo, tried with random acts: what is left is what the acts still in force would have made."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from pathlib import Path

import peewee
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from coilbook.records.ids import ActId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import Act
from coilbook.storage import check, journal
from coilbook.storage import tables as t
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from tests.storage.conftest import undo
from tests.storage.workload import content_of, in_memory

PICK = st.integers(0, 1_000)
LABELS = st.sampled_from(["R1", "R2", "R3"])


class Undoing(RuleBasedStateMachine):
    """Random acts over tables that refer to each other, to themselves, and hold unique names."""

    @initialize()
    def begin(self) -> None:
        self.place = Path(tempfile.mkdtemp(dir=in_memory()))
        self.book = Collection.create(self.place / "book", lambda: dt.datetime(2026, 3, 29, 20, 14, tzinfo=dt.UTC))
        #: what each act that is no undo left of each row it touched (None: removed)
        self.effects: dict[int, dict[tuple[str, int], tuple[object, ...] | None]] = {}

    def _one(self, table: str, pick: int) -> int | None:
        rows = self.book.read(f'SELECT id FROM "{table}" ORDER BY id')
        return int(rows[pick % len(rows)][0]) if rows else None

    def _act(self, kind: Act, *writes: tuple[object, ...]) -> None:
        """Run one act of several writes; a refusal by the file takes all of it back."""
        try:
            with self.book.act(kind) as hand:
                for write in writes:
                    _apply(hand, write)
        except peewee.IntegrityError:
            return
        if hand.changes.act is not None:
            rows = self.book.read("SELECT DISTINCT tbl, row FROM change WHERE act = ?", (hand.id,))
            self.effects[hand.id] = {(n, r): self._row(n, r) for n, r in rows}

    def _row(self, table: str, row: int) -> tuple[object, ...] | None:
        return self.book.read_one(f'SELECT * FROM "{table}" WHERE id = ?', (row,))

    @rule(label=LABELS, parent=PICK, nested=st.booleans())
    def add_place(self, label: str, parent: int, nested: bool) -> None:
        above = self._one("place", parent) if nested else None
        self._act(
            Act.ADD_PLACE, ("insert", t.Place, {"kind": "rack", "name": label, "label": label, "parent_id": above})
        )

    @rule(which=PICK, label=LABELS)
    def rename_place(self, which: int, label: str) -> None:
        self._act(Act.EDIT_PLACE, ("update", t.Place, self._one("place", which), {"label": label}))

    @rule(one=PICK, other=PICK)
    def swap_names(self, one: int, other: int) -> None:
        a, b = self._one("place", one), self._one("place", other)
        if a is None or b is None or a == b:
            return
        names = dict(self.book.read("SELECT id, label FROM place"))
        self._act(
            Act.RENUMBER_RACK,
            ("update", t.Place, a, {"label": "aside"}),
            ("update", t.Place, b, {"label": names[a]}),
            ("update", t.Place, a, {"label": names[b]}),
        )

    @rule(which=PICK)
    def remove_place(self, which: int) -> None:
        self._act(Act.REMOVE_PLACE, ("delete", t.Place, self._one("place", which)))

    @rule(place=PICK, dam=PICK, with_young=st.booleans())
    def add_animal(self, place: int, dam: int, with_young: bool) -> None:
        writes: list[tuple[object, ...]] = [
            (
                "insert",
                t.Animal,
                {"keeper_id": "F", "place_id": self._one("place", place), "dam_id": self._one("animal", dam)},
            )
        ]
        if with_young:
            writes.append(("child", t.Animal, {"keeper_id": "J"}))
        self._act(Act.ADD_ANIMAL, *writes)

    @rule(which=PICK, place=PICK, out=st.booleans())
    def move(self, which: int, place: int, out: bool) -> None:
        to = None if out else self._one("place", place)
        self._act(Act.MOVE_ANIMAL, ("update", t.Animal, self._one("animal", which), {"place_id": to}))

    @rule(which=PICK)
    def delete_animal(self, which: int) -> None:
        self._act(Act.DELETE_ANIMAL, ("delete", t.Animal, self._one("animal", which)))

    @rule(which=PICK, mass=st.integers(1, 3))
    def weigh(self, which: int, mass: int) -> None:
        animal = self._one("animal", which)
        if animal is not None:
            self._act(Act.WEIGH, ("insert", t.Weight, {"animal_id": animal, "at": "", "mass_dg": mass}))

    @rule(which=PICK, mass=st.integers(1, 3), also=PICK)
    def correct_weight_and_remove_another(self, which: int, mass: int, also: int) -> None:
        self._act(
            Act.EDIT_ENTRY,
            ("update", t.Weight, self._one("weight", which), {"mass_dg": mass}),
            ("delete", t.Weight, self._one("weight", also)),
        )

    @rule(pick=PICK)
    def take_back(self, pick: int) -> None:
        acts = self.book.read("SELECT id FROM act WHERE in_force = 1 ORDER BY id")
        if acts:
            self._take_back(ActId(acts[pick % len(acts)][0]))

    def _take_back(self, act: ActId) -> None:
        with self.book.writing() as db:
            rests = journal.resting_on(db, act)
        assert rests == sorted(rests, reverse=True)
        assert all(r > act for r in rests)
        before = content_of(self.book)
        try:
            undo(self.book, act, *rests)
        except Refusal:
            # only where an undo of older acts would be undone with it: then newest first is the way
            undos = {a for (a,) in self.book.read("SELECT id FROM act WHERE undoes IS NOT NULL")}
            assert undos & set(rests), (act, rests)
            assert content_of(self.book) == before
            newest = self.book.read("SELECT max(id) FROM act WHERE in_force = 1")[0][0]
            undo(self.book, newest)

    @invariant()
    def what_is_left_is_what_the_acts_in_force_made(self) -> None:
        expected: dict[tuple[str, int], tuple[object, ...] | None] = {}
        for act, in_force in self.book.read("SELECT id, in_force FROM act WHERE undoes IS NULL ORDER BY id"):
            if in_force:
                expected.update(self.effects[act])
        found = {(n, r[0]): r for n, rows in content_of(self.book).items() for r in rows}
        assert found == {k: row for k, row in expected.items() if row is not None}

    def teardown(self) -> None:
        if not hasattr(self, "book"):
            return
        assert check.check(self.book).findings == ()
        # newest first always works, undos included, and leads back to the empty book
        newest = 10**9
        while row := self.book.read("SELECT max(id) FROM act WHERE in_force = 1 AND id < ?", (newest,))[0]:
            if row[0] is None:
                break
            newest = row[0]
            undo(self.book, newest)
        assert not any(content_of(self.book).values())
        assert check.check(self.book).findings == ()
        self.book.close()
        shutil.rmtree(self.place)


def _apply(hand: ActInHand, write: tuple[object, ...]) -> None:
    kind, model, *rest = write
    assert isinstance(model, type) and issubclass(model, t.Base)
    if kind == "insert":
        (values,) = rest
        assert isinstance(values, dict)
        hand.insert(model, **values)
    elif kind == "child":
        (values,) = rest
        assert isinstance(values, dict)
        (newest,) = hand.rows("SELECT max(id) FROM animal")[0]
        hand.insert(model, dam_id=newest, **values)
    elif rest[0] is not None and kind == "update":
        row, values = rest
        assert isinstance(row, int) and isinstance(values, dict)
        hand.update(model, row, **values)
    elif rest[0] is not None:
        assert isinstance(rest[0], int)
        hand.delete(model, rest[0])


TestUndoing = Undoing.TestCase
TestUndoing.settings = settings(
    max_examples=60, stateful_step_count=25, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
