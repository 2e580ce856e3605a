"""What goes out can be read by other programs, cannot run in them, and comes back in as it was."""

from __future__ import annotations

import csv
import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from coilbook.app.demo import build_demo, demo_clock
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import write_note
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.import_book import import_book, is_book
from coilbook.operations.people import add_person, erase_person
from coilbook.operations.photos import add_photo
from coilbook.operations.undo import undo_last
from coilbook.reads.cell_safety import guarded
from coilbook.reads.codes import Standing, code_of, meaning_of
from coilbook.reads.export import ExportFormat, export_everything
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import CodeKind, PersonRole
from coilbook.storage.check import check
from coilbook.storage.collection import Collection
from coilbook.storage.tables import RECORD_TABLES, column_names, table_name
from tests.operations.conftest import Clock, Room, book, clock, content, room
from tests.storage.conftest import jpeg

__all__ = ["Clock", "Room", "book", "clock", "room"]

RISKY = ("=1+1", "+49 30 1", "-14", "@home", "\tindented", "\rreturned", "'twas", '=HYPERLINK("x")', "\uff1d1+1")


def unguarded(cell: str) -> str:
    """The text of a cell, as the head of `cell_safety` tells a reader of the file to take it."""
    return cell.removeprefix("'")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    folder = tmp_path_factory.mktemp("demo") / "room"
    build_demo(folder)
    with Collection.open(folder, demo_clock(folder)) as collection:
        yield collection


@pytest.fixture(scope="module")
def exported(demo: Collection, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("out") / "book.json"
    export_everything(demo, form=ExportFormat.JSON, to=file)
    return file


def new_book(folder: Path) -> Collection:
    return Collection.create(folder, lambda: dt.datetime(2026, 3, 30, 9, tzinfo=dt.UTC))


def test_the_whole_demo_comes_back_table_by_table(demo: Collection, exported: Path, tmp_path: Path) -> None:
    assert is_book(exported)
    with new_book(tmp_path / "new") as again:
        outcome = import_book(again, file=exported)
        before, after = content(demo), content(again)
        for name, rows in before.items():
            assert after[name] == rows, name
        codes = "SELECT kind, body, target, issued_at FROM code ORDER BY id"
        assert again.read(codes) == demo.read(codes)
        counters = "SELECT kind, last FROM code_counter ORDER BY kind"
        assert again.read(counters) == demo.read(counters)
        assert check(again).findings == ()
        assert outcome.value.rows["animal"] == len(before["animal"])
        assert again.read("SELECT count(*) FROM act") == [(1,)]


def test_rows_are_moved_together_where_ids_were_given_before(demo: Collection, exported: Path, tmp_path: Path) -> None:
    with new_book(tmp_path / "new") as again:
        add_person(again, name="teo", role=PersonRole.HELPER)
        for number in range(3):
            add_animal(again, details=AnimalDetails(keeper_id=f"X-{number}"))
            undo_last(again)
        import_book(again, file=exported)
        step = again.read("SELECT min(id) FROM animal")[0][0] - 1
        assert step == 3
        family = "SELECT a.keeper_id, d.keeper_id, p.label FROM animal a LEFT JOIN animal d ON d.id = a.dam_id"
        family += " LEFT JOIN place p ON p.id = a.place_id ORDER BY a.id"
        assert again.read(family) == demo.read(family)
        covers = "SELECT a.keeper_id, p.sha256 FROM animal a JOIN photo p ON p.id = a.cover_photo ORDER BY a.id"
        assert again.read(covers) == demo.read(covers) and len(again.read(covers)) > 5
        moved = "SELECT f.at, a.keeper_id, f.result FROM feeding f JOIN animal a ON a.id = f.animal_id ORDER BY f.id"
        assert again.read(moved) == demo.read(moved)
        assert check(again).clean


def test_labels_stuck_on_stay_good_also_after_an_undone_import(
    demo: Collection, exported: Path, tmp_path: Path
) -> None:
    animal = demo.read("SELECT id FROM animal WHERE keeper_id = 'F-014'")[0][0]
    code = code_of(demo, CodeKind.ANIMAL, animal)
    assert code is not None
    with new_book(tmp_path / "new") as again:
        import_book(again, file=exported)
        assert meaning_of(again, code).name == "F-014"
        undo_last(again)
        assert meaning_of(again, code).standing is Standing.UNDONE
        import_book(again, file=exported)
        assert (meaning_of(again, code).name, meaning_of(again, code).standing) == ("F-014", Standing.PRESENT)
        add_animal(again, details=AnimalDetails(keeper_id="F-900"))
        assert again.read("SELECT body FROM code GROUP BY body HAVING count(*) > 1") == []


def test_a_book_does_not_go_over_animals_that_are_there(room: Room, exported: Path) -> None:
    before = content(room.book)
    with pytest.raises(Refusal, match="new collection"):
        import_book(room.book, file=exported)
    assert content(room.book) == before


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda text: text[: len(text) // 2], "cut short"),
        (lambda text: text.replace('"version": 1', '"version": 9', 1), "newer"),
        (lambda text: text.replace('"coilbook book"', '"something else"', 1), "no exported book"),
        (lambda text: text.replace('"keeper_id":"F-014"', '"keeper_id":1.5', 1), "another kind"),
        (lambda text: text.replace('"walk":', '"steps":', 1), "form"),
        (lambda text: text.replace('"weight": [', '"gold": [', 1), "does not know"),
        (lambda text: text.replace('"sex":"female"', '"sex":"lady"', 1), "contradicts itself"),
        (lambda text: text.replace('"place_id":5,', '"place_id":99999,', 1), "contradicts itself"),
        (lambda text: text.replace('"walk":', '"walk":9999999999999999999', 1), "value that is none"),
        (lambda text: text.replace('"hatched":"2', '"hatched":"spring 2', 1), "value that is none"),
        (lambda text: text.replace('"closed_at":"2', '"closed_at":"evening of 2', 1), "value that is none"),
        (lambda text: text.replace('"kind":"A","body":"', '"kind":"A","body":"U', 1), "printed codes"),
        (lambda text: text.replace('"kind":"A","body"', '"kind":"Q","body"', 1), "printed codes"),
        (lambda text: text.replace('"code_counters": {"S":', '"code_counters": {"Q":'), "printed codes"),
        (lambda text: text.replace('"dam_id":null', '"dam_id":1', 1), "its own ancestor"),
    ],
)
def test_a_spoilt_book_is_refused_and_leaves_nothing(
    exported: Path, tmp_path: Path, spoil: object, sentence: str
) -> None:
    file = exported.with_name(f"spoilt-{tmp_path.name}.json")
    text = exported.read_text(encoding="utf-8")
    changed = spoil(text)  # type: ignore[operator]
    assert changed != text
    file.write_text(changed, encoding="utf-8")
    with new_book(tmp_path / "new") as again:
        empty = content(again)
        with pytest.raises(Refusal, match=sentence):
            import_book(again, file=file)
        assert content(again) == empty
        assert again.read("SELECT count(*) FROM act") == [(0,)]


