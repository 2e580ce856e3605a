"""The sheet as it will come out: used positions hatched, the first free one marked, the one in focus framed."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.labels.layout import LabelLayout
from coilbook.labels.stock import Printer, Stock, StockForm, page_size
from coilbook.ui.labels.paint_label import Inks, paint_label
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated


def paper_inks(theme: Theme) -> Inks:
    """Paper on the screen: white in the light theme, the page's own tones where a bright area would blind."""
    if theme.tokens.dark:
        return Inks(theme.colour("ink"), theme.colour("surface"))
    return Inks(QColor("#000000"), QColor("#FFFFFF"))


@dataclass(frozen=True, slots=True)
class SheetShown:
    """One page of the run: layouts by position, the first position of the run if it is on this page."""

    stock: Stock
    printer: Printer
    layouts: dict[int, LabelLayout]
    first: int | None
    focus: int | None


class SheetView(QWidget):
    """Painted; a press on a position emits `pressed` with it."""

    pressed = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._shown: SheetShown | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(translated("The sheet as it will be printed"))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(424), self._theme.px(596))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(220), self._theme.px(240))

    def show_sheet(self, shown: SheetShown) -> None:
        """Show another page."""
        self._shown = shown
        self.update()

    def scale(self) -> float:
        """Pixels a millimetre."""
        if self._shown is None:
            return 1.0
        width, height = page_size(self._shown.stock, self._shown.printer)
        most = 2.0 * self._theme.scale if self._shown.stock.form is StockForm.SHEET else 5.0 * self._theme.scale
        return min((self.width() - 2) / width, (self.height() - 2) / height, most)

    def position_at(self, point: QPointF) -> int | None:
        """The position of the sheet under a point."""
        if self._shown is None:
            return None
        stock, scale = self._shown.stock, self.scale()
        for position in range(stock.per_page):
            x, y = stock.corner_of(position)
            box = QRectF(x * scale, y * scale, stock.label_width * scale, stock.label_height * scale)
            if box.contains(point):
                return position
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        position = self.position_at(event.position())
        if position is not None:
            self.pressed.emit(position)

    def paintEvent(self, event: QPaintEvent) -> None:
        shown = self._shown
        if shown is None:
            return
        theme, scale = self._theme, self.scale()
        width, height = page_size(shown.stock, shown.printer)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            inks = paper_inks(theme)
            painter.setPen(QPen(theme.colour("edge"), 1))
            painter.setBrush(inks.light)
            painter.drawRect(QRectF(0.5, 0.5, width * scale, height * scale))
            for position in range(shown.stock.per_page):
                self._paint_position(painter, shown, position, inks)
            if shown.first is not None and shown.stock.form is StockForm.SHEET:
                self._paint_start(painter, shown.stock, shown.first)

    def _paint_position(self, painter: QPainter, shown: SheetShown, position: int, inks: Inks) -> None:
        theme, scale, stock = self._theme, self.scale(), shown.stock
        x, y = stock.corner_of(position)
        box = QRectF(x * scale, y * scale, stock.label_width * scale, stock.label_height * scale)
        pen = QPen(theme.colour("second"), 1)
        pen.setDashPattern([3, 3])
        painter.setPen(pen)
        used = shown.first is not None and position < shown.first
        painter.setBrush(QBrush(theme.colour("rule"), Qt.BrushStyle.BDiagPattern) if used else Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        if used:
            self._paint_used(painter, box, position, inks)
        layout = shown.layouts.get(position)
        if layout is not None:
            painter.save()
            painter.translate(box.topLeft())
            painter.scale(scale, scale)
            paint_label(painter, layout, inks)
            painter.restore()
        if position == shown.focus:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(theme.colour("accent"), 2))
            painter.drawRect(box.adjusted(-1, -1, 1, 1))

    def _paint_used(self, painter: QPainter, box: QRectF, position: int, inks: Inks) -> None:
        theme = self._theme
        words = translated("{n} used").format(n=position + 1)
        painter.setFont(theme.font(BODY if box.height() > theme.px(24) else SMALL))
        metrics = painter.fontMetrics()
        plate = QRectF(0, 0, metrics.horizontalAdvance(words) + theme.px(12), metrics.height() + theme.px(4))
        if plate.width() > box.width():
            return
        plate.moveCenter(box.center())
        painter.fillRect(plate, inks.light)
        painter.setPen(theme.colour("second"))
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_start(self, painter: QPainter, stock: Stock, first: int) -> None:
        """An arrow beside the first free position, where the paper leaves room for it."""
        theme, scale = self._theme, self.scale()
        x, y = stock.corner_of(first)
        right = (x + stock.label_width) * scale
        middle = (y + stock.label_height / 2) * scale
        last_column = (first + 1) % stock.columns == 0
        gap = stock.page_width - x - stock.label_width if last_column else stock.column_step - stock.label_width
        side = min(theme.px(10), gap * scale - 4)
        if side < theme.px(5):
            return
        arrow = [QPointF(right + 2, middle), QPointF(right + 2 + side, middle - side * 0.8)]
        arrow.append(QPointF(right + 2 + side, middle + side * 0.8))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("accent"))
        painter.drawPolygon(QPolygonF(arrow))


class CardView(QWidget):
    """The label in focus, larger; the size in print is said beside it."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._layout: LabelLayout | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setAccessibleName(translated("The label in focus"))
        self.setMinimumHeight(theme.px(110))
        self.setMaximumHeight(theme.px(218))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(342), self._theme.px(218))

    def show_label(self, layout: LabelLayout | None, words: str) -> None:
        """Show another label; `words` is what it says, for a screen reader."""
        self._layout = layout
        self.setAccessibleDescription(words)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        layout = self._layout
        if layout is None:
            return
        theme = self._theme
        most = 4.0 * theme.scale
        scale = min((self.width() - 2) / layout.width, (self.height() - 2) / layout.height, most)
        inks = paper_inks(theme)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(theme.colour("edge"), 1))
            painter.setBrush(inks.light)
            painter.drawRect(QRectF(0.5, 0.5, layout.width * scale, layout.height * scale))
            painter.translate(0.5, 0.5)
            painter.scale(scale, scale)
            paint_label(painter, layout, inks)
