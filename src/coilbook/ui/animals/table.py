"""The list itself: keeps who is selected by id, lets the keyboard gather several, and remembers its columns."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PySide6.QtCore import QEvent, QItemSelection, QItemSelectionModel, QItemSelectionRange, QPoint, Qt, Signal
from PySide6.QtGui import QFontMetrics, QGuiApplication, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QMenu

from coilbook.reads.herd_columns import IntArray
from coilbook.ui.animals.columns import BY_KEY, COLUMNS, Column, head_of
from coilbook.ui.animals.layout import Layout, keep_layout
from coilbook.ui.animals.list_head import ListHead
from coilbook.ui.animals.painter import ListPainter, Strip
from coilbook.ui.models.animal_table import AnimalTable
from coilbook.ui.parts.table import Index, TableView
from coilbook.ui.theme import BODY, Theme
from coilbook.wording.language import translated

Flag = QItemSelectionModel.SelectionFlag
_REST = next(k for k, column in enumerate(COLUMNS) if column.width == 0)
#: below this the genetics get no narrower, and the list scrolls sideways
NARROWEST_REST = 120
#: where there is less room than this for the genetics, these columns give theirs, the first one first
ROOM_FOR_REST = 190
#: rows looked at for the width of ids and places, and how much wider than usual they make a column at most
SAMPLED, WIDER = 240, 72
GIVE_WAY = ("curve", "hatched")
_KEYS = [column.key for column in COLUMNS]


#: the least width that shows the usual columns whole, without those that give way
LEAST = sum(c.width for c in COLUMNS if c.shown and c.key not in GIVE_WAY) + NARROWEST_REST


class AnimalList(TableView):
    """Space gathers rows while arrows walk on; a plain click or Esc lets them go."""

    #: the selection holds other animals
    gathered = Signal()
    #: another column was chosen to sort by
    sorted_anew = Signal()

    def __init__(self, theme: Theme, model: AnimalTable, folder: Path, layout: Layout) -> None:
        super().__init__(theme, translated("Animals"))
        self._folder, self._gathering, self._arranging = folder, False, True
        self.animals = model
        self.sort, self.descending = layout.sort, layout.descending
        self._widths, self._wanted = dict(layout.widths), set(layout.shown)
        self._content: dict[str, int] = {}
        self.setModel(model)
        self._painter = ListPainter(theme)
        self.setDragEnabled(True)
        self.setDragDropMode(TableView.DragDropMode.DragOnly)
        head = ListHead(theme, self)
        self.setHorizontalHeader(head)
        self.fit_rows()
        head.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        head.customContextMenuRequested.connect(self._menu_at)
        head.sectionClicked.connect(self._sort_by)
        head.sectionResized.connect(self._resized)
        head.sectionMoved.connect(self._moved)
        self.arrange(layout)
        theme.changed.connect(self.fit)
        self.selectionModel().selectionChanged.connect(self._selection_changed)

    # --- columns --------------------------------------------------------------------------------------------
    def arrange(self, layout: Layout) -> None:
        """Show these columns in this order, width and sorting."""
        self._arranging = True
        head = self.horizontalHeader()
        self._widths = dict(layout.widths)
        self.sort, self.descending = layout.sort, layout.descending
        order = [*layout.shown, *(key for key in _KEYS if key not in layout.shown)]
        self._wanted = set(layout.shown)
        for place, key in enumerate(order):
            head.moveSection(head.visualIndex(_KEYS.index(key)), place)
        self._show_sorting()
        self._arranging = False
        self.fit()

    @property
    def layout_now(self) -> Layout:
        """Columns, widths and sorting as they stand."""
        return Layout(tuple(c.key for c in self.shown_columns()), dict(self._widths), self.sort, self.descending)

    def shown_columns(self) -> list[Column]:
        """Columns the keeper chose, from left to right, also those that give way to the genetics just now."""
        head = self.horizontalHeader()
        places = (head.logicalIndex(place) for place in range(head.count()))
        return [COLUMNS[k] for k in places if COLUMNS[k].key in self._wanted]

    def fit(self) -> None:
        """Widths for the present scale; the genetics take the rest unless the keeper gave them a width."""
        self._arranging = True
        px = self.theme.px
        usual = {c.key: self._content.get(c.key, c.width) for c in COLUMNS if c.key in self._wanted}
        widths = {key: px(self._widths.get(key, width)) for key, width in usual.items()}
        rest = widths.pop(COLUMNS[_REST].key, 0)
        for key in GIVE_WAY:
            if not rest and sum(widths.values()) + px(ROOM_FOR_REST) > self.viewport().width() > 0:
                widths.pop(key, None)
        room = rest or max(self.viewport().width() - sum(widths.values()), px(NARROWEST_REST))
        for k, column in enumerate(COLUMNS):
            hidden = column.key not in widths and not (k == _REST and column.key in self._wanted)
            self.setColumnHidden(k, hidden)
            if not hidden:
                self.setColumnWidth(k, widths.get(column.key, room))
        self._arranging = False

    def fit_content(self) -> None:
        """Give ids and places the width their longest texts want, once; what the keeper dragged stays."""
        herd, px = self.animals.herd, self.theme.px
        if herd is None or not len(herd):
            return
        sample = range(0, len(herd), max(1, len(herd) // SAMPLED))
        ids = [herd.texts[row].split("\n", 1)[0].upper() for row in sample]
        labels = {herd.places.label(int(herd["place"][row])) for row in sample}
        bold, plain = (QFontMetrics(self.theme.font(BODY, bold=bold)) for bold in (True, False))
        wanted = {
            "animal": max(bold.horizontalAdvance(text) for text in ids) + px(54),
            "place": max(plain.horizontalAdvance(label) for label in labels) + px(20),
        }
        for key, width in wanted.items():
            usual = BY_KEY[key].width
            self._content[key] = min(max(round(width / self.theme.scale), usual), usual + WIDER)
        self.fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()

    def choose_columns(self, at: QPoint | None = None) -> None:
        """A menu of all columns, ticked where shown."""
        menu = QMenu(self)
        for column in COLUMNS:
            action = menu.addAction(head_of(column, self.animals.writing.style))
            action.setCheckable(True)
            action.setChecked(column.key in self._wanted)
            action.setEnabled(column.key != "animal")
            action.toggled.connect(lambda on, key=column.key: self.show_column(key, on))
        menu.popup(at or self.horizontalHeader().mapToGlobal(QPoint(self.theme.px(24), self.theme.px(28))))

    def show_column(self, key: str, shown: bool) -> None:
        """Show or hide a column."""
        self._wanted = self._wanted | {key} if shown else self._wanted - {key}
        self.fit()
        self._keep()

    def _menu_at(self, point: QPoint) -> None:
        self.choose_columns(self.horizontalHeader().mapToGlobal(point))

    def _sort_by(self, column: int) -> None:
        key = COLUMNS[column].key
        self.descending = not self.descending if key == self.sort else BY_KEY[key].descends
        self.sort = key
        self._show_sorting()
        self._keep()
        self.sorted_anew.emit()

    def _show_sorting(self) -> None:
        self.animals.say_sorting(self.sort, descending=self.descending)

    def _resized(self, column: int, _before: int, width: int) -> None:
        if not self._arranging:
            self._widths[COLUMNS[column].key] = round(width / self.theme.scale)
            self.fit()
            self._keep()

    def _moved(self, *_places: int) -> None:
        if not self._arranging:
            self._keep()

    def _keep(self) -> None:
        if not self._arranging:
            keep_layout(self._folder, self.layout_now)

    # --- painting -------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        area, height = event.rect(), self.verticalHeader().defaultSectionSize()
        first = self.rowAt(area.top())
        strips: list[Strip] = []
        if first >= 0:
            parts, current = [(part.top(), part.bottom()) for part in self._parts()], self.current_row()
            top = self.rowViewportPosition(first)
            count = min(-(-(area.bottom() + 1 - top) // height), self.animals.rowCount() - first)
            for row in range(first, first + count):
                chosen = any(begin <= row <= end for begin, end in parts)
                strips.append(Strip(row, top + (row - first) * height, height, chosen, row == current))
        head = self.horizontalHeader()
        numbers = [head.logicalIndex(place) for place in range(head.count())]
        columns = [
            (k, self.columnViewportPosition(k), self.columnWidth(k)) for k in numbers if not self.isColumnHidden(k)
        ]
        with QPainter(self.viewport()) as painter:
            self._painter.paint(painter, area, self.animals, strips, columns)
            index = self.currentIndex()
            if self.hasFocus() and index.isValid():
                painter.setPen(QPen(self.theme.colour("accent"), 2))
                painter.drawRect(self.visualRect(index).adjusted(1, 1, -1, -2))

    # --- who is selected ------------------------------------------------------------------------------------
    def count_selected(self) -> int:
        """How many animals are selected."""
        return sum(part.height() for part in self._parts())

    def selected_rows(self) -> list[int]:
        """Selected rows, ascending."""
        rows: list[int] = self._selected().tolist()
        return rows

    def _selected(self) -> IntArray:
        parts = [np.arange(part.top(), part.bottom() + 1, dtype=np.int32) for part in self._parts()]
        return np.sort(np.concatenate(parts)) if parts else np.empty(0, dtype=np.int32)

    def _parts(self) -> list[QItemSelectionRange]:
        selection = self.selectionModel().selection()
        return [selection.at(k) for k in range(selection.count())]

    def selected(self) -> list[int]:
        """Ids of the selected animals in the order of the list."""
        ids: list[int] = self.animals.ids[self._selected()].tolist()
        return ids

    def focused(self) -> int:
        """Id of the animal in focus, 0 for none."""
        return self.animals.animal_at(self.current_row())

    def focused_column(self) -> str:
        """Key of the column in focus."""
        index = self.currentIndex()
        return COLUMNS[index.column()].key if index.isValid() else "animal"

    def show_ids(self, ids: IntArray) -> None:
        """Show these animals; who was in focus and who was selected stays so, by id."""
        animal, column = self.focused(), max(self.currentIndex().column(), 0)
        held = self.selected() if self._gathering or self.count_selected() > 1 else []
        scroll = self.verticalScrollBar().value()
        selection = self.selectionModel()
        selection.blockSignals(True)
        self.animals.show(ids)
        rows = self.animals.rows_of([animal]) if animal else []
        row = rows[0] if rows else (0 if len(ids) else -1)
        if row >= 0:
            self.focus_row(row, column, select=not held)
            self._select_rows(self.animals.rows_of(held))
        selection.blockSignals(False)
        self._count()
        if rows and not held:
            self.verticalScrollBar().setValue(scroll)
            self.scrollTo(self.currentIndex())
        self.viewport().update()

    def focus_row(self, row: int, column: int | None = None, *, select: bool = True) -> None:
        """Put the focus on a row."""
        kept = max(self.currentIndex().column(), 0)
        index = self.animals.index(row, kept if column is None else column)
        flags = Flag.ClearAndSelect | Flag.Rows if select else Flag.NoUpdate
        self.selectionModel().setCurrentIndex(index, flags)

    def focus_animal(self, animal: int) -> bool:
        """Put the focus on an animal; False when the list does not show it."""
        rows = self.animals.rows_of([animal])
        if rows:
            self._gathering = False
            self.focus_row(rows[0])
        return bool(rows)

    def _select_rows(self, rows: list[int]) -> None:
        selection = QItemSelection()
        last = len(COLUMNS) - 1
        start = 0
        for k, row in enumerate(rows):
            if k + 1 == len(rows) or rows[k + 1] != row + 1:
                selection.select(self.animals.index(rows[start], 0), self.animals.index(row, last))
                start = k + 1
        self.selectionModel().select(selection, Flag.Select)

    def selectionCommand(self, index: Index, event: QEvent | None = None) -> QItemSelectionModel.SelectionFlag:
        if isinstance(event, QKeyEvent):
            extending = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
            if self._gathering and not extending:
                return Flag.NoUpdate
        elif event is not None and event.type() == QEvent.Type.MouseButtonPress:
            self._gathering = bool(QGuiApplication.keyboardModifiers() & Qt.KeyboardModifier.ControlModifier)
        return super().selectionCommand(index, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.modifiers():
            self.gather()
        elif event.key() == Qt.Key.Key_Escape and (self._gathering or self.count_selected() > 1):
            self.let_go()
        else:
            super().keyPressEvent(event)

    def gather(self) -> None:
        """Take the row in focus into the selection, or out of it."""
        index = self.currentIndex()
        if not index.isValid():
            return
        was = self._gathering
        self._gathering = True
        command = Flag.Toggle if was else Flag.Select
        self.selectionModel().select(index, command | Flag.Rows)

    def let_go(self) -> None:
        """Select the row in focus alone."""
        self._gathering = False
        self.selectionModel().select(self.currentIndex(), Flag.ClearAndSelect | Flag.Rows)

    def _selection_changed(self, _added: QItemSelection, _removed: QItemSelection) -> None:
        self._count()
        self.gathered.emit()

    def _count(self) -> None:
        several = self.count_selected() > 1
        if several != self._painter.several:
            self._painter.several = several
            self.viewport().update()
