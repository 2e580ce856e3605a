"""A page that is painted whole by its own code and scrolled; the ground is the window's."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QFrame

from coilbook.ui.theme import Theme


class PaintedPage(QAbstractScrollArea):
    """Painted anew when it is scrolled or when the focus comes or goes; laid out anew when sizes change."""

    def __init__(self, theme: Theme, name: str) -> None:
        super().__init__()
        self.theme = theme
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setAutoFillBackground(False)
        self.setAccessibleName(name)
        theme.changed.connect(self.lay_out)

    def lay_out(self) -> None:
        """Place everything for the present width and scale."""
        raise NotImplementedError

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.lay_out()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        self.viewport().update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()
