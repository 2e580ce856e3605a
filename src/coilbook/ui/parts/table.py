"""The table every list is shown in: 28 px rows, hairlines, the row in focus tinted with a bar, its cell framed.

Rows are painted by one delegate from roles of the model; `data()` must be a lookup. Nothing is drawn by a colour alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, ROW_HEIGHT, SMALL, TARGET, Theme

Index = QModelIndex | QPersistentModelIndex


class CellRole(IntEnum):
    """What a model may say of a cell beside its text."""

    BOLD = Qt.ItemDataRole.UserRole + 1
    #: token of the ink: "second", "clay", ...
    TOKEN = Qt.ItemDataRole.UserRole + 2
    #: name of a shape before the text
    SHAPE = Qt.ItemDataRole.UserRole + 3
    #: text in second ink after the text ("19 Mar" then "10 d")
    AFTER = Qt.ItemDataRole.UserRole + 4
    #: the whole of it for a screen reader and the margin
    WHOLE = Qt.ItemDataRole.UserRole + 5


@dataclass(frozen=True, slots=True)
class CellLook:
    """Everything that is painted of a cell."""

    text: str | None
    bold: bool = False
    token: str = "ink"
    shape: str = ""
    after: str = ""
    right: bool = False


class LooksModel(QAbstractTableModel):
    """A model that says all of a cell at once: six questions through Qt for each cell cost more than its painting."""

    def look(self, row: int, column: int) -> CellLook:
        """How a cell looks."""
        raise NotImplementedError


class RowPainter(QStyledItemDelegate):
    """Paints one cell; screens with pictures in their rows derive from it and override `paint_content`."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.theme = theme

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        box, theme = QRect(option.rect), self.theme
        state = option.state
        row_in_focus = bool(state & QStyle.StateFlag.State_Selected)
        painter.fillRect(box, theme.colour("tint" if row_in_focus else "ground"))
        painter.setPen(QPen(theme.colour("rule"), 1))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        view = option.widget
        if isinstance(view, TableView) and view.current_row() == index.row() and view.is_first_shown(index.column()):
            painter.fillRect(QRect(box.left(), box.top(), theme.px(4), box.height()), theme.colour("accent"))
        side = theme.px(8)
        self.paint_content(painter, box.adjusted(side, 0, -side, -1), index, row_in_focus)
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(1, 1, -1, -2))

    def paint_content(self, painter: QPainter, box: QRect, index: Index, in_focus: bool) -> None:
        """Shape, text, then what stands after it, elided to the cell."""
        look = _look_of(index)
        if look.shape:
            side = self.theme.px(16)
            paint_shape(painter, look.shape, QRectF(box.left(), box.top(), side, box.height()), self.theme)
            box = box.adjusted(side + self.theme.px(4), 0, 0, 0)
        if look.text is None:
            return
        if in_focus and look.token == "clay":
            # clay on the tint is only 4.3:1; the shape stays clay, the words turn to bold ink
            look = replace(look, token="ink", bold=True)
        self.paint_words(painter, box, look)

    def paint_words(self, painter: QPainter, box: QRect, look: CellLook) -> None:
        """Text in one token and weight, aligned as the model says."""
        font = self.theme.font(BODY, bold=look.bold)
        metrics = QFontMetrics(font)
        painter.setFont(font)
        painter.setPen(self.theme.colour(look.token))
        side = Qt.AlignmentFlag.AlignRight if look.right else Qt.AlignmentFlag.AlignLeft
        shown = metrics.elidedText(look.text or "", Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, shown)
        if look.after:
            rest = box.adjusted(metrics.horizontalAdvance(shown) + self.theme.px(6), 0, 0, 0)
            plain = self.theme.font(BODY)
            painter.setFont(plain)
            painter.setPen(self.theme.colour("second"))
            after = QFontMetrics(plain).elidedText(look.after, Qt.TextElideMode.ElideRight, rest.width())
            painter.drawText(rest, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, after)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        metrics = QFontMetrics(self.theme.font(BODY, bold=bool(index.data(CellRole.BOLD))))
        after = index.data(CellRole.AFTER)
        extra = metrics.horizontalAdvance(str(after)) + self.theme.px(6) if after else 0
        shape = self.theme.px(20) if index.data(CellRole.SHAPE) else 0
        return QSize(metrics.horizontalAdvance(text) + extra + shape + self.theme.px(22), self.theme.px(ROW_HEIGHT))


def _look_of(index: Index) -> CellLook:
    """What the model says of a cell, at once or role by role."""
    model = index.model()
    if isinstance(model, LooksModel):
        return model.look(index.row(), index.column())
    text, after = index.data(Qt.ItemDataRole.DisplayRole), index.data(CellRole.AFTER)
    given = index.data(Qt.ItemDataRole.TextAlignmentRole)
    return CellLook(
        None if text is None else str(text),
        bool(index.data(CellRole.BOLD)),
        index.data(CellRole.TOKEN) or "ink",
        index.data(CellRole.SHAPE) or "",
        str(after) if after else "",
        given is not None and bool(Qt.AlignmentFlag(int(given)) & Qt.AlignmentFlag.AlignRight),
    )


class TableView(QTableView):
    """The list view: arrows walk, Enter opens (`opened`), Home and End go to the ends, focus is always visible."""

    opened = Signal(object)
    #: the cell in focus moved
    walked = Signal()

    def __init__(self, theme: Theme, name: str) -> None:
        super().__init__()
        self.theme = theme
        self.setAccessibleName(name)
        self.setShowGrid(False)
        self.setAlternatingRowColors(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setCornerButtonEnabled(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(RowPainter(theme, self))
        rows = self.verticalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        # once and small: raised with rows in it, it goes through them one by one (3 s for 100,000, measured)
        rows.setMinimumSectionSize(1)
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionsMovable(True)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        head.setMinimumSectionSize(24)
        head.setStretchLastSection(True)
        theme.changed.connect(self.fit_rows)
        self.fit_rows()

    def fit_rows(self) -> None:
        """Row and head heights for the present scale and size."""
        height = self.theme.px(TARGET if self.theme.room else ROW_HEIGHT)
        self.verticalHeader().setDefaultSectionSize(height)
        self.horizontalHeader().setFixedHeight(self.theme.px(ROW_HEIGHT))
        self.horizontalHeader().setFont(self.theme.font(SMALL))

    def current_row(self) -> int:
        """The row in focus, -1 for none."""
        return self.currentIndex().row()

    def is_first_shown(self, column: int) -> bool:
        """True for the column that stands leftmost, where the bar of the focus goes."""
        head = self.horizontalHeader()
        return all(head.isSectionHidden(head.logicalIndex(place)) for place in range(head.visualIndex(column)))

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        self.viewport().update()
        self.walked.emit()

    def mouseDoubleClickEvent(self, event: object) -> None:
        index = self.currentIndex()
        if index.isValid():
            self.opened.emit(index)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        index = self.currentIndex()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and index.isValid():
            self.opened.emit(index)
            return
        if event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End) and self.model() is not None and index.isValid():
            last = self.model().rowCount() - 1
            row = 0 if event.key() == Qt.Key.Key_Home else last
            self.setCurrentIndex(self.model().index(row, index.column()))
            return
        super().keyPressEvent(event)
