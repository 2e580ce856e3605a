"""Where things lie in a collection's folder and in a folder of backups."""

from __future__ import annotations

from pathlib import Path

FILE_NAME = "collection.sqlite"
PHOTOS, BACKUPS, PAPERS, IMPORTS = "photos", "backups", "papers", "imports"
#: what can be worked out again from the file, kept so that a large collection opens quickly
CACHE = "cache"
FOLDERS = (PHOTOS, BACKUPS, PAPERS, IMPORTS)
MANIFEST = "manifest.json"
#: in a collection's own folder of backups: where on other disks there are more, which its file may no longer tell
ELSEWHERE = "elsewhere.txt"
#: a whole file on its way into a folder whose own was damaged; opening finishes what a crash interrupted
ARRIVING = "collection.sqlite.arriving"


def photo_place(sha256: str, ending: str) -> str:
    """A picture's place below a folder of photos, spread over 256 folders by the first letters of its SHA-256."""
    return f"{sha256[:2]}/{sha256}.{ending}"


def beside(file: Path) -> tuple[Path, Path]:
    """The write-ahead log and the shared index SQLite keeps beside a file."""
    return file.with_name(file.name + "-wal"), file.with_name(file.name + "-shm")
