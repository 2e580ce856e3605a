"""Backups: whole, verified, thinned, never half there."""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest

from coilbook.records.backups import Backup, BackupReason
from coilbook.records.message import Refusal, StorageTrouble
from coilbook.storage import backup, photos
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME, MANIFEST, PHOTOS, photo_place
from coilbook.storage.thinning import kept
from tests.storage.conftest import jpeg
from tests.storage.workload import TestClock, add_animal, bring_in, put_photo, weigh


def test_a_backup_holds_every_row_and_every_picture(collection: Collection, clock: TestClock) -> None:
    animal = add_animal(collection)
    stored = photos.store(collection.folder, jpeg())
    sha256 = put_photo(collection, animal, b"not decoded here")
    weigh(collection, animal, "w1")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    assert made.counts["weight"] == 1
    assert made.photos == 1, "a picture no row names is not the collection's"
    with closing(sqlite3.connect(made.folder / FILE_NAME)) as db:
        assert db.execute("SELECT typed FROM weight").fetchall() == [("w1",)]
        assert db.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    assert (made.folder.parent / PHOTOS / photo_place(sha256, "png")).read_bytes() == b"not decoded here"
    assert stored.sha256 != sha256
    backup.verify(made)
    assert backup.listed(made.folder.parent) == [made]


def test_a_picture_only_the_journal_names_is_kept_too(collection: Collection, clock: TestClock) -> None:
    from coilbook.records.vocabulary import Act
    from coilbook.storage import tables as t

    sha256 = put_photo(collection, add_animal(collection), b"taken off again")
    with collection.act(Act.REMOVE_PHOTO) as act:
        act.delete(t.Photo, 1)
    made = backup.make(collection.folder, clock(), BackupReason.CLOSE)
    assert made.photos == 1
    assert (made.folder.parent / PHOTOS / photo_place(sha256, "png")).is_file()


def test_pictures_are_linked_on_one_disk_and_stored_once(collection: Collection, clock: TestClock) -> None:
    sha256 = put_photo(collection, add_animal(collection), b"x" * 1000)
    first = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    backup.make(collection.folder, clock(), BackupReason.HOURLY)
    place = photo_place(sha256, "png")
    assert os.path.samefile(collection.folder / PHOTOS / place, first.folder.parent / PHOTOS / place)
    assert os.stat(first.folder.parent / PHOTOS / place).st_nlink == 2


def test_a_damaged_picture_is_not_backed_up_as_if_it_were_whole(collection: Collection, clock: TestClock) -> None:
    sha256 = put_photo(collection, add_animal(collection), b"good")
    (collection.folder / PHOTOS / photo_place(sha256, "png")).write_bytes(b"bad!")
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    assert (made.photos, made.photos_missing) == (1, 1)


def test_acts_go_on_while_a_backup_is_made(collection: Collection, clock: TestClock) -> None:
    animal = add_animal(collection)
    bring_in(collection, "R1", 12_000)
    steps: list[int] = []

    def write_in_between(done: int, total: int) -> None:
        steps.append(done)
        weigh(collection, animal, f"during-{len(steps)}")

    before = collection.read("SELECT count(*) FROM weight")[0][0]
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY, progress=write_in_between)
    assert len(steps) > 1
    assert made.counts["weight"] == before
    assert collection.read("SELECT count(*) FROM weight")[0][0] == before + len(steps)


def test_a_backup_can_be_stopped_and_leaves_nothing(collection: Collection, clock: TestClock) -> None:
    bring_in(collection, "R1", 10)
    with pytest.raises(Refusal, match="stopped; nothing of it was kept"):
        backup.make(collection.folder, clock(), BackupReason.HOURLY, cancelled=lambda: True)
    assert list(backup.backups_of(collection.folder).iterdir()) == []


def test_due_when_an_hour_old_and_something_changed(collection: Collection, clock: TestClock) -> None:
    folder = collection.folder
    assert backup.due(folder, clock())
    backup.make(folder, clock(), BackupReason.HOURLY)
    clock.pass_(hours=2)
    assert not backup.due(folder, clock())
    add_animal(collection)
    assert backup.due(folder, clock())
    backup.make(folder, clock(), BackupReason.HOURLY)
    add_animal(collection, "F-015")
    assert not backup.due(folder, clock.pass_(minutes=30))
    assert backup.due(folder, clock.pass_(minutes=31))
    assert backup.due(folder, clock.pass_(days=-300)), "a clock set back must not stop backups"


def test_an_undo_is_a_change_too(collection: Collection, clock: TestClock) -> None:
    from tests.storage.conftest import undo

    add_animal(collection)
    backup.make(collection.folder, clock(), BackupReason.HOURLY)
    undo(collection, 1)
    assert backup.is_changed(collection.folder)


def test_a_changed_backup_is_found_out(collection: Collection, clock: TestClock) -> None:
    add_animal(collection)
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    file = made.folder / FILE_NAME
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(content)
    with pytest.raises(StorageTrouble, match="not as it was written") as caught:
        backup.verify(made)
    assert caught.value.kind == "backup"


