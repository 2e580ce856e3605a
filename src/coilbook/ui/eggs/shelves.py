"""The shelves of the incubators and the boxes as they stand on them, walked with the arrows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, EggNow
from coilbook.reads.egg_words import box_day
from coilbook.reads.eggs_now import EggsNow, with_dam_id
from coilbook.reads.species_numbers import profile_of_collection
from coilbook.records.ids import EggBoxId
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.egg_painter import paint_egg
from coilbook.ui.parts.arrows import STEPS
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, SMALL
from coilbook.wording.language import translated

HEAD, TILE, GAP, BOARD = 26, 100, 6, 16
_EGGS_IN_ROW = 4


@dataclass(frozen=True, slots=True)
class _Tile:
    """A place on a shelf: the box in it (None: free), where it is painted, and in which row."""

    box: EggBoxId | None
    area: QRectF
    row: int


class ShelvesView(QWidget):
    """Paints every shelf; `at_hand` is the box in focus."""

    walked = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._theme = desk, desk.theme
        self._now = EggsNow(desk.clock().date(), profile_of_collection(desk.collection))
        self._tiles: list[_Tile] = []
        self._heads: list[tuple[QRectF, str, str]] = []
        self._boards: list[QRectF] = []
        self._height = 0
        self.at_hand: EggBoxId | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(translated("Shelves and boxes"))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self._theme.changed.connect(self._lay_out)

    def show_now(self, now: EggsNow) -> None:
        """Show these; the box in focus stays when it is still there."""
        self._now = now
        if now.box(self.at_hand) is None and self._left(self.at_hand) is None:
            first = next((box for box in now.boxes if box.eggs), now.boxes[0] if now.boxes else None)
            self.at_hand = first.id if first is not None else None
        self._lay_out()

    def choose(self, box: EggBoxId | None) -> None:
        """Put the focus on a box, and tell of it."""
        if box is not None and box != self.at_hand:
            self.stand_at(box)
            self.walked.emit()

    def stand_at(self, box: EggBoxId | None) -> None:
        """The box in focus, as the page says."""
        self.at_hand = box
        found = self._now.box(box)
        self.setAccessibleDescription(self._told(found) if found is not None else "")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(276), max(self._height, self._theme.px(40)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._lay_out()

    # --- where everything stands ---------------------------------------------------------------------------
    def _lay_out(self) -> None:
        px = self._theme.px
        self._tiles, self._heads, self._boards = [], [], []
        top, row = 0.0, 0
        width = max(self.width(), px(200))
        placed: set[EggBoxId] = set()
        for incubator in self._now.incubators:
            by_place = {(b.shelf, b.spot): b for b in self._now.boxes if b.incubator == incubator.id}
            for number, name in enumerate(incubator.shelves, 1):
                several = len(self._now.incubators) > 1
                shelf = " ".join(part for part in (incubator.name if several or not name else "", name) if part)
                self._heads.append((QRectF(0, top, width, px(HEAD)), shelf, self._shelf_note(incubator.id, number)))
                top += px(HEAD)
                on_it = [by_place.get((number, spot)) for spot in range(1, incubator.per_shelf + 1)]
                placed |= {box.id for box in on_it if box is not None}
                self._row([box.id if box is not None else None for box in on_it], incubator.per_shelf, top, width, row)
                row += 1
                top += px(TILE + BOARD)
                self._boards.append(QRectF(0, top - px(BOARD - 4), width, px(3)))
        loose = [box.id for box in self._now.boxes if box.id not in placed]
        if loose:
            self._heads.append((QRectF(0, top, width, px(HEAD)), translated("In no incubator"), ""))
            top += px(HEAD)
            for start in range(0, len(loose), 3):
                part = loose[start : start + 3]
                self._row([*part], 3, top, width, row)
                row += 1
                top += px(TILE + GAP)
        left = [with_dam_id(clutch) for clutch in self._now.with_dam]
        if left:
            self._heads.append((QRectF(0, top, width, px(HEAD)), translated("With their dams"), ""))
            top += px(HEAD)
            for start in range(0, len(left), 3):
                self._row([*left[start : start + 3]], 3, top, width, row)
                row += 1
                top += px(TILE + GAP)
        self._height = round(top)
        self.setFixedHeight(max(self._height, px(40)))
        self.update()

    def _row(self, boxes: list[EggBoxId | None], places: int, top: float, width: float, row: int) -> None:
        gap = self._theme.px(GAP)
        each = (width - gap * (places - 1)) / places
        for index, box in enumerate(boxes):
            area = QRectF(index * (each + gap) + 0.5, top + 0.5, each - 1, self._theme.px(TILE) - 1)
            self._tiles.append(_Tile(box, area, row))

    def _shelf_note(self, incubator: int, shelf: int) -> str:
        seen = next((v for (i, s), v in self._now.at_shelf.items() if (i, s) == (incubator, shelf)), None)
        return "" if seen is None else self._desk.style.temperature(seen[0])

    def _left(self, box: EggBoxId | None) -> ClutchNow | None:
        """The clutch left with its dam that stands in the place of a box."""
        return next((clutch for clutch in self._now.with_dam if with_dam_id(clutch) == box), None)

    def _told(self, box: BoxNowRow) -> str:
        word = self._desk.render(self._now.word(box).told)
        names = ", ".join(clutch.label for clutch in box.clutches)
        return f"{box.label} {names}: {word}"

    # --- hands ---------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = STEPS.get(Qt.Key(event.key()))
        if step is None or event.modifiers() & Qt.KeyboardModifier.AltModifier:
            super().keyPressEvent(event)
            return
        self.step(*step)

    def step(self, across: int, down: int) -> None:
        """To the next box that way."""
        held = [tile for tile in self._tiles if tile.box is not None]
        here = next((tile for tile in held if tile.box == self.at_hand), None)
        if here is None:
            return
        if across:
            order = [tile.box for tile in held]
            self.choose(order[min(max(order.index(here.box) + across, 0), len(order) - 1)])
            return
        rows = sorted({tile.row for tile in held if (tile.row - here.row) * down > 0}, reverse=down < 0)
        if rows:
            on_it = [tile for tile in held if tile.row == rows[0]]
            self.choose(min(on_it, key=lambda tile: abs(tile.area.x() - here.area.x())).box)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        found = next((tile for tile in self._tiles if tile.area.contains(event.position())), None)
        if found is not None and found.box is not None:
            self.choose(found.box)

    # --- painting ------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.setClipRect(event.rect())
            for area, name, note in self._heads:
                painter.setFont(theme.font(BODY, bold=True))
                painter.setPen(theme.colour("ink"))
                painter.drawText(area, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, name)
                painter.setFont(theme.font(SMALL))
                painter.setPen(theme.colour("second"))
                painter.drawText(area, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, note)
            for board in self._boards:
                painter.fillRect(board, theme.colour("rule"))
            for tile in self._tiles:
                if tile.area.intersects(QRectF(event.rect())):
                    self._paint_tile(painter, tile)

    def _paint_tile(self, painter: QPainter, tile: _Tile) -> None:
        theme = self._theme
        box, left = self._now.box(tile.box), self._left(tile.box)
        there = box is not None or left is not None
        chosen = tile.box is not None and tile.box == self.at_hand
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(theme.colour("accent" if chosen else "edge" if there else "rule"), 2 if chosen else 1)
        if not there:
            pen.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.setBrush(theme.colour("tint" if chosen else "surface" if there else "ground"))
        painter.drawRoundedRect(tile.area, 4, 4)
        pad = theme.px(6)
        inner = tile.area.adjusted(pad, theme.px(5), -pad, -theme.px(5))
        if box is not None:
            self._paint_words(painter, box, inner, chosen)
            self._paint_eggs(painter, box.eggs, inner)
        elif left is not None:
            self._paint_left(painter, left, inner)
            self._paint_eggs(painter, left.eggs, inner)
        else:
            painter.setFont(theme.font(SMALL))
            painter.setPen(theme.colour("second"))
            painter.drawText(tile.area, Qt.AlignmentFlag.AlignCenter, translated("free"))

    def _paint_left(self, painter: QPainter, clutch: ClutchNow, inner: QRectF) -> None:
        """A clutch with its dam: her id where the box has its own."""
        theme, left = self._theme, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        painter.setFont(theme.font(BODY, bold=True))
        painter.setPen(theme.colour("ink"))
        painter.drawText(inner, left, clutch.dam.name if clutch.dam is not None else "?")
        painter.setFont(theme.font(SMALL))
        day = translated("d {n}").format(n=clutch.day_word(self._now.today))
        painter.drawText(inner.adjusted(0, 1, 0, 0), Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, day)
        painter.setPen(theme.colour("second"))
        painter.drawText(inner.adjusted(0, theme.px(18), 0, 0), left, clutch.label)

    def _paint_words(self, painter: QPainter, box: BoxNowRow, inner: QRectF, chosen: bool) -> None:
        theme, left = self._theme, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        painter.setFont(theme.font(BODY, bold=True))
        painter.setPen(theme.colour("ink"))
        day = translated("d {n}").format(n=box_day(box, self._now.today)) if box.clutches else ""
        metrics, for_day = QFontMetrics(theme.font(SMALL)), 0
        if day:
            for_day = metrics.horizontalAdvance(day) + theme.px(4)
        # where the name of the box leaves no room for the day, the day stands on the line of the clutch
        beside = QFontMetrics(painter.font()).horizontalAdvance(box.label) <= inner.width() - for_day
        label = QFontMetrics(painter.font()).elidedText(box.label, Qt.TextElideMode.ElideRight, int(inner.width()))
        painter.drawText(inner, left, label)
        painter.setFont(theme.font(SMALL))
        at_day = inner.adjusted(0, 1 if beside else theme.px(18), 0, 0)
        painter.drawText(at_day, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, day)
        painter.setPen(theme.colour("second"))
        names = ", ".join(clutch.label for clutch in box.clutches)
        room = int(inner.width()) - (0 if beside else for_day)
        shown = metrics.elidedText(names, Qt.TextElideMode.ElideRight, room)
        painter.drawText(inner.adjusted(0, theme.px(18), 0, 0), left, shown)
        word = self._now.word(box)
        text = self._desk.render(word.told)
        foot = QRectF(inner.left(), inner.bottom() - theme.px(16), inner.width(), theme.px(16))
        if word.needs_you:
            mark = QRectF(foot.left(), foot.top() + 1, theme.px(13), theme.px(13))
            paint_shape(painter, "triangle", mark, theme)
            foot.setLeft(mark.right() + theme.px(3))
        painter.setFont(theme.font(SMALL, bold=word.needs_you))
        painter.setPen(theme.colour("clay" if word.needs_you and not chosen else "ink"))
        shown = QFontMetrics(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, int(foot.width()))
        painter.drawText(foot, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)

    def _paint_eggs(self, painter: QPainter, lying: Sequence[EggNow], inner: QRectF) -> None:
        theme = self._theme
        eggs = lying[:16]
        # two rows: a third would lie under the word at the foot
        in_row = max(_EGGS_IN_ROW, (len(eggs) + 1) // 2)
        width = min(theme.px(18), int((inner.width() - 2 * in_row) / (in_row + 0.5)))
        height = round(width * 0.72)
        top = inner.top() + theme.px(36)
        for index, egg in enumerate(eggs):
            row, column = divmod(index, in_row)
            shift = (width + 2) / 2 if row % 2 else 0
            area = QRectF(inner.left() + column * (width + 2) + shift + 1, top + row * (height + 2), width, height)
            paint_egg(painter, theme, area, egg.state, line=1.2)
