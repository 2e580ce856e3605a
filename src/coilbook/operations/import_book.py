"""Reading an exported book back into a collection without animals, in one act.

Row ids stay as they are in a new collection; where some have been given already every id of a table moves on by the
same step, so that whatever pointed at a row still does. Printed codes stay good: labels need no reprint. A code that
stands for nothing any more (the same book was imported before and that was undone) opens its animal again.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coilbook.labels.code import LabelCode
from coilbook.operations.ancestry import refuse_rings
from coilbook.operations.bulk import Cancel, Progress, Tally, next_id
from coilbook.operations.people import ERASED
from coilbook.records.book_format import FORMAT, VERSION
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, CodeKind
from coilbook.records.when import moment_from
from coilbook.storage import photos
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.tables import (
    RECORD_TABLES,
    RECORDS_BY_NAME,
    ImportAnswer,
    Person,
    SavedView,
    Setting,
    column_names,
    table_name,
)

#: a book of the largest collection this program is meant for stays below this (bytes)
LARGEST_BOOK = 2_000_000_000
#: tables whose rows go by a name: one that is there already takes the value of the file
_NAMED: dict[type[Base], str] = {Setting: "name", SavedView: "name", ImportAnswer: "fingerprint", Person: "name"}
#: columns that hold a day, and those that hold a moment
_DAYS = frozenset(
    {
        "hatched",
        "date",
        "quarantine_from",
        "return_by",
        "said_on",
        "laid",
        "day",
        "set_up",
        "emptied",
        "asked_on",
        "look_again",
        "settled_on",
        "next_due",
        "planned_until",
    }
)
_MOMENTS = frozenset({"at", "closed_at", "not_yet_at", "seen_at"})
_SHA256 = re.compile(r"[0-9a-f]{64}")
#: the largest number a column of the file holds
LARGEST_NUMBER = (1 << 63) - 1
_CODE_TABLES = {
    CodeKind.ANIMAL: "animal",
    CodeKind.SLOT: "place",
    CodeKind.EGG_BOX: "egg_box",
    CodeKind.HATCHLING: "animal",
}

Tables = Mapping[str, list[dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class BookReport:
    """How many rows of each table came in."""

    rows: Mapping[str, int]


def import_book(
    collection: Collection, *, file: Path, progress: Progress | None = None, cancelled: Cancel | None = None
) -> Outcome[BookReport]:
    """Bring a book that `reads.export` wrote, with its pictures, into a collection that has no animals and places.

    Raises `Refusal` with the reason when the file is no such book, is newer, lacks a picture, contradicts itself, or
    the collection is in use; nothing is written then.
    """
    book = _load(file)
    tables = _checked_tables(book)
    _check_codes(book)
    told = book.get("missing_photos")
    lost = {str(sha256) for sha256 in told} if isinstance(told, list) else set()
    _keep_pictures(collection, file.parent / str(book.get("photo_folder") or ""), tables, lost)
    with collection.act(Act.IMPORT) as act:
        _must_be_empty(act)
        act.run("PRAGMA defer_foreign_keys = ON")
        try:
            moved = _write_tables(act, tables, Tally(sum(map(len, tables.values())), progress, cancelled))
            _write_codes(act, book, moved)
        except sqlite3.IntegrityError as error:
            raise _contradicts(file, str(error)) from error
        if wrong := act.rows("PRAGMA foreign_key_check"):
            raise _contradicts(file, f"a row of {wrong[0][0]} names one of {wrong[0][2]} that is not there")
        refuse_rings(act)
        n = len(tables.get("animal", ()))
        act.tell(say("book {file}: {n} animal imported", "book {file}: {n} animals imported", file=file.name, n=n))
    return act.outcome(Act.IMPORT, BookReport({name: len(rows) for name, rows in tables.items()}))


def is_book(file: Path) -> bool:
    """True when a file begins like an exported book."""
    try:
        with file.open("rb") as stream:
            return f'"{FORMAT}"'.encode() in stream.read(200)
    except OSError:
        return False


def _load(file: Path) -> dict[str, Any]:
    try:
        size = file.stat().st_size
        if size > LARGEST_BOOK:
            raise Refusal(say("{file} is {n} MB, too large for a book.", file=file.name, n=size // 1_000_000))
        book = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise Refusal(
            say("{file} cannot be read: {why}.", file=file.name, why=(error.strerror or "no access").lower())
        ) from error
    except (ValueError, RecursionError) as error:
        raise Refusal(say("{file} is no exported book, or it is cut short.", file=file.name)) from error
    if not isinstance(book, dict) or book.get("format") != FORMAT or not isinstance(book.get("tables"), dict):
        raise Refusal(say("{file} is no exported book, or it is cut short.", file=file.name))
    version = book.get("version")
    if not isinstance(version, int) or version > VERSION:
        raise Refusal(say("{file} was written by a newer Coilbook; this one cannot read it.", file=file.name))
    return book


def _checked_tables(book: Mapping[str, Any]) -> Tables:
    """The tables with known names, known columns and values of the stored kinds."""
    tables: dict[str, list[dict[str, Any]]] = {}
    for name, rows in book["tables"].items():
        model = RECORDS_BY_NAME.get(name)
        if model is None or not isinstance(rows, list):
            raise Refusal(say("The book has a part '{name}' that this program does not know.", name=name))
        known = set(column_names(model))
        for row in rows:
            if not isinstance(row, dict) or not isinstance(row.get("id"), int) or not set(row) <= known:
                raise Refusal(say("A row of '{name}' in the book is not of the form it should have.", name=name))
            if any(v is not None and type(v) not in (int, str) for v in row.values()):
                raise Refusal(say("A row of '{name}' in the book holds a value of another kind.", name=name))
            if not _reads_back(row):
                raise Refusal(say("A row of '{name}' in the book holds a value that is none.", name=name))
        tables[name] = rows
    return tables


def _reads_back(row: Mapping[str, Any]) -> bool:
    """True when every number fits the file, every day and moment is one, and a picture's name is a name."""
    try:
        for column, value in row.items():
            if value is None:
                continue
            if isinstance(value, int) and abs(value) > LARGEST_NUMBER:
                return False
            if column in _DAYS:
                dt.date.fromisoformat(value)
            elif column in _MOMENTS:
                moment_from(value)
            elif column == "looks" and not _is_list_of_words(str(value)):
                return False
    except (ValueError, TypeError, Refusal):
        return False
    if "ending" in row and row["ending"] not in photos.ENDINGS.values():
        return False
    return row["id"] > 0 and ("sha256" not in row or _SHA256.fullmatch(str(row["sha256"])) is not None)


