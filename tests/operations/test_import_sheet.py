"""Accepting an import: whole, undoable, stoppable; the original kept; what was answered is not asked again."""

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path

import pytest

from coilbook.derived.genetics_catalogues import catalogues_of, genetics_answers
from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.workbook import read_sheets
from coilbook.operations.animals import AnimalDetails, add_animal, delete_animal
from coilbook.operations.bulk import Stopped
from coilbook.operations.import_sheet import accept_import
from coilbook.operations.undo import undo_act, undo_last
from coilbook.reads.import_known import genetics_for_import, known_for_import, remembered_answers
from coilbook.reads.places import all_places
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import PlaceKind
from coilbook.storage.check import check
from coilbook.storage.collection import Collection
from coilbook.wording.resources import demo_path
from tests.operations.conftest import Room, content


def plan_of(book: Collection, file: Path, answers: dict[str, str] | None = None) -> ImportPlan:
    known = known_for_import(book)
    every = {**remembered_answers(book), **(answers or {})}
    return propose(read_sheets(file), every, known, genetics_reader=genetics_for_import(book))


def sheet(folder: Path, text: str) -> Path:
    file = folder / "room.csv"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("name", ["old-records.xlsx", "old-records.csv"])
def test_the_demos_sheet_comes_in_and_goes_out_again(book: Collection, name: str) -> None:
    before = content(book)
    plan = plan_of(book, demo_path(name))
    outcome = accept_import(book, plan=plan, file=demo_path(name))
    assert (outcome.value.counts.rows, len(outcome.value.refused) + len(outcome.value.clutches)) == (214, 12)
    assert book.read("SELECT count(*) FROM animal WHERE status <> 'outside'") == [(len(plan.animals),)]
    assert check(book).findings == ()
    # every animal of ours has one code, and no code stands for two
    codes = book.read("SELECT count(*), count(DISTINCT target) FROM code WHERE kind = 'A'")
    assert codes[0][0] == codes[0][1] == book.read("SELECT count(*) FROM animal")[0][0]
    # the summaries of the list follow inside the act
    assert book.read("SELECT count(*) FROM animal_now") == book.read("SELECT count(*) FROM animal")
    assert outcome.changes.act is not None
    undo_act(book, act=outcome.changes.act)
    assert content(book) == before
    assert check(book).findings == ()


LINES_SHEET = """Id,Sex,Genes
F-01,f,Northgate axanthic
F-02,f,pastal (line Q) ax
F-03,f,het clown
"""


def test_a_word_for_a_line_and_a_spelling_are_answered_once(book: Collection, tmp_path: Path) -> None:
    """One click makes the keeper's word a line of their own; it is not asked again, in no sheet and no screen."""
    file = sheet(tmp_path, LINES_SHEET)
    first = plan_of(book, file)
    assert {q.key: q.options[0].value for q in first.open_questions} == {
        "genetics|line|axanthic|northgate": "line",
        "genetics|spelling|pastal": "gene:pastel",
        "genetics|bare-het": "100",
    }
    clicks = {q.key: q.options[0].value for q in first.open_questions}
    accept_import(book, plan=plan_of(book, file, clicks), file=file)
    rows = book.read("SELECT kind, key, body FROM own_gene ORDER BY id")
    assert [(kind, key) for kind, key, _ in rows] == [
        ("line", "axanthic (northgate)"),
        ("line", "axanthic (line q)"),
    ]
    catalogue = catalogues_of(book)["ball_python"]
    assert [line.line for line in catalogue.lines_of("axanthic")] == ["Northgate", "line Q"]
    file.write_text(LINES_SHEET.replace("F-0", "G-0") + "G-09,f,axanthic\n", encoding="utf-8")
    again = plan_of(book, file)
    (asked,) = again.open_questions
    assert asked.key == "genetics|line|axanthic"
    assert [option.value for option in asked.options] == ["axanthic (northgate)", "axanthic (line q)", "unknown"]
    # what was answered holds for the animal's genetics everywhere
    assert genetics_answers(book)["spelling|pastal"] == "gene:pastel"
    undo_last(book)
    assert genetics_answers(book) == {} and book.read("SELECT count(*) FROM own_gene") == [(0,)]


