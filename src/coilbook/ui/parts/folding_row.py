"""Words or choices at the left and buttons at the right: one row, or two where one has no room for both."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QWidget


class FoldingRow(QWidget):
    """`left` takes what room there is; `needs` says how many px of a row it wants to itself at least."""

    def __init__(self, left: QWidget, right: QWidget, needs: Callable[[], int], spacing: int = 8) -> None:
        super().__init__()
        self._left, self._right, self._needs = left, right, needs
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(spacing)
        self._row.addWidget(left, 1)
        self._row.addWidget(right, 0, Qt.AlignmentFlag.AlignRight)

    @property
    def folded(self) -> bool:
        """True while the buttons stand under the words."""
        return self._row.direction() is QBoxLayout.Direction.TopToBottom

    def unfolded_width(self) -> int:
        """Width in px at which both stand in one row."""
        return self._needs() + self._row.spacing() + self._right.sizeHint().width()

    def minimumSizeHint(self) -> QSize:
        """As wide as the wider of the two: the row folds before anything is cut off."""
        width = max(self._left.minimumSizeHint().width(), self._right.minimumSizeHint().width())
        return QSize(width, super().minimumSizeHint().height())

    def fit(self) -> None:
        """Fold or unfold for the present width; call it when words or buttons changed."""
        down = self._right.isVisibleTo(self) and self.unfolded_width() > self.width()
        directions = QBoxLayout.Direction
        self._row.setAlignment(self._right, Qt.AlignmentFlag.AlignLeft if down else Qt.AlignmentFlag.AlignRight)
        self._row.setDirection(directions.TopToBottom if down else directions.LeftToRight)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()
