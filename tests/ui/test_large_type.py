"""Large type on a laptop: the window keeps its size, fields fold instead of being cut, key hints end at a whole key."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.records.settings import Settings, Theme
from coilbook.records.vocabulary import Origin
from coilbook.records.when import PartialDate
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.margin_body import MarginColumn
from coilbook.ui.parts.buttons import KeyButton
from coilbook.ui.parts.folding_grid import FoldingGrid
from coilbook.ui.parts.key_hint import KeyHint
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.labels import LabelsScreen
from coilbook.ui.screens.registry import registered_screens
from coilbook.ui.screens.settings import SettingsScreen
from coilbook.ui.theme import MARGIN_WIDTH
from coilbook.ui.theme import Theme as Look
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow

LAPTOP = (1280, 800)


@pytest.mark.parametrize("theme", list(Theme))
def test_no_screen_makes_the_window_outgrow_a_laptop(make_window: MakeWindow, theme: Theme) -> None:
    window = make_window(*registered_screens())
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, theme=theme, text_scale_percent=150))
    window.settle()
    for kind in window.kinds:
        window.open_screen(kind.key)
        least = window.minimumSizeHint()
        assert (least.width(), least.height()) <= LAPTOP and least.height() <= LAPTOP[1], kind.key


@pytest.mark.parametrize("percent", (100, 150))
def test_an_id_of_sixty_letters_widens_neither_page_nor_margin(
    make_window: MakeWindow, room: Room, percent: int
) -> None:
    """Nothing is scrolled sideways, and what stands at the right of the margin is seen."""
    long = ("F-014 " + "\u00dcbergr\u00f6\u00dfentr\u00e4ger" * 5)[:60]
    edit_animal(room.book, animal=room.female, details=AnimalDetails(keeper_id=long))
    edit_animal(room.book, animal=room.male, details=AnimalDetails(keeper_id=long.replace("F", "M")))
    window = make_window(*registered_screens())
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=percent))
    window.settle()
    for key, target in (("animal", room.female), ("pedigree", room.female), ("pedigree", room.male)):
        window.open_screen(key, animal=target)
        window.settle()
        assert window.margin.findChild(MarginColumn).minimumSizeHint().width() <= MARGIN_WIDTH, key  # type: ignore[union-attr]
        screen = window.made(key)
        room_there = window.width() - window.column.width() - window.margin.width()
        assert screen.minimumSizeHint().width() <= room_there, key


def test_buttons_of_a_head_fold_under_its_title(make_window: MakeWindow) -> None:
    """At the largest type on a laptop no button of a page is cut off or shortened."""
    window = make_window(*registered_screens())
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    window.settle()
    for key in ("outlook", "pedigree", "changed", "genes"):
        window.open_screen(key)
        window.settle()
        screen = window.made(key)
        for button in screen.findChildren(KeyButton):
            if button.isVisible():
                right = button.mapTo(screen, QPoint(button.width(), 0)).x()
                assert right <= window.width() - window.column.width() - window.margin.width(), button.text()
                assert button.width() >= button.sizeHint().width(), button.text()


def test_the_settings_are_not_scrolled_sideways(make_window: MakeWindow) -> None:
    window = make_window(SettingsScreen)
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    window.settle()
    screen = window.made("settings")
    area = screen.findChild(QScrollArea)
    assert area is not None and area.widget().minimumSizeHint().width() <= area.viewport().width()
    grids = screen.findChildren(FoldingGrid)
    care = max(grids, key=lambda grid: len(grid.children()))
    assert care.layout().columnStretch(2) == 0  # type: ignore[union-attr]


def test_stock_and_printer_share_a_row_where_five_fields_do_not_fit(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(LabelsScreen)
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    window.settle()
    screen = window.made("labels")
    assert isinstance(screen, LabelsScreen)
    fields = screen.fields
    qtbot.waitUntil(lambda: fields.stock.mapTo(fields, QPoint(0, 0)).y() > fields.kind.mapTo(fields, QPoint(0, 0)).y())
    metrics = fields.printer.fontMetrics()
    assert metrics.horizontalAdvance(fields.printer.currentText()) < fields.printer.width()
    walked: list[QWidget] = [fields.kind]
    while walked[-1].nextInFocusChain() is not fields.kind:
        walked.append(walked[-1].nextInFocusChain())
    in_rows: list[QWidget] = [
        fields.kind,
        fields.source,
        fields.first.less,
        fields.first.more,
        fields.stock,
        fields.printer,
    ]
    assert [widget for widget in walked if widget in in_rows] == in_rows


@pytest.mark.parametrize("theme", [Theme.LIGHT, Theme.DIM])
def test_a_line_edited_in_place_shows_its_whole_field(make_window: MakeWindow, room: Room, theme: Theme) -> None:
    window = make_window(*registered_screens())
    window.resize(*LAPTOP)
    window.desk.theme.follow(replace(window.desk.settings, theme=theme))
    window.settle()
    window.open_screen("animal", animal=room.female)
    line = next(one for one in window.made("animal").findChildren(EditInPlace) if one.isVisible() and one.may_edit())
    line.edit()
    QApplication.processEvents()
    assert line.field is not None
    assert line.height() >= line.field.sizeHint().height() and line.field.height() >= line.field.sizeHint().height()


def test_a_key_hint_ends_at_a_whole_key(qtbot: QtBot) -> None:
    theme = Look(Settings())
    hint = KeyHint(theme)
    qtbot.addWidget(hint)
    hint.show()
    hint.resize(600, 20)
    hint.say("`Enter` opens  `Space` selects  `Ctrl F` to the line")
    assert hint.shown().endswith("to the line")
    hint.resize(160, 20)
    assert hint.shown() == "`Enter` opens"
    hint.resize(20, 20)
    assert hint.shown() == "" and hint.text() == ""
    assert hint.accessibleName() == "Enter opens  Space selects  Ctrl F to the line"


@pytest.mark.parametrize("scale", [100, 150])
def test_the_day_of_hatching_is_not_cut_however_wide_the_window(
    make_window: MakeWindow, room: Room, scale: int
) -> None:
    details = AnimalDetails(keeper_id="C26-05-3", hatched=PartialDate(dt.date(2026, 3, 25)), origin=Origin.BRED_HERE)
    young = add_animal(room.book, details=details).value
    window = make_window(AnimalScreen)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=scale))
    window.settle()
    window.desk.go_animal(young)
    screen = window.screen_open
    assert isinstance(screen, AnimalScreen)
    columns = set()
    for width in range(1000, 1700, 12):
        window.resize(width, 800)
        for _ in range(3):
            QApplication.processEvents()
        line = screen.body.details.lines["hatched"]
        line.grab()
        # a value that was cut is told in full by its tip
        assert (line.value, line.toolTip()) == ("25 Mar 2026", "F2 corrects it"), width
        columns.add(len({one.x() for one in screen.body.details.lines.values() if one.isVisible()}))
    assert 3 in columns
