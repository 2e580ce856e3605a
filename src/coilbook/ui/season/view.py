"""The season on one axis: every female a line that scrolls, the males below them, months above, today across all.

Lines are laid out once a scale and kept; a paint draws only what is in sight.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QPoint, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QWheelEvent

from coilbook.drawing.season_lines import Line, Scale, Story, fitted, lay_out
from coilbook.husbandry.forecast import SHOWN
from coilbook.reads.season_lines import FemaleLine, MaleLine, SeasonPage
from coilbook.ui.parts.painted_page import PaintedPage
from coilbook.ui.season.axis import HEAD, NAMES, AxisPainter
from coilbook.ui.season.painter import LinePainter
from coilbook.ui.season.stories import female_story, male_story
from coilbook.ui.season.words import male_note, row_words
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: px at 100 percent: a female's and a male's line, the head of the males
FEMALE, MALE, MALES_HEAD = 28, 22, 26
#: males seen at once below the females
_MALES_SHOWN = 8
Row = FemaleLine | MaleLine


class SeasonView(PaintedPage):
    """Arrows walk through females and males, Enter opens, + and - zoom, Left and Right move the axis."""

    walked = Signal()
    opened = Signal()

    def __init__(self, theme: Theme, style: Style) -> None:
        super().__init__(theme, translated("Females and males of the season"))
        self.style_ = style
        self.page: SeasonPage | None = None
        self.scale = Scale(0, 1, 1)
        self._at: int | None = None
        self._all: list[Row] = []
        self._stories: dict[int, Story] = {}
        self._lines: dict[int, Line] = {}
        # (id, where the rest begins, the rest) of a line, as far as there is room
        self._words: dict[int, tuple[str, int, str]] = {}
        self._males_from = 0
        # True once the keeper zoomed or moved the axis: it then stays as it was put
        self._by_hand = False
        self._painter, self._axis = LinePainter(theme), AxisPainter(theme, style)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    # --- content ----------------------------------------------------------------------------------------------
    def show_page(self, page: SeasonPage) -> None:
        """Show a season; the animal in focus stays, and so does the stretch of time unless the season changed."""
        other = self.page is None or self.page.start != page.start
        before = self.row
        self.page, self._all = page, [*page.females, *page.males]
        self._stories.clear()
        if other:
            self.fit()
        ids = [row.id for row in self._all]
        self._at = ids.index(before.id) if before is not None and before.id in ids else (0 if ids else None)
        self.lay_out()

    def fit(self) -> None:
        """Show the part of the season that holds anything, at most the whole of it."""
        if self.page is None:
            return
        self._by_hand = False
        first, last = self._filled(self.page)
        self.scale = fitted(first, last, self._axis_width())
        self._forget()

    def _filled(self, page: SeasonPage) -> tuple[dt.date, dt.date]:
        """First and last day with something on them, with some air."""
        days = [s.first for line in page.females for s in line.season.every_stay]
        days += [s.first for line in page.males for s in line.stays]
        ends = [page.today] if page.start <= page.today <= page.end else []
        for line in page.females:
            windows = [w.window(SHOWN) for w in (*line.windows, *(eggs.forecast for eggs in line.eggs))]
            ends += [w.last for w in windows if w is not None]
            layings = [season.laying for season in line.season.rounds if season.laying is not None]
            ends += [laying.day if laying.pip is None else laying.pip.latest for laying in layings]
        days += [d for d in ends if d >= page.start]
        if not days:
            return page.start, page.end
        return max(page.start, min(days) - dt.timedelta(8)), max(*days, min(days) + dt.timedelta(90)) + dt.timedelta(10)

    def lay_out(self) -> None:
        """Place everything anew for the present width and scale."""
        self._forget()
        rows = len(self.page.females) if self.page is not None else 0
        over = rows * self.theme.px(FEMALE) - self._females_box().height()
        self.verticalScrollBar().setRange(0, max(0, over))
        self.verticalScrollBar().setPageStep(max(self._females_box().height(), 1))
        self.verticalScrollBar().setSingleStep(self.theme.px(FEMALE))
        self.viewport().update()
        self._tell()

    def _forget(self) -> None:
        self._lines.clear()
        self._words.clear()

    def line_of(self, number: int) -> Line:
        """A line as it lies on the present axis, laid out when first asked for."""
        if number not in self._lines and self.page is not None:
            row = self._all[number]
            if number not in self._stories:
                self._stories[number] = self._story(row, self.page)
            story = self._stories[number]
            metrics = QFontMetrics(self.theme.font(SMALL))
            self._lines[number] = lay_out(story, self.scale, metrics.horizontalAdvance, self.theme.px(9))
        return self._lines[number]

    def _story(self, row: Row, page: SeasonPage) -> Story:
        return female_story(row, page, self.style_) if isinstance(row, FemaleLine) else male_story(row, page)

    # --- places -----------------------------------------------------------------------------------------------
    def _axis_width(self) -> float:
        return max(self.viewport().width() - self.theme.px(NAMES) - self.theme.px(8), 60)

    def _males_height(self) -> int:
        males = len(self.page.males) if self.page is not None else 0
        return self.theme.px(MALES_HEAD) + min(males, self._males_shown()) * self.theme.px(MALE) if males else 0

    def _males_shown(self) -> int:
        """How many males are seen at once: never more than a third of the height."""
        return max(2, min(_MALES_SHOWN, self.viewport().height() // 3 // self.theme.px(MALE)))

    def _females_box(self) -> QRect:
        top = self.theme.px(HEAD)
        rows = len(self.page.females) * self.theme.px(FEMALE) if self.page is not None else 0
        room = max(self.viewport().height() - top - self._males_height(), self.theme.px(FEMALE))
        return QRect(0, top, self.viewport().width(), min(room, rows))

    def _row_box(self, number: int) -> QRect:
        """Where a row lies on the viewport; outside of its part when scrolled away."""
        assert self.page is not None
        females = self._females_box()
        count = len(self.page.females)
        if number < count:
            top = females.top() + number * self.theme.px(FEMALE) - self.verticalScrollBar().value()
            return QRect(0, top, females.width(), self.theme.px(FEMALE))
        place = number - count - self._males_from
        top = females.bottom() + 1 + self.theme.px(MALES_HEAD) + place * self.theme.px(MALE)
        return QRect(0, top, females.width(), self.theme.px(MALE))

    def _row_at(self, point: QPoint) -> int | None:
        if self.page is None:
            return None
        females = self._females_box()
        for number in range(len(self._all)):
            box = self._row_box(number)
            seen = females.contains(point) if number < len(self.page.females) else point.y() > females.bottom()
            if seen and box.contains(point):
                return number
        return None

    # --- focus ------------------------------------------------------------------------------------------------
    @property
    def row(self) -> Row | None:
        """The line in focus."""
        rows = self._all
        return rows[self._at] if self._at is not None and self._at < len(rows) else None

    def focus_on(self, number: int) -> None:
        """Put the focus on a line, and bring it into sight."""
        rows = self._all
        if not rows or self.page is None:
            return
        self._at = max(0, min(number, len(rows) - 1))
        bar, height = self.verticalScrollBar(), self.theme.px(FEMALE)
        if self._at < len(self.page.females):
            top = self._at * height
            if top < bar.value():
                bar.setValue(top)
            elif top + height > bar.value() + self._females_box().height():
                bar.setValue(top + height - self._females_box().height())
        else:
            place = self._at - len(self.page.females)
            self._males_from = min(max(self._males_from, place - self._males_shown() + 1), place)
        self.viewport().update()
        self._tell()

    def focus_on_animal(self, animal: int) -> bool:
        """Put the focus on an animal's line; False when it has none."""
        number = next((n for n, row in enumerate(self._all) if row.id == animal), None)
        if number is not None:
            self.focus_on(number)
        return number is not None

    def _tell(self) -> None:
        row = self.row
        self.setAccessibleDescription("" if row is None else " ".join(row_words(row, self.style_)))
        self.walked.emit()

    # --- keys, hand -------------------------------------------------------------------------------------------
    def zoom(self, factor: float) -> None:
        """Nearer or farther around today, or around the middle when today is not in sight."""
        today = self.page.today.toordinal() if self.page is not None else self.scale.first
        around = today if self.scale.first <= today <= self.scale.last else (self.scale.first + self.scale.last) / 2
        self._rescale(self.scale.zoomed(factor, around))

    def move_axis(self, share: float) -> None:
        """Move the axis by a share of what is in sight."""
        self._rescale(self.scale.moved(share * (self.scale.last - self.scale.first)))

    def _rescale(self, scale: Scale) -> None:
        self.scale, self._by_hand = scale, True
        self._forget()
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = self._at or 0
        steps: dict[Qt.Key, Callable[[], None]] = {
            Qt.Key.Key_Down: lambda: self.focus_on(at + 1),
            Qt.Key.Key_Up: lambda: self.focus_on(at - 1),
            Qt.Key.Key_Home: lambda: self.focus_on(0),
            Qt.Key.Key_End: lambda: self.focus_on(len(self._all) - 1),
            Qt.Key.Key_PageDown: lambda: self.focus_on(at + 10),
            Qt.Key.Key_PageUp: lambda: self.focus_on(at - 10),
            Qt.Key.Key_Left: lambda: self.move_axis(-0.125),
            Qt.Key.Key_Right: lambda: self.move_axis(0.125),
            Qt.Key.Key_Return: lambda: self.opened.emit(),
            Qt.Key.Key_Enter: lambda: self.opened.emit(),
        }
        run = steps.get(Qt.Key(event.key()))
        if run is None or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            super().keyPressEvent(event)
            return
        run()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = self._row_at(event.position().toPoint())
        if number is not None:
            again = number == self._at
            self.focus_on(number)
            if again:
                self.opened.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            x = event.position().x() - self.theme.px(NAMES)
            self._rescale(self.scale.zoomed(1.25 if event.angleDelta().y() > 0 else 0.8, self.scale.day(x)))
        else:
            super().wheelEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        if self._by_hand:
            self.scale = replace(self.scale, width=self._axis_width())
        else:
            self.fit()
        super().resizeEvent(event)

    # --- painting ---------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        if self.page is None:
            return
        with QPainter(self.viewport()) as painter:
            females = self._females_box()
            bottom = females.bottom() + self._males_height()
            self._axis.months(painter, self.scale, bottom, self.viewport().width())
            painter.setClipRect(females)
            first = self.verticalScrollBar().value() // self.theme.px(FEMALE)
            last = first + females.height() // self.theme.px(FEMALE) + 2
            for number in range(first, min(last, len(self.page.females))):
                self._row(painter, number)
            painter.setClipping(False)
            self._males(painter, females.bottom() + 1)
            self._axis.today(painter, self.scale, self.page.today, bottom, self.viewport().width())

    def _row(self, painter: QPainter, number: int) -> None:
        theme, box, row = self.theme, self._row_box(number), self._all[number]
        if number == self._at:
            painter.fillRect(box, theme.colour("tint"))
            painter.fillRect(QRect(0, box.top(), theme.px(4), box.height()), theme.colour("accent"))
        painter.setPen(theme.colour("rule"))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        self._names(painter, box, number)
        middle = box.center().y() + theme.px(4 if isinstance(row, FemaleLine) else 1)
        ground = "tint" if number == self._at else "ground"
        self._painter.paint(painter, self.line_of(number), theme.px(NAMES), middle, ground)
        if number == self._at and self.hasFocus():
            painter.setPen(QPen(theme.colour("accent"), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(0, 0, -1, -1))

    def _names(self, painter: QPainter, box: QRect, number: int) -> None:
        theme, row = self.theme, self._all[number]
        lower = theme.px(2) if isinstance(row, FemaleLine) else 0
        inner = QRect(box.left() + theme.px(12), box.top() + lower, theme.px(NAMES) - theme.px(18), box.height())
        bold, plain = theme.font(BODY, bold=True), theme.font(BODY)
        if number not in self._words:
            name, about = row_words(row, self.style_)
            metrics = QFontMetrics(bold)
            shown = metrics.elidedText(name, Qt.TextElideMode.ElideRight, inner.width() // 2)
            wide = max(metrics.horizontalAdvance(shown) + theme.px(8), theme.px(50))
            about = QFontMetrics(plain).elidedText(about, Qt.TextElideMode.ElideRight, inner.width() - wide)
            self._words[number] = (shown, wide, about)
        shown, wide, about = self._words[number]
        painter.setFont(bold)
        painter.setPen(theme.colour("ink"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignVCenter, shown)
        painter.setFont(plain)
        painter.setPen(theme.colour("second"))
        painter.drawText(inner.adjusted(wide, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, about)

    def _males(self, painter: QPainter, top: int) -> None:
        assert self.page is not None
        if not self.page.males:
            return
        theme, count = self.theme, len(self.page.females)
        painter.setPen(QPen(theme.colour("edge"), 1))
        painter.drawLine(0, top, self.viewport().width(), top)
        head = QRect(0, top, self.viewport().width(), theme.px(MALES_HEAD))
        hidden = len(self.page.males) - min(len(self.page.males), self._males_shown())
        about = translated("days in, females, weight")
        more = translated("{n} more below").format(n=hidden) if hidden else ""
        self._axis.heading(painter, head, "\u2642", translated("Males"), f"{about}   {more}".strip())
        shown = range(self._males_from, min(self._males_from + self._males_shown(), len(self.page.males)))
        for place in shown:
            self._row(painter, count + place)
            self._note(painter, count + place)

    def _note(self, painter: QPainter, number: int) -> None:
        """What speaks against more of him, or what is next, at the right of his line."""
        row = self._all[number]
        assert isinstance(row, MaleLine)
        theme, box, line = self.theme, self._row_box(number), self.line_of(number)
        needs, text = male_note(row, self.style_)
        taken = [b.x + b.width for b in line.blocks] + [t.x + t.width for t in line.texts]
        left = theme.px(NAMES) + max(taken, default=0) + theme.px(12)
        room = QRectF(left, box.top(), box.right() - theme.px(8) - left, box.height())
        if not text or room.width() < theme.px(60):
            return
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("clay" if needs and number != self._at else "ink" if needs else "second"))
        shown = QFontMetrics(theme.font(SMALL)).elidedText(text, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, shown)
