"""The whole book as one JSON file, which this program reads back into an empty collection.

`records.book_format` describes the file.

Pictures are written without the place, time and camera hidden in them. One that hides nothing goes byte for byte; the
others get a new SHA-256, under which their row names them.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from coilbook.reads.export_tables import PAGE, Steps, TableOut, pages
from coilbook.records.book_format import FORMAT, VERSION
from coilbook.records.message import StorageTrouble
from coilbook.storage import disk, photos
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.schema import SCHEMA_VERSION
from coilbook.storage.tables import RECORD_TABLES, column_names, table_name
from coilbook.storage.trouble import plainly

#: what a picture can carry beside its pixels, as Pillow names it
_HIDDEN = ("exif", "xmp", "XML:com.adobe.xmp", "photoshop", "comment", "Comment", "parsed_exif", "mp")


def write_book(collection: Collection, file: Path, steps: Steps) -> list[Path]:
    """Write the book to `file` and its pictures to a folder beside it; both are whole or not there."""
    folder = file.with_name(f"{file.stem}.photos")
    renamed, missing = _write_photos(collection, folder)
    with plainly(), disk.arriving(file) as path, path.open("w", encoding="utf-8", newline="\n") as stream:
        _write(collection, stream, folder.name if folder.is_dir() else "", (renamed, missing), steps)
    return [file, folder] if folder.is_dir() else [file]


def _write(
    collection: Collection,
    stream: IO[str],
    folder: str,
    pictures: tuple[dict[tuple[str, str], str], list[str]],
    steps: Steps,
) -> None:
    renamed, missing = pictures
    now = collection.clock().astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    head = {"format": FORMAT, "version": VERSION, "written_at": now, "schema": SCHEMA_VERSION, "photo_folder": folder}
    head |= {"missing_photos": missing} if missing else {}
    for name, value in head.items():
        stream.write(f"{'{' if name == 'format' else ' '}{_text(name)}: {_text(value)},\n")
    stream.write(' "tables": {\n')
    for place, model in enumerate(RECORD_TABLES):
        stream.write(f"{',' if place else ''} {_text(table_name(model))}: [")
        first = True
        for row in _rows(collection, model, steps):
            if model is _PHOTO:
                row["sha256"] = renamed[str(row["sha256"]), str(row["ending"])]
            stream.write(f"{'' if first else ','}\n{_text(row)}")
            first = False
        stream.write("]\n")
    stream.write(" },\n")
    codes = collection.read("SELECT kind, body, target, issued_at FROM code ORDER BY id")
    listed = [dict(zip(("kind", "body", "target", "issued_at"), code, strict=True)) for code in codes]
    stream.write(f' "codes": {_text(listed)},\n')
    stream.write(f' "code_counters": {_text(dict(collection.read("SELECT kind, last FROM code_counter")))}}}\n')


_PHOTO = next(model for model in RECORD_TABLES if table_name(model) == "photo")


def _rows(collection: Collection, model: type[Base], steps: Steps) -> Iterator[dict[str, object]]:
    columns = column_names(model)
    picked = ", ".join(f'"{c}"' for c in columns)
    name = table_name(model)
    table = TableOut(name, columns, f'SELECT {picked} FROM "{name}" WHERE id > ? ORDER BY id LIMIT {PAGE}')
    for rows in pages(collection, table):
        for row in rows:
            yield dict(zip(columns, row, strict=True))
        steps.more(len(rows))


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _write_photos(collection: Collection, folder: Path) -> tuple[dict[tuple[str, str], str], list[str]]:
    """The pictures that rows name, written to `folder`: their SHA-256 there, by (SHA-256, ending) here.

    And those whose file is missing or damaged: for want of one picture the book is not kept from going out.
    """
    renamed: dict[tuple[str, str], str] = {}
    missing: list[str] = []
    for sha256, ending in collection.read("SELECT DISTINCT sha256, ending FROM photo ORDER BY sha256"):
        with plainly():
            folder.mkdir(parents=True, exist_ok=True)
        try:
            content = photos.read(collection.folder, str(sha256), str(ending))
        except StorageTrouble as trouble:
            if trouble.kind != "photo":
                raise
            missing.append(str(sha256))
            renamed[str(sha256), str(ending)] = str(sha256)
            continue
        if _hides_something(content):
            passing = folder / f"{sha256}.{ending}"
            photos.export_stripped(collection.folder, str(sha256), str(ending), passing)
            shown = disk.sha256_of(passing)
            passing.replace(folder / f"{shown}.{ending}")
        else:
            shown = hashlib.sha256(content).hexdigest()
            with plainly():
                disk.write_whole(folder / f"{shown}.{ending}", content)
        renamed[str(sha256), str(ending)] = shown
    return renamed, missing


def _hides_something(content: bytes) -> bool:
    from PIL import Image

    with Image.open(io.BytesIO(content)) as picture:
        return picture.format == "MPO" or bool(picture.getexif()) or any(name in picture.info for name in _HIDDEN)