def test_a_missing_picture_is_named(exported: Path, tmp_path: Path) -> None:
    alone = tmp_path / "book.json"
    alone.write_bytes(exported.read_bytes())
    with new_book(tmp_path / "new") as again, pytest.raises(Refusal, match=r"picture book\.photos/.* is missing"):
        import_book(again, file=alone)


def test_pictures_leave_without_the_place_they_were_taken(room: Room, tmp_path: Path) -> None:
    picture = Image.new("RGB", (40, 30), (120, 90, 40))
    hidden = Image.Exif()
    hidden[0x010F] = "camera of Wren"
    hidden.get_ifd(0x8825)[1] = "N"
    hidden.get_ifd(0x8825)[2] = (52.0, 30.0, 1.0)
    picture.save(tmp_path / "a.jpg", exif=hidden)
    assert b"camera of Wren" in (tmp_path / "a.jpg").read_bytes()
    add_photo(room.book, animal=room.female, picture=tmp_path / "a.jpg")
    out = tmp_path / "out"
    out.mkdir()
    export_everything(room.book, form=ExportFormat.JSON, to=out / "book.json")
    (file,) = list((out / "book.photos").iterdir())
    assert b"camera of Wren" not in file.read_bytes()
    with Image.open(file) as shown:
        assert not shown.getexif() and shown.size == (40, 30)
    with new_book(tmp_path / "new") as again:
        import_book(again, file=out / "book.json")
        assert again.read("SELECT sha256 FROM photo") == [(file.stem,)]
        assert check(again).clean


def test_csv_has_every_row_numbers_as_numbers_and_no_formula(room: Room, tmp_path: Path) -> None:
    for text in RISKY:
        if text.strip() == text:
            write_note(room.book, text=text, animal=room.female)
    written = export_everything(room.book, form=ExportFormat.CSV, to=tmp_path / "csv")
    assert len(written) == len(RECORD_TABLES)
    for model in RECORD_TABLES:
        name = table_name(model)
        with (tmp_path / "csv" / f"{name}.csv").open(newline="", encoding="utf-8-sig") as stream:
            rows = list(csv.DictReader(stream))
        there = room.book.read(f'SELECT * FROM "{name}" ORDER BY id')
        assert len(rows) == len(there), name
        for row, stored in zip(rows, there, strict=True):
            for column, value in zip(column_names(model), stored, strict=True):
                cell = row[column]
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")), (name, column, cell)
                assert unguarded(cell) == ("" if value is None else str(value)), (name, column)
    with (tmp_path / "csv" / "weight.csv").open(newline="", encoding="utf-8-sig") as stream:
        (row,) = list(csv.DictReader(stream))
    assert (row["mass_dg"], float(row["mass_grams"]), row["animal"]) == ("21400", 2140.0, "F-014")


