"""Files that are whole or not there: written under another name, forced to the disk, then given their name.

A rename is only durable once the folder itself has been forced to the disk (the manual of fsync on Linux, from memory).
Windows cannot open a folder for that.
"""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

CHUNK = 1 << 20


def force_file(path: Path) -> None:
    """Wait until a file's content is on the disk."""
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


def force_folder(path: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    if os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(path: Path) -> None:
    """Make one folder durably; its parent must be there."""
    if not path.is_dir():
        path.mkdir(exist_ok=True)
        force_folder(path.parent)


@contextmanager
def arriving(target: Path, *, new: bool = False) -> Iterator[Path]:
    """A path to write to; when the block ends well it takes the name `target`, durably and at once.

    A `new` one never takes the place of a file that is there: then `FileExistsError`.
    """
    handle, name = tempfile.mkstemp(prefix=".arriving-", dir=target.parent)
    os.close(handle)
    path = Path(name)
    try:
        yield path
        force_file(path)
        if new:
            _name_new(path, target)
        else:
            path.replace(target)
        force_folder(target.parent)
    finally:
        path.unlink(missing_ok=True)


def _name_new(path: Path, target: Path) -> None:
    try:
        os.link(path, target)
    except FileExistsError:
        raise
    except OSError:
        # a disk without second names (FAT): the gap between asking and naming is as small as it can be
        if target.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        path.replace(target)


def write_whole(target: Path, content: bytes) -> None:
    """Write a file so that after a crash it is there whole, or as it was before."""
    with arriving(target) as path:
        path.write_bytes(content)


def copy_whole(source: Path, target: Path) -> None:
    """Copy a file so that the copy is there whole or not at all."""
    with arriving(target) as path:
        shutil.copyfile(source, path)


def link_or_copy(source: Path, target: Path) -> None:
    """Give a file that never changes a second name, or copy it where the disk cannot (another disk, FAT)."""
    try:
        os.link(source, target)
    except FileExistsError:
        return
    except OSError:
        copy_whole(source, target)
        return
    force_folder(target.parent)


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's content in lower-case hexadecimal."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while chunk := stream.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()
