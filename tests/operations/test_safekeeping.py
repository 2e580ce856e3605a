"""Backups and restores through the acts a keeper has."""

from __future__ import annotations

import datetime as dt
import json
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest

from coilbook.app.command_line import main
from coilbook.app.rescue import open_or_rescue
from coilbook.operations.care import write_note
from coilbook.operations.people import add_person, erase_person
from coilbook.operations.safekeeping import (
    back_up,
    back_up_if_due,
    back_up_on_close,
    backups_there,
    choose_backup_folder,
    restore_backup,
)
from coilbook.operations.undo import RestsOn, undo_act, undo_last
from coilbook.reads.codes import code_of
from coilbook.records.backups import Backup, BackupReason
from coilbook.records.message import Refusal, StorageTrouble
from coilbook.records.vocabulary import CodeKind
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME, MANIFEST
from tests.operations.conftest import Room, content


def test_a_restore_brings_a_day_back_and_undo_brings_now_back(room: Room) -> None:
    made = back_up(room.book)
    then = content(room.book)
    room.clock.pass_(hours=3)
    write_note(room.book, animal=room.female, text="after the backup")
    now = content(room.book)
    room.clock.pass_(minutes=1)
    outcome = restore_backup(room.book, name=made.name)
    assert content(room.book) == then
    assert outcome.changes.everything
    assert code_of(room.book, CodeKind.ANIMAL, room.female) is not None
    room.clock.pass_(minutes=1)
    undo_last(room.book)
    assert content(room.book) == now


def test_acts_after_a_restore_are_named_before_it_is_taken_back(room: Room) -> None:
    made = back_up(room.book)
    room.clock.pass_(hours=1)
    restored = restore_backup(room.book, name=made.name)
    room.clock.pass_(minutes=1)
    write_note(room.book, animal=room.female, text="since the restore")
    assert restored.changes.act is not None
    with pytest.raises(RestsOn) as resting:
        undo_act(room.book, act=restored.changes.act)
    assert "note on F-014" in str(resting.value.told[0])
    undo_act(room.book, act=restored.changes.act, together=True)
    assert room.book.read("SELECT count(*) FROM note") == [(0,)]


def test_the_hourly_backup_waits_for_an_hour_and_a_change(room: Room) -> None:
    assert back_up_if_due(room.book) is not None
    room.clock.pass_(minutes=30)
    write_note(room.book, animal=room.female, text="soon after")
    assert back_up_if_due(room.book) is None
    room.clock.pass_(minutes=31)
    second = back_up_if_due(room.book)
    assert second is not None and second.reason is BackupReason.HOURLY
    room.clock.pass_(hours=2)
    assert back_up_if_due(room.book) is None
    assert back_up_on_close(room.book) is None
    assert len(backups_there(room.book)) == 2


def test_a_backup_that_is_not_there_is_refused(room: Room) -> None:
    with pytest.raises(Refusal, match="no backup"):
        restore_backup(room.book, name="2020-01-01T00-00-00Z-hourly")


def test_backups_go_to_another_disk_and_home_when_it_is_away(room: Room, tmp_path: Path) -> None:
    drive = tmp_path / "drive"
    with pytest.raises(Refusal, match="connected"):
        choose_backup_folder(room.book, folder=str(drive))
    drive.mkdir()
    choose_backup_folder(room.book, folder=str(drive))
    away = back_up(room.book)
    assert away.folder.is_relative_to(drive)
    room.clock.pass_(hours=1)
    drive.rename(tmp_path / "unplugged")
    home = back_up(room.book)
    assert home.folder.is_relative_to(room.book.folder)
    (tmp_path / "unplugged").rename(drive)
    assert [b.name for b in backups_there(room.book)] == [home.name, away.name]
    room.clock.pass_(hours=1)
    write_note(room.book, animal=room.female, text="later")
    restore_backup(room.book, name=away.name)
    assert room.book.read("SELECT count(*) FROM note") == [(0,)]


def test_a_restore_says_who_comes_back_though_erased(room: Room) -> None:
    person = add_person(room.book, name="Anselm").value
    made = back_up(room.book)
    room.clock.pass_(hours=1)
    erase_person(room.book, person=person)
    room.clock.pass_(hours=1)
    outcome = restore_backup(room.book, name=made.name)
    assert "erasure of 1 person" in str(outcome.warnings[0])


