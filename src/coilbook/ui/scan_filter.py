"""The scanner in the window: every key press passes the wedge before any field, button or shortcut sees it.

Works at the level of the window system's own events, where shortcuts are not yet decided. What a person typed is played
back in order through the same ways it would have gone: the field that wants it, else a shortcut, else the focus.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QWindow
from PySide6.QtWidgets import QApplication

from coilbook.scanning.wedge import SUFFIX_GRACE_S, SUFFIXES, ScanText, Verdict, Wedge

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

_MODIFIERS = (
    Qt.Key.Key_Shift,
    Qt.Key.Key_Control,
    Qt.Key.Key_Alt,
    Qt.Key.Key_AltGr,
    Qt.Key.Key_Meta,
    Qt.Key.Key_CapsLock,
    Qt.Key.Key_NumLock,
)
_DECIDES = (QEvent.Type.MouseButtonPress, QEvent.Type.FocusAboutToChange, QEvent.Type.TouchBegin)
#: a stamp further than this from the arrival of its key belongs to another clock, in s
_CLOCK_JUMP_S = 5.0


@dataclass(eq=False)
class _Kept:
    """A key press that waits: where it was going, and whether it has been let go meanwhile."""

    target: QWindow
    event: QKeyEvent
    released: QKeyEvent | None = None


class ScanFilter(QObject):
    """Filter of one window's scanner, on whatever window of the program has the keyboard."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._wedge = Wedge(_prefixes(window))
        self._since = QElapsedTimer()
        self._since.start()
        self._offset: float | None = None
        self._kept: list[_Kept] = []
        self._eaten: Counter[int] = Counter()
        self._replaying = self._listening = False
        #: keys pressed while a screen is being made; None while none is
        self._waiting: list[_Kept] | None = None
        self._grace_until = 0.0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._expire)
        window.desk.settings_changed.connect(self._settings_changed)

    def begin(self) -> None:
        """Listen to the keys of the window, and of every other that gets the keyboard (a list, a question)."""
        # not on the application: a filter there costs Python time on every event of every widget
        self._listen(self._window.windowHandle())
        app = QApplication.instance()
        if isinstance(app, QApplication) and not self._listening:
            app.focusWindowChanged.connect(self._listen)
            self._listening = True

    def end(self) -> None:
        """Give back what is held and listen no more."""
        self._flush()
        self._timer.stop()
        app = QApplication.instance()
        if isinstance(app, QApplication) and self._listening:
            app.focusWindowChanged.disconnect(self._listen)
            self._listening = False
        for window in QApplication.allWindows():
            window.removeEventFilter(self)

    def hold(self) -> None:
        """From now on keys wait: the screen they are meant for is still being made."""
        if self._waiting is None:
            self._waiting = []

    def let_go(self) -> None:
        """The screen is there: what waited goes to it, in order and with the times at which it was pressed."""
        waiting, self._waiting = self._waiting, None
        for kept in waiting or ():
            # one of them may ask for another screen: the others wait for that
            if self._put_off(kept) or self._pressed(kept.target, kept.event, kept.released):
                continue
            self._play(kept)

    def _put_off(self, kept: _Kept) -> bool:
        """Let a key wait, while any do."""
        if self._waiting is not None:
            self._waiting.append(kept)
        return self._waiting is not None

    def _wait(self, target: QObject, event: QKeyEvent) -> bool:
        if event.key() in _MODIFIERS or self._waiting is None or not isinstance(target, QWindow):
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
        elif event.type() == QEvent.Type.KeyPress:
            pressed_at = _again(event, QEvent.Type.KeyPress)
            pressed_at.setTimestamp(event.timestamp())
            self._waiting.append(_Kept(target, pressed_at))
        else:
            pressed = [k for k in self._waiting if k.event.key() == event.key() and k.released is None]
            for kept in pressed[:1]:
                kept.released = _again(event, QEvent.Type.KeyRelease)
            return bool(pressed)
        return True

    def _listen(self, window: QWindow | None) -> None:
        if window is not None:
            # installing it again only moves it to the front
            window.installEventFilter(self)

    # --- events --------------------------------------------------------------------------------------------
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if self._replaying:
            return False
        kind = event.type()
        if self._waiting is not None and isinstance(event, QKeyEvent) and self._wait(watched, event):
            return True
        if kind in _DECIDES:
            self._flush()
            return False
        if not isinstance(event, QKeyEvent) or not isinstance(watched, QWindow):
            return False
        if kind == QEvent.Type.ShortcutOverride:
            return self._before_shortcuts(event)
        if kind == QEvent.Type.KeyPress:
            return self._pressed(watched, event)
        return kind == QEvent.Type.KeyRelease and self._released(event)

    def _before_shortcuts(self, event: QKeyEvent) -> bool:
        """Keep shortcuts from a key that may be a scanner's; anything else settles what is held first."""
        if event.key() in _MODIFIERS:
            return False
        if not _is_character(event) or event.isAutoRepeat():
            self._flush()
            return False
        waiting = bool(self._kept) or self._now() <= self._grace_until
        if event.text() in SUFFIXES and not waiting:
            return False
        event.accept()
        return True

    def _pressed(self, target: QWindow, event: QKeyEvent, released: QKeyEvent | None = None) -> bool:
        if event.key() in _MODIFIERS:
            return False
        if not _is_character(event) or event.isAutoRepeat():
            self._flush()
            return False
        suffix = event.text() in SUFFIXES
        untouched = suffix and not self._kept and self._now() > self._grace_until
        kept = _Kept(target, _again(event, QEvent.Type.KeyPress), released)
        if not suffix:
            self._kept.append(kept)
        verdict = self._wedge.feed(event.text(), self._time_of(event), kept)
        self._follow(verdict, newest=None if suffix else kept)
        if verdict.hold:
            if suffix and released is None:
                self._eaten[event.key()] += 1
            return True
        if untouched:
            return False
        # its shortcut was held back while the keys before it were in doubt
        self._play(kept)
        return True

    def _released(self, event: QKeyEvent) -> bool:
        if event.isAutoRepeat():
            return False
        for kept in self._kept:
            if kept.event.key() == event.key() and kept.released is None:
                kept.released = _again(event, QEvent.Type.KeyRelease)
                return True
        if self._eaten[event.key()] > 0:
            self._eaten[event.key()] -= 1
            return True
        return False

    # --- verdicts ------------------------------------------------------------------------------------------
    def _flush(self) -> None:
        if self._kept:
            self._follow(self._wedge.flush(self._now()))

    def _expire(self) -> None:
        self._follow(self._wedge.expire(self._now()))

    def _follow(self, verdict: Verdict, newest: _Kept | None = None) -> None:
        """Do what the wedge decided, in its order, and wake up again when it has to be asked."""
        given_back = [held.key for held in verdict.pass_on if isinstance(held.key, _Kept)]
        # a burst ends whole: after a scan only the key that came behind it can still be held
        held = [newest] if verdict.scans and newest is not None else ([] if verdict.scans else self._kept)
        still = [kept for kept in held if kept not in given_back]
        scanned = [kept for kept in self._kept if kept not in given_back and kept not in still]
        self._kept = still
        for kept in scanned:
            if kept.released is None:
                self._eaten[kept.event.key()] += 1
        for kept in given_back:
            self._play(kept)
        for scan in verdict.scans:
            self._grace_until = self._now() + SUFFIX_GRACE_S
            self._announce(scan)
        if verdict.deadline is None:
            self._timer.stop()
        else:
            self._timer.start(max(int((verdict.deadline - self._now()) * 1000) + 1, 1))

    def _announce(self, scan: ScanText) -> None:
        if scan.ambiguous:
            self._window.scans.doubtful(tuple(reading.code.text for reading in scan.readings))
            return
        if scan.readings:
            self._wedge.settled = scan.readings[0].pairing
        self._window.scans.scanned(scan.text)

    def _play(self, kept: _Kept) -> None:
        """Let a key go the way it would have gone."""
        if self._put_off(kept):
            return
        self._replaying = True
        try:
            asked = _again(kept.event, QEvent.Type.ShortcutOverride)
            asked.ignore()
            QApplication.sendEvent(kept.target, asked)
            wanted = asked.isAccepted() or QApplication.activeModalWidget() or QApplication.activePopupWidget()
            if not wanted and self._window.isActiveWindow() and self._window.actions_of.run_key(kept.event):
                return
            QApplication.sendEvent(kept.target, _again(kept.event, QEvent.Type.KeyPress))
            if kept.released is not None:
                QApplication.sendEvent(kept.target, _again(kept.released, QEvent.Type.KeyRelease))
        finally:
            self._replaying = False

    # --- time ----------------------------------------------------------------------------------------------
    def _now(self) -> float:
        return self._since.nsecsElapsed() / 1e9

    def _time_of(self, event: QKeyEvent) -> float:
        """When the system saw the key, on our own clock: a busy window must not make a person look like a scanner."""
        now, stamp = self._now(), event.timestamp() / 1000
        if not stamp:
            return now
        late = now - stamp
        if self._offset is None or late < self._offset or late - self._offset > _CLOCK_JUMP_S:
            self._offset = late
        return stamp + self._offset

    def _settings_changed(self) -> None:
        self._flush()
        self._wedge = Wedge(_prefixes(self._window), self._wedge.settled)


def _prefixes(window: MainWindow) -> tuple[str, ...]:
    return (window.desk.settings.code_prefix,)


def _is_character(event: QKeyEvent) -> bool:
    """True for a key that carries one character, the ends of a scan included."""
    text = event.text()
    if len(text) != 1 or not (text.isprintable() or text in SUFFIXES):
        return False
    command = event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
    alt_gr = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
    return not event.modifiers() & Qt.KeyboardModifier.MetaModifier and command in (
        Qt.KeyboardModifier.NoModifier,
        alt_gr,
    )


def _again(event: QKeyEvent, kind: QEvent.Type) -> QKeyEvent:
    """The same key as an event of another kind."""
    return QKeyEvent(
        kind,
        event.key(),
        event.modifiers(),
        event.nativeScanCode(),
        event.nativeVirtualKey(),
        event.nativeModifiers(),
        event.text(),
        False,
        event.count(),
    )
