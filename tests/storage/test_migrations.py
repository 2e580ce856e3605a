"""An older file is brought to the present format whole, or left as it was."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from coilbook.records.backups import BackupReason
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, StorageTrouble
from coilbook.records.vocabulary import Act
from coilbook.storage import backup, check, journal, migrations
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import EGG_TABLES
from coilbook.storage.health_tables import HEALTH_TABLES
from coilbook.storage.layout import FILE_NAME
from coilbook.storage.migration_steps import STEPS
from coilbook.storage.schema import SCHEMA_VERSION
from coilbook.storage.season_tables import SEASON_TABLES
from tests.storage.conftest import undo
from tests.storage.workload import TestClock

#: tables the steps add, and those that are thrown away and rebuilt
ADDED_BY_3 = {t.table_name(m) for m in HEALTH_TABLES}
ADDED_BY_2 = {"restored", "finding", "own_gene"} | {t.table_name(m) for m in (*EGG_TABLES, *SEASON_TABLES, t.ShedMark)}
ADDED = ADDED_BY_2 | ADDED_BY_3
REBUILT = {t.table_name(m) for m in t.DERIVED_TABLES}


def shape(file: Path) -> dict[str, object]:
    """Everything that makes a schema: columns in order with their types, references, indexes, checks, triggers."""
    with closing(sqlite3.connect(file)) as db:
        found: dict[str, object] = {}
        names = [n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        for name in names:
            columns = db.execute(f'SELECT name, type, "notnull", pk FROM pragma_table_info("{name}")').fetchall()
            keys = db.execute(
                f'SELECT "table", "from", "to", on_delete FROM pragma_foreign_key_list("{name}")'
            ).fetchall()
            indexes = db.execute(f'SELECT name, "unique" FROM pragma_index_list("{name}")').fetchall()
            sql = db.execute("SELECT sql FROM sqlite_master WHERE type = 'table' AND name = ?", (name,)).fetchone()[0]
            found[name] = (sorted(columns), sorted(keys), sorted(indexes), sql.count("CHECK"), "STRICT" in sql)
        found["triggers"] = sorted(db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall())
        found["version"] = db.execute("PRAGMA user_version").fetchone()
        return found


def counts(file: Path) -> dict[str, int]:
    with closing(sqlite3.connect(file)) as db:
        return backup.counts_of(db)


def test_the_frozen_file_has_rows_in_every_table(old_folder: Path) -> None:
    found = counts(old_folder / FILE_NAME)
    record_tables = {t.table_name(m) for m in t.RECORD_TABLES} - ADDED
    assert record_tables <= found.keys(), (
        "a table that format 1 did not have needs a step and a frozen file of format 2"
    )
    assert {n for n in found if found[n] == 0} == {"current_act"}


def test_every_row_of_every_table_is_there_afterwards(old_folder: Path, clock: TestClock) -> None:
    before = counts(old_folder / FILE_NAME)
    with Collection.open(old_folder, clock) as collection:
        assert check.check(collection).findings == ()
    after = counts(old_folder / FILE_NAME)
    assert {n: c for n, c in after.items() if n not in ADDED | REBUILT} == {
        n: c for n, c in before.items() if n not in REBUILT
    }
    assert all(after[n] == 0 for n in ADDED | REBUILT)


def test_an_upgraded_file_is_as_a_new_one(old_folder: Path, tmp_path: Path, clock: TestClock) -> None:
    Collection.open(old_folder, clock).close()
    Collection.create(tmp_path / "new", clock).close()
    assert shape(old_folder / FILE_NAME) == shape(tmp_path / "new" / FILE_NAME)


def test_the_frozen_file_of_format_2_has_rows_in_every_table(folder_v2: Path) -> None:
    found = counts(folder_v2 / FILE_NAME)
    record_tables = {t.table_name(m) for m in t.RECORD_TABLES} - ADDED_BY_3
    assert record_tables <= found.keys(), (
        "a table that format 2 did not have needs a step and a frozen file of format 3"
    )
    assert {n for n in found if found[n] == 0} == {"current_act"}


def test_a_file_of_format_2_keeps_every_row_and_is_as_a_new_one(
    folder_v2: Path, tmp_path: Path, clock: TestClock
) -> None:
    before = counts(folder_v2 / FILE_NAME)
    with Collection.open(folder_v2, clock) as collection:
        assert check.check(collection).findings == ()
    after = counts(folder_v2 / FILE_NAME)
    assert {n: c for n, c in after.items() if n not in ADDED_BY_3 | REBUILT} == {
        n: c for n, c in before.items() if n not in REBUILT
    }
    assert all(after[n] == 0 for n in ADDED_BY_3)
    Collection.create(tmp_path / "new", clock).close()
    assert shape(folder_v2 / FILE_NAME) == shape(tmp_path / "new" / FILE_NAME)


def test_acts_of_format_2_can_be_undone_and_its_numbers_are_not_given_again(folder_v2: Path, clock: TestClock) -> None:
    with Collection.open(folder_v2, clock) as collection:
        undo(collection, 2)
        assert collection.read("SELECT name FROM animal WHERE id = 1") == [("",)]
        with collection.act(Act.ADD_ANIMAL) as act:
            assert act.insert(t.Animal, keeper_id="J-24") == 5
        undo(collection, 1, 6)
        assert collection.read("SELECT (SELECT count(*) FROM animal) + (SELECT count(*) FROM place)") == [(0,)]
        assert check.check(collection).findings == ()


def test_the_old_file_is_backed_up_first(old_folder: Path, clock: TestClock) -> None:
    before = counts(old_folder / FILE_NAME)
    Collection.open(old_folder, clock).close()
    (kept,) = backup.listed(backup.backups_of(old_folder))
    assert kept.reason is BackupReason.BEFORE_UPGRADE
    assert kept.version == 1
    assert kept.counts == before
    assert (kept.photos, kept.photos_missing) == (1, 0)
    backup.verify(kept)
    Collection.open(old_folder, clock).close()
    assert len(backup.listed(backup.backups_of(old_folder))) == 1


def test_every_record_column_is_in_its_triggers(collection: Collection) -> None:
    for model in t.RECORD_TABLES:
        name = t.table_name(model)
        sql = dict(
            collection.read("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?", (name,))
        )
        for _, column, *_ in collection.read(f'PRAGMA table_info("{name}")'):
            for event in ("update", "delete"):
                assert f"'{column}', OLD.\"{column}\"" in sql[f"journal_{name}_{event}"]
        assert f"journal_{name}_insert" in sql


def test_acts_older_than_a_rebuild_can_be_undone(old_folder: Path, clock: TestClock) -> None:
    with Collection.open(old_folder, clock) as collection:
        assert collection.read("SELECT feeding_note, sex_percent FROM animal WHERE id = 1") == [("takes mice too", 95)]
        undo(collection, 2, 3, 6)
        assert collection.read("SELECT feeding_note, sex_percent FROM animal WHERE id = 1") == [
            ("small rats only", 100)
        ]
        assert collection.read("SELECT extent, animal_id FROM cleaning") == [("full", None)]
        assert collection.read("SELECT sex_percent FROM animal WHERE id = 2") == [(50,)]
        assert check.check(collection).findings == ()


def test_the_whole_old_import_can_be_undone(old_folder: Path, clock: TestClock) -> None:
    with Collection.open(old_folder, clock) as collection:
        with collection.writing() as db:
            rests = journal.resting_on(db, ActId(1))
        assert rests == [6, 3, 2]
        undo(collection, 1, *rests)
        assert collection.read("SELECT (SELECT count(*) FROM animal) + (SELECT count(*) FROM place)") == [(0,)]
        assert check.check(collection).findings == ()


def test_a_number_used_before_the_rebuild_is_not_given_again(old_folder: Path, clock: TestClock) -> None:
    with Collection.open(old_folder, clock) as collection, collection.act(Act.ADD_ANIMAL) as act:
        assert act.insert(t.Animal, keeper_id="J-24") == 5


def test_how_many_rows_an_act_changed_is_filled_in(old_folder: Path, clock: TestClock) -> None:
    with Collection.open(old_folder, clock) as collection:
        assert collection.read("SELECT id, size, in_force FROM act ORDER BY id") == [
            (1, 26, 1), (2, 1, 1), (3, 1, 1), (4, 1, 0), (5, 1, 1), (6, 1, 1),
        ]  # fmt: skip


def test_a_step_that_fails_leaves_the_file_as_it_was(old_folder: Path) -> None:
    file = old_folder / FILE_NAME
    before = shape(file), counts(file)
    broken = {**STEPS, SCHEMA_VERSION: (*STEPS[SCHEMA_VERSION], "DELETE FROM place WHERE kind = 'room'")}
    with pytest.raises(StorageTrouble, match="left as it is"):
        migrations.upgrade_file(file, steps=broken)
    assert (shape(file), counts(file)) == before


def test_a_file_already_upgraded_by_another_program_is_left_alone(old_folder: Path) -> None:
    migrations.upgrade_file(old_folder / FILE_NAME)
    before = shape(old_folder / FILE_NAME)
    migrations.upgrade_file(old_folder / FILE_NAME)
    assert shape(old_folder / FILE_NAME) == before


def test_an_act_on_a_table_that_is_gone_is_refused_in_a_sentence(collection: Collection) -> None:
    with collection.act(Act.CHANGE_SETTING) as act:
        act.insert(t.Setting, name="theme", value="dim")
        act.run("INSERT INTO change (act, tbl, row, op) VALUES (?, 'ledger', 1, 'I')", (act.id,))
    with pytest.raises(Refusal, match="older Coilbook, which kept ledger differently"):
        undo(collection, act.id)
    assert collection.read("SELECT value FROM setting") == [("dim",)]
    assert [str(f) for f in check.check(collection).findings] == [
        "The journal speaks of ledger, which this program does not know."
    ]


def test_steps_lead_to_the_present_format() -> None:
    assert sorted(STEPS) == list(range(2, SCHEMA_VERSION + 1))
