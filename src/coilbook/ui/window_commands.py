"""What the window itself can do, as commands: go to a screen, the line, undo, the margin, theme and text size."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from coilbook.operations.undo import redo_last
from coilbook.records.settings import TEXT_SCALES, Theme
from coilbook.ui.commands import Command
from coilbook.ui.line_search import DO
from coilbook.wording.language import translated
from coilbook.wording.texts import words

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow
    from coilbook.ui.screen import ScreenKind


def window_commands(window: MainWindow) -> list[Command]:
    """Commands that work everywhere."""
    return [
        *[_screen_command(window, number, kind) for number, kind in enumerate(_in_column(window), 1)],
        Command("line", translated("Go to the line"), window.search.begin, "Ctrl+F", listed=False),
        Command("list", translated("List what can be done"), lambda: window.search.begin(DO), "Ctrl+K", listed=False),
        Command("list_slash", translated("List what can be done"), lambda: window.search.begin(DO), "/", listed=False),
        Command(
            "read_clipboard",
            translated("Read the code on the clipboard"),
            window.pictures.read_clipboard,
            "Ctrl+Shift+V",
            also="scan paste picture",
        ),
        Command("camera", translated("Scan with the camera"), window.toggle_camera, "F7", also="webcam"),
        Command("undo", translated("Undo"), lambda: window.desk.undo(), "Ctrl+Z"),
        Command("redo", translated("Do the undone again"), lambda: _redo(window), "Ctrl+Shift+Z"),
        Command("back", translated("Back to where I was"), window.go_back, "Alt+Left"),
        Command("margin", translated("Fold or open the margin"), window.margin.toggle, "F9"),
        *[_answer(window, number) for number in range(3)],
        *[_theme_command(window, theme) for theme in Theme],
        Command("next_theme", translated("Next theme"), lambda: _next_theme(window), "F8", also="light dark dim"),
        Command("larger", translated("Larger text"), lambda: _scale(window, 1), "Ctrl++"),
        Command("smaller", translated("Smaller text"), lambda: _scale(window, -1), "Ctrl+-"),
        Command("full", translated("Full screen"), lambda: _full(window), "F11"),
        Command("quit", translated("Close Coilbook"), lambda: _close(window), "Ctrl+Q"),
    ]


def _in_column(window: MainWindow) -> list[ScreenKind]:
    return [kind for kind in window.kinds if kind.title]


def _screen_command(window: MainWindow, number: int, kind: ScreenKind) -> Command:
    key = kind.shortcut or (f"Ctrl+{number}" if number <= 9 else "")
    name = translated("Open {screen}").format(screen=translated(kind.title))
    return Command(f"open_{kind.key}", name, lambda: _open(window, kind.key), key)


def _open(window: MainWindow, key: str) -> None:
    window.open_screen(key)


def _redo(window: MainWindow) -> None:
    window.desk.run(redo_last)


def _answer(window: MainWindow, number: int) -> Command:
    name = translated("Give answer {n} of the foot").format(n=number + 1)
    return Command(f"answer_{number + 1}", name, lambda: window.foot.choose(number), f"Alt+{number + 1}", listed=False)


def _theme_command(window: MainWindow, theme: Theme) -> Command:
    desk = window.desk

    def choose() -> None:
        desk.change_settings(replace(desk.settings, theme=theme))

    name = translated("Theme: {theme}").format(theme=words(theme))
    return Command(f"theme_{theme.value}", name, choose, enabled=lambda: desk.settings.theme is not theme)


def _next_theme(window: MainWindow) -> None:
    themes = list(Theme)
    now = themes.index(window.desk.settings.theme)
    window.desk.change_settings(replace(window.desk.settings, theme=themes[(now + 1) % len(themes)]))


def _scale(window: MainWindow, step: int) -> None:
    now = window.desk.settings.text_scale_percent
    nearest = min(range(len(TEXT_SCALES)), key=lambda place: abs(TEXT_SCALES[place] - now))
    chosen = TEXT_SCALES[max(0, min(nearest + step, len(TEXT_SCALES) - 1))]
    window.desk.change_settings(replace(window.desk.settings, text_scale_percent=chosen))


def _full(window: MainWindow) -> None:
    if window.isFullScreen():
        window.showNormal()
    else:
        window.showFullScreen()


def _close(window: MainWindow) -> None:
    window.close()
