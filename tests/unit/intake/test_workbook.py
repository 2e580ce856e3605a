"""Opening foreign files: every encoding and format read, every wrong file told in one sentence."""

from __future__ import annotations

import datetime as dt
import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import PatternFill

from coilbook.intake import delimited, spreadsheet
from coilbook.intake.sheet import Cancelled, Sheet
from coilbook.intake.workbook import read_sheets
from coilbook.records.message import Refusal

TEXT = "Id,Name,Notes\nF-014,Bière,likes hide\nM-03,Zoë,\n"


def _cells(sheet: Sheet) -> list[tuple[str, ...]]:
    return [row.cells for row in sheet.rows]


def _written(tmp_path: Path, content: bytes, name: str = "sheet.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_text_sheets(tmp_path: Path, encoding: str, delimiter: str) -> None:
    path = _written(tmp_path, TEXT.replace(",", delimiter).encode(encoding))
    (sheet,) = read_sheets(path)
    assert _cells(sheet) == [("Id", "Name", "Notes"), ("F-014", "Bière", "likes hide"), ("M-03", "Zoë")]
    assert sheet.name == "sheet"
    assert bool(sheet.sayings) is (encoding == "cp1252")


def test_quotes_decimal_commas_blank_lines_and_line_ends(tmp_path: Path) -> None:
    text = 'Id;Weight;Notes\r\n\r\nF-01;1,842;"two\nlines; one cell"\r\nF-02;1,5;\r\n'
    (sheet,) = read_sheets(_written(tmp_path, text.encode()))
    assert _cells(sheet) == [("Id", "Weight", "Notes"), ("F-01", "1,842", "two\nlines; one cell"), ("F-02", "1,5")]
    assert [row.number for row in sheet.rows] == [1, 3, 4]


def test_a_first_line_that_names_the_delimiter(tmp_path: Path) -> None:
    (sheet,) = read_sheets(_written(tmp_path, b"sep=;\nId;Name\nF-01;a,b\n"))
    assert _cells(sheet) == [("Id", "Name"), ("F-01", "a,b")]
    assert sheet.rows[0].number == 2


def _book(tmp_path: Path, fill: Callable[[Workbook], None]) -> Path:
    book = Workbook()
    fill(book)
    path = tmp_path / "book.xlsx"
    book.save(path)
    return path


def test_cells_of_a_workbook_become_texts(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        tab = book.active
        tab.append(["Id", "Hatched", "Sex", "Weight", "Seen", "Sure"])
        tab.append(["F-01", dt.date(2021, 3, 4), 1, 1842.0, dt.datetime(2024, 1, 2, 13, 5), True])
        tab["C2"].number_format = "0.0"
        tab.append([" F-02 ", None, 0.1, 1842.5])
        book.create_sheet("Rack 2").append(["x"])

    first, second = read_sheets(_book(tmp_path, fill))
    assert _cells(first)[1:] == [
        ("F-01", "2021-03-04", "1.0", "1842", "2024-01-02 13:05", "yes"),
        ("F-02", "", "0.1", "1842.5"),
    ]
    assert second.name == "Rack 2"


def test_merged_and_coloured_cells(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        tab = book.active
        tab.append(["Rack", "Id"])
        tab.append(["R2", "F-01"])
        tab.append([None, "F-02"])
        tab.append(["Holdbacks"])
        tab.append(["R3", "F-03"])
        tab.merge_cells("A2:A3")
        tab.merge_cells("A4:B4")
        tab["A5"].fill = PatternFill("solid", fgColor="FFFFFF00")
        tab["A2"].fill = PatternFill("solid", fgColor="FFFFFFFF")

    (sheet,) = read_sheets(_book(tmp_path, fill))
    assert _cells(sheet) == [("Rack", "Id"), ("R2", "F-01"), ("R2", "F-02"), ("Holdbacks",), ("R3", "F-03")]
    assert [row.spread for row in sheet.rows] == [False, False, False, True, False]
    assert [row.fill for row in sheet.rows] == ["", "", "", "", "FFFF00"]


def test_a_formula_without_a_result_is_told(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.active.append(["Id", "Weight"])
        book.active.append(["F-01", "=1+1"])

    (sheet,) = read_sheets(_book(tmp_path, fill))
    assert _cells(sheet)[1] == ("F-01",)
    assert "B2" in str(sheet.sayings[0])


def test_a_formula_with_a_result_is_its_result(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.active.append(["Id", "Weight"])
        book.active.append(["F-01", "=1+1"])

    path = _rewritten(_book(tmp_path, fill), "xl/worksheets/sheet1.xml", b"<v />", b"<v>1842</v>", b"<v></v>")
    (sheet,) = read_sheets(path)
    assert _cells(sheet)[1] == ("F-01", "1842")
    assert not sheet.sayings


def _rewritten(path: Path, part: str, *replacements: bytes) -> Path:
    """The workbook with one part changed: the first or third text, whichever is there, becomes the second."""
    old, new, other = replacements
    packed = io.BytesIO()
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.infolist():
            content = source.read(entry)
            if entry.filename == part:
                assert old in content or other in content
                content = content.replace(old, new).replace(other, new)
            target.writestr(entry.filename, content)
    path.write_bytes(packed.getvalue())
    return path


def _says(path: Path, *words: str) -> None:
    with pytest.raises(Refusal) as refusal:
        read_sheets(path)
    text = str(refusal.value)
    assert path.name in text and text.endswith(".")
    for word in words:
        assert word in text


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"\n\n , ,\n", "empty"),
        (b"%PDF-1.7 rest", "PDF"),
        (b"\x89PNG\r\n\x1a\n rest", "picture"),
        (b"SQLite format 3\0 rest", "database"),
        (b"<!doctype html><p>", "web page"),
        (OLE, "old .xls"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "password"),
        (b"PK\x05\x06" + bytes(18), "damaged"),
        (b"PK\x03\x04 cut short", "damaged"),
        (bytes(range(256)) * 20, "not a sheet"),
        (b"Id,Name\nF-01,\x81\x8d\x8f\n", "not a sheet"),
        (b'Id,Name\nF-01,"open' + b" text" * 40_000, "quotation mark"),
        (("Id," + "x," * 1300).encode(), "columns"),
    ],
)
def test_files_that_are_no_sheets(tmp_path: Path, content: bytes, word: str) -> None:
    _says(_written(tmp_path, content), word)


def test_a_folder_a_missing_file_and_a_closed_one(tmp_path: Path) -> None:
    _says(tmp_path, "folder")
    _says(tmp_path / "gone.csv", "no such file")
    closed = _written(tmp_path, b"Id,Name\n")
    closed.chmod(0)
    if not os.access(closed, os.R_OK):  # the administrator may read everything
        _says(closed, "permission")


def test_a_truncated_workbook(tmp_path: Path) -> None:
    path = _book(tmp_path, lambda book: book.active.append(["Id", "Name"]))
    whole = path.read_bytes()
    for length in (30, len(whole) // 2, len(whole) - 10):
        _says(_written(tmp_path, whole[:length], "cut.xlsx"), "damaged")


def test_a_file_of_two_gigabytes_is_not_opened(tmp_path: Path) -> None:
    for name, head in (("big.csv", b"Id,Name\n"), ("big.xlsx", b"PK\x03\x04")):
        path = _written(tmp_path, head, name)
        os.truncate(path, 2_000_000_000)  # sparse: takes no room on the disk
        _says(path, "2000 MB")


def _archive(tmp_path: Path, parts: dict[str, bytes]) -> Path:
    path = tmp_path / "made.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def test_a_zip_bomb_is_not_unpacked(tmp_path: Path) -> None:
    bomb = {"[Content_Types].xml": b"", "xl/workbook.xml": b"", "xl/worksheets/sheet1.xml": bytes(60_000_000)}
    _says(_archive(tmp_path, bomb), "unpack to 60 MB")


def test_an_entity_trap_is_not_expanded(tmp_path: Path) -> None:
    trap = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa">]><x>&a;</x>'
    _says(_archive(tmp_path, {"[Content_Types].xml": trap, "xl/workbook.xml": trap}), "damaged")


def test_another_programs_document(tmp_path: Path) -> None:
    _says(_archive(tmp_path, {"mimetype": b"x", "content.xml": b"<x/>"}), "not a sheet")


def test_a_row_far_down_and_a_cell_far_right(tmp_path: Path) -> None:
    def fill(book: Workbook) -> None:
        book.active["A1"] = "Id"
        book.active["A1048576"] = "F-01"
        book.active["XFD1"] = "end"

    (sheet,) = read_sheets(_book(tmp_path, fill))
    assert [row.number for row in sheet.rows] == [1, 1_048_576]
    assert sheet.rows[0].filled == 2


def test_limits_on_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(delimited, "MOST_ROWS", 10)
    _says(_written(tmp_path, b"Id,Name\n" + b"F-1,x\n" * 10), "more than 10 rows")
    _says(_book(tmp_path, lambda book: [book.active.append(["x"]) for _ in range(11)]), "more than 10 rows")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_progress_is_told_and_the_keeper_can_stop(tmp_path: Path, kind: str) -> None:
    if kind == "csv":
        path = _written(tmp_path, b"Id,Name\n" + b"F-1,x\n" * 2000)
    else:
        path = _book(tmp_path, lambda book: [book.active.append(["F-1", "x"]) for _ in range(2000)])
    told: list[tuple[int, int]] = []
    read_sheets(path, progress=lambda done, total: told.append((done, total)))
    assert len(told) >= 5
    with pytest.raises(Cancelled):
        read_sheets(path, cancelled=lambda: True)


def test_the_file_is_not_changed(tmp_path: Path) -> None:
    path = _book(tmp_path, lambda book: book.active.append(["Id", "Name"]))
    before = path.read_bytes()
    read_sheets(path)
    assert path.read_bytes() == before
    assert spreadsheet.LARGEST_UNPACKED < 2_000_000_000
