"""The parts screens are built from: they work by keyboard, keep what was typed, and paint what they say."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from coilbook.records.settings import Settings
from coilbook.ui.commands import Command, clashes, matching
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton, shown_key
from coilbook.ui.parts.icons import icon
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.parts.shapes import RESULT_SHAPES, SHAPES, ShapeMark
from coilbook.ui.parts.table import CellLook, LooksModel, TableView
from coilbook.ui.parts.text import ElidedLabel, IdLabel
from coilbook.ui.theme import ROW_HEIGHT, TARGET, Theme
from coilbook.wording.resources import resource_path


@pytest.fixture
def theme(qapp: QApplication) -> Iterator[Theme]:
    made = Theme(Settings())
    made.apply()
    yield made
    made.deleteLater()


def _colours(widget: QWidget) -> set[str]:
    image = widget.grab().toImage()
    return {QColor(image.pixel(x, y)).name().upper() for x in range(image.width()) for y in range(image.height())}


def test_keys_stand_on_buttons_as_they_are_pressed() -> None:
    assert [shown_key(key) for key in ("Ctrl+N", "Return", "Ctrl++", "Ctrl+-", "F9", "+")] == [
        "Ctrl N", "Enter", "Ctrl +", "Ctrl -", "F9", "+",
    ]  # fmt: skip


def test_a_button_is_pressed_by_mouse_space_and_enter(theme: Theme, qtbot: QtBot) -> None:
    pressed: list[int] = []
    button = QuietButton.of(theme, Command("save", "Save", lambda: pressed.append(1), "Ctrl+S"))
    qtbot.addWidget(button)
    button.show()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return):
        qtbot.keyClick(button, key)
    assert pressed == [1, 1, 1]
    assert button.accessibleName() == "Save"


def test_only_the_primary_button_is_filled(theme: Theme, qtbot: QtBot) -> None:
    one, other = PrimaryButton(theme, "Add", "Ctrl+N"), QuietButton(theme, "Leave", "Esc")
    for button in (one, other):
        qtbot.addWidget(button)
        button.resize(button.sizeHint())
    accent = theme.tokens.accent.upper()
    assert accent in _colours(one) and accent not in _colours(other)


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_every_shape_leaves_a_mark(theme: Theme, qtbot: QtBot, name: str) -> None:
    mark, blank = ShapeMark(theme, name), ShapeMark(theme, "")
    for widget in (mark, blank):
        qtbot.addWidget(widget)
        widget.resize(16, 16)
    assert mark.grab().toImage() != blank.grab().toImage()


def test_results_are_told_apart_by_shape_alone(theme: Theme, qtbot: QtBot) -> None:
    pictures = []
    for name in RESULT_SHAPES.values():
        mark = ShapeMark(theme, name)
        qtbot.addWidget(mark)
        mark.resize(16, 16)
        image = mark.grab().toImage()
        ground = image.pixel(0, 0)
        pictures.append(tuple(image.pixel(x, y) != ground for x in range(16) for y in range(16)))
    assert len(set(pictures)) == len(pictures)


def test_long_words_are_elided_and_kept_whole_for_a_reader(theme: Theme, qtbot: QtBot) -> None:
    label = ElidedLabel(theme)
    qtbot.addWidget(label)
    label.set_text("Pastel Enchi Yellow Belly 66% het clown 50% het albino")
    label.resize(80, 20)
    label.grab()
    assert label.toolTip() == label.accessibleName() == label.text()
    label.resize(label.sizeHint())
    label.grab()
    assert label.toolTip() == ""


def test_an_id_is_read_with_its_sex(theme: Theme, qtbot: QtBot) -> None:
    whose = IdLabel(theme)
    qtbot.addWidget(whose)
    whose.show_animal("F-014", ("♀?", "F?"))
    assert whose.accessibleName() == "F-014 F?"


def _form(theme: Theme, qtbot: QtBot) -> InlineForm:
    form = InlineForm(theme, "Add an animal")
    form.add("id", "Id", QLineEdit(), hint="F-014")
    form.add("note", "Note", QPlainTextEdit(), span=2)
    qtbot.addWidget(form)
    form.begin()
    return form


def test_a_form_is_saved_by_enter_and_left_by_escape(theme: Theme, qtbot: QtBot) -> None:
    form = _form(theme, qtbot)
    with qtbot.waitSignal(form.saved, timeout=1000):
        qtbot.keyClick(form.rows["id"].editor, Qt.Key.Key_Return)
    with qtbot.waitSignal(form.left, timeout=1000):
        qtbot.keyClick(form.rows["id"].editor, Qt.Key.Key_Escape)


def test_a_refused_form_keeps_what_was_typed_and_says_where(theme: Theme, qtbot: QtBot) -> None:
    form = _form(theme, qtbot)
    editor = form.rows["id"].editor
    assert isinstance(editor, QLineEdit)
    qtbot.keyClicks(editor, "F-014")
    form.refuse("There is an F-014 already.", "id")
    assert editor.text() == "F-014" and editor.property("bad") is True
    assert theme.tokens.clay.upper() in _colours(form)
    form.accept()
    assert editor.property("bad") is False


class _Rows(LooksModel):
    """Three animals in two columns."""

    IDS = ("F-001", "F-002", "F-003")

    def row_total(self) -> int:
        return len(self.IDS)

    def look(self, row: int, column: int) -> CellLook:
        return CellLook("-8.7%, look", token="clay") if column else CellLook(self.IDS[row])


@pytest.fixture
def table(theme: Theme, qtbot: QtBot) -> TableView:
    view = TableView(theme, "Animals")
    qtbot.addWidget(view)
    model = _Rows(("Animal", "Change"))
    model.setParent(view)
    view.setModel(model)
    view.resize(400, 200)
    view.show()
    view.setCurrentIndex(model.index(0, 0))
    return view


def test_a_table_is_walked_and_opened_by_keys(table: TableView, qtbot: QtBot) -> None:
    opened: list[int] = []
    table.opened.connect(lambda index: opened.append(index.row()))
    qtbot.keyClick(table, Qt.Key.Key_Down)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    qtbot.keyClick(table, Qt.Key.Key_End)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert opened == [1, 2]
    assert table.rowHeight(0) == 28


def test_the_row_in_focus_has_a_bar_and_clay_words_turn_to_ink(table: TableView, qtbot: QtBot) -> None:
    # by a key and not by `selectRow`, which extends the selection where a test before left Shift pressed
    qtbot.keyClick(table, Qt.Key.Key_Down)
    image = table.viewport().grab().toImage()
    theme = table.theme
    assert QColor(image.pixel(1, 28 + 14)) == theme.colour("accent")
    assert QColor(image.pixel(1, 14)) != theme.colour("accent")

    def row(number: int) -> set[str]:
        return {
            QColor(image.pixel(x, y)).name().upper()
            for x in range(100, 300)
            for y in range(number * 28, number * 28 + 27)
        }

    assert theme.tokens.clay.upper() in row(0)
    assert theme.tokens.clay.upper() not in row(1)


def test_icons_take_the_ink_of_the_theme(theme: Theme) -> None:
    for file in resource_path("icons").glob("*.svg"):
        if "currentColor" in file.read_text(encoding="utf-8"):
            assert not icon(theme, file.stem).isNull()


def test_commands_are_found_by_a_misspelt_word_and_clashes_are_seen() -> None:
    def nothing() -> None:
        return None

    one = Command("a", "Add an animal", nothing, "Ctrl+N", screen="animals")
    two = Command("b", "Print the labels", nothing, "Ctrl+N", screen="labels")
    hidden = Command("c", "Add nothing", nothing, listed=False)
    off = Command("d", "Add never", nothing, enabled=lambda: False)
    everything = [one, two, hidden, off]
    assert matching(everything, "anmal") == [one]
    assert matching(everything, "") == [one, two]
    assert matching(everything, "xyzzy") == []
    assert clashes(everything) == []
    assert clashes([one, Command("e", "Also", nothing, "Ctrl+N")]) == [("Ctrl+N", "a", "e")]


def test_rows_follow_the_size_of_the_room_by_one_setting(theme: Theme, qtbot: QtBot) -> None:
    """Raising the least height would go through a hundred thousand rows one by one; the default height does not."""
    table = TableView(theme, "Rows")
    qtbot.addWidget(table)
    rows, heights = table.verticalHeader(), []
    for room in (False, True, False):
        theme.set_room(room)
        heights.append(rows.defaultSectionSize())
        assert rows.minimumSectionSize() == 1
    assert heights == [theme.px(ROW_HEIGHT), theme.px(TARGET), theme.px(ROW_HEIGHT)]
