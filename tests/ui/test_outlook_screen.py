"""Outlook in the real window: pairings from the keyboard, the number explained, a look opened, mates ranked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox, QLineEdit

from coilbook.genetics.inference import weighing
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal, set_parents
from coilbook.operations.settings import settings_of
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.main_window import MainWindow
from coilbook.ui.outlook.layout import MOST_NARROW, Columns, folded
from coilbook.ui.outlook.sorts import FactKey, PieceKind
from coilbook.ui.outlook.words import FactRow
from coilbook.ui.screens.outlook import OutlookScreen
from coilbook.ui.screens.season import SeasonScreen
from coilbook.wording.chances import percent

MakeWindow = Callable[..., MainWindow]


class Page:
    """The screen with two females and two males in the book."""

    def __init__(self, book: Collection, window: MainWindow) -> None:
        self.ids: dict[str, AnimalId] = {}
        for keeper_id, genetics in (
            ("F-023", "Enchi 66% het clown"),
            ("M-03", "Clown"),
            ("M-11", "Pastel 100% het clown"),
            ("F-031", "100% het clown piebald"),
        ):
            sex = Sex.FEMALE if keeper_id.startswith("F") else Sex.MALE
            self.ids[keeper_id] = add_animal(
                book, details=AnimalDetails(keeper_id=keeper_id, sex=sex, genetics=genetics)
            ).value
        self.window = window
        screen = window.made("outlook")
        assert isinstance(screen, OutlookScreen)
        self.screen = screen
        window.open_screen("outlook")

    def add(self, dam: str, sire: str) -> None:
        QTest.keyClick(self.window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        self.fill(dam=dam, sires=sire)

    def fill(self, **texts: str) -> None:
        form = self.screen.forms.form
        assert form is not None
        for name, text in texts.items():
            editor = form.rows[name].editor
            assert isinstance(editor, QLineEdit)
            editor.setText(text)
        QTest.keyClick(editor, Qt.Key.Key_Return)

    def key(self, key: Qt.Key) -> None:
        QTest.keyClick(self.screen.columns, key)


@pytest.fixture
def page(book: Collection, window: MainWindow) -> Page:
    return Page(book, window)


def test_two_pairings_side_by_side(page: Page) -> None:
    assert page.screen.stack.currentWidget() is page.screen.empty
    page.add("F-023", "M-03")
    page.add("f-023", "m-11")
    shown = page.screen.columns.shown
    assert [one.number for one in shown] == ["65.6%", "54.8%"]
    assert shown[0].sentence.endswith("66.7% that she carries it; if she does, 98.4% that you see one in 6.")
    assert page.screen.columns.piece is not None and page.screen.columns.piece.column == 1
    page.key(Qt.Key.Key_Left)
    margin = page.screen.margin_content()
    assert margin.verdict == "65.6%, not 91.2%"
    assert [fact.value for fact in margin.facts] == ["66.7%", "50.0%", "98.4%", "65.6%"]
    assert margin.chart is not None


def test_every_row_answers_in_the_margin(page: Page) -> None:
    page.add("F-023", "M-03")
    seen = set()
    for _ in range(30):
        piece = page.screen.columns.piece
        assert piece is not None
        seen.add(piece.kind)
        assert page.screen.margin_content().verdict
        assert page.screen.columns.accessibleDescription() or piece.kind is PieceKind.TITLE
        page.key(Qt.Key.Key_Down)
    assert {PieceKind.NUMBER, PieceKind.LOOK, PieceKind.FACT} <= seen
    facts = [fact.key for fact in page.screen.columns.shown[0].facts]
    assert facts[:3] == [FactKey.CLUTCH, FactKey.EGGS, FactKey.CARDS]


def test_enter_opens_a_look_and_closes_it(page: Page) -> None:
    page.add("F-023", "M-03")
    page.screen.columns.focus_on(PieceKind.LOOK, 0)
    before = len(page.screen.columns.shown[0].looks)
    page.key(Qt.Key.Key_Return)
    inside = [row.title for row, depth in page.screen.columns.shown[0].looks if depth]
    assert sorted(inside) == ["Clown", "Enchi Clown"]
    page.key(Qt.Key.Key_Return)
    assert len(page.screen.columns.shown[0].looks) == before


def test_another_look_and_another_number(page: Page) -> None:
    page.add("F-031", "M-11")
    QTest.keyClick(page.screen.columns, Qt.Key.Key_K)
    page.fill(look="pastel clown")
    assert page.screen.looked_for() == "Pastel Clown"
    assert page.screen.columns.shown[0].number == "55.1%"  # 1 - (7/8)^6
    # a Clown hides a single dose of Pastel, by the catalogue
    assert page.screen.columns.shown[0].sentence.endswith("Some of them cannot be told at hatch.")
    QTest.keyClick(page.screen.columns, Qt.Key.Key_N)
    page.fill(count="7")
    assert page.screen.columns.shown[0].number == "60.7%"  # job 4.3
    QTest.keyClick(page.screen.columns, Qt.Key.Key_K)
    page.fill(look="no such thing")
    assert page.screen.forms.form is not None and page.screen.looked_for() == "Pastel Clown"


def test_ranking_puts_a_mate_on_the_page(page: Page) -> None:
    page.add("F-031", "M-11")
    QTest.keyClick(page.screen.columns, Qt.Key.Key_R)
    screen = page.screen
    assert screen.stack.currentWidget() is screen.ranking
    assert screen.ranking.model.look(0, 1).text == "M-03"
    assert screen.margin_content().whose == "M-03"
    QTest.keyClick(screen.ranking.table, Qt.Key.Key_Return)
    assert screen.stack.currentWidget() is screen.columns
    assert [pairing.sires[0][0] for pairing in screen.pairings] == [page.ids["M-11"], page.ids["M-03"]]


def test_a_correction_moves_the_odds(page: Page, book: Collection) -> None:
    """An act elsewhere that touches a parent is followed by the page."""
    page.add("F-023", "M-03")
    page.screen.desk.run(edit_animal, animal=page.ids["F-023"], details=AnimalDetails(genetics="Enchi 100% het clown"))
    assert page.screen.columns.shown[0].number == "98.4%"


def test_the_keepers_own_limit_of_inbreeding(page: Page, book: Collection) -> None:
    """Half-sibs, 12.5%: named by the usual limit, and no more once the keeper has set another."""
    for young, sex, dam in (("F-50", Sex.FEMALE, "F-023"), ("M-50", Sex.MALE, "F-031")):
        page.ids[young] = add_animal(book, details=AnimalDetails(keeper_id=young, sex=sex, genetics="Clown")).value
        set_parents(book, animal=page.ids[young], dam=page.ids[dam], sires={page.ids["M-03"]: 100})
    page.add("F-50", "M-50")

    def row() -> FactRow:
        return next(fact for fact in page.screen.columns.shown[0].facts if fact.key is FactKey.INBREEDING)

    assert row().needs_you and row().value.startswith("at least 12.5%; 6 of 14 ancestors known")
    page.window.open_screen("settings")
    edit = page.window.screen_open.inbred  # type: ignore[union-attr]
    edit.setText("15,5 %")
    edit.editingFinished.emit()
    page.window.open_screen("outlook")
    assert settings_of(book).inbreeding_limit_tenths == 155
    assert not row().needs_you


def test_order_and_taking_off(page: Page) -> None:
    page.add("F-023", "M-03")
    page.add("F-023", "M-11")
    QTest.keyClick(page.window, Qt.Key.Key_Left, Qt.KeyboardModifier.ControlModifier)
    assert [one.number for one in page.screen.columns.shown] == ["54.8%", "65.6%"]
    QTest.keyClick(page.window, Qt.Key.Key_Delete)
    assert [one.number for one in page.screen.columns.shown] == ["65.6%"]


def test_a_list_of_sires_for_each_egg(page: Page) -> None:
    """F-031, het clown: half Clown by M-03, a quarter by M-11; 70 : 30 over the eggs is 42.5% for each of them."""
    QTest.keyClick(page.window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    form = page.screen.forms.form
    assert form is not None
    box = form.rows["each_own"].editor
    assert isinstance(box, QCheckBox)
    box.setChecked(True)
    page.fill(dam="F-031", sires="M-03 70, M-11 30")
    QTest.keyClick(page.screen.columns, Qt.Key.Key_K)
    page.fill(look="clown")
    assert page.screen.columns.shown[0].number == percent(1 - 0.575**6)
    assert "Each egg with its own sire" in page.screen.margin_content().sections[0].text
    page.add("F-031", "M-03 70, M-11 30")
    assert page.screen.columns.shown[1].number == percent(0.7 * (1 - 0.5**6) + 0.3 * (1 - 0.75**6))


def test_too_many_possible_sires_behind_a_parent_are_told(
    page: Page, book: Collection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A row of its own, and in the margin whose family it is; where all are weighed together there is no row."""
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    young = add_animal(book, details=AnimalDetails(keeper_id="F-060", sex=Sex.FEMALE, genetics="Pastel")).value
    either = {page.ids["M-03"]: 50, page.ids["M-11"]: 50}
    set_parents(book, animal=young, dam=page.ids["F-031"], sires=either)
    add_animal(book, details=AnimalDetails(keeper_id="M-20", sex=Sex.MALE, genetics="Clown"))
    page.add("F-023", "M-20")
    page.add("F-060", "M-20")
    columns = page.screen.columns
    rows = [[fact.value for fact in one.facts if fact.key is FactKey.SIRES] for one in columns.shown]
    assert rows == [[], [str(SIRES_BY_GENE)]]
    told = []
    for _ in range(30):
        page.key(Qt.Key.Key_Down)
        told.append(page.screen.margin_content().rests_on)
    assert "Too many sires are possible in the family of F-060." in told


