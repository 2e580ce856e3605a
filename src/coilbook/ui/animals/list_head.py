"""The heads of the list, painted plainly: Qt's own asks every row of a column whether it is selected."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import QHeaderView, QWidget

from coilbook.ui.theme import SMALL, Theme


class ListHead(QHeaderView):
    """One line of heads; a press sorts, a drag moves, the edge between two widens."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._theme = theme
        self.setSectionsMovable(True)
        self.setSectionsClickable(True)
        self.setHighlightSections(False)
        self.setMinimumSectionSize(24)

    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:
        theme, model = self._theme, self.model()
        painter.fillRect(rect, theme.colour("ground"))
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        words = str(model.headerData(logicalIndex, Qt.Orientation.Horizontal) or "")
        given = model.headerData(logicalIndex, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole)
        side = Qt.AlignmentFlag.AlignRight if given is not None else Qt.AlignmentFlag.AlignLeft
        box = rect.adjusted(theme.px(8), 0, -theme.px(8), 0)
        font = theme.font(SMALL)
        painter.setFont(font)
        painter.setPen(theme.colour("second"))
        shown = QFontMetrics(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, shown)