def test_a_workbook_shows_texts_as_texts(room: Room, tmp_path: Path) -> None:
    texts = ("=1+1", "#N/A", "-14", "007", "with\x07bell", "plain")
    for text in texts:
        write_note(room.book, text=text, animal=room.female)
    export_everything(room.book, form=ExportFormat.XLSX, to=tmp_path / "all.xlsx")
    workbook = openpyxl.load_workbook(tmp_path / "all.xlsx")
    assert workbook.sheetnames == [table_name(m) for m in RECORD_TABLES]
    sheet = workbook["note"]
    head = [cell.value for cell in sheet[1]]
    cells = [row[head.index("text")] for row in sheet.iter_rows(min_row=2)]
    assert [cell.data_type for cell in cells] == ["s"] * len(texts)
    assert [cell.value for cell in cells][:4] == list(texts[:4])
    # a cell takes no more, and says so: the end of a long note was missing without a word
    write_note(room.book, text="x" * 40_000, animal=room.female)
    export_everything(room.book, form=ExportFormat.XLSX, to=tmp_path / "all.xlsx")
    last = list(openpyxl.load_workbook(tmp_path / "all.xlsx")["note"].iter_rows(values_only=True))[-1]
    cut = str(last[head.index("text")])
    assert len(cut) == 32_767 and cut.endswith("the CSV and JSON exports have all 40000 signs]")
    masses = workbook["weight"]
    values = dict(zip((c.value for c in masses[1]), (c.value for c in masses[2]), strict=True))
    assert values["mass_dg"] == 21_400 and values["mass_grams"] == 2140 and values["animal"] == "F-014"


def test_every_stored_value_of_the_json_is_there(room: Room, tmp_path: Path) -> None:
    export_everything(room.book, form=ExportFormat.JSON, to=tmp_path / "book.json")
    written = json.loads((tmp_path / "book.json").read_text(encoding="utf-8"))
    for model in RECORD_TABLES:
        stored = room.book.read(f'SELECT * FROM "{table_name(model)}" ORDER BY id')
        assert [tuple(row.values()) for row in written["tables"][table_name(model)]] == stored
        for row in written["tables"][table_name(model)]:
            assert tuple(row) == column_names(model)


def test_an_export_can_be_stopped_and_leaves_no_half_file(room: Room, tmp_path: Path) -> None:
    for form, name in ((ExportFormat.JSON, "book.json"), (ExportFormat.XLSX, "all.xlsx")):
        with pytest.raises(Refusal, match="Stopped"):
            export_everything(room.book, form=form, to=tmp_path / name, cancelled=lambda: True)
        assert not (tmp_path / name).exists()
    # the reader is free again
    write_note(room.book, text="later", animal=room.female)
    assert room.book.read("SELECT count(*) FROM note") == [(1,)]


@given(st.text() | st.sampled_from(RISKY))
def test_a_guarded_cell_reads_back(text: str) -> None:
    written = guarded(text)
    assert isinstance(written, str)
    assert not written.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert unguarded(written) == text


@given(st.integers() | st.none())
def test_numbers_are_not_touched(value: int | None) -> None:
    assert guarded(value) == value


def test_two_people_of_one_name_stay_two(room: Room, tmp_path: Path) -> None:
    """Both sales went to the first of that name, and whoever had been erased became one person."""
    for animal in (room.female, room.male):
        buyer = add_person(room.book, name="Ines").value
        sell(room.book, animal=animal, details=DepartureDetails(person=buyer))
        erase_person(room.book, person=add_person(room.book, name="Somebody").value)
    export_everything(room.book, form=ExportFormat.JSON, to=tmp_path / "book.json")
    with new_book(tmp_path / "new") as again:
        here = add_person(again, name="Ines").value
        erase_person(again, person=add_person(again, name="Nobody").value)
        import_book(again, file=tmp_path / "book.json")
        went_to = [person for (person,) in again.read("SELECT person_id FROM departure ORDER BY id")]
        assert went_to[0] == here and went_to[1] != here
        assert again.read("SELECT count(*) FROM person WHERE name = 'erased'") == [(3,)]
        assert check(again).clean


def test_a_lost_picture_does_not_keep_the_book_from_going_out(room: Room, tmp_path: Path) -> None:
    """One file gone from the folder of photos, and nothing could be exported any more."""
    add_photo(room.book, animal=room.female, picture=jpeg("olive"))
    add_photo(room.book, animal=room.male, picture=jpeg("navy"))
    lost = next(iter((room.book.folder / "photos").rglob("*.jpg")))
    lost.unlink()
    export_everything(room.book, form=ExportFormat.JSON, to=tmp_path / "book.json")
    with new_book(tmp_path / "new") as again:
        import_book(again, file=tmp_path / "book.json")
        assert again.read("SELECT count(*) FROM photo") == [(2,)]
        assert [lost.name in str(finding) for finding in check(again).findings] == [True]


def test_a_picture_of_another_ending_is_no_picture(room: Room, tmp_path: Path) -> None:
    add_photo(room.book, animal=room.female, picture=jpeg("olive"))
    export_everything(room.book, form=ExportFormat.JSON, to=tmp_path / "book.json")
    text = (tmp_path / "book.json").read_text(encoding="utf-8").replace('"ending":"jpg"', '"ending":"jpg/../../x"')
    (tmp_path / "book.json").write_text(text, encoding="utf-8")
    with new_book(tmp_path / "new") as again, pytest.raises(Refusal, match="a value that is none"):
        import_book(again, file=tmp_path / "book.json")
