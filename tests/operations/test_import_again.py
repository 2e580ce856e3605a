"""A sheet that comes in again, or tells of animals the book has: nothing is doubled, dropped or overruled."""

from __future__ import annotations

from pathlib import Path

from coilbook.intake.plan import propose
from coilbook.intake.workbook import read_sheets
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal, set_parents
from coilbook.operations.import_sheet import accept_import
from coilbook.operations.undo import undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.import_known import genetics_for_import, known_for_import, remembered_answers
from coilbook.records.message import Message
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Sex
from coilbook.storage.check import check
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, Room, content


def bring_in(book: Collection, folder: Path, text: str, **given: str) -> tuple[Message, ...]:
    """Import a sheet, every open question answered as suggested; what the act warned of."""
    file = folder / "room.csv"
    file.write_text(text, encoding="utf-8")
    answers = {**remembered_answers(book), **given}
    for _ in range(5):
        plan = propose(read_sheets(file), answers, known_for_import(book), genetics_reader=genetics_for_import(book))
        answers |= {q.key: q.suggested or q.options[0].value for q in plan.open_questions}
    return accept_import(book, plan=plan, file=file).warnings


def notes(book: Collection, animal: int) -> list[str]:
    return [text for (text,) in book.read("SELECT text FROM note WHERE animal_id = ? ORDER BY id", (animal,))]


SHEET = """Id,Name,Sex,Weight,Acquired,From,Price,Notes,Status,Rack,Slot,2026-03-01
Q-1,Ada,f,1500,2021-05-01,Wren's room,$300,likes rats,,R5,A1,X
Q-2,Bo,m,800,,,,shy,sold 2024-03-01,R5,A2,R
"""


def test_the_same_sheet_again_adds_nothing(book: Collection, clock: Clock, tmp_path: Path) -> None:
    """A weight without a day stood in the book a second time, as one of today."""
    bring_in(book, tmp_path, SHEET)
    tables = ("animal", "note", "acquisition", "weight", "feeding", "claim", "tag", "departure", "move", "person")
    before = {table: book.read(f"SELECT * FROM {table}") for table in tables}
    clock.pass_(days=30)
    bring_in(book, tmp_path, SHEET)
    assert {table: book.read(f"SELECT * FROM {table}") for table in tables} == before


def test_a_sheet_grown_by_a_month_adds_what_is_new(book: Collection, clock: Clock, tmp_path: Path) -> None:
    bring_in(book, tmp_path, SHEET)
    clock.pass_(days=30)
    grown = SHEET.replace("1500", "1540").replace("likes rats", "likes mice")
    bring_in(book, tmp_path, grown.replace("03-01\n", "03-01,2026-03-08\n").replace(",X\n", ",X,X\n"))
    assert book.read("SELECT mass_dg FROM weight w JOIN animal a ON a.id = animal_id WHERE keeper_id = 'Q-1'") == [
        (15_000,), (15_400,),
    ]  # fmt: skip
    assert book.read("SELECT substr(at, 1, 10) FROM feeding WHERE animal_id = 1 ORDER BY at") == [
        ("2026-03-01",), ("2026-03-08",),
    ]  # fmt: skip
    assert "likes mice" in notes(book, 1)


def test_what_the_sheet_says_otherwise_is_told_in_notes(room: Room, tmp_path: Path) -> None:
    """The preview said "in a field", and a sale, another slot, another sire were nowhere to be found."""
    book = room.book
    other = add_animal(book, details=AnimalDetails(keeper_id="M-09", sex=Sex.MALE)).value
    edit_animal(book, animal=room.female, details=AnimalDetails(name="Moss"))
    set_parents(book, animal=room.female, dam=None, sires={room.male: 100})
    before = content(book)
    text = "Id,Name,Sex,Status,Rack,Slot,Sire,Prey\nF-014,Moss,f,sold,R5,A1,M-09,large rat\n"
    warnings = bring_in(book, tmp_path, text)
    assert notes(book, room.female) == [
        "Prey in the sheet: large rat", "Status in the sheet: sold", "Sire in the sheet: M-09",
        "Place in the sheet: R5 A1",
    ]  # fmt: skip
    assert [w.values["n"] for w in warnings] == [1]
    stands = "SELECT status, place_id, (SELECT sire_id FROM sire s WHERE s.animal_id = a.id) FROM animal a WHERE id = ?"
    assert book.read(stands, (room.female,)) == [("here", room.slots["R2-A1"], room.male)]
    assert other and check(book).clean
    undo_last(book)
    assert content(book) == before


def test_a_meal_that_ended_otherwise_is_told_in_a_note(book: Collection, tmp_path: Path) -> None:
    bring_in(book, tmp_path, SHEET)
    bring_in(book, tmp_path, SHEET.replace(",X\n", ",R\n"))
    assert book.read("SELECT result FROM feeding WHERE animal_id = 1") == [("taken",)]
    assert notes(book, 1)[-1] == "Feeding in the sheet: R"


def test_a_weight_of_that_day_in_the_book_is_not_entered_again(room: Room, tmp_path: Path) -> None:
    weigh(room.book, animal=room.male, mass=Mass(9_000))
    bring_in(room.book, tmp_path, "Id,Weight,Weighed\nM-03,900,2026-03-29\n")
    assert room.book.read("SELECT count(*) FROM weight WHERE animal_id = ?", (room.male,)) == [(1,)]


def test_ids_of_a_sheet_are_what_is_seen_of_them(book: Collection, tmp_path: Path) -> None:
    bring_in(book, tmp_path, "Id,Sex,Dam\nY-1\u200b,f,F-09\u200b\nY-2,f,Y-1\n")
    assert book.read("SELECT a.keeper_id, d.keeper_id FROM animal a LEFT JOIN animal d ON d.id = a.dam_id") == [
        ("Y-1", "F-09"), ("Y-2", "Y-1"), ("F-09", None),
    ]  # fmt: skip
