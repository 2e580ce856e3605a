"""What belongs together is painted together: a window waits a moment with painting for what is all but there."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

#: a window painted this much later is not felt to wait
LONGEST_MS = 40


class HeldPaint:
    """Holds back the painting of all in the window a widget is in, for `LONGEST_MS` at most.

    What fills the window is held, not the window: a top-level widget whose updates were off does not ask its platform
    for painting when they are on again (seen with Qt 6 offscreen).
    """

    def __init__(self, widget: QWidget) -> None:
        self._widget = widget
        self._held: QWidget | None = None
        self._timer = QTimer(widget)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.let_go)

    def hold(self) -> None:
        """Paint nothing until `let_go`; a widget nobody sees holds nothing."""
        if self._held is None and self._widget.isVisible():
            self._held = _filling(self._widget)
            self._held.setUpdatesEnabled(False)
            self._timer.start(LONGEST_MS)

    def let_go(self) -> None:
        """Paint what came meanwhile."""
        if self._held is not None:
            self._timer.stop()
            self._held.setUpdatesEnabled(True)
            self._held = None


def _filling(widget: QWidget) -> QWidget:
    parent = widget.parentWidget()
    return widget if parent is None or parent.isWindow() else _filling(parent)