def test_a_line_left_open_is_not_remembered(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, LINES_SHEET)
    accept_import(book, plan=plan_of(book, file), file=file)
    assert book.read("SELECT key FROM own_gene") == [("axanthic (line q)",)]


FAMILY_SHEET = """Id,Sex,Genes,Mother,Father
F-01,f,Pastel,,
F-02,f,66% het clown,,
M-01,m,normal,,
M-02,m,,,
H-01,f,66% het clown,F-01,M-01
H-02,f,66% het clown,F-02,M-01
H-03,f,66% het clown,F-01,M-02
H-04,f,66% het clown,F-01,Wren's male
H-05,f,Pastel 66% het clown,F-01,M-01 or M-03
H-06,f,Pastel,F-01,M-01
M-03,m,100% het clown,,
"""


def test_genes_that_no_parent_has_are_questioned(book: Collection, tmp_path: Path) -> None:
    """ "66% het clown" from two parents without clown is questioned, not accepted (job.md 10.2)."""
    file = sheet(tmp_path, FAMILY_SHEET)
    plan = plan_of(book, file)
    waiting = [row.keeper_id for row in plan.rows if row.waits_for]
    assert waiting == ["H-01"]  # an empty cell and an unknown male say nothing, so they contradict nothing
    (asked,) = plan.open_questions
    assert "Clown" in str(asked.text) and "'Pastel' / 'normal'" in str(asked.text)
    kept = plan_of(book, file, {asked.key: "text"})
    young = next(animal for animal in kept.animals if animal.keeper_id == "H-01")
    assert (young.claim, [note.text for note in young.notes]) == ("", ["Genes: 66% het clown"])
    right = plan_of(book, file, {asked.key: "right"})
    accept_import(book, plan=right, file=file)
    # parents that stand in the book already are compared as well
    file.write_text("Id,Sex,Genes,Mother,Father\nH-11,f,Enchi,F-01,M-01\n", encoding="utf-8")
    assert [q.key for q in plan_of(book, file).open_questions] == ["genetics|parents|enchi|pastel|normal"]


def test_every_genetics_text_is_kept_word_for_word(book: Collection) -> None:
    plan = plan_of(book, demo_path("old-records.xlsx"))
    accept_import(book, plan=plan, file=demo_path("old-records.xlsx"))
    said = sorted(text for (text,) in book.read("SELECT text FROM claim"))
    assert said == sorted(animal.claim for animal in plan.animals if animal.claim)
    assert len(said) > 150


def test_the_original_lies_byte_for_byte_beside_the_book(book: Collection) -> None:
    original = demo_path("old-records.xlsx").read_bytes()
    plan = plan_of(book, demo_path("old-records.xlsx"))
    accept_import(book, plan=plan, file=original, file_name="my old sheet.xlsx")
    ((file_name, sha256, rows),) = book.read("SELECT file_name, sha256, rows FROM import_batch")
    assert (file_name, sha256, rows) == ("my old sheet.xlsx", hashlib.sha256(original).hexdigest(), 214)
    assert (book.folder / "imports" / f"{sha256}.xlsx").read_bytes() == original