def _is_list_of_words(text: str) -> bool:
    listed = json.loads(text)
    return isinstance(listed, list) and all(isinstance(word, str) for word in listed)


def _check_codes(book: Mapping[str, Any]) -> None:
    try:
        for code in book.get("codes") or ():
            LabelCode(CodeKind(code["kind"]), str(code["body"]))
            if not (isinstance(code["target"], int) and isinstance(code["issued_at"], str)):
                raise ValueError(code)
        for name, last in dict(book.get("code_counters") or {}).items():
            if CodeKind(name) and not 0 <= int(last) <= LARGEST_NUMBER:
                raise ValueError(name)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise Refusal(say("The printed codes in the book are not of the form they should have.")) from error


def _keep_pictures(collection: Collection, folder: Path, tables: Tables, lost: set[str]) -> None:
    """Bring the pictures into the collection before any row names them, but for those the book says are `lost`."""
    for row in tables.get("photo", ()):
        if row.get("sha256") in lost:
            continue
        file = folder / f"{row.get('sha256')}.{row.get('ending')}"
        content = file.read_bytes() if file.is_file() else b""
        if hashlib.sha256(content).hexdigest() != row.get("sha256"):
            raise Refusal(
                say("The picture {name} is missing beside the book, or was changed.", name=f"{folder.name}/{file.name}")
            )
        photos.store(collection.folder, content)


