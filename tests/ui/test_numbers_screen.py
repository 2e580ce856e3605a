"""The numbers of the species, from Settings and Season through the real window, by keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from coilbook.derived.season_profile import profile_now
from coilbook.husbandry.figures import Brood, FigureKey, Mark, Spread
from coilbook.husbandry.own_numbers import number_of
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.numbers import NumbersScreen
from coilbook.ui.screens.season import SeasonScreen
from coilbook.ui.screens.settings import SettingsScreen

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from tests.operations.conftest import Room

MakeWindow = Callable[..., MainWindow]


@pytest.fixture
def window(room: Room, make_window: MakeWindow) -> MainWindow:
    return make_window(SettingsScreen, SeasonScreen, NumbersScreen)


def keys(qtbot: QtBot, text: str) -> None:
    widget = QApplication.focusWidget()
    assert widget is not None
    for name in text.split():
        if hasattr(Qt.Key, f"Key_{name}"):
            qtbot.keyClick(widget, getattr(Qt.Key, f"Key_{name}"))
        else:
            qtbot.keyClicks(widget, name)
        widget = QApplication.focusWidget() or widget


def test_a_keeper_sets_the_weight_for_sale_and_takes_the_shipped_one_back(
    room: Room, window: MainWindow, qtbot: QtBot
) -> None:
    window.open_screen("settings")
    next(c for c in window.screen_open.commands() if c.id == "settings.numbers").run()
    screen = window.screen_open
    assert isinstance(screen, NumbersScreen)
    screen.filter_text("sale weight")
    assert screen.row is not None and screen.row.key is FigureKey.SALE_MASS_G
    screen.table.setFocus()
    keys(qtbot, "Return 110 Return")
    assert profile_now(room.book.read).value(FigureKey.SALE_MASS_G) == 110
    told = [screen.model.look(0, column).text for column in range(6)]
    assert told[2:4] == ["110 g", "85 g"] and told[5] == "common practice"
    assert screen.margin_content().facts[0].value == "110 g"
    screen.table.setFocus()
    keys(qtbot, "Delete")
    assert profile_now(room.book.read).value(FigureKey.SALE_MASS_G) == 85
    screen.desk.undo()
    assert screen.model.look(0, 2).text == "110 g"


def test_what_cannot_be_is_said_at_the_field_and_nothing_typed_is_lost(window: MainWindow, qtbot: QtBot) -> None:
    window.open_screen("season")
    next(c for c in window.screen_open.commands() if c.id == "season.numbers").run()
    screen = window.screen_open
    assert isinstance(screen, NumbersScreen)
    screen.filter_text("too cold")
    screen.table.setFocus()
    keys(qtbot, "Return 36 Return")
    form = screen.forms.form
    assert form is not None and form.rows["value"].editor.text() == "36"  # type: ignore[attr-defined]
    keys(qtbot, "Escape")
    assert screen.forms.form is None


def test_units_are_the_keepers(room: Room, window: MainWindow) -> None:
    from dataclasses import replace

    from coilbook.husbandry.own_numbers import Unit
    from coilbook.records.quantities import MassUnit
    from coilbook.records.settings import Settings
    from coilbook.ui.numbers.words import number_text, typed_number
    from coilbook.wording.style import Style

    style = Style(replace(Settings(), mass_unit=MassUnit.OUNCE, fahrenheit=True))
    for unit, value in ((Unit.GRAMS, 85.0), (Unit.CELSIUS, 31.5), (Unit.SHARE, 0.15), (Unit.DAYS, 57.5)):
        assert typed_number(style, unit, number_text(style, unit, value)) == pytest.approx(value, rel=0.02)
    assert number_text(style, Unit.CELSIUS, 31.5) == "88.7 \u00b0F"


def test_a_screen_asked_for_at_once_loads_what_it_is_made_from_first(
    room: Room, make_window: MakeWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    from coilbook.ui.screen import LaterScreen

    monkeypatch.delitem(sys.modules, "colorsys", raising=False)
    numbers = LaterScreen("numbers", "", "coilbook.ui.screens.numbers", "NumbersScreen", beside=("colorsys",))
    window = make_window(SettingsScreen, numbers)
    assert numbers.missing() == ("colorsys",) and "colorsys" not in sys.modules
    assert window.open_screen("numbers")
    assert isinstance(window.screen_open, NumbersScreen) and numbers.missing() == ()
    # one that is missing altogether does not keep the screen away
    monkeypatch.delitem(sys.modules, "colorsys")
    gone = LaterScreen("season", "", "coilbook.ui.screens.season", "SeasonScreen", beside=("no_such_module",))
    other = make_window(SettingsScreen, gone)
    assert other.open_screen("season") and isinstance(other.screen_open, SeasonScreen)


def test_a_number_in_another_unit_is_not_taken_for_one_in_its_own() -> None:
    from dataclasses import replace

    from coilbook.husbandry.own_numbers import Unit
    from coilbook.records.message import Refusal
    from coilbook.records.settings import Settings
    from coilbook.ui.numbers.words import typed_number
    from coilbook.wording.style import Style

    celsius, fahrenheit = (Style(replace(Settings(), fahrenheit=setting)) for setting in (False, True))
    for style in (celsius, fahrenheit):
        assert typed_number(style, Unit.CELSIUS, "31.5 C") == 31.5
        assert typed_number(style, Unit.CELSIUS, "88.7 \u00b0F") == pytest.approx(31.5)
    assert typed_number(celsius, Unit.WEEKS, "2 weeks") == typed_number(celsius, Unit.DAYS, "2,0 d") == 2
    for unit, text in ((Unit.DAYS, "2 weeks"), (Unit.WEEKS, "14 d"), (Unit.CELSIUS, "31%"), (Unit.COUNT, "3 d")):
        with pytest.raises(Refusal, match="another unit"):
            typed_number(celsius, unit, text)
    for text in ("", "nan", "1e3", "5 or 6"):
        with pytest.raises(Refusal):
            typed_number(celsius, Unit.DAYS, text)


def test_spreads_clutch_and_hatch_rate_are_set_by_keys_for_each_species(
    room: Room, window: MainWindow, qtbot: QtBot
) -> None:
    add_animal(room.book, details=AnimalDetails(keeper_id="C-01", species="corn_snake"))
    window.open_screen("numbers")
    screen = window.screen_open
    assert isinstance(screen, NumbersScreen)
    read = room.book.read
    for words, key, typed, kept in (
        ("laying to first pip spread", Spread.LAYING_TO_PIP, "3", 3.0),
        ("first shed to first meal spread", Spread.FIRST_SHED_TO_FIRST_MEAL, "60%", 0.6),
        ("good eggs average", Brood.GOOD_EGGS, "7.5 eggs", 7.5),
        ("good eggs that hatch", Brood.HATCH_RATE, "75", 0.75),
    ):
        screen.filter_text(words)
        assert screen.row is not None and screen.row.key is key
        screen.table.setFocus()
        keys(qtbot, "Return")
        field = QApplication.focusWidget()
        assert field is screen._value
        screen._value.setText(typed)
        keys(qtbot, "Return")
        value, provenance = number_of(profile_now(read), key)
        assert value == pytest.approx(kept) and provenance.mark is Mark.KEEPERS_OWN
        assert screen.row.own == kept and str(screen.row.provenance) in ("from memory", "common practice")
    screen.filter_text("female under")
    screen.table.setFocus()
    keys(qtbot, "N")
    assert screen.page.species == "corn_snake" and screen.row is not None
    assert screen.row.key is FigureKey.FEMALE_BREEDING_MASS_G
    keys(qtbot, "Return")
    screen._value.setText("310")
    keys(qtbot, "Return")
    her = FigureKey.FEMALE_BREEDING_MASS_G
    assert profile_now(read, "corn_snake").value(her) == 310 and profile_now(read).value(her) != 310
    keys(qtbot, "Delete")
    assert profile_now(read, "corn_snake")[her].provenance.mark is not Mark.KEEPERS_OWN
    keys(qtbot, "N")
    assert screen.page.species == "ball_python"