def test_fields_weights_meals_and_places_land_where_they_belong(book: Collection, tmp_path: Path) -> None:
    text = (
        "ID,Name,Sex,Genetics,Hatched,Weight,Rack,Dam,Sire,Bought,From,Notes,2026-03-01,2026-03-08\n"
        "F-01,Moss,f,Pastel het clown,2021-05-03,1842,R1-3,,,2021-09-01,Ines,calm,X,R\n"
        "M-02,,m,Clown,2020,905,R1-4,F-09,M-07 or M-08,,,,X,\n"
        "J-03,,male?,66% het clown,2025-07-01,212,R1-5,F-01,M-02,,,,,\n"
    )
    file = sheet(tmp_path, text)
    answers = {q.key: "taken" for q in plan_of(book, file).questions if q.key.endswith("|x")}
    answers |= {q.key: "refused" for q in plan_of(book, file).questions if q.key.endswith("|r")}
    accept_import(book, plan=plan_of(book, file, answers), file=file)
    rows = {
        r[0]: r[1:]
        for r in book.read(
            "SELECT a.keeper_id, a.name, a.sex, a.sex_percent, a.genetics, a.hatched, a.hatched_precision, a.origin,"
            " d.keeper_id, p.label FROM animal a LEFT JOIN animal d ON d.id = a.dam_id LEFT JOIN place p ON p.id ="
            " a.place_id ORDER BY a.id"
        )
    }
    assert rows["F-01"] == (
        "Moss", "female", 100, "Pastel het clown", "2021-05-03", "day", "bought", None, "R1-3",
    )  # fmt: skip
    assert rows["M-02"][4:6] == ("2020-01-01", "year") and rows["M-02"][7:] == ("F-09", "R1-4")
    assert rows["J-03"][1:3] == ("male", 80) and rows["J-03"][7] == "F-01"
    assert rows["F-09"][1] == "female"
    sires = book.read(
        "SELECT y.keeper_id, s.keeper_id, percent FROM sire JOIN animal y ON y.id = animal_id JOIN animal s"
        " ON s.id = sire_id ORDER BY 1, 2"
    )
    assert sires == [("J-03", "M-02", 100), ("M-02", "M-07", 50), ("M-02", "M-08", 50)]
    assert book.read("SELECT mass_dg FROM weight ORDER BY id") == [(18_420,), (9_050,), (2_120,)]
    meals = book.read("SELECT animal_id, substr(at, 1, 10), result FROM feeding ORDER BY animal_id, at")
    assert [m[1:] for m in meals] == [
        ("2026-03-01", "taken"), ("2026-03-08", "refused"), ("2026-03-01", "taken"),
    ]  # fmt: skip
    assert book.read("SELECT name, role FROM person WHERE role = 'seller'") == [("Ines", "seller")]
    # a place that was made has its code, like any other
    assert book.read("SELECT count(*) FROM code WHERE kind = 'S'") == [(3,)]


def test_stopping_leaves_nothing(book: Collection, tmp_path: Path) -> None:
    lines = "".join(f"F-{n},f,Pastel,{900 + n}\n" for n in range(900))
    file = sheet(tmp_path, "ID,Sex,Genetics,Weight\n" + lines)
    before, plan = content(book), plan_of(book, file)
    asked: list[int] = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 3

    with pytest.raises(Stopped):
        accept_import(book, plan=plan, file=file, cancelled=stop)
    assert content(book) == before
    assert list((book.folder / "imports").iterdir()) == []
    assert book.read("SELECT count(*) FROM act WHERE kind = 'import'") == [(0,)]
    # and the same plan can be accepted afterwards
    steps: list[tuple[int, int]] = []
    accept_import(book, plan=plan, file=file, progress=lambda done, total: steps.append((done, total)))
    assert steps[-1][0] == steps[-1][1] and steps == sorted(steps)


def test_answers_are_remembered_for_the_next_sheet(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, "ID,Sex,Hatched,2026-03-01\nF-1,f,03/04/21,X\nF-2,f,05/06/21,X\n")
    first = plan_of(book, file)
    assert first.open_questions
    answers = {question.key: question.options[0].value for question in first.open_questions}
    accept_import(book, plan=plan_of(book, file, answers), file=file)
    other = tmp_path / "next.csv"
    other.write_text("ID,Sex,Hatched,2026-03-01\nF-11,f,03/04/22,X\n", encoding="utf-8")
    assert not plan_of(book, other).open_questions