def _must_be_empty(act: ActInHand) -> None:
    if act.rows("SELECT 1 FROM animal UNION SELECT 1 FROM place LIMIT 1"):
        raise Refusal(say("A book goes into a new collection; this one has animals or places. Begin a new one first."))


def _write_tables(act: ActInHand, tables: Tables, tally: Tally) -> dict[str, dict[int, int]]:
    """Write every row under its new id; the new ids by table and old id."""
    moved: dict[str, dict[int, int]] = {}
    for model in RECORD_TABLES:
        moved[table_name(model)] = _new_ids(act, model, tables.get(table_name(model), []))
    for model in RECORD_TABLES:
        name = table_name(model)
        there = _there(act, model)
        fresh = []
        for row in tables.get(name, ()):
            changed = _pointed(model, row, moved)
            if model in _NAMED and changed["id"] in there:
                act.update(model, changed["id"], **{k: v for k, v in changed.items() if k != "id"})
            else:
                fresh.append(changed)
        if fresh:
            columns = [c for c in column_names(model) if all(c in row for row in fresh)]
            act.insert_many(model, columns, tally.counted([row[c] for c in columns] for row in fresh))
    return moved


def _there(act: ActInHand, model: type[Base]) -> set[int]:
    return {int(i) for (i,) in act.rows(f'SELECT id FROM "{table_name(model)}"')} if model in _NAMED else set()


def _new_ids(act: ActInHand, model: type[Base], rows: list[dict[str, Any]]) -> dict[int, int]:
    step = next_id(act, model) - 1
    ids = {int(row["id"]): int(row["id"]) + step for row in rows}
    if model in _NAMED:
        key = _NAMED[model]
        named = {str(n): int(i) for i, n in act.rows(f'SELECT id, "{key}" FROM "{table_name(model)}"')}
        for row in rows:
            # of several people of one name the first is the one who is here; who was erased is nobody known
            if row.get(key) in named and row[key] != ERASED:
                ids[int(row["id"])] = named.pop(row[key])
    return ids


def _pointed(model: type[Base], row: Mapping[str, Any], moved: Mapping[str, Mapping[int, int]]) -> dict[str, Any]:
    """A row under its new id, pointing at the new ids of others."""
    changed = dict(row)
    changed["id"] = moved[table_name(model)][row["id"]]
    targets = {f.column_name: table_name(f.rel_model) for f in model._meta.refs}
    if table_name(model) == "animal":
        targets["cover_photo"] = "photo"
    for column, table in targets.items():
        if row.get(column) is not None:
            changed[column] = moved[table].get(row[column], row[column])
    return changed


def _write_codes(act: ActInHand, book: Mapping[str, Any], moved: Mapping[str, Mapping[int, int]]) -> None:
    known = {str(body): int(row) for row, body in act.rows("SELECT id, body FROM code")}
    for kind, body, target, issued in _codes(book, moved):
        if body in known:
            act.run("UPDATE code SET kind = ?, target = ? WHERE id = ?", (kind.value, target, known[body]))
        else:
            values = (body, kind.value, target, issued)
            act.run("INSERT INTO code (body, kind, target, issued_at) VALUES (?, ?, ?, ?)", values)
    for name, last in dict(book.get("code_counters") or {}).items():
        act.run(
            "INSERT INTO code_counter (kind, last) VALUES (?, ?)"
            " ON CONFLICT (kind) DO UPDATE SET last = max(last, excluded.last)",
            (str(CodeKind(name).value), int(last)),
        )


def _codes(book: Mapping[str, Any], moved: Mapping[str, Mapping[int, int]]) -> Iterator[tuple[CodeKind, str, int, str]]:
    """The codes of rows that came in; those of undone rows go along under ids that are never given."""
    for code in book.get("codes") or ():
        kind = CodeKind(code["kind"])
        ids = moved.get(_CODE_TABLES.get(kind, ""), {})
        if code["target"] in ids:
            yield kind, str(code["body"]), ids[code["target"]], str(code["issued_at"])


def _contradicts(file: Path, why: str) -> Refusal:
    return Refusal(say("{file} contradicts itself, so nothing was imported ({why}).", file=file.name, why=why))
