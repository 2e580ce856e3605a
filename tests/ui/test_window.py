"""The frame through the real window: screens, the line, the list of what can be done, the margin, the foot, themes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from coilbook.operations.people import add_person
from coilbook.operations.weighing import weigh
from coilbook.records.message import say
from coilbook.records.quantities import Mass
from coilbook.records.settings import Theme
from coilbook.records.vocabulary import PersonRole
from coilbook.storage.collection import Collection
from coilbook.ui import main_window
from coilbook.ui.background import Control
from coilbook.ui.commands import clashes
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screen import LaterScreen, Screen
from coilbook.ui.screens.registry import registered_screens
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.frame_screens import ListScreen, PageScreen, RoomScreen

SCREENS = (ListScreen, PageScreen, RoomScreen)


def _list(window: MainWindow) -> ListScreen:
    screen = window.made("animals")
    assert isinstance(screen, ListScreen)
    return screen


def test_the_first_screen_is_open_and_lit(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    assert window.screen_open is _list(window)
    assert list(window.column.words) == ["animals", "round"]
    assert window.column.words["animals"].isChecked()
    assert window.column.words["animals"].accessibleName() == "Animals, 20"


def test_typing_in_the_line_filters_the_screen_and_tab_goes_on(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    window.search.begin()
    qtbot.keyClicks(window.line.field, "fem")
    assert _list(window).filters == ["f", "fe", "fem"]
    qtbot.keyClick(window.line.field, Qt.Key.Key_Tab)
    assert window.line.field.text() == "female over 1500 g"
    assert _list(window).filters[-1] == "female over 1500 g"
    qtbot.keyClick(window.line.field, Qt.Key.Key_Escape)
    assert window.line.field.text() == "" and _list(window).filters[-1] == ""


def test_the_filter_is_back_in_the_line_when_the_screen_is(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    window.search.begin()
    qtbot.keyClicks(window.line.field, "female")
    window.open_screen("round")
    assert window.line.field.text() == ""
    window.go_back()
    assert window.line.field.text() == "female"


def test_a_screen_still_loading_is_not_shown_over_what_was_chosen_or_typed_since(
    make_window: MakeWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded: list[Callable[[], None]] = []
    monkeypatch.setattr(main_window, "load_first", lambda _desk, _names, then: loaded.append(then))
    later = LaterScreen("round", "Round", RoomScreen.__module__, RoomScreen.__name__, beside=("never_loaded",))
    window = make_window(ListScreen, PageScreen, later)
    window.open_screen("round")
    window.open_screen("animal", animal=1)
    loaded.pop()()
    assert isinstance(window.screen_open, PageScreen)
    window.go_back()
    assert window.screen_open is _list(window)
    # the way back led here once, though two screens were asked for from here
    assert window._past == []
    window.open_screen("round")
    _list(window).leave = False
    loaded.pop()()
    assert window.screen_open is _list(window)
    _list(window).leave = True
    window.open_screen("round")
    loaded.pop()()
    assert isinstance(window.screen_open, RoomScreen)


def test_what_can_be_done_is_listed_found_and_run(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    qtbot.keyClick(window, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    assert window.line.field.hasFocus() and window.line.field.text() == "/"
    qtbot.keyClicks(window.line.field, "add animl")
    chosen = window.search.list.chosen
    assert chosen is not None and chosen.words == "Add an animal"
    qtbot.keyClick(window.line.field, Qt.Key.Key_Return)
    assert _list(window).filters == ["added"]
    assert not window.search.list.isVisible()


def test_a_shortcut_of_a_screen_works_only_while_it_is_open(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert _list(window).filters == ["added"]
    window.open_screen("round")
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert _list(window).filters == ["added"]


def test_an_animal_is_found_by_name_in_the_line(make_window: MakeWindow, room: Room, qtbot: QtBot) -> None:
    window = make_window(RoomScreen, PageScreen, ListScreen)
    window.search.begin()
    qtbot.keyClicks(window.line.field, "f-01")
    first = window.search.list.chosen
    assert first is not None and first.words == "F-014 ♀ F"
    qtbot.keyClick(window.line.field, Qt.Key.Key_Return)
    page = window.screen_open
    assert isinstance(page, PageScreen) and page.animal == room.female
    assert window.column.words["animals"].isChecked(), "the page lights the word it belongs to"
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert window.screen_open is window.made("round")


def test_hidden_screens_go_stale_and_refresh_when_shown(make_window: MakeWindow, room: Room) -> None:
    window = make_window(*SCREENS)
    listed = _list(window)
    window.open_screen("round")
    window.desk.run(weigh, animal=room.female, mass=Mass(20_000))
    assert listed.stale and not listed.refreshed
    window.open_screen("animals")
    assert [changes.everything for changes in listed.refreshed] == [True]
    window.desk.run(weigh, animal=room.male, mass=Mass(8_000))
    assert listed.refreshed[-1].animals == {room.male}


def test_a_screen_that_holds_something_typed_is_not_left(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    _list(window).leave = False
    assert not window.open_screen("round")
    assert window.screen_open is _list(window)
    assert not window.close()
    _list(window).leave = True


def test_the_window_does_not_close_under_a_long_act(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    background = window.desk.background
    closed: list[bool] = []

    def long_one(_control: Control) -> None:
        closed.append(window.close())

    background.write(long_one, what=say("Importing"))
    assert closed == [False] and window.isVisible()
    told = window.desk.notices.current
    assert told is not None and "Importing is not done yet" in window.desk.render(told.message)
    assert window.close()


def test_long_work_stands_in_the_foot_with_what_how_many_and_cancel(make_window: MakeWindow, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    seen: list[tuple[list[str], bool]] = []

    def long_one(control: Control) -> None:
        control.progress(3120, 20_000)
        words = [label.text() for label in window.foot.findChildren(QLabel) if label.isVisible()]
        cancel = next(b for b in window.foot.findChildren(QAbstractButton) if b.text() == "Cancel")
        qtbot.mouseClick(cancel, Qt.MouseButton.LeftButton)
        seen.append((words, control.cancelled()))

    window.desk.background.read(long_one, what=say("Reading old-records.xlsx"))
    assert "Reading old-records.xlsx: 3,120 of 20,000" in seen[0][0]
    assert seen[0][1], "Cancel reached the work"
    assert not any(b.isVisible() and b.text() == "Cancel" for b in window.foot.findChildren(QAbstractButton))


def test_room_size_folds_the_margin_and_grows_targets(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    assert (window.line.height(), window.column.width(), window.foot.height()) == (48, 116, 36)
    assert window.margin.width() == 344
    window.open_screen("round")
    QApplication.processEvents()
    assert (window.line.height(), window.column.width(), window.foot.height()) == (56, 104, 48)
    assert window.column.words["round"].height() == 48
    assert window.margin.folded and window.margin.width() == 40
    window.open_screen("animals")
    QApplication.processEvents()
    assert (window.line.height(), window.column.words["round"].height()) == (48, 32)
    assert not window.margin.folded


def test_the_margin_tells_what_the_screen_says(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    assert window.margin.content.verdict == "50 days since a meal taken"
    window.margin.toggle()
    assert window.margin.folded


def test_themes_and_text_size_change_at_once_and_can_be_undone(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    commands = {command.id: command for command in window.own_commands}
    commands["theme_dark"].run()
    assert window.desk.theme.name is Theme.DARK and window.desk.settings.theme is Theme.DARK
    window.desk.undo()
    assert window.desk.theme.name is Theme.LIGHT
    commands["larger"].run()
    assert window.desk.theme.scale == 1.15
    commands["theme_dim"].run()
    assert window.desk.theme.room, "the dim theme is for the room"


def test_the_person_at_the_keyboard_changes_in_one_click(make_window: MakeWindow, room: Room, qtbot: QtBot) -> None:
    window = make_window(*SCREENS)
    window.desk.run(add_person, name="Teo", role=PersonRole.HELPER)
    qtbot.wait(1)
    names = [w for w in window.line.people.children() if isinstance(w, QWidget) and w.isVisible()]
    assert [name.accessibleName() for name in names] == ["Wren is at the keyboard", "Teo is at the keyboard"]
    qtbot.mouseClick(names[1], Qt.MouseButton.LeftButton)
    assert window.desk.person.name == "Teo"
    window.desk.run(weigh, animal=room.female, mass=Mass(20_000))
    rows = room.book.read("SELECT person_name FROM act ORDER BY id DESC LIMIT 1")
    assert rows == [("Teo",)]


def test_files_go_to_the_open_screen_first(make_window: MakeWindow, tmp_path: Path) -> None:
    window = make_window(RoomScreen, ListScreen)
    sheet = tmp_path / "old.csv"
    sheet.write_text("id\nF-001\n", encoding="utf-8")
    window.take_files([sheet])
    assert window.screen_open is _list(window), "the screen that takes the file is opened"
    assert _list(window).files == [sheet]


def test_the_window_stands_where_it_stood(make_window: MakeWindow, tmp_path: Path) -> None:
    file = tmp_path / "state" / "window.json"
    first = make_window(*SCREENS, state_file=file)
    first.resize(1280, 800)
    first.margin.fold(True)
    first.close()
    second = make_window(*SCREENS, state_file=file)
    assert (second.width(), second.height()) == (1280, 800)
    assert second.margin.folded
    file.write_text("not json", encoding="utf-8")
    assert make_window(*SCREENS, state_file=file).width() == 1440


def test_what_the_column_says_of_a_screen_is_what_the_screen_says() -> None:
    for kind in registered_screens():
        screen = kind.load()
        assert (screen.key, screen.title, screen.shortcut) == (kind.key, kind.title, kind.shortcut)


def test_a_screens_module_waits_until_it_is_opened() -> None:
    code = "import sys; from coilbook.ui.screens.registry import registered_screens; registered_screens();"
    code += "print([name for name in sys.modules if name.startswith('coilbook.ui.screens.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "['coilbook.ui.screens.registry']"


def test_every_command_has_words_and_no_key_means_two_things(make_window: MakeWindow, window: MainWindow) -> None:
    for one in (make_window(*SCREENS), window):
        for kind in one.kinds:
            one.open_screen(kind.key)
            commands = one.commands()
            assert all(command.words.strip() for command in commands)
            assert len({command.id for command in commands}) == len(commands)
            assert clashes(commands) == []
            for command in commands:
                if command.shortcut:
                    key = QKeySequence(command.shortcut, QKeySequence.SequenceFormat.PortableText)
                    assert not key.isEmpty() and key.toString(), command.id


def _unnamed(screen: QWidget) -> list[str]:
    """Controls a screen reader could not name."""
    found = []
    for widget in screen.findChildren(QWidget):
        focusable = widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        inner = widget.objectName().startswith("qt_") or widget.parent() is None
        # a bare scroll area takes the keyboard only to scroll; what is in it has names of its own
        inner = inner or type(widget) is QScrollArea
        text = getattr(widget, "text", lambda: "")
        if focusable and widget.isVisibleTo(screen) and not inner and not (widget.accessibleName() or text()):
            found.append(f"{type(widget).__name__} in {type(widget.parent()).__name__}")
    return found


def test_every_control_of_the_frame_has_an_accessible_name(make_window: MakeWindow) -> None:
    window = make_window(*SCREENS)
    for place in (window.line, window.column, window.margin, window.foot):
        assert _unnamed(place) == []
        assert place is window.line or place.accessibleName()


def test_every_control_of_every_screen_has_an_accessible_name(window: MainWindow, room: Room) -> None:
    for kind in window.kinds:
        target = {"animal": room.female} if kind.key == "animal" else {}
        window.open_screen(kind.key, **target)
        screen = window.screen_open
        assert isinstance(screen, Screen)
        assert _unnamed(screen) == [], kind.key


def test_everything_below_the_window_is_imported_before_qt(book: Collection) -> None:
    """The Qt binding reads the source of every module imported after it: that is a third of the start."""
    code = "import sys, pathlib; import coilbook.app.rooms_first; from coilbook.app import window_run\n"
    code += "from coilbook.app.start import make_application, make_window, open_collection\n"
    code += "app = make_application(); window = make_window(open_collection(pathlib.Path(sys.argv[1])))\n"
    code += "window.show(); app.processEvents()\n"
    code += "import os; print('\\n'.join(sys.modules), flush=True); os._exit(0)"
    words = [sys.executable, "-c", code, str(book.folder)]
    loaded = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60).stdout.split()
    after = loaded[loaded.index("PySide6.QtCore") :]
    late = [name for name in after if name.startswith("coilbook.") and name.split(".")[1] not in ("ui", "app")]
    assert late == []
