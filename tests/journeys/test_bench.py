"""The benchmark measures real collections: they are what they say, and a figure is never made up."""

from __future__ import annotations

from pathlib import Path

import pytest

from coilbook.app.bench.big_book import Size, built, clock
from coilbook.app.bench.figures import Line, median, p95, table
from coilbook.app.bench.of_book import book_lines
from coilbook.app.bench.wide_sheet import HEADER, sheet_rows
from coilbook.storage.check import check
from coilbook.storage.collection import Collection

TINY = Size("tiny", 240, 9_600)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(tmp_path_factory.mktemp("bench"), TINY, lambda _line: None)


def test_a_built_collection_is_whole_and_as_large_as_it_says(folder: Path) -> None:
    with Collection.open(folder, clock) as book:
        assert check(book).findings == ()
        tables = ("feeding", "weight", "shed", "sign_seen", "note")
        events = sum(book.read(f"SELECT count(*) FROM {t}")[0][0] for t in tables)
        assert (book.read("SELECT count(*) FROM animal")[0][0], events) == (TINY.animals, TINY.events)
        # every row has its line in the journal
        rows = events + 240 * 2 + 1 + book.read("SELECT count(*) FROM place")[0][0]
        assert book.read("SELECT count(*) FROM change") == [(rows,)]


def test_it_is_built_once(folder: Path) -> None:
    before = (folder / "collection.sqlite").stat().st_mtime_ns
    assert built(folder.parent, TINY, lambda _line: pytest.fail("built again")) == folder
    assert (folder / "collection.sqlite").stat().st_mtime_ns == before


def test_every_line_without_a_window_has_a_figure(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import shutil

    from coilbook.app.bench import of_book

    monkeypatch.setattr(of_book, "TIMES", 12)
    copy = tmp_path / "copy"
    shutil.copytree(folder, copy)
    lines = book_lines(copy, lambda _line: None, sheet_rows=300)
    assert all(line.figure is not None and line.figure > 0 for line in lines)
    assert {line.goal for line in lines} == {3, None, 5, 5000, 6000, 20_000, 3000}
    with Collection.open(copy, clock) as book:
        # both imports were taken back
        assert book.read("SELECT count(*) FROM animal") == [(TINY.animals,)]
        assert check(book).findings == ()


def test_the_table_says_what_was_missed_and_what_was_not_measured() -> None:
    lines = [Line("quick", 10, 9.5), Line("slow", 10, 10.5), Line("missing", 10, None, note="no window here")]
    text = table("Title", lines)
    assert [row.split()[-1] for row in text.splitlines()[3:5]] == ["met", "MISSED"]
    assert "no window here" in text and "not measured" in text


def test_p95_is_the_nearest_rank() -> None:
    assert p95(range(1, 101)) == 95 and p95([7.0]) == 7.0 and median([3, 1, 2]) == 2


def test_the_wide_sheet_is_the_same_each_time() -> None:
    assert sheet_rows(50) == sheet_rows(50)
    assert all(len(row) == len(HEADER) == 12 for row in sheet_rows(50))
