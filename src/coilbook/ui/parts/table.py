"""The table every list is shown in: 28 px rows, hairlines, the row in focus tinted with a bar, its cell framed.

Rows are painted by one delegate from what the model says of a cell; `look()` must be a lookup. Nothing is drawn by a
colour alone.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

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


@dataclass(frozen=True, slots=True)
class CellLook:
    """Everything that is painted of a cell.

    `token` is of the ink: "second", "clay", ...; `shape` stands before the text, `after` behind it in second ink
    ("19 Mar" then "10 d").
    """

    text: str | None
    bold: bool = False
    token: str = "ink"
    shape: str = ""
    after: str = ""
    right: bool = False

    @property
    def spoken(self) -> str:
        """What a screen reader says."""
        return " ".join(part for part in (self.text, self.after) if part)


class HeadedModel(QAbstractTableModel):
    """A flat list under heads; `numbers` are the columns of numbers, whose heads stand at the right."""

    def __init__(self, heads: Sequence[str], numbers: Collection[int] = ()) -> None:
        super().__init__()
        self._heads, self._numbers = tuple(heads), frozenset(numbers)

    def row_total(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    def head(self, column: int) -> str:
        """What stands over a column."""
        return self._heads[column]

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else self.row_total()

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._heads)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is not Qt.Orientation.Horizontal or not 0 <= section < len(self._heads):
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.head(section)
        if role == Qt.ItemDataRole.TextAlignmentRole and section in self._numbers:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None


class LooksModel(HeadedModel):
    """A model that says all of a cell at once: six questions through Qt for each cell cost more than its painting."""

    def look(self, row: int, column: int) -> CellLook:
        """How a cell looks."""
        raise NotImplementedError

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.look(index.row(), index.column()).text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self.look(index.row(), index.column()).spoken
        return None


class ReadyRows(LooksModel):
    """Rows of ready looks under heads."""

    def __init__(self, heads: Sequence[str], numbers: Collection[int] = ()) -> None:
        super().__init__(heads, numbers)
        self._rows: Sequence[Sequence[CellLook]] = ()

    def show_rows(self, rows: Sequence[Sequence[CellLook]]) -> None:
        """Show other rows; the same number keeps focus and selection."""
        if len(rows) == len(self._rows):
            self._rows = rows
            if rows:
                self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(self._heads) - 1))
            return
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def row_total(self) -> int:
        return len(self._rows)

    def look(self, row: int, column: int) -> CellLook:
        return self._rows[row][column]


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
        look = _look_of(index)
        metrics = QFontMetrics(self.theme.font(BODY, bold=look.bold))
        extra = metrics.horizontalAdvance(look.after) + self.theme.px(6) if look.after else 0
        shape = self.theme.px(20) if look.shape else 0
        words = metrics.horizontalAdvance(look.text or "")
        return QSize(words + extra + shape + self.theme.px(22), self.theme.px(ROW_HEIGHT))


def _look_of(index: Index) -> CellLook:
    model = index.model()
    assert isinstance(model, LooksModel)
    return model.look(index.row(), index.column())


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