def test_a_damaged_collection_makes_no_backup_that_counts(tmp_path: Path, clock: TestClock) -> None:
    with Collection.create(tmp_path / "book", clock) as collection:
        bring_in(collection, "R1", 2000)
    file = tmp_path / "book" / FILE_NAME
    content = bytearray(file.read_bytes())
    content[len(content) // 2 : len(content) // 2 + 40_000] = os.urandom(40_000)
    file.write_bytes(content)
    with pytest.raises(StorageTrouble):
        backup.make(tmp_path / "book", clock(), BackupReason.HOURLY)
    assert backup.listed(tmp_path / "book" / "backups") == []


def test_a_missing_drive_for_backups_is_named_and_not_made_up(
    collection: Collection, clock: TestClock, tmp_path: Path
) -> None:
    with pytest.raises(StorageTrouble, match="Is its drive connected"):
        backup.make(collection.folder, clock(), BackupReason.HOURLY, into=tmp_path / "gone" / "backups")
    assert not (tmp_path / "gone").exists()


def test_backups_on_another_place_are_whole_too(collection: Collection, clock: TestClock, tmp_path: Path) -> None:
    add_animal(collection)
    made = backup.make(collection.folder, clock(), BackupReason.BY_HAND, into=tmp_path / "stick")
    assert made.folder.parent == tmp_path / "stick"
    assert not backup.is_changed(collection.folder, into=tmp_path / "stick")


def test_two_backups_within_one_second_have_two_names(collection: Collection, clock: TestClock) -> None:
    now = clock()
    made = [backup.make(collection.folder, now, BackupReason.CLOSE) for _ in range(3)]
    assert len({b.name for b in made}) == 3
    assert {b.name for b in backup.listed(made[0].folder.parent)} == {b.name for b in made}


def test_half_made_backups_do_not_count(collection: Collection, clock: TestClock) -> None:
    made = backup.make(collection.folder, clock(), BackupReason.HOURLY)
    (made.folder / MANIFEST).write_text("{", encoding="utf-8")
    (made.folder.parent / ".making-abc").mkdir()
    assert backup.listed(made.folder.parent) == []


def _every_hour(days: int, start: dt.datetime) -> list[Backup]:
    return [
        Backup(Path(f"b{n:05}"), start + dt.timedelta(hours=n), BackupReason.HOURLY, 2, 1, "", {}, 0, 0, "")
        for n in range(days * 24)
    ]


def test_thinning_keeps_many_of_today_and_some_of_last_year() -> None:
    start = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    backups = _every_hour(500, start)
    now = backups[-1].made_at
    keep = kept(backups, now)
    ages = sorted((now - b.made_at) for b in backups if b.name in keep)
    assert sum(a < dt.timedelta(hours=24) for a in ages) == 24
    assert sum(a < dt.timedelta(days=14) for a in ages) >= 24 + 12
    assert sum(a < dt.timedelta(days=57) for a in ages) >= 24 + 12 + 5
    assert ages[-1] > dt.timedelta(days=300)
    assert len(ages) <= 24 + 14 + 8 + 12


def test_thinning_every_hour_for_two_years_still_reaches_back_a_year() -> None:
    start = dt.datetime(2024, 1, 1, tzinfo=dt.UTC)
    held: list[Backup] = []
    for made in _every_hour(730, start):
        held.append(made)
        if len(held) > 60:
            keep = kept(held, made.made_at)
            held = [b for b in held if b.name in keep]
    assert held[-1].made_at - held[0].made_at > dt.timedelta(days=330)


def test_what_a_restore_set_aside_outlives_thinning_for_ninety_days() -> None:
    start = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    aside = Backup(Path("aside"), start + dt.timedelta(minutes=30), BackupReason.BEFORE_RESTORE, 2, 1, "", {}, 0, 0, "")
    backups = [*_every_hour(80, start), aside]
    assert "aside" in kept(backups, start + dt.timedelta(days=80))
    assert "aside" not in kept(
        [*backups, *_every_hour(1, start + dt.timedelta(days=95))], start + dt.timedelta(days=96)
    )


def test_thin_takes_the_superfluous_away_and_keeps_the_pictures(collection: Collection, clock: TestClock) -> None:
    sha256 = put_photo(collection, add_animal(collection), b"kept for good")
    made = []
    for _ in range(4):
        made.append(backup.make(collection.folder, clock.pass_(minutes=1), BackupReason.HOURLY))
    home = made[0].folder.parent
    gone = backup.thin(home, clock())
    assert set(gone) == {made[0].name, made[1].name}
    assert [b.name for b in backup.listed(home)] == [made[3].name, made[2].name]
    assert (home / PHOTOS / photo_place(sha256, "png")).is_file()


def test_a_backup_from_another_thread(collection: Collection, clock: TestClock) -> None:
    add_animal(collection)
    made: list[Backup] = []
    worker = threading.Thread(target=lambda: made.append(backup.make(collection.folder, clock(), BackupReason.HOURLY)))
    worker.start()
    worker.join()
    assert made[0].counts["animal"] == 1
