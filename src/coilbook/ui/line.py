"""The line at the top: the field, who is at the keyboard, the day and the clock, and the state of the scanner."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QWidget

from coilbook.ui.desk import AtKeyboard, Desk
from coilbook.ui.line_field import LineField
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import ElidedLabel, label, set_role
from coilbook.ui.room_size import line_field_height, line_height, places
from coilbook.ui.theme import BODY
from coilbook.wording.language import translated

#: so many people stand in the line as words; more of them take turns behind one word
SHOWN_PEOPLE = 3


class Line(QWidget):
    """The top of the window."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setObjectName("line")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._desk = desk
        self._name = label("Coilbook", "strong")
        self.field = LineField(desk.theme)
        self.scanner = ScanState(desk)
        self.people = _People(desk)
        self._day, self._clock = label("", "second"), label("", "strong")
        self._row = QHBoxLayout(self)
        self._row.setSpacing(desk.theme.px(16))
        for widget in (self._name, self.field, self.scanner, self.people, self._day, self._clock):
            self._row.addWidget(widget)
        self._tick = QTimer(self)
        self._tick.setInterval(5000)
        self._tick.timeout.connect(self.tell_time)
        self._tick.start()
        desk.theme.changed.connect(self._resize)
        desk.settings_changed.connect(self.tell_time)
        self.tell_time()
        self._resize()

    def tell_time(self) -> None:
        """Set day and clock."""
        now, style = self._desk.clock(), self._desk.style
        self._day.setText(style.date(now.date(), weekday=True))
        self._clock.setText(style.time(now))

    def _resize(self) -> None:
        theme = self._desk.theme
        now = places(theme)
        room = theme.room
        self.setFixedHeight(line_height(theme))
        self._row.setContentsMargins(theme.px(16), 0, theme.px(20), 1)
        self._name.setVisible(not room)
        self._name.setFixedWidth(theme.px(now.column - 16) - self._row.spacing())
        self.field.setFixedHeight(line_field_height(theme))
        self.field.setMinimumWidth(theme.px(280))
        self.field.setMaximumWidth(theme.px(400) if room else 16777215)
        self.field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.scanner.setVisible(room)


class ScanState(QWidget):
    """In the room: whether the scanner is heard, and the last scan; a bad one is told by a cross and a sentence."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._mark = ShapeMark(desk.theme, "done")
        self._word, self._rest = label(translated("Scanner ready"), "moss"), ElidedLabel(desk.theme, token="second")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(desk.theme.px(12))
        row.addWidget(self._mark)
        row.addWidget(self._word)
        row.addWidget(self._rest, 1)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def good(self, what: str) -> None:
        """A scan was understood."""
        self._tell("done", translated("Scanner ready"), "moss")
        time = self._desk.clock().strftime("%H:%M:%S")
        self._rest.set_text(translated("last good scan {time}   {what}").format(time=time, what=what))

    def bad(self, sentence: str) -> None:
        """A scan was not."""
        self._tell("cross", translated("Not understood"), "clay")
        self._rest.set_text(sentence)

    def _tell(self, shape: str, word: str, role: str) -> None:
        self._mark.set_shape(shape)
        self._word.setText(word)
        set_role(self._word, role)


class _People(QWidget):
    """Who is at the keyboard: every name one click away."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(desk.theme.px(12))
        desk.person_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the names again."""
        empty(self._row)
        people = self._desk.people or (self._desk.person,)
        if len(people) > SHOWN_PEOPLE:
            people = (self._desk.person,)
        for person in people:
            if person.name:
                self._row.addWidget(_Name(self._desk, person))


class _Name(QAbstractButton):
    """One name; the one at the keyboard is bold and underlined."""

    def __init__(self, desk: Desk, person: AtKeyboard) -> None:
        super().__init__()
        self._desk, self._person = desk, person
        self.setText(person.name)
        self.setCheckable(True)
        self.setChecked(person == desk.person)
        self.setAccessibleName(translated("{name} is at the keyboard").format(name=person.name))
        self.setToolTip(translated("Acts from now on stand under this name"))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        desk.theme.changed.connect(self.updateGeometry)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.clicked.connect(self._sit_down)

    def _sit_down(self) -> None:
        people = self._desk.people
        if len(people) > SHOWN_PEOPLE:
            here = people.index(self._desk.person) if self._desk.person in people else -1
            self._desk.sit_down(people[(here + 1) % len(people)])
        else:
            self._desk.sit_down(self._person)

    def sizeHint(self) -> QSize:
        theme = self._desk.theme
        metrics = QFontMetrics(theme.font(BODY, bold=True))
        return QSize(metrics.horizontalAdvance(self.text()) + 2, line_height(theme) - theme.px(16))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._desk.theme
        alone = len(self._desk.people) < 2
        with QPainter(self) as painter:
            painter.setFont(theme.font(BODY, bold=self.isChecked() and not alone))
            painter.setPen(theme.colour("ink" if self.isChecked() and not alone else "second"))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
            if self.hasFocus() or (self.isChecked() and not alone):
                painter.fillRect(0, self.height() // 2 + theme.px(11), self.width(), 2, theme.colour("accent"))
