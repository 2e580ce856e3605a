"""Photos as bytes for a screen; slow enough to be asked off the window's thread."""

from __future__ import annotations

from coilbook.storage import photos
from coilbook.storage.collection import Collection


def thumbnail(collection: Collection, sha256: str, ending: str, side: int) -> bytes:
    """A small upright picture within `side` pixels; `StorageTrouble` of kind `photo` when its file is gone."""
    return photos.thumbnail(collection.folder, sha256, ending, side)
