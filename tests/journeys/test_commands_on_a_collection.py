"""The commands a script uses, end to end: import, check, backup, restore, export, and the book back in."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from icalendar import Calendar

from coilbook.app.command_line import main
from coilbook.app.exit_codes import ExitCode
from coilbook.app.start import open_collection
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.undo import undo_last
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.wording.resources import demo_path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_sheet_goes_in_and_the_book_goes_round(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here, there = tmp_path / "book", tmp_path / "other"
    code, out, _ = run(capsys, "import", demo_path("old-records.xlsx"), "--collection", here)
    assert code == ExitCode.OK and "214 rows" in out and "Nothing was written" in out
    # only looking makes no collection
    assert not here.exists()
    code, out, _ = run(capsys, "import", demo_path("old-records.xlsx"), "--collection", here, "--accept", "--json")
    told = json.loads(out)
    assert (code, told["accepted"], told["counts"]["rows"]) == (ExitCode.OK, True, 214)
    code, out, _ = run(capsys, "check", "--collection", here, "--json")
    checked = json.loads(out)
    assert (code, checked["clean"]) == (ExitCode.OK, True)
    code, out, _ = run(capsys, "export", tmp_path / "out.json", "--collection", here)
    assert code == ExitCode.OK
    code, _, err = run(capsys, "export", tmp_path / "out.json", "--collection", here)
    assert code == ExitCode.REFUSED and "--force" in err
    code, out, _ = run(capsys, "import", tmp_path / "out.json", "--collection", there)
    assert code == ExitCode.OK
    code, out, _ = run(capsys, "check", "--collection", there, "--json")
    assert json.loads(out)["facts"]["animal"] == checked["facts"]["animal"]


def test_a_backup_is_made_named_and_brought_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here = tmp_path / "book"
    run(capsys, "import", demo_path("old-records.csv"), "--collection", here, "--accept")
    code, out, _ = run(capsys, "backup", "--collection", here, "--json")
    (made,) = json.loads(out)["backups"]
    assert code == ExitCode.OK and made["animals"] > 190
    code, out, _ = run(capsys, "restore", made["name"], "--collection", here, "--json")
    assert (code, json.loads(out)["restored"]) == (ExitCode.OK, made["name"])
    code, out, _ = run(capsys, "backup", "--list", "--collection", here, "--json")
    # what stood before the restore became a backup of its own
    assert {b["reason"] for b in json.loads(out)["backups"]} == {"by-hand", "before-restore"}
    code, _, err = run(capsys, "restore", "yesterday", "--collection", here)
    assert code == ExitCode.REFUSED and "yesterday" in err


def test_what_is_not_there_gets_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "import", tmp_path / "gone.csv", "--collection", tmp_path / "book")
    assert code == ExitCode.REFUSED and "gone.csv" in err
    code, _, err = run(capsys, "export", tmp_path / "out.xlsx", "--collection", tmp_path / "nobody")
    assert code == ExitCode.STORAGE and f"coilbook open {tmp_path / 'nobody'}" in err
    code, _, err = run(capsys, "odds", "--case", tmp_path / "gone.json")
    assert code == ExitCode.REFUSED and err.startswith("There is no file") and "Errno" not in err
    code, _, err = run(capsys, "calendar", tmp_path / "season.txt", "--collection", tmp_path / "nobody")
    assert code == ExitCode.USAGE and ".ics" in err


@pytest.mark.parametrize(
    ("answer", "code", "said"),
    [
        ("x", ExitCode.USAGE, "KEY=VALUE"),
        ("foo=bar", ExitCode.REFUSED, "Nothing of this sheet asks 'foo'"),
        ("genetics|bare-het=75", ExitCode.REFUSED, "There are: 100, unknown"),
        ("column|weight=hovercraft", ExitCode.REFUSED, "nothing a column can be"),
        ("genetics|bare-het=100", ExitCode.OK, ""),
        ("column|weight=notes", ExitCode.OK, ""),
    ],
)
def test_an_answer_that_answers_nothing_is_not_lost_without_a_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], answer: str, code: ExitCode, said: str
) -> None:
    sheet = tmp_path / "mine.csv"
    sheet.write_text("id,sex,genetics,weight\nF-1,f,Enchi het clown,1500\nM-1,m,het pied,900\n", encoding="utf-8")
    given, _, err = run(capsys, "import", sheet, "--collection", tmp_path / "b", "--answer", answer)
    assert given == code and said in err


def test_what_is_not_understood_of_a_sheet_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "mine.csv"
    text = "id,sex,genetics,mood\nF-1,f,Enchi x Pastel,grumpy\nM-1,m,Clown,\n"
    sheet.write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "import", sheet, "--collection", tmp_path / "b")
    assert code == ExitCode.OK
    assert "  kept as notes: mood" in out.splitlines()
    assert "  text kept as it is: mine row 2" in out.splitlines()


def test_odds_and_genes_say_what_the_pages_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from tests.derived.family import Family, s5
    from tests.operations.conftest import Clock

    here = tmp_path / "book"
    with Collection.create(here, Clock()) as collection:
        s5(Family(collection))
    code, out, _ = run(capsys, "odds", "D-12", "24-1", "--collection", here, "--json")
    told = {name: {row["gene"]: row for row in rows} for name, rows in json.loads(out).items()}
    assert code == ExitCode.OK
    assert told["D-12"]["piebald"]["with_evidence"] == pytest.approx(2 / 3)
    assert (told["D-12"]["piebald"]["on_paper"], told["24-1"]["piebald"]["on_paper"]) == ("2/3", "1/3")
    code, out, _ = run(capsys, "odds", "--pair", "M-15", "D-12", "--collection", here, "--json")
    assert {(c["sire"], c["dam"]) for c in json.loads(out)["pair"]["piebald"]} == {
        ("piebald/piebald", "+/+"), ("piebald/piebald", "+/piebald"),
    }  # fmt: skip
    code, out, _ = run(capsys, "genes", "piebald", "--collection", here, "--json")
    carriers = {one["keeper_id"]: one["with_evidence"] for one in json.loads(out)["carriers"]}
    assert carriers["M-15"] == 1.0
    assert carriers["D-20"] == pytest.approx(1 / 4)
    code, out, _ = run(capsys, "odds", "--pair", "M-15", "D-12", "--collection", here)
    assert "piebald: sire piebald/piebald, dam +/piebald  66.67%" in out.splitlines()
    code, _, err = run(capsys, "odds", "--pair", "D-12", "M-15", "--collection", here)
    assert code == ExitCode.REFUSED and "the other way round" in err
    code, out, _ = run(capsys, "genes", "pied", "--collection", here)
    assert code == ExitCode.OK and out.splitlines()[0].split() == ["animal", "evidence", "on", "paper"]
    for word, said in (("peibald", "Is Piebald meant?"), ("enchi", "Nobody here has or may have Enchi.")):
        code, _, err = run(capsys, "genes", word, "--collection", here)
        assert code == ExitCode.REFUSED and said in err
    code, out, _ = run(capsys, "odds", "--case", demo_path("case.json"))
    assert json.loads(out)["answers"][0]["carries"]["clown"]["on_paper"] == "2/3"
    for words in (("odds", "X-99"), ("genes", "blorpfen")):
        code, _, err = run(capsys, *words, "--collection", here)
        assert code == ExitCode.REFUSED and err
    code, _, err = run(capsys, "odds", "--collection", here)
    assert code == ExitCode.USAGE and err


def test_what_the_season_expects_as_a_calendar(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here, file = tmp_path / "book", tmp_path / "season.ics"
    with open_collection(here, create=True) as book:
        female = add_animal(book, details=AnimalDetails(keeper_id="F-014", sex=Sex.FEMALE)).value
        see_ovulation(book, animal=female, at=book.clock().replace(tzinfo=None) - dt.timedelta(days=5))
    code, out, _ = run(capsys, "calendar", file, "--collection", here, "--json")
    assert (code, json.loads(out)["events"]) == (ExitCode.OK, 3)
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert [str(event["SUMMARY"]) for event in events] == [
        "F-014: pre-lay shed", "F-014: laying", "F-014: first pip",
    ]  # fmt: skip
    code, _, err = run(capsys, "calendar", file, "--collection", here)
    assert code == ExitCode.REFUSED and "--force" in err
    with open_collection(here) as book:
        undo_last(book)
    code, out, _ = run(capsys, "calendar", file, "--collection", here, "--json", "--force")
    assert (code, json.loads(out)["events"]) == (ExitCode.OK, 0)
    gone = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert {str(event["UID"]) for event in gone} == {str(event["UID"]) for event in events}
    assert {str(event["STATUS"]) for event in gone} == {"CANCELLED"}
