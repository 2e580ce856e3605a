"""Egg by egg, look by look: a row for each number, a column for each day on which anything was looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, EggNow
from coilbook.reads.egg_words import look_word
from coilbook.records.egg_vocabulary import EggState
from coilbook.records.ids import EggId
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.egg_painter import paint_egg
from coilbook.ui.theme import SMALL, TARGET
from coilbook.wording.language import translated
from coilbook.wording.texts import words

ROW = 24
#: the last days are shown, as many as have room for their longest words and the space after them (pixels)
DAY_LEAST, DAY_SPACE = 34, 10
_NUMBER, _MASS, _NOW = 30, 40, 104


@dataclass(frozen=True, slots=True)
class _Cell:
    """What stands in one cell; `token` its colour."""

    text: str
    token: str = "ink"
    bold: bool = False


_NOTHING: Mapping[EggId, str] = MappingProxyType({})


class EggTable(QWidget):
    """Paints the table of one clutch; a press chooses an egg. A dot is not looked at; "fine" looked, nothing."""

    chosen = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._theme = desk, desk.theme
        self._clutch: ClutchNow | None = None
        self._days: list[int] = []
        self._cells: dict[tuple[EggId, int], _Cell] = {}
        self.egg: EggId | None = None
        self._judged: Mapping[EggId, str] = _NOTHING
        self.setAccessibleName(translated("Eggs, look by look"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._theme.changed.connect(self._again)

    @property
    def _row_height(self) -> int:
        """A thumb's height in the room."""
        return self._theme.px(TARGET if self._theme.room else ROW)

    def _again(self) -> None:
        rows = len(self._clutch.eggs) if self._clutch is not None else 0
        self.setFixedHeight(self._row_height * (rows + 1) + 2)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(412), self.height())

    def show_clutch(
        self,
        clutch: ClutchNow | None,
        box: BoxNowRow | None,
        egg: EggId | None,
        judged: Mapping[EggId, str] = _NOTHING,
    ) -> None:
        """Show a clutch as it lies in a box, with an egg in focus; `judged` are words not kept yet."""
        self._clutch, self.egg, self._judged = clutch, egg, judged
        self._days, self._cells = [], {}
        if clutch is not None:
            self._fill(clutch, box)
            told = [f"{e.number} {words(e.state)}" for e in clutch.eggs]
            self.setAccessibleDescription(", ".join(told))
        self._again()

    def _fill(self, clutch: ClutchNow, box: BoxNowRow | None) -> None:
        def day(at: str) -> int:
            return clutch.day_of(moment_from(at).date())

        fine = {day(look.at) for look in box.looks if look.fine} if box is not None else set()
        found: dict[tuple[EggId, int], _Cell] = {}
        for egg in clutch.eggs:
            for when in fine:
                gone = egg.removed_at is not None and day(egg.removed_at) <= when
                if not gone:
                    found[egg.id, when] = _Cell(translated("fine"), "second")
            for look in egg.looks:
                told, bad = look_word(look)
                if day(look.at) == 0 and not (look.note or bad) and look.veins.value == "unsaid":
                    text = words(look.verdict)
                    found[egg.id, 0] = _Cell(text, "ink" if text else "second")
                    continue
                found[egg.id, day(look.at)] = _Cell(self._desk.render(told), "clay" if bad else "ink", bad)
        self._cells = found
        self._days = sorted({when for _, when in found})

    def _row_at(self, y: float) -> EggNow | None:
        row = int(y // self._row_height) - 1
        eggs = self._clutch.eggs if self._clutch is not None else ()
        return eggs[row] if 0 <= row < len(eggs) else None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        egg = self._row_at(event.position().y())
        if egg is not None:
            self.chosen.emit(egg.id)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, clutch = self._theme, self._clutch
        if clutch is None:
            return
        high = self._row_height
        with QPainter(self) as painter:
            painter.setFont(theme.font(SMALL))
            columns = self.columns()
            self._paint_head(painter, high, columns)
            for index, egg in enumerate(clutch.eggs, 1):
                self._paint_row(painter, egg, index * high, columns)

    def columns(self) -> list[tuple[int, float, float]]:
        """Days with room for all their words, the last ones first to get it: day, left edge and width in pixels."""
        px, plain = self._theme.px, QFontMetrics(self._theme.font())
        bold = QFontMetrics(self._theme.font(bold=True))
        left, right = float(px(_NUMBER + _MASS + 8)), self.width() - px(_NOW)
        need: dict[int, float] = dict.fromkeys(self._days, px(DAY_LEAST))
        for (egg, day), cell in self._cells.items():
            metrics = bold if cell.bold or egg == self.egg else plain
            need[day] = max(need[day], metrics.horizontalAdvance(cell.text) + px(DAY_SPACE))
        shown: list[int] = []
        for day in reversed(self._days):
            if shown and sum(need[d] for d in (*shown, day)) > right - left:
                break
            shown.insert(0, day)
        over = max(right - left - sum(need[day] for day in shown), 0) / max(len(shown), 1)
        columns = []
        for day in shown:
            columns.append((day, left, need[day] + over))
            left += need[day] + over
        return columns

    def _paint_head(self, painter: QPainter, high: int, columns: list[tuple[int, float, float]]) -> None:
        px = self._theme.px
        painter.setPen(self._theme.colour("second"))
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(0, 0, px(_NUMBER), high), middle, translated("Egg"))
        unit = QRectF(px(_NUMBER), 0, px(_MASS), high)
        painter.drawText(unit, middle | Qt.AlignmentFlag.AlignRight, translated("mass"))
        for day, left, width in columns:
            painter.drawText(QRectF(left, 0, width, high), middle, translated("d {n}").format(n=day))
        painter.drawText(QRectF(self.width() - px(_NOW), 0, px(_NOW), high), middle, translated("now"))

    def _paint_row(self, painter: QPainter, egg: EggNow, top: int, columns: list[tuple[int, float, float]]) -> None:
        theme, px = self._theme, self._theme.px
        high = self._row_height
        middle = Qt.AlignmentFlag.AlignVCenter
        if egg.id == self.egg:
            painter.fillRect(0, top, self.width(), high, theme.colour("tint"))
            painter.fillRect(0, top, px(4), high, theme.colour("accent"))
        painter.setPen(theme.colour("rule"))
        painter.drawLine(0, top, self.width(), top)
        painter.setFont(theme.font(bold=True))
        painter.setPen(theme.colour("ink"))
        painter.drawText(QRectF(px(8), top, px(_NUMBER), high), middle, str(egg.number))
        painter.setFont(theme.font())
        mass = self._desk.style.mass(egg.mass_dg).split(" ")[0] if egg.mass_dg is not None else ""
        painter.drawText(QRectF(px(_NUMBER), top, px(_MASS), high), middle | Qt.AlignmentFlag.AlignRight, mass)
        for day, left, width in columns:
            cell = self._cells.get((egg.id, day), _Cell("\u00b7", "second"))
            chosen = egg.id == self.egg and cell.token == "clay"
            painter.setFont(theme.font(bold=cell.bold or chosen))
            painter.setPen(theme.colour("ink" if chosen else cell.token))
            text = QFontMetrics(painter.font()).elidedText(cell.text, Qt.TextElideMode.ElideRight, int(width) - px(6))
            painter.drawText(QRectF(left, top, width, high), middle, text)
        left = self.width() - px(_NOW)
        small = 0.8 if egg.state is EggState.SLUG else 1.0
        mark = QRectF(left, top + high / 2 - px(7 * small), px(20 * small), px(14 * small))
        paint_egg(painter, theme, mark, egg.state, line=1.3)
        painter.setFont(theme.font())
        painter.setPen(theme.colour("ink"))
        judged = self._judged.get(egg.id)
        if judged is not None:
            painter.setFont(theme.font(bold=True))
            painter.setPen(theme.colour("accent"))
        now = translated("{word}, not kept").format(word=judged) if judged is not None else words(egg.state)
        room = QRectF(left + px(26), top, px(_NOW - 26), high)
        shown = QFontMetrics(painter.font()).elidedText(now, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, middle, shown)
