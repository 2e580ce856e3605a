"""Acts for tests that interrupt, tear or undo them: small, real, and told apart by a token."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from pathlib import Path

from coilbook.records.vocabulary import Act
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.layout import PHOTOS, photo_place


class TestClock:
    """Wall time that a test turns; each look at it is a second later, so that no two acts are alike."""

    __test__ = False

    def __init__(self) -> None:
        self.now = dt.datetime(2026, 3, 29, 20, 14, tzinfo=dt.timezone(dt.timedelta(hours=2)))

    def __call__(self) -> dt.datetime:
        self.now += dt.timedelta(seconds=1)
        return self.now

    def pass_(self, **span: float) -> dt.datetime:
        """Let time go by; the moment after it."""
        self.now += dt.timedelta(**span)
        return self.now


def in_memory() -> Path | None:
    """A folder in memory where there is one, for tests that open thousands of files and need no real disk."""
    memory = Path("/dev/shm")
    return memory if os.access(memory, os.W_OK) else None


def add_animal(collection: Collection, keeper_id: str = "F-014", **more: object) -> int:
    """One act: an animal."""
    with collection.act(Act.ADD_ANIMAL) as act:
        return act.insert(t.Animal, keeper_id=keeper_id, **more)


def weigh(collection: Collection, animal: int, token: str) -> None:
    """One act: a weight that carries a token."""
    with collection.act(Act.WEIGH) as act:
        act.insert(t.Weight, animal_id=animal, at=act.now_text, mass_dg=18_420, typed=token)


def bring_in(collection: Collection, token: str, rows: int) -> None:
    """One act as an import writes it: many animals with a place, a weight and a meal each."""
    with collection.act(Act.IMPORT) as act:
        place = act.insert(t.Place, kind="rack", name=token, label=token)
        (first,) = act.rows("SELECT coalesce(max(seq), 0) + 1 FROM sqlite_sequence WHERE name = 'animal'")[0]
        ids = range(first, first + rows)
        act.insert_many(t.Animal, ("id", "keeper_id", "place_id"), ((i, f"{token}-{i}", place) for i in ids))
        act.insert_many(t.Weight, ("animal_id", "at", "mass_dg"), ((i, act.now_text, 9_000 + i) for i in ids))
        act.insert_many(t.Feeding, ("animal_id", "at", "result"), ((i, act.now_text, "taken") for i in ids))
        act.insert(t.ImportBatch, file_name=token, sha256=token, at=act.now_text, rows=rows)


def put_photo(collection: Collection, animal: int, content: bytes) -> str:
    """A picture's file and then its row, as `storage.photos` does it but without decoding; its SHA-256."""
    from coilbook.storage import disk

    sha256 = hashlib.sha256(content).hexdigest()
    target = collection.folder / PHOTOS / photo_place(sha256, "png")
    disk.make_folder(target.parent)
    disk.write_whole(target, content)
    with collection.act(Act.ADD_PHOTO) as act:
        act.insert(t.Photo, animal_id=animal, at=act.now_text, sha256=sha256, ending="png")
    return sha256


def content_of(collection: Collection) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every record table."""
    names = [t.table_name(m) for m in t.RECORD_TABLES]
    return {n: collection.read(f'SELECT * FROM "{n}" ORDER BY id') for n in names}
