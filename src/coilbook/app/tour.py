"""The tour: the real window, offscreen, through every screen in every theme and size; one picture a screen and state,
and every paper the screens can print."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent

from coilbook.reads.named import animals_named
from coilbook.records.settings import Theme
from coilbook.storage.collection import Collection

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow
    from coilbook.ui.screen import Screen

#: the animal whose page is shown
SHOWN_ANIMAL = "F-014"
SIZES = ((1440, 900), (1280, 800))


@dataclass(frozen=True, slots=True)
class Look:
    """One way the window can look: theme, size in px, text scale in percent."""

    theme: Theme
    width: int
    height: int
    scale: int = 100

    @property
    def folder(self) -> str:
        """Name of the folder its pictures go to."""
        scaled = "" if self.scale == 100 else f"-{self.scale}%"
        return f"{self.theme.value}-{self.width}x{self.height}{scaled}"


def looks() -> tuple[Look, ...]:
    """Every look of the tour: three themes in two sizes, and light at 150 percent."""
    plain = [Look(theme, width, height) for theme in Theme for width, height in SIZES]
    return (*plain, Look(Theme.LIGHT, *SIZES[0], scale=150))


def offscreen() -> None:
    """Have Qt draw without a display; must be called before the application is made."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"


def take_tour(
    collection: Collection,
    out: Path,
    *,
    wanted: tuple[Look, ...] = (),
    only: tuple[str, ...] = (),
    told: Callable[[str], None] = lambda _line: None,
) -> list[Path]:
    """Write every picture and paper under `out`; returns the files.

    Each look gets a window of its own; states may act, so give it a copy.
    """
    from coilbook.app.start import close_window, make_application, make_window

    make_application()
    written: list[Path] = []
    for number, look in enumerate(wanted or looks()):
        window = make_window(collection, inline=True)
        try:
            dress(window, look)
            window.show()
            for name in walk(window, only):
                settle()
                written.append(_picture(window, out / look.folder / f"{len(written):03d}-{name}.png"))
                told(str(written[-1]))
            if number == 0:
                written.extend(_papers(window, out / "papers"))
        finally:
            close_window(window.desk, window)
            settle()
    return written


def settle() -> None:
    """Let the window come to rest, with everything gone that was put away; no event loop does it here."""
    for _ in range(2):
        QCoreApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    QCoreApplication.processEvents()


def _papers(window: MainWindow, folder: Path) -> list[Path]:
    folder.mkdir(parents=True, exist_ok=True)
    return [paper for kind in window.kinds for paper in window.made(kind.key).tour_papers(folder)]


def dress(window: MainWindow, look: Look) -> None:
    """Give the window a look without writing it into the collection's settings."""
    window.resize(look.width, look.height)
    desk = window.desk
    desk.theme.follow(replace(desk.settings, theme=look.theme, text_scale_percent=look.scale))
    window.settle()


def walk(window: MainWindow, only: tuple[str, ...] = ()) -> Iterator[str]:
    """Open every screen and bring it into each of its states; yields a name when there is something to see."""
    for kind in window.kinds:
        if only and kind.key not in only:
            continue
        screen = window.made(kind.key)
        if not window.open_screen(kind.key, **_target(window, screen)):
            continue
        yield kind.key
        for name, go in screen.tour_states():
            go()
            yield f"{kind.key}-{name}"
    if only or not window.kinds:
        return
    window.open_screen(window.kinds[0].key)
    window.search.begin("/")
    yield "what-can-be-done"
    window.search.clear()


def _target(window: MainWindow, screen: Screen) -> dict[str, object]:
    """What a screen wants to be opened at; the page of an animal without a wish shows the demo's best known one."""
    wish = screen.tour_target()
    if wish or screen.key != "animal":
        return wish
    collection = window.desk.collection
    found = animals_named(collection, SHOWN_ANIMAL, 1) or animals_named(collection, "", 1)
    return {"animal": found[0].id} if found else {}


def _picture(window: MainWindow, file: Path) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    window.grab().save(str(file))
    return file
