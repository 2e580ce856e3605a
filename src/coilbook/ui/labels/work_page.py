"""Queue, sheet and the label in focus, side by side; shown for a queue and the page of it in view."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QHeaderView, QVBoxLayout, QWidget

from coilbook.reads.label_rows import LabelRow
from coilbook.ui.desk import Desk
from coilbook.ui.labels.queue_model import WHERE, WIDTHS, QueueModel
from coilbook.ui.labels.run import Queue
from coilbook.ui.labels.sheet_view import CardView, SheetShown, SheetView
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import ElidedLabel, SectionHead
from coilbook.ui.theme import BODY, ROW_HEIGHT
from coilbook.wording.language import translated

#: share of the width that the queue has, in percent
LEFT_SHARE = 54
#: least room for what a label says, in px at 100%; under it the column of places stands back
LEAST_SAID = 90
#: the column of places is at most this wide, in px at 100%; so many rows are looked at for how wide it has to be
MOST_WHERE, SAMPLED = 144, 240


class WorkPage(QWidget):
    """Holds the place in the queue and the sheet in view."""

    #: a position of the first sheet was pressed
    started = Signal(int)
    #: the tick of the row in focus was pressed
    ticked = Signal()
    #: another row is in focus
    walked = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        theme = desk.theme
        px = theme.px
        self._queue: Queue | None = None
        self.page = 0
        self.model = QueueModel(desk)
        self.table = TableView(theme, translated("The queue"))
        self.table.setModel(self.model)
        self._size_columns()
        self.table.walked.connect(self._walk)
        self.table.clicked.connect(lambda index: self.ticked.emit() if index.column() == 0 else None)
        self.card_head, self.card = SectionHead(translated("The label in focus")), CardView(theme)
        self.sheet, self.words = SheetView(theme), ElidedLabel(theme, token="second")
        self.sheet.pressed.connect(self._press)
        left, right = QVBoxLayout(), QVBoxLayout()
        for column in (left, right):
            column.setSpacing(px(8))
        left.addWidget(self.table, 1)
        left.addWidget(self.card_head)
        left.addWidget(self.card)
        # a queue of five rows is the least one can work with; the picture gives way first
        self.table.setMinimumHeight(px(6 * ROW_HEIGHT))
        right.addWidget(self.sheet, 1)
        right.addWidget(self.words)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, px(4), 0, 0)
        row.setSpacing(px(24))
        row.addLayout(left, LEFT_SHARE)
        row.addLayout(right, 100 - LEFT_SHARE)

    def _size_columns(self) -> None:
        head = self.table.horizontalHeader()
        head.setSectionsMovable(False)
        head.setStretchLastSection(False)
        for column, width in enumerate(WIDTHS):
            mode = QHeaderView.ResizeMode.Stretch if width == 0 else QHeaderView.ResizeMode.Fixed
            head.setSectionResizeMode(column, mode)
            if width:
                self.table.setColumnWidth(column, self.table.theme.px(width))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_where()

    def _fit_where(self) -> None:
        """As wide as the places are; where there is little room, what the label says matters more than where it
        goes."""
        theme = self.table.theme
        metrics, rows = QFontMetrics(theme.font(BODY)), self._queue.rows if self._queue is not None else ()
        wide = [metrics.horizontalAdvance(row.place) for row in rows[:: max(1, len(rows) // SAMPLED)]]
        where = min(max([theme.px(WIDTHS[WHERE]), *(one + theme.px(20) for one in wide)]), theme.px(MOST_WHERE))
        self.table.setColumnWidth(WHERE, where)
        others = sum(width for column, width in enumerate(WIDTHS) if column != WHERE)
        room = self.width() * LEFT_SHARE // 100 - theme.px(others) - where
        self.table.setColumnHidden(WHERE, room < theme.px(LEAST_SAID))

    def current_row(self) -> LabelRow | None:
        """The row in focus."""
        return self.model.row(self.table.current_row())

    def show_queue(self, queue: Queue | None, row: int | None = None) -> None:
        """Show a queue; the place in it is kept unless another is given."""
        kept = self.table.current_row() if row is None else row
        self._queue = queue
        self.model.show_queue(queue)
        self._fit_where()
        if queue is not None and queue.rows:
            place = max(0, min(kept, len(queue.rows) - 1))
            self.table.setCurrentIndex(self.model.index(place, 1))
        self._walk()

    def show_card(self, shown: bool) -> None:
        """Show the label in focus, or leave its room to something else."""
        self.card.setVisible(shown)
        self.card_head.setVisible(shown)

    def turn(self, by: int) -> None:
        """Look at another sheet."""
        if self._queue is not None:
            self.page = max(0, min(self.page + by, self._queue.pages - 1))
            self.show_sheet()

    def _walk(self) -> None:
        row, queue = self.current_row(), self._queue
        if row is not None and queue is not None:
            place = queue.placements.get(row.name)
            self.page = place.page if place is not None else min(self.page, max(queue.pages - 1, 0))
            self.card.show_label(queue.layout_of(row), f"{row.name}, {row.says}")
            size = f"{queue.stock.label_width:g} \u00d7 {queue.stock.label_height:g} mm"
            self.card_head.note.setText(translated("as printed, {size}").format(size=size))
        self.show_sheet()
        self.walked.emit()

    def show_sheet(self) -> None:
        """Draw the sheet in view."""
        queue = self._queue
        if queue is None:
            return
        row = self.current_row()
        place = queue.placements.get(row.name) if row is not None else None
        focus = place.position if place is not None and place.page == self.page else None
        first = queue.first if self.page == 0 else None
        self.sheet.show_sheet(SheetShown(queue.stock, queue.printer, queue.page(self.page), first, focus))
        words = "Sheet {n} of {total}."
        if self.page == 0 and queue.stock.per_page > 1:
            words = "Sheet {n} of {total}.  Click where to start."
        self.words.set_text(translated(words).format(n=self.page + 1, total=max(queue.pages, 1)))

    def _press(self, position: int) -> None:
        """On the first sheet the run starts there; on a later one its label comes into focus."""
        if self.page == 0 or self._queue is None:
            self.started.emit(position)
            return
        for number, row in enumerate(self._queue.rows):
            place = self._queue.placements.get(row.name)
            if place is not None and (place.page, place.position) == (self.page, position):
                self.table.setCurrentIndex(self.model.index(number, 1))
