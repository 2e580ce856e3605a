"""What a screen of the page is: the contract between the window and everything it can show."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from PySide6.QtCore import QMargins, Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from coilbook.reads.codes import Found
from coilbook.records.changes import Changes
from coilbook.ui.commands import Command
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.text import PageHead
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from pathlib import Path

    from coilbook.ui.desk import Desk


@dataclass(frozen=True, slots=True)
class TermSpan:
    """Where a term stands in the line, and whether the screen understood it."""

    start: int
    length: int
    understood: bool = True


class Screen(QWidget):
    """One screen. It is made once, when first opened, and kept; it never talks to another screen."""

    #: stable name the window opens it by
    key: ClassVar[str] = ""
    #: the word in the column; an empty title keeps it out of the column (a page reached from another)
    title: ClassVar[str] = ""
    #: key of the screen whose word is lit in the column while this one is open; its own when empty
    column_key: ClassVar[str] = ""
    #: Qt portable text of the shortcut that opens it
    shortcut: ClassVar[str] = ""
    #: True: the line filters this screen as the keeper types
    takes_line: ClassVar[bool] = False
    #: True: this screen wants the layout of the snake room (large targets, margin folded)
    room_size: ClassVar[bool] = False
    #: record tables: an act that touches one has the screen reload, unless it says itself in `refresh` what to do
    rests_on: ClassVar[tuple[str, ...]] = ()

    #: what the margin says has changed
    margin_changed = Signal()
    #: what the foot says about the keys has changed
    hint_changed = Signal()
    #: what is typed in the line is understood otherwise, or can go on otherwise, than when it was typed
    line_changed = Signal()
    #: the number beside the word in the column has changed
    count_changed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.stale = False
        self._begins_at: QWidget | None = None
        self.setObjectName("page")
        self.setAccessibleName(self.title or self.key)

    def begins_at(self, widget: QWidget | None) -> None:
        """Say where the keyboard goes when the screen is opened; itself when `None`.

        No focus proxy: Tab would go to the proxy at once, past every button of the head that stands before it.
        """
        self._begins_at = widget

    def room_wanted(self) -> int:
        """Width in px at which nothing is cut off and the head stands in one row; beside less the margin folds."""
        rows = [head.first for head in self.findChildren(PageHead) if head.isVisibleTo(self)]
        layout = self.layout()
        sides = layout.contentsMargins() if layout is not None else QMargins()
        widest = max((row.unfolded_width() for row in rows), default=0) + sides.left() + sides.right()
        return max(self.minimumSizeHint().width(), widest)

    # --- what the window asks -----------------------------------------------------------------------------
    def take_focus(self) -> None:
        """Put the keyboard where the work of this screen begins."""
        (self._begins_at or self).setFocus(Qt.FocusReason.OtherFocusReason)

    def open(self, **target: object) -> None:
        """Show `target` (an animal, a place, ...); called each time the screen is opened, before it is shown."""

    def refresh(self, changes: Changes) -> None:
        """Reread what `changes` touch. Called only while visible; a hidden screen is marked stale instead."""
        if changes.touches(*self.rests_on):
            self.reload()

    def reload(self) -> None:
        """Read what is shown again."""

    def filter_text(self, text: str) -> None:
        """The line was typed in, for a screen with `takes_line`."""

    def line_hint(self) -> str:
        """What the empty line says."""
        return translated("Type, scan or paste anything: an animal, a code, a screen, an act")

    def line_text(self) -> str:
        """What the line should hold when the screen is opened again."""
        return ""

    def complete(self, text: str) -> tuple[str, ...]:
        """Ways the text of the line could go on, best first; each the whole text it would become."""
        return ()

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        """Which parts of the line were understood; they are underlined."""
        return ()

    def reads_line(self, text: str) -> bool:
        """Whether a text typed elsewhere is a whole sentence for this screen's line ("female over 1500 g")."""
        return False

    def line_entered(self, text: str) -> bool:
        """Enter was pressed in the line of a screen with `takes_line`; True when the screen took it."""
        return False

    def scanned(self, found: Found) -> bool:
        """A code was read and looked up; True when this screen took it, else the window opens its record."""
        return False

    def dropped(self, paths: list[Path]) -> bool:
        """Files were dropped on the window; True when this screen took them."""
        return False

    def primary_action(self) -> Command | None:
        """The one main action of the screen."""
        return None

    def commands(self) -> list[Command]:
        """Everything that can be done here; the same objects each time."""
        return []

    def foot_hint(self) -> str:
        """What keys do now; keys between backticks: "`Enter` opens  `Space` selects"."""
        return ""

    def margin_content(self) -> MarginContent:
        """Why, for what is in focus."""
        return MarginContent()

    def count(self) -> int | None:
        """The number beside the word in the column."""
        return None

    def may_leave(self) -> bool:
        """False while something typed would be lost; the screen says so itself."""
        return True

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        """Further states worth a picture: a name, and what brings the screen there."""
        return []

    def tour_target(self) -> dict[str, object]:
        """The target to open at for a picture."""
        return {}

    def tour_papers(self, folder: Path) -> list[Path]:
        """Write every paper this screen can print into `folder`; the files."""
        return []

    # --- staleness ----------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        if self.stale:
            self.stale = False
            self.refresh(Changes(everything=True))
        super().showEvent(event)


@dataclass(frozen=True, slots=True)
class LaterScreen:
    """A screen by what the column must know of it; its module is imported when it is first made."""

    key: str
    title: str
    module: str
    name: str
    shortcut: str = ""
    #: modules below the window that a worker loads soon after the start, so that the first opening need not
    beside: tuple[str, ...] = ()

    def missing(self) -> tuple[str, ...]:
        """What of `beside` is not loaded yet."""
        return tuple(name for name in self.beside if name not in sys.modules)

    def load(self) -> type[Screen]:
        """The class itself."""
        found = getattr(importlib.import_module(self.module), self.name)
        if not (isinstance(found, type) and issubclass(found, Screen)):
            raise TypeError(f"{self.module}.{self.name} is no screen")
        return found

    def __call__(self, desk: Desk) -> Screen:
        return self.load()(desk)


#: what a window can be given
ScreenKind = type[Screen] | LaterScreen
