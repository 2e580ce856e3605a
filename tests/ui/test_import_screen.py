"""The import screen on the messy demo sheet: read, ask, change a column, accept, take back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox

from coilbook.intake.columns import Meaning
from coilbook.intake.tiers import Tier
from coilbook.operations.undo import undo_last
from coilbook.storage.collection import Collection
from coilbook.ui.main_window import MainWindow
from coilbook.ui.margin_content import Fact
from coilbook.ui.screens.history import HistoryScreen
from coilbook.ui.screens.import_sheet import ImportScreen
from coilbook.wording.resources import demo_path
from tests.operations.conftest import content

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

MakeWindow = Callable[..., MainWindow]


@pytest.fixture
def screen(make_window: MakeWindow) -> ImportScreen:
    window = make_window(HistoryScreen, ImportScreen)
    window.open_screen("import")
    shown = window.screen_open
    assert isinstance(shown, ImportScreen)
    return shown


def test_the_old_records_are_read_and_nothing_is_written(screen: ImportScreen, book: Collection) -> None:
    before = content(book)
    screen.read(demo_path("old-records.xlsx"))
    assert screen._plan is not None
    counts = screen._plan.counts
    assert (counts.rows, counts.refused, counts.duplicate_ids, counts.ambiguous_dates) == (214, 12, 4, 6)
    assert (counts.ready, counts.question) == (173, 29)
    assert screen.model.rowCount() == 214
    assert content(book) == before


def test_a_digit_answers_the_question_in_hand(screen: ImportScreen, qtbot: QtBot) -> None:
    screen.read(demo_path("old-records.xlsx"))
    first = screen.card.question
    assert first is not None and screen._plan is not None
    left = len(screen._plan.open_questions)
    qtbot.keyClick(screen.card, Qt.Key.Key_1)
    assert len(screen._plan.open_questions) < left
    assert screen._answers[first.key]
    assert screen.card.question is not None and screen.card.question.key != first.key
    held = screen.card.question
    qtbot.keyClick(screen.card, Qt.Key.Key_0)
    assert screen.card.question.key != held.key
    screen.ask_again()
    assert screen.card.question.key == held.key


def test_rows_are_narrowed_by_tier_and_explained(screen: ImportScreen) -> None:
    screen.read(demo_path("old-records.xlsx"))
    screen.show_tier(Tier.REFUSED)
    assert screen.model.rowCount() == 12
    content_ = screen.margin_content()
    assert content_.verdict == "refused"
    assert content_.why


def test_a_column_is_taken_for_something_else(screen: ImportScreen) -> None:
    screen.read(demo_path("old-records.xlsx"))
    assert screen._plan is not None
    column = next(c for c in screen._plan.sheets[0].columns if c.meaning is Meaning.SOURCE)
    screen.columns.chosen.emit(column.key, Meaning.NOTES.value)
    again = next(c for c in screen._plan.sheets[0].columns if c.index == column.index)
    assert again.meaning is Meaning.NOTES


def test_accepting_is_one_act_and_one_undo(screen: ImportScreen, book: Collection) -> None:
    before = content(book)
    screen.read(demo_path("old-records.xlsx"))
    assert screen._plan is not None
    animals = screen._plan.counts.animals
    screen.accept()
    found = book.read_one("SELECT count(*) FROM animal WHERE status <> 'outside'")
    assert found == (animals,)
    assert book.read_one("SELECT kind FROM act ORDER BY id DESC LIMIT 1") == ("import",)
    kept = list((book.folder / "imports").iterdir())
    assert [f.read_bytes() for f in kept] == [demo_path("old-records.xlsx").read_bytes()]
    undo_last(book)
    assert content(book) == before


def test_what_is_no_sheet_gets_a_sentence_and_the_page_stays(screen: ImportScreen, tmp_path: Path) -> None:
    bad = tmp_path / "holiday.xlsx"
    bad.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(200))
    screen.read(bad)
    assert screen._plan is None
    told = screen.desk.notices.current
    assert told is not None
    assert "holiday.xlsx" in screen.desk.render(told.message)


def test_a_dropped_sheet_is_answered_at_once_by_its_digits(
    make_window: MakeWindow, book: Collection, qtbot: QtBot
) -> None:
    window = make_window(HistoryScreen, ImportScreen)
    window.take_files([demo_path("old-records.xlsx")])
    shown = window.screen_open
    assert isinstance(shown, ImportScreen) and shown.card.question is not None
    first = shown.card.question.key
    focus = QApplication.focusWidget()
    assert focus is shown.card
    qtbot.keyClick(focus, Qt.Key.Key_1)
    assert shown.card.question.key != first
    window.open_screen("history")
    window.open_screen("import")
    assert QApplication.focusWidget() is shown.card


def test_the_foot_names_only_keys_that_do_something(screen: ImportScreen) -> None:
    assert "Ctrl Enter" not in screen.foot_hint()
    screen.read(demo_path("old-records.xlsx"))
    assert "digits answer" in screen.foot_hint()
    while screen.card.isVisible():
        screen.pass_by()
    assert "F2" in screen.foot_hint() and "digits" not in screen.foot_hint()


def test_the_whole_head_is_seen_beside_the_margin(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(HistoryScreen, ImportScreen)
    window.resize(1280, 800)
    window.take_files([demo_path("old-records.xlsx")])
    shown = window.screen_open
    assert isinstance(shown, ImportScreen)
    qtbot.waitUntil(lambda: shown.minimumSizeHint().width() <= window.page.width())
    right = shown.button.mapTo(window.page, shown.button.rect().topRight()).x()
    assert right <= window.page.width()


def test_the_choices_for_columns_are_made_when_they_are_looked_at(screen: ImportScreen) -> None:
    screen.read(demo_path("old-records.xlsx"))
    assert not screen.columns.findChildren(QComboBox)
    screen.switch()
    made = screen.columns.findChildren(QComboBox)
    assert made
    assert screen._plan is not None
    column = next(c for c in screen._plan.sheets[0].columns if c.meaning is Meaning.SOURCE)
    screen.switch()
    screen.columns.chosen.emit(column.key, Meaning.NOTES.value)
    screen.switch()
    shown = screen.columns.widget()
    assert shown is not None
    chosen = {combo.accessibleName(): combo.currentData() for combo in shown.findChildren(QComboBox)}
    assert chosen[f"Column {column.title} holds"] == Meaning.NOTES.value


def test_a_doubtful_genetics_text_takes_one_click(screen: ImportScreen, qtbot: QtBot) -> None:
    screen.read(demo_path("old-records.xlsx"))
    assert screen._plan is not None
    while (asked := screen.card.question) is not None and not asked.key.startswith("genetics|no_percent|"):
        screen.pass_by()
    assert asked is not None and asked.text.values["text"] == "pos het clown"
    waiting = screen._plan.counts.question
    row = next(row for row in screen._plan.rows if asked.key in row.waits_for)
    assert screen._plan.animals[row.animals[0]].read_as == "poss het clown"
    qtbot.keyClick(screen.card, Qt.Key.Key_2)
    assert screen._answers[asked.key] == "66"
    assert screen._plan.animals[row.animals[0]].read_as == "66% het clown"
    assert screen._plan.counts.question == waiting - 2  # two animals have this text
    screen.show_tier(None)
    at = next(n for n in range(screen.model.rowCount()) if screen.model.row_at(n).number == row.number)
    screen.table.setCurrentIndex(screen.model.index(at, 0))
    rows = [fact for section in screen.margin_content().sections for fact in section.rows]
    assert ("read as", "66% het clown") in {(fact.name, fact.value) for fact in rows if isinstance(fact, Fact)}