def test_the_original_of_an_import_comes_back_with_a_backup(room: Room) -> None:
    kept = room.book.folder / "imports" / ("ab" * 32 + ".csv")
    kept.write_bytes(b"ID,Sex\nJ-77,0.1\n")
    made = back_up(room.book)
    kept.unlink()
    room.clock.pass_(hours=1)
    restore_backup(room.book, name=made.name)
    assert kept.read_bytes() == b"ID,Sex\nJ-77,0.1\n"


def test_two_collections_of_one_name_have_a_folder_each_on_the_other_disk(room: Room, tmp_path: Path) -> None:
    """Each thinned the other's backups and offered them for restoring."""
    drive = tmp_path / "drive"
    drive.mkdir()
    (tmp_path / "elsewhere").mkdir()
    with Collection.create(tmp_path / "elsewhere" / room.book.folder.name, room.clock) as other:
        for book in (room.book, other):
            choose_backup_folder(book, folder=str(drive))
        ours, theirs = back_up(room.book), back_up(other)
        assert ours.folder.parent != theirs.folder.parent
        assert [b.folder for b in backups_there(room.book)] == [ours.folder]
        assert [b.folder for b in backups_there(other)] == [theirs.folder]
    # what was moved as a whole keeps its backups
    moved = tmp_path / "moved"
    moved.mkdir()
    (tmp_path / "elsewhere" / room.book.folder.name).rename(moved / room.book.folder.name)
    with Collection.open(moved / room.book.folder.name, room.clock) as other:
        assert [b.folder for b in backups_there(other)] == [theirs.folder]
        room.clock.pass_(hours=2)
        assert back_up(other).folder.parent == theirs.folder.parent


def test_a_lost_file_is_made_good_from_a_backup_on_the_other_disk(room: Room, tmp_path: Path) -> None:
    """Where backups go stood in the lost file alone, so nothing was offered."""
    drive = tmp_path / "drive"
    drive.mkdir()
    choose_backup_folder(room.book, folder=str(drive))
    made = back_up(room.book)
    folder = room.book.folder
    room.book.close()
    (folder / FILE_NAME).write_bytes(b"")
    with pytest.raises(StorageTrouble, match="newest backup is of"):
        Collection.open(folder, room.clock)
    offered: list[Backup] = []

    def first(_trouble: StorageTrouble, backups: Sequence[Backup]) -> Backup:
        offered.extend(backups)
        return backups[0]

    with open_or_rescue(folder, room.clock, first) as rescued:
        assert rescued.read("SELECT keeper_id FROM animal ORDER BY id") == [("F-014",), ("M-03",)]
    assert [b.folder for b in offered] == [made.folder]


def test_a_backup_is_restored_by_its_folder_into_a_place_that_has_nothing(
    room: Room, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """After the machine died there is only the other disk."""
    drive = tmp_path / "drive"
    drive.mkdir()
    choose_backup_folder(room.book, folder=str(drive))
    made = back_up(room.book)
    new = tmp_path / "new machine" / "snakes"
    assert main(["restore", str(made.folder), "--collection", str(new)]) == 0
    with Collection.open(new, room.clock) as there:
        assert there.read("SELECT count(*) FROM animal") == [(2,)]
    assert made.name in capsys.readouterr().out


def test_a_backup_by_a_clock_that_stands_years_back_is_not_thinned_at_once(room: Room) -> None:
    first = back_up(room.book)
    facts = json.loads((first.folder / MANIFEST).read_text(encoding="utf-8"))
    for month in range(30):
        day = dt.date(2026 + month // 12, month % 12 + 1, 1).isoformat()
        copy = first.folder.with_name(f"{day}T00-00-00Z-hourly")
        shutil.copytree(first.folder, copy)
        later = facts | {"made_at": f"{day}T00:00:00Z", "reason": "hourly"}
        (copy / MANIFEST).write_text(json.dumps(later), encoding="utf-8")
    room.clock.pass_(days=-5000)
    made = back_up(room.book, reason=BackupReason.HOURLY)
    assert made.name in [b.name for b in backups_there(room.book)]
    assert len(backups_there(room.book)) < 31
