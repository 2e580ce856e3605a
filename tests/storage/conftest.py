"""A real collection on disk, and a clock a test can turn."""

from __future__ import annotations

import gzip
import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from coilbook.records.ids import ActId
from coilbook.records.vocabulary import Act
from coilbook.storage import journal
from coilbook.storage.collection import Collection
from coilbook.storage.layout import FILE_NAME, PHOTOS, photo_place
from tests.storage.frozen.make_v1 import HERE, PICTURE
from tests.storage.workload import TestClock


@pytest.fixture
def clock() -> TestClock:
    return TestClock()


@pytest.fixture
def collection(tmp_path: Path, clock: TestClock) -> Iterator[Collection]:
    with Collection.create(tmp_path / "book", clock) as made:
        yield made


@pytest.fixture
def old_folder(tmp_path: Path) -> Path:
    """A collection of format 1 with its one picture."""
    return lay_out_frozen(tmp_path / "old", 1)


@pytest.fixture
def folder_v2(tmp_path: Path) -> Path:
    """A collection of format 2 with its one picture."""
    return lay_out_frozen(tmp_path / "old", 2)


def lay_out_frozen(folder: Path, version: int) -> Path:
    """Lay the frozen file of a format and its picture out as a collection's folder."""
    folder.mkdir(parents=True)
    (folder / FILE_NAME).write_bytes(gzip.decompress((HERE / f"v{version}.sqlite.gz").read_bytes()))
    import hashlib

    place = folder / PHOTOS / photo_place(hashlib.sha256(PICTURE).hexdigest(), "png")
    place.parent.mkdir(parents=True)
    place.write_bytes(PICTURE)
    return folder


def undo(collection: Collection, *acts: int) -> None:
    """Take acts back in one act, newest first, by the journal alone."""
    newest_first = sorted((ActId(a) for a in acts), reverse=True)
    with collection.act(Act.UNDO, undoes=newest_first) as hand:
        for act in newest_first:
            journal.apply_inverse(hand.db, act)


def jpeg(colour: str = "olive", size: tuple[int, int] = (64, 48), **more: object) -> bytes:
    """A small picture."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG", **more)
    return out.getvalue()
