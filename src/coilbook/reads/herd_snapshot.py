"""The herd kept in a file of the collection, so that a large collection opens as quickly as a small one.

The file is only ever a shortcut: it names the newest act it holds, and how that act was written. When the journal
does not know that act (a backup was restored, the rules changed, the file is damaged) it is passed over.
"""

from __future__ import annotations

import logging
import os
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from coilbook.derived import summary
from coilbook.reads.herd import Herd, act_stamp, load
from coilbook.reads.herd_columns import NAMES
from coilbook.reads.place_book import PlaceBook
from coilbook.reads.text_column import TextColumn
from coilbook.storage.collection import Collection
from coilbook.storage.layout import CACHE

LOG = logging.getLogger(__name__)
#: raised when the columns or their meaning change
FORM = 5
FOLDER = CACHE
FILE_NAME = "herd.npz"
#: a snapshot this many acts old is worth writing again
STALE_ACTS = 200
_LABELS = ("ids", "parents", "walks", "quarantines")


def open_herd(collection: Collection) -> Herd:
    """The herd, up to date: from its snapshot when there is a good one, else read from the file."""
    return kept_herd(collection) or load(collection)


def kept_herd(collection: Collection) -> Herd | None:
    """The herd from its snapshot, up to date; None when there is no good one."""
    herd = _read(collection)
    if herd is not None:
        herd.advance(collection)
    return herd


def keep_fresh(collection: Collection) -> None:
    """Write the snapshot from a herd of its own; for a worker beside the window."""
    keep(collection, open_herd(collection))


def is_worth_keeping(collection: Collection, herd: Herd) -> bool:
    """True when the snapshot on disk is missing or many acts older than this herd."""
    kept = _kept_revision(_file(collection))
    return kept is None or herd.revision - kept > STALE_ACTS


def keep(collection: Collection, herd: Herd) -> None:
    """Write the snapshot; a disk that cannot is no trouble, the next start only takes longer."""
    file = _file(collection)
    herd.texts.compact()
    arrays: dict[str, npt.NDArray[Any]] = {
        "mark": np.array([_mark(herd.stamp)]),
        "revision": np.array([herd.revision]),
        "order": herd.order,
        "block": herd.texts.block,
        "starts": herd.texts.starts,
        "steps": herd.texts.steps,
        "genetics": herd.rank("genetics"),
        "walking": herd.places.walking_rank,
        "labels": _packed(list(herd.places.labels)),
        "words": _packed(list(herd.tags)),
        "holders": np.array([a for held in herd.tags.values() for a in sorted(held)], dtype=np.int32),
        "held": np.array([len(held) for held in herd.tags.values()], dtype=np.int32),
    }
    arrays |= {f"place_{name}": getattr(herd.places, name) for name in _LABELS}
    arrays |= {f"column_{name}": herd[name] for name in NAMES}
    part = file.with_suffix(".part")
    try:
        file.parent.mkdir(exist_ok=True)
        with part.open("wb") as stream:
            np.savez(stream, **arrays)  # type: ignore[arg-type]
        os.replace(part, file)
    except OSError as error:
        LOG.warning("the snapshot of the animals was not written: %s", error)
        part.unlink(missing_ok=True)


def _file(collection: Collection) -> Path:
    return collection.folder / FOLDER / FILE_NAME


def _mark(stamp: str) -> str:
    """The act the snapshot goes up to, and what the rules were when it was written."""
    return f"{FORM} {summary.FORM} {stamp}"


def _kept_revision(file: Path) -> int | None:
    try:
        with file.open("rb") as stream, np.load(stream, allow_pickle=False) as kept:
            return int(kept["revision"][0])
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None


def _read(collection: Collection) -> Herd | None:
    try:
        with _file(collection).open("rb") as stream, np.load(stream, allow_pickle=False) as kept:
            revision = int(kept["revision"][0])
            stamp = act_stamp(collection, revision)
            return _herd_from(kept, revision, stamp) if str(kept["mark"][0]) == _mark(stamp) else None
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, EOFError, IndexError, zipfile.BadZipFile) as error:
        LOG.warning("the snapshot of the animals is passed over: %r", error)
        return None


def _herd_from(kept: Any, revision: int, stamp: str) -> Herd:
    ids, parents, walks, marks = (kept[f"place_{name}"] for name in _LABELS)
    book = PlaceBook(ids, parents, walks, marks, tuple(_unpacked(kept["labels"])))
    book.__dict__["walking_rank"] = kept["walking"]
    ends = np.cumsum(kept["held"])
    holders = np.split(kept["holders"], ends[:-1]) if len(ends) else []
    tags = {word: set(ids.tolist()) for word, ids in zip(_unpacked(kept["words"]), holders)}
    columns = {name: kept[f"column_{name}"] for name in NAMES}
    texts = TextColumn(kept["block"], kept["starts"], kept["steps"])
    herd = Herd(columns, texts, kept["order"], book, tags, revision, stamp)
    herd.give_rank("genetics", kept["genetics"])
    return herd


def _packed(words: list[str]) -> npt.NDArray[np.uint8]:
    return np.frombuffer("\x00".join([*words, ""]).encode(), np.uint8)


def _unpacked(block: npt.NDArray[np.uint8]) -> list[str]:
    return block.tobytes().decode().split("\x00")[:-1]