def test_no_pair(page: Page) -> None:
    page.add("F-023", "F-031")
    assert page.screen.columns.shown[0].sentence == "F-023 and F-031 are both female."
    assert page.screen.margin_content().needs_you
    page.add("F-023", "M-99")
    form = page.screen.forms.form
    assert form is not None and form.isVisible()


def test_a_second_pairing_replaces_the_dam_that_stands_in_the_form(page: Page) -> None:
    page.add("F-023", "M-03")
    QTest.keyClick(page.window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    form = page.screen.forms.form
    assert form is not None
    editor = form.rows["dam"].editor
    assert isinstance(editor, QLineEdit) and editor.text() == "F-023"
    QTest.keyClicks(editor, "F-031")
    assert editor.text() == "F-031"


def test_a_pairing_is_planned_from_where_it_was_weighed(page: Page) -> None:
    page.add("F-023", "M-03")
    page.add("F-023", "M-03 30, M-11 70")
    page.screen.plan()
    season = page.window.screen_open
    assert isinstance(season, SeasonScreen) and season.room.form is not None
    rows = season.room.form.rows
    typed = {name: row.editor.text() for name, row in rows.items() if isinstance(row.editor, QLineEdit)}
    assert (typed["female"], typed["male"]) == ("F-023", "M-11")
    assert QApplication.focusWidget() is rows["day"].editor
    QTest.keyClick(season.room.form.save, Qt.Key.Key_Return)
    assert page.screen.desk.collection.read("SELECT count(*) FROM pairing_plan") == [(1,)]
    # coming back later asks nothing again
    page.window.open_screen("outlook")
    page.window.go_back()
    assert page.window.screen_open is season and season.room.form is None


def test_few_looks_of_a_narrow_column_all_stand_there_and_many_fold_with_a_word(page: Page) -> None:
    page.add("F-023", "M-03")
    (shown,) = page.screen.columns.shown
    assert len(shown.looks) <= MOST_NARROW and any(look.wanted for look, _ in shown.looks)
    theme = page.screen.desk.theme
    few = [p for p in Columns(theme, (shown,) * 5, 1200).pieces if p.kind is PieceKind.LOOK and not p.column]
    assert len(few) == len(shown.looks) and not folded(shown, wide=False)
    crowded = replace(shown, looks=shown.looks * 3)
    assert folded(crowded, wide=False) and not folded(crowded, wide=True)
    many = [p for p in Columns(theme, (crowded,) * 5, 1200).pieces if p.kind is PieceKind.LOOK and not p.column]
    assert 0 < len(many) < len(crowded.looks)
