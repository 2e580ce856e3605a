"""The journal: every change is in it, nothing is written without it, and it can take any act back."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import peewee
import pytest

from coilbook.records.ids import ActId
from coilbook.records.message import StorageTrouble, say
from coilbook.records.vocabulary import Act
from coilbook.storage import check, journal
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from tests.storage.conftest import undo
from tests.storage.workload import TestClock, add_animal, bring_in, content_of, weigh


def resting(collection: Collection, act: int) -> list[int]:
    with collection.writing() as db:
        return [int(a) for a in journal.resting_on(db, ActId(act))]


def test_the_writer_waits_for_the_disk_at_every_commit(collection: Collection) -> None:
    with collection.writing() as db:
        assert db.execute_sql("PRAGMA synchronous").fetchone() == (2,)
        assert db.execute_sql("PRAGMA journal_mode").fetchone() == ("wal",)
        assert db.execute_sql("PRAGMA foreign_keys").fetchone() == (1,)
        assert db.execute_sql("PRAGMA recursive_triggers").fetchone() == (1,)


def test_no_record_column_is_of_a_kind_json_would_round(collection: Collection) -> None:
    for model in t.RECORD_TABLES:
        kinds = {c[2] for c in collection.read(f'PRAGMA table_info("{t.table_name(model)}")')}
        assert kinds <= {"INTEGER", "TEXT"}
        (strict,) = collection.read("SELECT strict FROM pragma_table_list WHERE name = ?", (t.table_name(model),))[0]
        assert strict == 1


@pytest.mark.parametrize("model", t.RECORD_TABLES, ids=t.table_name)
def test_no_record_table_can_be_written_outside_an_act(collection: Collection, model: type[t.Base]) -> None:
    if model is not t.Setting:
        with collection.act(Act.CHANGE_SETTING) as act:
            act.insert(t.Setting, name="theme", value="dark")
    row = {**_minimal(model)}
    names, marks = ", ".join(f'"{c}"' for c in row), ", ".join("?" * len(row))
    sql = f'INSERT INTO "{t.table_name(model)}" ({names}) VALUES ({marks})'
    with pytest.raises(peewee.IntegrityError, match=r"change\.act"), collection.writing() as db:
        db.execute_sql("PRAGMA defer_foreign_keys = ON")
        db.execute_sql(sql, tuple(row.values()))
    assert collection.read(f'SELECT count(*) FROM "{t.table_name(model)}"') == [(0,)]


def _minimal(model: type[t.Base]) -> dict[str, object]:
    """A row that only the journal can refuse."""
    from coilbook.storage.act import defaults_of

    row = defaults_of(model)
    for field in model._meta.sorted_fields:
        if field.column_name != "id" and row[field.column_name] is None and not field.null:
            row[field.column_name] = "x" if isinstance(field, peewee.TextField) else 1
    if t.table_name(model) == "follicle":  # a size or a grade must stand in it
        row["mm_tenths"] = 250
    return row


def test_updates_and_deletes_outside_an_act_are_refused_too(collection: Collection) -> None:
    add_animal(collection)
    for sql in ("UPDATE animal SET name = 'x'", "DELETE FROM animal"):
        with pytest.raises(peewee.IntegrityError, match=r"change\.act"), collection.writing() as db:
            db.execute_sql(sql)
    assert collection.read("SELECT name FROM animal") == [("",)]


def test_a_reader_cannot_write(collection: Collection) -> None:
    for sql in ("DELETE FROM act", "CREATE TABLE x (y)", "UPDATE code_counter SET last = 0"):
        with pytest.raises(StorageTrouble, match="read-only"):
            collection.read(sql)


def test_an_act_that_changes_nothing_leaves_no_trace(collection: Collection) -> None:
    add_animal(collection)
    with collection.act(Act.EDIT_ANIMAL) as act:
        act.update(t.Animal, 1, name="")
    assert collection.read("SELECT count(*), max(id) FROM act") == [(1, 1)]
    assert not act.changes.touches("animal")
    assert add_animal(collection, "F-015") == 2
    assert collection.read("SELECT max(id) FROM act") == [(2,)]


def test_an_act_inside_an_act_is_a_mistake_of_the_program(collection: Collection) -> None:
    with pytest.raises(RuntimeError, match="already in hand"), collection.act(Act.WEIGH), collection.act(Act.WEIGH):
        pass
    assert add_animal(collection) == 1


def test_an_act_that_fails_leaves_nothing(collection: Collection) -> None:
    with pytest.raises(ValueError, match="stop"), collection.act(Act.ADD_ANIMAL) as act:
        act.insert(t.Animal, keeper_id="F-014")
        raise ValueError("stop")
    assert content_of(collection) == {t.table_name(m): [] for m in t.RECORD_TABLES}
    assert collection.read("SELECT count(*) FROM act") == [(0,)]
    assert check.check(collection).findings == ()


def test_an_id_is_never_given_again_after_an_undo(collection: Collection) -> None:
    first = add_animal(collection)
    undo(collection, 1)
    assert collection.read("SELECT count(*) FROM animal") == [(0,)]
    assert add_animal(collection) == first + 1


def test_an_undo_can_be_undone_and_survives_closing(tmp_path: Path, clock: TestClock) -> None:
    with Collection.create(tmp_path / "book", clock) as collection:
        add_animal(collection)
        full = content_of(collection)
    with Collection.open(tmp_path / "book", clock) as collection:
        undo(collection, 1)
        assert content_of(collection)["animal"] == []
        assert collection.read("SELECT in_force FROM act ORDER BY id") == [(0,), (1,)]
    with Collection.open(tmp_path / "book", clock) as collection:
        undo(collection, 2)
        assert content_of(collection) == full
        assert collection.read("SELECT in_force FROM act ORDER BY id") == [(1,), (0,), (1,)]
        assert check.check(collection).findings == ()


def test_later_acts_that_rest_on_one_are_named_children_included(collection: Collection) -> None:
    animal = add_animal(collection)  # 1
    weigh(collection, animal, "w")  # 2
    add_animal(collection, "M-03")  # 3
    with collection.act(Act.ADD_ANIMAL) as act:  # 4
        act.insert(t.Animal, keeper_id="J-22", dam_id=animal)
    with collection.act(Act.EDIT_ENTRY) as act:  # 5
        act.update(t.Weight, 1, note="after a meal")
    assert resting(collection, 1) == [5, 4, 2]
    assert resting(collection, 2) == [5]
    assert resting(collection, 3) == []


def test_an_act_rests_on_the_removal_of_what_it_pointed_at_before(collection: Collection) -> None:
    with collection.act(Act.ADD_PLACE) as act:  # 1
        place = act.insert(t.Place, kind="rack", name="R1", label="R1")
    animal = add_animal(collection, place_id=place)  # 2
    with collection.act(Act.MOVE_ANIMAL) as act:  # 3
        act.update(t.Animal, animal, place_id=None)
    with collection.act(Act.REMOVE_PLACE) as act:  # 4
        act.delete(t.Place, place)
    assert resting(collection, 3) == [4]
    undo(collection, 4, 3)
    assert collection.read("SELECT place_id FROM animal") == [(place,)]


def test_an_act_rests_on_whoever_took_its_old_name(collection: Collection) -> None:
    with collection.act(Act.ADD_PLACE) as act:  # 1
        place = act.insert(t.Place, kind="rack", name="R1", label="R1")
    with collection.act(Act.EDIT_PLACE) as act:  # 2
        act.update(t.Place, place, label="R9")
    with collection.act(Act.ADD_PLACE) as act:  # 3
        act.insert(t.Place, kind="rack", name="R1", label="R1")
    assert resting(collection, 2) == [3]
    undo(collection, 3, 2)
    assert collection.read("SELECT label FROM place") == [("R1",)]


def test_rows_of_one_table_that_point_at_each_other_can_be_undone(collection: Collection) -> None:
    with collection.act(Act.ADD_PLACE) as act:
        room = act.insert(t.Place, kind="room", name="Room", label="Room")
        rack = act.insert(t.Place, kind="rack", name="R1", label="R1", parent_id=room)
        act.insert(t.Place, kind="slot", name="A1", label="R1-A1", parent_id=rack)
    full = content_of(collection)
    undo(collection, 1)
    assert content_of(collection)["place"] == []
    undo(collection, 2)
    assert content_of(collection) == full


def test_an_import_and_all_that_rests_on_it_are_undone_in_one_act(collection: Collection) -> None:
    add_animal(collection)
    before = content_of(collection)
    bring_in(collection, "R1", 300)
    weigh(collection, 17, "later")
    assert resting(collection, 2) == [3]
    undo(collection, 3, 2)
    assert content_of(collection) == before
    assert check.check(collection).findings == ()


def test_acts_taken_back_together_come_back_in_their_order(collection: Collection) -> None:
    add_animal(collection)  # 1
    undo(collection, 1)  # 2
    undo(collection, 2)  # 3: 1 is in force again
    undo(collection, 1)  # 4
    undo(collection, 4, 3)  # 5: 2 is in force again
    undo(collection, 5)  # 6: 3 and then 4 are in force again, so 1 is not
    assert content_of(collection)["animal"] == []
    assert collection.read("SELECT id FROM act WHERE in_force = 1 ORDER BY id") == [(3,), (4,), (6,)]


def test_changes_say_which_rows_and_animals_were_touched(collection: Collection) -> None:
    animal = add_animal(collection)
    with collection.act(Act.WEIGH) as act:
        row = act.insert(t.Weight, animal_id=animal, at=act.now_text, mass_dg=9_000)
    assert act.changes.rows == {"weight": frozenset({row})}
    assert act.changes.animals == {animal}
    assert act.changes.act == act.id


def test_two_threads_write_one_after_the_other(collection: Collection) -> None:
    animal = add_animal(collection)
    failed: list[BaseException] = []

    def write(name: str) -> None:
        try:
            for n in range(40):
                weigh(collection, animal, f"{name}{n}")
                assert collection.read("SELECT count(*) FROM weight")[0][0] > n
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=(name,)) for name in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert collection.read("SELECT count(*) FROM weight") == [(80,)]
    assert collection.read("SELECT count(*) FROM act WHERE size = 1") == [(81,)]
    assert check.check(collection).findings == ()


def test_a_hook_that_fails_takes_the_act_back(collection: Collection) -> None:
    def refuse(_db: object, _changes: object) -> None:
        raise LookupError("derived")

    collection.hooks.append(refuse)
    with pytest.raises(LookupError):
        add_animal(collection)
    collection.hooks.clear()
    assert collection.read("SELECT count(*) FROM animal") == [(0,)]


def test_a_closed_collection_says_so(tmp_path: Path, clock: TestClock) -> None:
    collection = Collection.create(tmp_path / "book", clock)
    collection.close()
    collection.close()
    with pytest.raises(StorageTrouble, match="has been closed"):
        collection.read("SELECT 1")
    with pytest.raises(StorageTrouble, match="has been closed"):
        add_animal(collection)


def test_replace_into_cannot_slip_past_the_journal(collection: Collection) -> None:
    with collection.act(Act.CHANGE_SETTING) as act:
        act.insert(t.Setting, name="theme", value="dark")
    with collection.act(Act.CHANGE_SETTING) as act:
        act.run("INSERT OR REPLACE INTO setting (name, value) VALUES ('theme', 'dim')")
    assert collection.read("SELECT op FROM change WHERE act = 2 ORDER BY id") == [("D",), ("I",)]
    undo(collection, 2)
    assert collection.read("SELECT id, value FROM setting") == [(1, "dark")]


def test_json_keeps_every_value_exactly(collection: Collection) -> None:
    odd = "\u0000'\"\\ \u2642\u2640 \U0001f40d \ud7ff line\nbreak"
    with collection.act(Act.WRITE_NOTE) as act:
        act.insert(t.Note, at=act.now_text, text=odd)
        act.insert(t.Setting, name="n", value=str(2**63 - 1))
        act.insert(t.Feeding, animal_id=act.insert(t.Animal, keeper_id="F-014"), at="", prey_dg=2**63 - 1)
    before = content_of(collection)
    with collection.act(Act.REMOVE_ENTRY) as act:
        act.delete(t.Note, 1)
        act.update(t.Feeding, 1, prey_dg=-(2**63))
    undo(collection, 2)
    assert content_of(collection) == before


def test_sqlite_is_as_new_as_the_journal_needs() -> None:
    assert sqlite3.sqlite_version_info >= (3, 37, 0), "strict tables"


def test_half_a_sign_is_kept_as_no_sign(collection: Collection) -> None:
    """A file's name its system cannot spell (POSIX gives such bytes as halves) stopped the act with an error."""
    animal = add_animal(collection)
    with collection.act(Act.WRITE_NOTE) as act:
        act.insert(t.Note, animal_id=animal, at="2026-03-01T12:00", text="scan \udce9.png")
        act.tell(say("{file} kept", file="scan \udce9.png"))
    assert collection.read("SELECT text FROM note") == [("scan \ufffd.png",)]
    assert "scan \ufffd.png" in collection.read("SELECT detail FROM act ORDER BY id DESC LIMIT 1")[0][0]
