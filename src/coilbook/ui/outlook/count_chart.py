"""How many of n there will be, as bars in the margin; none at all is hatched."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated

HEIGHT = 150
#: more counts than these are not drawn: the last bar holds the rest
MOST_BARS = 9


class CountChart(QWidget):
    """`law[k]` the chance of exactly k."""

    def __init__(self, theme: Theme, law: Sequence[float]) -> None:
        super().__init__()
        self._theme = theme
        shown = list(law[:MOST_BARS])
        if len(law) > MOST_BARS:
            shown[-1] = sum(law[MOST_BARS - 1 :])
        self._law, self._cut = shown, len(law) > MOST_BARS
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        said = ", ".join(f"{count}: {percent(chance)}" for count, chance in enumerate(shown))
        self.setAccessibleName(translated("How many: {said}").format(said=said))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(280), self._theme.px(HEIGHT))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, px = self._theme, self._theme.px
        highest = max(self._law) or 1.0
        step = self.width() / len(self._law)
        top, bottom = px(18), self.height() - px(22)
        with QPainter(self) as painter:
            painter.setFont(theme.font(SMALL))
            narrow = painter.fontMetrics().horizontalAdvance("88.8%") > step
            for count, chance in enumerate(self._law):
                height = (bottom - top) * chance / highest
                bar = QRectF(count * step + step * 0.12, bottom - height, step * 0.76, height)
                if count == 0:
                    painter.fillRect(bar, QBrush(theme.colour("second"), Qt.BrushStyle.BDiagPattern))
                    painter.setPen(QPen(theme.colour("second"), 1))
                    painter.drawRect(bar)
                else:
                    painter.fillRect(bar, theme.colour("accent"))
                painter.setPen(theme.colour("ink"))
                words = percent(chance, 0 if narrow else 1)
                above = QRectF(count * step - step, bar.top() - px(17), step * 3, px(16))
                painter.drawText(above, Qt.AlignmentFlag.AlignCenter, words)
                painter.setPen(theme.colour("second"))
                name = translated("none") if count == 0 else f"{count}+" if self._is_rest(count) else str(count)
                painter.drawText(
                    QRectF(count * step - step, bottom + px(3), step * 3, px(16)), Qt.AlignmentFlag.AlignCenter, name
                )
            painter.setPen(QPen(theme.colour("second"), 1))
            painter.drawLine(0, bottom, self.width(), bottom)

    def _is_rest(self, count: int) -> bool:
        return self._cut and count == len(self._law) - 1
