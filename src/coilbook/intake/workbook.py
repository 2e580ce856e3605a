"""Opens the file a keeper chose: finds out what it is by its first bytes, and reads it or says why not.

Nothing here trusts the file's name. Every way a file can be wrong has one plain sentence, as a `Refusal`.
"""

from __future__ import annotations

import errno
from pathlib import Path

from coilbook.intake.delimited import read_delimited
from coilbook.intake.sheet import Cancel, Progress, Sheet
from coilbook.intake.spreadsheet import damaged, read_spreadsheet
from coilbook.records.message import Refusal, say

#: a text file of 250,000 rows is far below this (bytes)
LARGEST_TEXT = 200_000_000
#: a workbook is packed; nobody's records are this large (bytes)
LARGEST_PACKED = 100_000_000

_ZIP = b"PK\x03\x04"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
#: the stream an encrypted workbook keeps its content in, as its directory spells it (MS-OFFCRYPTO; from memory)
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_OTHER_KINDS = (
    (b"%PDF", say("a PDF paper")),
    (b"\x89PNG", say("a picture")),
    (b"\xff\xd8\xff", say("a picture")),
    (b"GIF8", say("a picture")),
    (b"SQLite format 3", say("a database")),
    (b"\x1f\x8b", say("a packed archive")),
    (b"7z\xbc\xaf", say("a packed archive")),
    (b"Rar!", say("a packed archive")),
    (b"{\\rtf", say("a letter from a word processor")),
    (b"<!DOCTYPE", say("a web page")),
    (b"<html", say("a web page")),
)


def read_sheets(path: Path, *, progress: Progress | None = None, cancelled: Cancel | None = None) -> tuple[Sheet, ...]:
    """All sheets of a CSV or XLSX file, rows in the order of the file.

    Raises `Refusal` with one sentence when the file is no sheet, cannot be opened or goes past the limits, and
    `Cancelled` when `cancelled()` says so. The file is only read, never changed.
    """
    try:
        head, size = _look_at(path)
        if head.startswith(_ZIP):
            _check_size(path, size, LARGEST_PACKED)
            sheets = read_spreadsheet(path, progress=progress, cancelled=cancelled)
        else:
            _refuse_other_kinds(path, head, size)
            _check_size(path, size, LARGEST_TEXT)
            sheets = (read_delimited(path, progress=progress, cancelled=cancelled),)
    except OSError as error:
        if error.errno == errno.EINVAL:  # a place in the file that its own directory makes up
            raise damaged(path) from error
        raise Refusal(
            say("{file} cannot be read: {reason}.", file=path.name, reason=(error.strerror or "no access").lower())
        ) from error
    if not any(row.filled for sheet in sheets for row in sheet.rows):
        raise Refusal(say("{file} is empty: there is nothing in it to import.", file=path.name))
    return sheets


def _look_at(path: Path) -> tuple[bytes, int]:
    if path.is_dir():
        raise Refusal(say("{file} is a folder. Choose the sheet inside it.", file=path.absolute().name))
    with path.open("rb") as file:
        head = file.read(4096)
    size = path.stat().st_size
    if not head:
        raise Refusal(say("{file} is empty: there is nothing in it to import.", file=path.name))
    return head, size


def _check_size(path: Path, size: int, limit: int) -> None:
    if size > limit:
        raise Refusal(
            say(
                "{file} is {size} MB; a sheet of up to {limit} MB can be read. Save only the tabs with records, "
                "without pictures, as a new file.",
                file=path.name,
                size=size // 1_000_000,
                limit=limit // 1_000_000,
            )
        )


def _refuse_other_kinds(path: Path, head: bytes, size: int) -> None:
    if head.startswith(_OLE):
        if size <= LARGEST_PACKED and _ENCRYPTED in path.read_bytes():
            raise Refusal(
                say("{file} is locked with a password. Save it without the password, then import it.", file=path.name)
            )
        raise Refusal(
            say("{file} is in the old .xls format. Save it as .xlsx or .csv, then import it.", file=path.name)
        )
    if head.startswith(b"PK"):
        raise damaged(path)
    for start, kind in _OTHER_KINDS:
        if head.lstrip()[:16].lower().startswith(start.lower()):
            raise Refusal(say("{file} is {kind}, not a sheet. Choose a .csv or .xlsx file.", file=path.name, kind=kind))
