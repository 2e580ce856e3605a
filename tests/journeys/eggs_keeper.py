"""A keeper at the keyboard before the Eggs screen: keys are counted, the clock is his, one female is due."""

from __future__ import annotations

import datetime as dt

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.operations.weighing import weigh
from coilbook.reads.egg_boxes import boxes
from coilbook.reads.egg_rows import BoxNowRow
from coilbook.records.ids import EggBoxId
from coilbook.records.quantities import Mass, Temperature
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.animal.choice_strip import ChoiceStrip
from coilbook.ui.eggs.egg_table import EggTable
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.eggs import EggsScreen
from tests.operations.conftest import Clock

ENTER, ESC, TAB, SPACE = Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Tab, Qt.Key.Key_Space
MORNING = dt.datetime(2026, 3, 31, 9, 0, tzinfo=dt.timezone(dt.timedelta(hours=2)))


class Keeper:
    """A keeper at the keyboard whose keys are counted."""

    def __init__(self, window: MainWindow, clock: Clock, book: Collection) -> None:
        self.window, self.clock, self.book = window, clock, book
        self.keys = 0
        window.open_screen("eggs")
        screen = window.screen_open
        assert isinstance(screen, EggsScreen)
        self.screen = screen

    def press(self, *keys: Qt.Key | str) -> None:
        """Keys, one after the other; a text is typed letter by letter where the keyboard is."""
        for key in keys:
            at = QApplication.focusWidget() or self.window
            if isinstance(key, Qt.Key):
                self.keys += 1
                QTest.keyClick(at, key)
            else:
                for letter in key:
                    self.keys += 1
                    QTest.keyClick(QApplication.focusWidget() or self.window, letter)
            QApplication.processEvents()

    def counted(self) -> int:
        """Keys since last asked."""
        keys, self.keys = self.keys, 0
        return keys

    def day(self, number: int) -> None:
        """The morning of a day of incubation."""
        self.clock.now = MORNING + dt.timedelta(days=number)
        self.window.open_screen("eggs")

    def box(self) -> BoxNowRow:
        """The first box."""
        (found,) = boxes(self.book, [EggBoxId(1)])
        return found


@pytest.fixture
def keeper(window: MainWindow, clock: Clock, book: Collection) -> Keeper:
    """Before a book with one female and two males, on the morning of 31 March 2026."""
    clock.now = MORNING - dt.timedelta(days=9)
    female = add_animal(book, details=AnimalDetails(keeper_id="F-014", sex=Sex.FEMALE)).value
    for name in ("M-03", "M-11"):
        add_animal(book, details=AnimalDetails(keeper_id=name, sex=Sex.MALE))
    weigh(book, animal=female, mass=Mass(19_850))
    shelves = ("top", "middle")
    add_incubator(book, details=IncubatorDetails(name="Incubator 1", set_at=Temperature.of(31.5), shelves=shelves))
    clock.now = MORNING
    return Keeper(window, clock, book)


def lay(keeper: Keeper) -> None:
    """Eight eggs with their weights, one doubtful and one slug."""
    keeper.press("n", "F-014", TAB, "78 84 78 79 54? 81 76 36s", ENTER)


def lay_with_dam(keeper: Keeper) -> None:
    """Three eggs that their dam keeps."""
    keeper.press("n", "F-014", TAB, "80 81 82")
    form = keeper.screen.room.form
    assert form is not None
    stays = form.rows["stays"].editor
    assert isinstance(stays, ChoiceStrip)
    stays.choose(True)
    keeper.press(ENTER)


def texts_of(table: EggTable, day: int) -> list[str]:
    """What stands in the column of a day of the table of eggs."""
    return [cell.text for (_, when), cell in table._cells.items() if when == day]
