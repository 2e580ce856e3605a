"""The axis of the season: months above with a hairline each, the heads of its two parts, today across all."""

from __future__ import annotations

import datetime as dt

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPen

from coilbook.drawing.season_lines import Scale, months
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: px at 100 percent: names at the left of the axis, the head with the months
NAMES, HEAD = 196, 28


class AxisPainter:
    """Paints on a page whose axis begins `NAMES` from the left."""

    def __init__(self, theme: Theme, style: Style) -> None:
        self.theme, self._style = theme, style

    def months(self, painter: QPainter, scale: Scale, bottom: int, width: int) -> None:
        """The months in sight, down to `bottom`, and the head of the females."""
        theme, left, head = self.theme, self.theme.px(NAMES), self.theme.px(HEAD)
        painter.setFont(theme.font(SMALL))
        for tick in months(scale, theme.px(64)):
            x = round(left + tick.x)
            painter.setPen(theme.colour("rule"))
            painter.drawLine(x, head - theme.px(6), x, bottom)
            if tick.named:
                name = self._style.month(tick.day)
                painter.setPen(theme.colour("second"))
                painter.drawText(x + theme.px(3), head - theme.px(10), f"{name} {tick.day.year}" if tick.year else name)
        painter.setPen(QPen(theme.colour("edge"), 1))
        painter.drawLine(0, head - 1, width, head - 1)
        box = QRect(0, 0, left, head)
        self.heading(painter, box, "\u2640", translated("Females"), translated("by next event"))

    def heading(self, painter: QPainter, box: QRect, sign: str, words: str, about: str) -> None:
        """The head of a part: sign and name in bold, what its columns are beside it."""
        theme = self.theme
        text = f"{sign} {words}"
        painter.setFont(theme.font(SMALL, bold=True))
        painter.setPen(theme.colour("ink"))
        inner = box.adjusted(theme.px(12), 0, 0, -theme.px(2))
        painter.drawText(inner, Qt.AlignmentFlag.AlignVCenter, text)
        wide = QFontMetrics(theme.font(SMALL, bold=True)).horizontalAdvance(text)
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        painter.drawText(inner.adjusted(wide + theme.px(8), 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, about)

    def today(self, painter: QPainter, scale: Scale, today: dt.date, bottom: int, width: int) -> None:
        """Today as a line with its date in a flag; nothing when it is not in sight."""
        theme, x = self.theme, scale.x(today.toordinal() + 0.5)
        if not 0 <= x <= scale.width:
            return
        at, head = round(x + theme.px(NAMES)), theme.px(HEAD)
        painter.setPen(QPen(theme.colour("accent"), 2))
        painter.drawLine(at, head - theme.px(4), at, bottom)
        text = self._style.date(today, year=False, weekday=True)
        font = theme.font(SMALL, bold=True)
        wide = QFontMetrics(font).horizontalAdvance(text) + theme.px(14)
        flag = QRectF(min(max(at - wide / 2, 0), width - wide), 0, wide, theme.px(22))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("accent"))
        painter.drawRoundedRect(flag, 4, 4)
        painter.setPen(theme.colour("on_accent"))
        painter.setFont(font)
        painter.drawText(flag, Qt.AlignmentFlag.AlignCenter, text)
