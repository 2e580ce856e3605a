"""Photos as bytes for a screen; slow enough to be asked off the window's thread."""

from __future__ import annotations

from pathlib import Path

from coilbook.storage import photos
from coilbook.storage.collection import Collection


def thumbnail(collection: Collection, sha256: str, ending: str, side: int) -> bytes:
    """A small upright picture within `side` pixels; `StorageTrouble` of kind `photo` when its file is gone."""
    return photos.thumbnail(collection.folder, sha256, ending, side)


def original(collection: Collection, sha256: str, ending: str) -> bytes:
    """A picture byte for byte as it was kept; `StorageTrouble` of kind `photo` when its file is gone."""
    return photos.read(collection.folder, sha256, ending)


def write_stripped(collection: Collection, sha256: str, ending: str, target: Path) -> None:
    """A picture for others, without where, when and with what it was taken; `StorageTrouble` when its file is gone."""
    photos.export_stripped(collection.folder, sha256, ending, target)
