"""Recognising a folder in which a database comes to harm, and saying so before it does.

SQLite's write-ahead log needs one machine: on a network share its locks and shared memory do not hold (from memory of
SQLite's documentation of write-ahead logging). A folder that another
program keeps in step with other machines gets its file and its log copied at different moments, and two machines'
copies never fit together again. Both are fine places for backups, which are whole files that never change.

Recognised by what the system itself says (mount table, attributes of files) and by the marks such programs leave.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path, PureWindowsPath

from coilbook.records.message import Message, say

MOUNT_TABLE = Path("/proc/self/mountinfo")
#: file systems that are another machine's disk (Linux names; 9p also carries a host's folders into a guest)
SHARES = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "smb", "9p", "afs", "ncpfs", "ceph", "glusterfs", "lustre", "coda"}
    | {"davfs", "beegfs", "gfs2", "ocfs2", "virtiofs", "drvfs"}
)
#: programs that serve a local disk as a file system of their own
_LOCAL_FUSE = frozenset({"fuse.ntfs-3g", "fuse.exfat", "fuse.ext2", "fuse.portal", "fuse.lxcfs", "fuse.gocryptfs"})
#: hidden files and folders by which programs mark the top of what they keep in step
_MARK = re.compile(
    r"^\.(_?sync_?.*|st(folder|ignore|versions)|csync.*|.*sync\w*\.(db|log)|\w*box(\.cache)?|\w*cloud\w*)$", re.I
)
#: names such folders are given when they are set up
_NAMED = re.compile(
    r"cloud|(?<![a-z])sync(ed|hronized)?(?![a-z])|^(?!usb|hard|flash|pen|thumb|ext|backup)\w+ ?drive$", re.I
)
#: Windows: content fetched when it is opened or read, kept or let go by a program (file attributes; from memory)
_FETCHED = 0x0004_0000 | 0x0040_0000 | 0x0008_0000 | 0x0010_0000
#: macOS: content not on this disk (a flag of the file; from memory)
_DATALESS = 0x4000_0000
#: macOS: where the system puts folders that programs keep in step, below the home folder (from memory)
_MAC_PLACES = (("Library", "CloudStorage"), ("Library", "Mobile Documents"))
_DRIVE_REMOTE = 4


class FolderKind(StrEnum):
    """What a folder is for a database."""

    LOCAL = "local"
    KEPT_IN_STEP = "kept_in_step"
    SHARE = "share"


def kind_of(folder: Path, mounts: str | None = None) -> FolderKind:
    """What kind of folder this is or would be; `mounts` is the text of the system's mount table."""
    place = _nearest(folder)
    if _on_share(place, mounts):
        return FolderKind.SHARE
    if any(_is_kept_in_step(parent) for parent in (place, *place.parents)):
        return FolderKind.KEPT_IN_STEP
    if any(_NAMED.search(part) for part in folder.absolute().parts[1:]):
        return FolderKind.KEPT_IN_STEP
    return FolderKind.LOCAL


def advice(folder: Path, mounts: str | None = None) -> Message | None:
    """What to tell the keeper before a collection is kept in `folder`; None when it is a good place."""
    kind = kind_of(folder, mounts)
    if kind is FolderKind.SHARE:
        return say(
            "{folder} is on a network share. There a collection can be damaged as soon as two machines open it or the "
            "network drops. Keep the collection on this machine's own disk and choose the share for its backups.",
            folder=folder,
        )
    if kind is FolderKind.KEPT_IN_STEP:
        return say(
            "{folder} looks like a folder kept in step with other machines. It copies a collection's file while it is "
            "being written, and two machines' copies cannot be put together again. Keep the collection in a folder of "
            "this machine alone and choose this one for its backups.",
            folder=folder,
        )
    return None


def _nearest(folder: Path) -> Path:
    """The folder itself, or the nearest one above it that exists."""
    place = Path(os.path.realpath(folder))
    while not place.is_dir() and place != place.parent:
        place = place.parent
    return place


def _on_share(place: Path, mounts: str | None) -> bool:
    if PureWindowsPath(place).drive.startswith("\\\\"):
        return True
    if sys.platform == "win32":
        import ctypes

        return bool(ctypes.windll.kernel32.GetDriveTypeW(place.anchor) == _DRIVE_REMOTE)
    if mounts is None:
        try:
            mounts = MOUNT_TABLE.read_text(encoding="utf-8", errors="surrogateescape")
        except OSError:
            return False
    system = _file_system(place, mounts)
    return system in SHARES or (system.startswith("fuse.") and system not in _LOCAL_FUSE)


def _file_system(place: Path, mounts: str) -> str:
    """Kind of the file system a folder lies on: the longest mount point above it, the last one mounted there."""
    best, found = -1, ""
    for point, system in _mounted(mounts):
        if place.is_relative_to(point) and len(point.parts) >= best:
            best, found = len(point.parts), system
    return found


def _mounted(mounts: str) -> Iterator[tuple[Path, str]]:
    """(mount point, kind) from the text of proc(5) mountinfo; spaces and the like stand in octal."""
    for line in mounts.splitlines():
        before, dash, after = line.partition(" - ")
        fields = before.split(" ")
        if dash and len(fields) >= 5:
            point = re.sub(r"\\([0-7]{3})", lambda m: chr(int(m.group(1), 8)), fields[4])
            yield Path(point), after.split(" ")[0]


def _is_kept_in_step(place: Path) -> bool:
    if any(place.is_relative_to(Path.home().joinpath(*parts)) for parts in _MAC_PLACES):
        return True
    try:
        found = place.stat()
        if getattr(found, "st_file_attributes", 0) & _FETCHED or getattr(found, "st_flags", 0) & _DATALESS:
            return True
        if Path.home().is_relative_to(place):
            # programs keep their own settings under such names in the home folder itself
            return False
        return any(_MARK.match(name) for name in os.listdir(place))
    except OSError:
        return False
