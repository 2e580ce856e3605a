"""Folders in which a database comes to harm are told before it does, and the safe way with them."""

from __future__ import annotations

from pathlib import Path

import pytest

from coilbook.records.message import Refusal
from coilbook.storage import folder_kind
from coilbook.storage.collection import Collection
from coilbook.storage.folder_kind import FolderKind, advice, kind_of
from tests.storage.workload import TestClock, add_animal

ROOT = "22 1 254:0 / / rw,relatime - ext4 /dev/vda rw\n"


def table(*mounts: tuple[str, str]) -> str:
    """A mount table as proc(5) writes it: the root disk, then (place, kind of file system)."""
    lines = [f"{40 + n} 22 0:{n} / {place} rw shared:1 - {kind} source rw" for n, (place, kind) in enumerate(mounts)]
    return ROOT + "\n".join(lines)


@pytest.mark.parametrize("kind", ["nfs", "nfs4", "cifs", "smb3", "9p", "fuse.sshfs", "fuse.something", "davfs"])
def test_a_network_share_is_recognised_below_its_mount_point(tmp_path: Path, kind: str) -> None:
    mounts = table((str(tmp_path), kind))
    assert kind_of(tmp_path / "not yet there" / "book", mounts) is FolderKind.SHARE
    assert kind_of(tmp_path.parent, mounts) is FolderKind.LOCAL


@pytest.mark.parametrize("kind", ["ext4", "btrfs", "xfs", "vfat", "fuseblk", "fuse.exfat", "tmpfs", "overlay"])
def test_this_machines_own_disks_are_fine(tmp_path: Path, kind: str) -> None:
    assert kind_of(tmp_path, table((str(tmp_path), kind))) is FolderKind.LOCAL


def test_the_nearest_and_last_mount_decides(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    assert kind_of(inner, table((str(tmp_path), "nfs"), (str(inner), "ext4"))) is FolderKind.LOCAL
    assert kind_of(inner, table((str(inner), "ext4"), (str(inner), "nfs"))) is FolderKind.SHARE
    beside = tmp_path / "inner-too"
    beside.mkdir()
    assert kind_of(beside, table((str(inner), "nfs"))) is FolderKind.LOCAL


def test_a_mount_point_with_a_space_in_it(tmp_path: Path) -> None:
    place = tmp_path / "rack room"
    place.mkdir()
    assert kind_of(place, table((str(place).replace(" ", "\\040"), "cifs"))) is FolderKind.SHARE


def test_a_link_to_a_share_is_a_share(tmp_path: Path) -> None:
    (tmp_path / "share").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "share")
    assert kind_of(tmp_path / "link" / "book", table((str(tmp_path / "share"), "nfs"))) is FolderKind.SHARE


@pytest.mark.parametrize(
    "mark",
    [
        ".stfolder",
        ".sync",
        ".sync_1a2b.db",
        "._sync_1a2b.db",
        ".csync_journal.db",
        ".somebox.cache",
        ".shelf_cloud_state",
    ],
)
def test_a_marked_folder_and_all_below_it_are_kept_in_step(tmp_path: Path, mark: str) -> None:
    top = tmp_path / "papers"
    (top / "deep" / "down").mkdir(parents=True)
    (top / mark).mkdir()
    assert kind_of(top / "deep" / "down" / "book", ROOT) is FolderKind.KEPT_IN_STEP
    assert kind_of(tmp_path / "other", ROOT) is FolderKind.LOCAL


def test_a_programs_settings_in_the_home_folder_mark_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / ".syncing").mkdir()
    assert kind_of(tmp_path / "book", ROOT) is FolderKind.LOCAL


@pytest.mark.parametrize("name", ["My Cloud", "Sync", "My Drive", "synced papers", "rackcloud"])
def test_the_names_such_folders_are_given(tmp_path: Path, name: str) -> None:
    assert kind_of(tmp_path / name / "book", ROOT) is FolderKind.KEPT_IN_STEP


@pytest.mark.parametrize("name", ["USB drive", "usb-drive", "Documents", "async", "racks", "hard drive"])
def test_names_that_mean_nothing_of_the_kind(tmp_path: Path, name: str) -> None:
    assert kind_of(tmp_path / name / "book", ROOT) is FolderKind.LOCAL


def test_a_windows_share_by_its_path() -> None:
    assert folder_kind._on_share(Path(r"\\rack-room\share\book"), ROOT) is True


def test_an_unreadable_mount_table_is_no_reason_to_refuse(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder_kind, "MOUNT_TABLE", tmp_path / "none")
    assert kind_of(tmp_path) is FolderKind.LOCAL


def test_creating_there_is_refused_with_the_safe_way_until_accepted(tmp_path: Path, clock: TestClock) -> None:
    (tmp_path / ".stfolder").mkdir()
    with pytest.raises(Refusal, match=r"this machine alone and choose this one for its backups"):
        Collection.create(tmp_path / "book", clock)
    assert not (tmp_path / "book").exists()
    with Collection.create(tmp_path / "book", clock, accept_folder=True) as collection:
        assert add_animal(collection) == 1
    with Collection.open(tmp_path / "book", clock) as collection:
        assert advice(collection.folder) is not None


def test_the_share_is_told_with_the_safe_way(tmp_path: Path) -> None:
    told = advice(tmp_path, table((str(tmp_path), "nfs4")))
    assert told is not None
    assert "network share" in str(told)
    assert "choose the share for its backups" in str(told)
    assert advice(tmp_path, ROOT) is None