def test_an_animal_of_the_book_only_gets_what_it_lacks(room: Room, tmp_path: Path) -> None:
    book = room.book
    file = sheet(tmp_path, "ID,Name,Sex,Genetics,Hatched,Weight\nF-014,Sorrel,m,Pastel Enchi,2019-07-02,2100\n")
    plan = plan_of(book, file)
    asked = next(q for q in plan.open_questions)
    merge = next(o.value for o in asked.options if o.value in ("merge", "same", "add"))
    accept_import(book, plan=plan_of(book, file, {asked.key: merge}), file=file)
    ((name, sex, genetics, hatched),) = book.read(
        "SELECT name, sex, genetics, hatched FROM animal WHERE id = ?", (room.female,)
    )
    # the book says female: the sheet does not overrule it
    assert (name, sex, genetics, hatched) == ("Sorrel", "female", "Pastel Enchi", "2019-07-02")
    assert book.read("SELECT count(*) FROM animal WHERE keeper_id = 'F-014'") == [(1,)]
    assert book.read("SELECT count(*) FROM weight WHERE animal_id = ?", (room.female,)) == [(2,)]


def test_a_plan_that_has_grown_old_is_refused_whole(book: Collection, tmp_path: Path) -> None:
    dam = add_animal(book, details=AnimalDetails(keeper_id="F-77")).value
    file = sheet(tmp_path, "ID,Sex,Dam\nJ-1,f,F-77\nJ-2,m,F-77\n")
    plan = plan_of(book, file)
    delete_animal(book, animal=dam)
    before = content(book)
    with pytest.raises(Refusal, match="no longer in the book"):
        accept_import(book, plan=plan, file=file)
    assert content(book) == before


def test_ids_of_an_undone_import_are_never_given_again(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, "ID,Sex\nF-1,f\nF-2,f\n")
    accept_import(book, plan=plan_of(book, file), file=file)
    first = {row for (row,) in book.read("SELECT id FROM animal")}
    bodies = {body for (body,) in book.read("SELECT body FROM code WHERE kind = 'A'")}
    undo_last(book)
    accept_import(book, plan=plan_of(book, file), file=file)
    assert first.isdisjoint(row for (row,) in book.read("SELECT id FROM animal"))
    fresh = book.read("SELECT body FROM code WHERE kind = 'A' AND target IN (SELECT id FROM animal)")
    assert len(fresh) == 2 and bodies.isdisjoint(body for (body,) in fresh)


def test_gone_animals_keep_their_story_and_have_no_slot(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, "ID,Sex,Status,Rack\nF-1,f,sold,R1-2\nF-2,f,dead,R1-3\nF-3,f,,R1-4\n")
    accept_import(book, plan=plan_of(book, file), file=file)
    rows = book.read(
        "SELECT a.keeper_id, a.status, p.label, d.kind FROM animal a LEFT JOIN place p ON p.id = a.place_id"
        " LEFT JOIN departure d ON d.animal_id = a.id ORDER BY 1"
    )
    assert rows == [("F-1", "sold", None, "sold"), ("F-2", "dead", None, "died"), ("F-3", "here", "R1-4", None)]
    notes = [text for (text,) in book.read("SELECT text FROM note ORDER BY id")]
    assert any("R1 2" in text for text in notes)
    assert check(book).clean


def test_an_import_stands_in_the_journal_as_one_act(book: Collection) -> None:
    plan = plan_of(book, demo_path("old-records.csv"))
    accept_import(book, plan=plan, file=demo_path("old-records.csv"))
    ((kind, person, size),) = book.read("SELECT kind, person_name, size FROM act ORDER BY id DESC LIMIT 1")
    assert (kind, person) == ("import", "Wren") and size > 1_000
    assert book.clock().date() == dt.date(2026, 3, 29)


