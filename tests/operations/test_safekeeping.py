"""Backups and restores through the acts a keeper has."""

from __future__ import annotations

from pathlib import Path

import pytest

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
from coilbook.records.backups import BackupReason
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import CodeKind
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
