"""`coilbook labels` on a real collection: the PDF, what it tells a script, and its refusals."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from tests.operations.conftest import Room, book, clock, room

from coilbook.app.command_line import main
from coilbook.app.exit_codes import ExitCode
from coilbook.reads.codes import code_of
from coilbook.records.vocabulary import CodeKind

__all__ = ["book", "clock", "room"]


def codes_of(path: Path) -> set[str]:
    document = pypdfium2.PdfDocument(path)
    try:
        pages = [np.ascontiguousarray(page.render(scale=300 / 72).to_numpy()[:, :, :3]) for page in document]
    finally:
        document.close()
    return {found.text for page in pages for found in zxingcpp.read_barcodes(page)}


def test_cards_of_some_animals(room: Room, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "cards.pdf"
    words = ["labels", "--animals", "f-014", "M-03", "--out", str(out), "--collection", str(room.book.folder), "--json"]
    assert main(words) == ExitCode.OK
    told = json.loads(capsys.readouterr().out)
    assert (told["labels"], told["pages"], told["problems"]) == (2, 1, [])
    wanted = [code_of(room.book, CodeKind.ANIMAL, animal) for animal in (room.female, room.male)]
    assert codes_of(out) == {code.text for code in wanted if code is not None}
    assert room.book.read("SELECT count(*) FROM label_print") == [(2,)]


def test_slot_labels_of_a_rack_into_the_papers(room: Room, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["labels", "--rack", "R2", "--slots", "--collection", str(room.book.folder)]) == ExitCode.OK
    path = Path(capsys.readouterr().out.strip())
    assert path.parent == room.book.folder / "papers"
    assert len(codes_of(path)) == 6


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--animals", "X-99"], "no animal X-99"),
        (["--rack", "R9"], "R9 is not a rack"),
        (["--all", "--stock", "napkin"], "no label stock"),
        (["--all", "--first", "11"], "10 positions"),
        (["--all", "--printer", "Room printer"], "No printer Room printer"),
        (["--animals", "F-014", "--slots"], "Slot labels go with"),
    ],
)
def test_refusals_say_what_is_wrong(
    room: Room, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert main(["labels", *words, "--collection", str(room.book.folder)]) == ExitCode.REFUSED
    assert said in capsys.readouterr().err
    assert room.book.read("SELECT count(*) FROM label_print") == [(0,)]


def test_stocks_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["labels", "--stocks"]) == ExitCode.OK
    assert "a4-cards-85x54" in capsys.readouterr().out