def test_a_sheet_cannot_make_an_animal_of_the_book_its_own_ancestor(room: Room, tmp_path: Path) -> None:
    add_animal(room.book, details=AnimalDetails(keeper_id="J-22", dam_id=room.female))
    before = content(room.book)
    file = sheet(tmp_path, "Id,Dam,Rack\nF-014,J-22,R2\n")
    answers = {question.key: "merge" for question in plan_of(room.book, file).open_questions}
    plan = plan_of(room.book, file, answers)
    assert [a.existing for a in plan.animals] == [room.female]
    with pytest.raises(Refusal, match="its own ancestor"):
        accept_import(room.book, plan=plan, file=file)
    assert content(room.book) == before


def test_dams_above_and_below_their_young_come_in_and_go_out(book: Collection, tmp_path: Path) -> None:
    rows = ["ID,Sex,Dam", *(f"F-{n:03},f,F-{n + 1:03}" for n in range(1, 150)), "F-150,f,"]
    rows += [f"J-{n:03},f,F-{n:03}" for n in range(1, 151)]
    before = content(book)
    accept_import(book, plan=plan_of(book, sheet(tmp_path, "\n".join(rows))), file=tmp_path / "room.csv")
    assert book.read("SELECT count(*), count(dam_id) FROM animal") == [(300, 299)]
    pairs = book.read("SELECT y.keeper_id, d.keeper_id FROM animal y JOIN animal d ON d.id = y.dam_id")
    assert {("F-001", "F-002"), ("F-149", "F-150"), ("J-150", "F-150")} <= set(pairs)
    undo_last(book)
    assert content(book) == before
    assert check(book).findings == ()


def test_slots_stand_by_their_number_whatever_the_order_of_the_sheet(book: Collection, tmp_path: Path) -> None:
    lines = (
        "id,sex,rack,slot,food",
        "1,m,B,10,f/t mice",
        "2,f,A,3,live?",
        "3,f,B,2,small rat",
        "4,m,B,1a,",
        "5,f,A,1,",
    )
    file = sheet(tmp_path, "\n".join(lines) + "\n")
    accept_import(book, plan=plan_of(book, file), file=file)
    slots = [place.label for place in all_places(book) if place.kind is PlaceKind.SLOT]
    assert slots == ["B-1a", "B-2", "B-10", "A-1", "A-3"]
    eats = book.read("SELECT prey_kind, prey_state FROM animal ORDER BY keeper_id LIMIT 3")
    assert eats == [("mice", "ft"), ("", "live"), ("small rat", "ft")]
    assert book.read("SELECT text FROM note") == [("food: live?",)]
    # a rack is called as the sheet called it first, not as it does beside its first slot
    other = sheet(tmp_path, "id,sex,rack,slot\n11,m,C,9\n12,f,rack c,2\n")
    accept_import(book, plan=plan_of(book, other), file=other)
    assert [p.label for p in all_places(book) if p.label.startswith("C")] == ["C", "C-2", "C-9"]


def test_a_question_mark_says_nothing_of_genetics(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, "id,sex,genetics\n1,m,??\n2,f,Enchi\n3,f,?\n")
    plan = plan_of(book, file)
    assert plan.counts.ready == 3 and plan.counts.text_kept == 0
    accept_import(book, plan=plan, file=file)
    assert book.read("SELECT genetics FROM animal ORDER BY keeper_id") == [("",), ("Enchi",), ("",)]


def test_what_the_keeper_bred_has_no_seller(book: Collection, tmp_path: Path) -> None:
    file = sheet(tmp_path, "id,sex,from,price\n1,m,own bred,350\n2,f,Marsh,200\n3,f,Bred here,\n4,f,,90\n")
    accept_import(book, plan=plan_of(book, file), file=file)
    origins = book.read("SELECT keeper_id, origin FROM animal ORDER BY keeper_id")
    assert [origin for _, origin in origins] == ["bred_here", "bought", "bred_here", "bought"]
    assert book.read("SELECT name FROM person WHERE role = 'seller'") == [("Marsh",)]
    assert check(book).findings == ()
