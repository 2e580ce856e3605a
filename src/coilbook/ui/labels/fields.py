"""The settings row of the labels: what, from where, which stock, where it starts, which printer."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QSignalBlocker, QSize, QStringListModel, Qt, Signal
from PySide6.QtGui import QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QListView,
    QSizePolicy,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
    QWidget,
)

from coilbook.labels.stock import LabelKind, Printer, Stock
from coilbook.ui.labels.sources import KIND_WORDS
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.fields import FieldRow
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated

#: narrower than this, in px at 100%, the fields stand in two rows
ONE_ROW = 960
#: (row, first column, columns) of each field in two rows: the long words of stock and printer share the second
_TWO_ROWS = ((0, 0, 4), (0, 4, 4), (1, 0, 7), (0, 8, 4), (1, 7, 5))


class FirstField(QWidget):
    """The first free position: its number, and one step less or more."""

    stepped = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(6))
        self.words = label("", "strong")
        self.less, self.more = QuietButton(theme, "\u2212"), QuietButton(theme, "+")
        self.less.setAccessibleName(translated("First position one earlier"))
        self.more.setAccessibleName(translated("First position one later"))
        self.less.clicked.connect(lambda: self.stepped.emit(-1))
        self.more.clicked.connect(lambda: self.stepped.emit(1))
        row.addWidget(self.words, 1)
        row.addWidget(self.less)
        row.addWidget(self.more)

    def show_first(self, first: int, count: int) -> None:
        """Show a position of so many."""
        self.words.setText(translated("{n} of {total}").format(n=first + 1, total=count))
        self.less.setEnabled(first > 0)
        self.more.setEnabled(first + 1 < count)


class FieldsRow(QWidget):
    """Emits what was chosen; it decides nothing."""

    kind_chosen = Signal(object)
    source_chosen = Signal(object)
    stock_chosen = Signal(str)
    printer_chosen = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.kind, self.source, self.stock, self.printer = (_combo() for _ in range(4))
        self.first = FirstField(theme)
        for kind, named in KIND_WORDS.items():
            self.kind.addItem(translated(named.name), kind)
        self._theme, self._rows, self._sources = theme, 0, Entries()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(theme.px(8))
        self._fields: list[tuple[FieldRow[QWidget], int]] = []
        for words, editor, stretch in (
            ("What", self.kind, 12),
            ("Of", self.source, 12),
            ("Stock", self.stock, 14),
            ("First free position", self.first, 8),
            ("Printer", self.printer, 12),
        ):
            field: FieldRow[QWidget] = FieldRow(translated(words), editor)
            self._fields.append((field, stretch))
        self._arrange(1)
        self.kind.activated.connect(lambda _i: self.kind_chosen.emit(self.kind.currentData()))
        self.source.setModel(self._sources)
        self.source.activated.connect(lambda i: self.source_chosen.emit(self._sources.entries[i][1]))
        self.stock.activated.connect(lambda _i: self.stock_chosen.emit(self.stock.currentData()))
        self.printer.activated.connect(lambda _i: self.printer_chosen.emit(self.printer.currentData()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange(1 if event.size().width() >= self._theme.px(ONE_ROW) else 2)

    def _arrange(self, rows: int) -> None:
        """All fields in one row, or in two."""
        if rows == self._rows:
            return
        self._rows = rows
        for column in range(max(cell[1] + cell[2] for cell in _TWO_ROWS)):
            self._grid.setColumnStretch(column, 1 if rows == 2 else 0)
        for number, (field, stretch) in enumerate(self._fields):
            row, column, wide = _TWO_ROWS[number] if rows == 2 else (0, number, 1)
            self._grid.addWidget(field, row, column, 1, wide)
            if rows == 1:
                self._grid.setColumnStretch(number, stretch)
        self._walk_as_it_stands()

    def _walk_as_it_stands(self) -> None:
        """Tab goes along the rows."""
        two = self._rows == 2
        order: list[QWidget] = [self.kind, self.source, self.stock, self.first.less, self.first.more, self.printer]
        if two:
            order = [self.kind, self.source, self.first.less, self.first.more, self.stock, self.printer]
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)

    def show_kind(self, kind: LabelKind) -> None:
        """Show which kind is chosen."""
        self.kind.setCurrentIndex(self.kind.findData(kind))

    def show_sources(self, sources: Sequence[tuple[str, object]], chosen: object) -> None:
        """Show where a queue can come from: (words, value)."""
        with QSignalBlocker(self.source):
            self._sources.show_entries(sources)
            self.source.setCurrentIndex(self._sources.place_of(chosen))

    def show_stocks(self, stocks: Sequence[Stock], chosen: str) -> None:
        """Show the stocks that suit."""
        _fill(self.stock, [(stock.name, stock.key) for stock in stocks], chosen)

    def show_printers(self, printers: Sequence[Printer], chosen: str) -> None:
        """Show the printers with their offsets."""
        _fill(self.printer, [(printer_words(p), p.name) for p in printers], chosen)


class Entries(QStringListModel):
    """Words with what each stands for, whole in the tooltip: thousands of racks are shown in one step.

    Its list is Qt's own: a choice asks it for its length tens of thousands of times while it is put on a page.
    """

    def __init__(self) -> None:
        super().__init__()
        self.entries: tuple[tuple[str, object], ...] = ()

    def show_entries(self, entries: Sequence[tuple[str, object]]) -> None:
        """Show these."""
        if self.entries != tuple(entries):
            self.entries = tuple(entries)
            self.setStringList([words for words, _ in self.entries])

    def place_of(self, value: object) -> int:
        """Where what stands for `value` is; the first when nothing does."""
        return next((n for n, (_, its) in enumerate(self.entries) if its == value), 0)

    def data(self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        return super().data(index, Qt.ItemDataRole.DisplayRole if role == Qt.ItemDataRole.ToolTipRole else role)


def printer_words(printer: Printer) -> str:
    """A printer as it stands in the list: its name, and its offset once measured."""
    name = printer.name or translated("Any printer")
    if not (printer.offset_right or printer.offset_down):
        return translated("{printer}, not measured").format(printer=name)
    right, down = f"{printer.offset_right:g}".replace("-", "\u2212"), f"{printer.offset_down:g}".replace("-", "\u2212")
    return translated("{printer}, offset {right}, {down} mm").format(printer=name, right=right, down=down)


class ElidedCombo(QComboBox):
    """A choice whose words end in an ellipsis where there is no room; the list and the tooltip hold the whole."""

    def sizeHint(self) -> QSize:
        # Qt asks every entry for its icon to find this out: of 5,000 racks that is a third of a second
        option, letters = QStyleOptionComboBox(), self.fontMetrics()
        self.initStyleOption(option)
        inside = QSize(self.minimumContentsLength() * letters.horizontalAdvance("X"), max(letters.height(), 14) + 2)
        return self.style().sizeFromContents(QStyle.ContentsType.CT_ComboBox, option, inside, self)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        arrow = QStyle.SubControl.SC_ComboBoxEditField
        room = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, arrow, self).width()
        words = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room)
        option.currentText = words
        painter = QStylePainter(self)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        painter.end()


def _combo() -> QComboBox:
    combo = ElidedCombo()
    rows = QListView()
    # a change of font lays the list out anew: of thousands of racks it is enough to measure one
    rows.setUniformItemSizes(True)
    combo.setView(rows)
    combo.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    combo.setMinimumContentsLength(8)
    return combo


def _fill(combo: QComboBox, entries: Sequence[tuple[str, object]], chosen: object) -> None:
    with QSignalBlocker(combo):
        combo.clear()
        for words, value in entries:
            combo.addItem(words, value)
            combo.setItemData(combo.count() - 1, words, Qt.ItemDataRole.ToolTipRole)
        combo.setCurrentIndex(max(combo.findData(chosen), 0))
