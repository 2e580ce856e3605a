"""The window: places the line, the column, the page, the margin and the foot, and opens screens. It decides nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QMainWindow, QScrollArea, QSizePolicy, QStackedWidget, QWidget

from coilbook.records.changes import Changes
from coilbook.records.message import say
from coilbook.ui.background import Lane
from coilbook.ui.camera_panel import CameraPanel
from coilbook.ui.camera_source import QtCamera
from coilbook.ui.column import ScreenColumn
from coilbook.ui.command_actions import CommandActions
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.foot import Foot
from coilbook.ui.genetics_watch import GeneticsWatch
from coilbook.ui.line import Line
from coilbook.ui.line_search import LineSearch
from coilbook.ui.load_beside import load_first
from coilbook.ui.margin import MarginPanel
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.picture_codes import PICTURES, PictureCodes
from coilbook.ui.room_size import wants_room
from coilbook.ui.scan_desk import ScanDesk
from coilbook.ui.scan_filter import ScanFilter
from coilbook.ui.screen import LaterScreen, Screen, ScreenKind
from coilbook.ui.sounds import Silence, Sounds
from coilbook.ui.window_commands import window_commands
from coilbook.ui.window_state import restore_window, save_window


class MainWindow(QMainWindow):
    """One window; `screens` are the kinds it can open, each made when first opened."""

    def __init__(
        self,
        desk: Desk,
        screens: Sequence[ScreenKind],
        *,
        state_file: Path | None = None,
        sounds: Sounds | None = None,
    ) -> None:
        super().__init__()
        self.desk = desk
        self.sounds: Sounds = sounds if sounds is not None else Silence()
        self._kinds = {kind.key: kind for kind in screens}
        self._made: dict[str, Screen] = {}
        self._holders: dict[str, QScrollArea] = {}
        self._past: list[tuple[str, dict[str, object]]] = []
        self._here: tuple[str, dict[str, object]] | None = None
        #: what was asked for last; what is still being loaded for another is not shown any more
        self._wanted: tuple[str, dict[str, object]] | None = None
        self._state_file = state_file
        self.setWindowTitle("Coilbook")
        self.setAcceptDrops(True)
        desk.theme.apply()
        self._build(screens)
        self.search, self.scans = LineSearch(self), ScanDesk(self)
        self.camera: CameraPanel | None = None
        self.scanner, self.pictures = ScanFilter(self), PictureCodes(self)
        self.own_commands = window_commands(self)
        self.actions_of = CommandActions(self)
        self._connect()
        # after the page has asked for its own: what an act moved elsewhere can wait for it
        self.genetics = GeneticsWatch(desk, self)
        self.resize(1440, 900)
        restore_window(self, state_file)
        if screens:
            self.open_screen(screens[0].key)

    # --- building ------------------------------------------------------------------------------------------
    def _build(self, screens: Sequence[ScreenKind]) -> None:
        theme = self.desk.theme
        whole = QWidget()
        grid = QGridLayout(whole)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(0)
        self.line, self.foot = Line(self.desk), Foot(self.desk)
        self.column, self.margin = ScreenColumn(theme, screens), MarginPanel(theme)
        self.desk.margin = self.margin
        self.page = QStackedWidget()
        self.page.setObjectName("page")
        # a hidden screen's least width must not hold the window open
        self.page.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        grid.addWidget(self.line, 0, 0, 1, 3)
        grid.addWidget(self.column, 1, 0)
        grid.addWidget(self.page, 1, 1)
        grid.addWidget(self.margin, 1, 2)
        grid.addWidget(self.foot, 2, 0, 1, 3)
        grid.setColumnStretch(1, 1)
        grid.setRowStretch(1, 1)
        self.setCentralWidget(whole)

    def _connect(self) -> None:
        desk = self.desk
        desk.going.connect(self._go)
        desk.going_back.connect(self.go_back)
        desk.bus.changed.connect(self._refresh)
        desk.settings_changed.connect(self.settle)
        desk.person_changed.connect(self.show_margin)
        self.column.chosen.connect(self._go_plain)

    # --- screens -------------------------------------------------------------------------------------------
    @property
    def screen_open(self) -> Screen | None:
        """The screen on the page."""
        holder = self.page.currentWidget()
        screen = holder.widget() if isinstance(holder, QScrollArea) else None
        return screen if isinstance(screen, Screen) else None

    @property
    def kinds(self) -> tuple[ScreenKind, ...]:
        """The kinds of screen there are."""
        return tuple(self._kinds.values())

    def screens_made(self) -> tuple[Screen, ...]:
        """The screens that were opened so far."""
        return tuple(self._made.values())

    def made(self, key: str) -> Screen:
        """The screen of that key, made if need be."""
        if key not in self._made:
            screen = self._kinds[key](self.desk)
            screen.margin_changed.connect(self._margin_of_sender)
            screen.hint_changed.connect(self.show_hint)
            screen.line_changed.connect(self.search.understand_again)
            screen.count_changed.connect(self.show_counts)
            screen.installEventFilter(self)
            self._made[key] = screen
            self._holders[key] = _holder_of(screen)
            self.page.addWidget(self._holders[key])
        return self._made[key]

    def open_screen(self, key: str, **target: object) -> bool:
        """Open a screen at a target; False when there is none of that key or the present one must not be left."""
        if key not in self._kinds or not self._may_leave_for(key):
            return False
        self._wanted = wanted = (key, target)
        if key in self._made or not self.isVisible():
            self._enter(wanted)
            return True
        kind = self._kinds[key]
        missing = kind.missing() if isinstance(kind, LaterScreen) else ()
        # what is typed now is meant for the screen to come
        self.scanner.hold()
        if missing:
            load_first(self.desk, missing, lambda: self._make(wanted))
        else:
            self._make(wanted)
        return True

    def _make(self, wanted: tuple[str, dict[str, object]]) -> None:
        """The first opening in turns: its modules, its widgets, then what it shows; the window answers between them."""
        kind = self._kinds[wanted[0]]

        def still(step: Callable[[], object]) -> None:
            if self._wanted is wanted and self._may_leave_for(wanted[0]):
                step()

        steps: list[Callable[[], object]] = [kind.load] if isinstance(kind, LaterScreen) else []
        steps += [partial(self.made, wanted[0]), partial(self._enter, wanted)]
        self.desk.background.in_turns([partial(still, step) for step in steps], lambda: self._entered(wanted))

    def _entered(self, wanted: tuple[str, dict[str, object]]) -> None:
        """What was typed meanwhile goes where the keeper is now, unless another screen is still being made."""
        if self._wanted is wanted or self._wanted is None:
            self.scanner.let_go()

    def _may_leave_for(self, key: str) -> bool:
        leaving = self.screen_open
        return leaving is None or leaving.key == key or leaving.may_leave()

    def _enter(self, wanted: tuple[str, dict[str, object]]) -> None:
        """Go there, unless while it was loaded the keeper went elsewhere or typed something that would be lost."""
        if self._wanted is not wanted or not self._may_leave_for(wanted[0]):
            return
        if self._here is not None and self._here != wanted:
            self._past.append(self._here)
            del self._past[:-50]
        self._place(*wanted)

    def go_back(self) -> None:
        """Return to where the keeper was before."""
        if self._past:
            self._wanted = None
            self._place(*self._past.pop())

    def _place(self, key: str, target: dict[str, object]) -> None:
        screen = self.made(key)
        self._here = (key, target)
        screen.open(**target)
        self.page.setCurrentWidget(self._holders[key])
        self.column.light(screen.column_key or key)
        self.settle()
        self.search.screen_changed(screen)
        self.actions_of.rebuild()
        self.show_margin()
        self.show_hint()
        self.show_counts()
        screen.take_focus()
        self.scanner.let_go()

    def _go(self, key: str, target: dict[str, object]) -> None:
        self.open_screen(key, **target)

    def _go_plain(self, key: str) -> None:
        self.open_screen(key)

    # --- what screens say ----------------------------------------------------------------------------------
    def show_margin(self) -> None:
        """Ask the open screen what the margin should say."""
        screen = self.screen_open
        self.margin.show_content(screen.margin_content() if screen is not None else MarginContent())
        self.give_room()

    def _margin_of_sender(self) -> None:
        if self.sender() is self.screen_open:
            self.show_margin()

    def show_hint(self) -> None:
        """Ask the open screen what its keys do."""
        screen = self.screen_open
        self.foot.say_hint(screen.foot_hint() if screen is not None else "")

    def show_counts(self) -> None:
        """Ask the screens made so far for the numbers beside their words."""
        for key, screen in self._made.items():
            self.column.count(key, screen.count())

    def commands(self) -> list[Command]:
        """Everything that can be done now: the open screen's, its main one first, then the window's own."""
        screen = self.screen_open
        if screen is None:
            return list(self.own_commands)
        main = screen.primary_action()
        theirs = screen.commands()
        first = [main] if main is not None and main.id not in {command.id for command in theirs} else []
        return [*first, *theirs, *self.own_commands]

    def _refresh(self, changes: Changes, _origin: object) -> None:
        here = self.screen_open
        for screen in self._made.values():
            if screen is here:
                screen.refresh(changes)
            else:
                screen.stale = True
        self.show_margin()
        self.show_counts()

    def settle(self) -> None:
        """Desk or room size, for the screen that is open and the theme."""
        room = wants_room(self.screen_open, self.desk.theme)
        if room != self.desk.theme.room:
            self.desk.theme.set_room(room)
            self.margin.fold(room)
        self.give_room()

    def give_room(self) -> None:
        """Fold the margin by itself while the open screen would be cut off beside it."""
        screen = self.screen_open
        needed = screen.room_wanted() if screen is not None else 0
        self.margin.fit(self.width() - self.column.width() - needed)

    # --- files -----------------------------------------------------------------------------------
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        self.take_files(paths)

    def take_files(self, paths: list[Path]) -> None:
        """Files were dropped or handed over: the open screen first; then a picture is searched for a code, and any
        other file goes to a screen that can take it. A hidden screen never gets a picture: it would be another
        animal's."""
        here = self.screen_open
        if here is not None and here.dropped(paths):
            return
        if paths and paths[0].suffix.lower() in PICTURES:
            self.pictures.read_file(paths[0])
            return
        for key in self._kinds:
            screen = self.made(key)
            if screen is not here and screen.dropped(paths):
                self.open_screen(key)
                return

    def take_words(self, words: list[str]) -> None:
        """What a start of the program was given: files, and codes (alone or at the end of a link)."""
        files = [Path(word) for word in words if Path(word).is_file()]
        if files:
            self.take_files(files)
        for word in words:
            if not Path(word).is_file():
                self.scans.scanned(word)
        if words:
            self.raise_()
            self.activateWindow()

    def toggle_camera(self) -> None:
        """Open or close the camera over the page."""
        if self.camera is None:
            self.camera = CameraPanel(self.desk, QtCamera(self), self.scans.scanned, self)
        self.camera.toggle()

    # --- the window itself ---------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        screen = self.screen_open
        if event.key() == Qt.Key.Key_Escape and screen is not None and not screen.title:
            self.go_back()
            return
        if event.key() == Qt.Key.Key_Escape and screen is not None and screen.takes_line and self.search.field.text():
            # the line says so, and its text is what narrows the page
            self.search.clear()
            return
        super().keyPressEvent(event)

    def _is_writing(self) -> bool:
        """True while a long act is being written; the foot says so, with its Cancel."""
        for job in self.desk.background.jobs:
            if job.lane is Lane.WRITE and job.what is not None:
                self.desk.notices.warn(say("{what} is not done yet. Wait for it, or cancel it first.", what=job.what))
                return True
        return False

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.scanner.begin()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # a form that opened or buttons that grew need room the margin has to give
        if event.type() is QEvent.Type.LayoutRequest and watched is self.screen_open:
            self.give_room()
        return super().eventFilter(watched, event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.give_room()
        self.search.place()

    def closeEvent(self, event: QCloseEvent) -> None:
        screen = self.screen_open
        if (screen is not None and not screen.may_leave()) or self._is_writing():
            event.ignore()
            return
        save_window(self, self._state_file)
        self.scanner.end()
        if self.camera is not None:
            self.camera.close_camera()
        super().closeEvent(event)


def _holder_of(screen: Screen) -> QScrollArea:
    """A screen at large text in a small window is scrolled, never cut off."""
    holder = QScrollArea()
    holder.setWidgetResizable(True)
    holder.setFrameShape(QFrame.Shape.NoFrame)
    holder.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    holder.setWidget(screen)
    return holder
