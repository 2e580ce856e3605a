"""The weight: digits from anywhere on the page come here, Enter saves. What was typed is never lost."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from coilbook.records.ids import AnimalId
from coilbook.records.quantities import MassUnit
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.round.room_button import RoomButton
from coilbook.ui.theme import BODY, TITLE, Theme
from coilbook.wording.language import translated

_LONGEST = 7
_KEYS = ("7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "back")


@dataclass(frozen=True, slots=True)
class Typed:
    """A number under the keeper's hand: whose weight it is, and the signs as typed."""

    animal: AnimalId
    keeper_id: str
    text: str


class WeighPanel(QWidget):
    """Display, pad, Save. `save` is emitted with what was typed; the screen answers with `clear` or leaves it."""

    save = Signal(object)
    #: a digit came while nobody is chosen
    nobody = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.typed: Typed | None = None
        self._animal: tuple[AnimalId, str] | None = None
        self._locked = False
        self.setFixedWidth(theme.px(316))
        self._title, self._hint = ElidedLabel(theme, bold=True, size=TITLE), label("", "second")
        self.display = _Display(theme)
        self._last = label("", "second", wrap=True)
        for words in (self._hint, self._last):
            words.setStyleSheet(f"font-size: {theme.px(BODY)}px;")
        self._last.setMinimumHeight(theme.px(38))
        self._last.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.save_button = RoomButton(theme, translated("Save weight"), "Return", look="pad")
        self.save_button.clicked.connect(self.enter)
        self._build()

    def _build(self) -> None:
        px = self._theme.px
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(8))
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(self._hint, 0, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(head)
        column.addWidget(self.display)
        column.addWidget(self._last)
        grid = QGridLayout()
        grid.setSpacing(px(8))
        self.keys: dict[str, RoomButton] = {}
        for number, sign in enumerate(_KEYS):
            words = translated("Back") if sign == "back" else sign
            button = RoomButton(self._theme, words, look="pad")
            button.setAccessibleName(
                {"back": translated("Take the last digit away"), ".": translated("Point")}.get(sign, sign)
            )
            button.clicked.connect(lambda _checked=False, one=sign: self.press(one))
            self.keys[sign] = button
            grid.addWidget(button, number // 3, number % 3)
        column.addLayout(grid, 1)
        self.save_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.save_button.setFixedHeight(px(64))
        column.addWidget(self.save_button)

    def show_animal(self, animal: AnimalId | None, keeper_id: str, last: str, unit: MassUnit) -> None:
        """Say whose weight comes next. A number still open for another animal stays in `typed`."""
        self._animal = (animal, keeper_id) if animal is not None else None
        who = translated("Weigh {animal}").format(animal=keeper_id) if animal is not None else translated("Weigh")
        self._title.set_text(who)
        self._hint.setText(translated("any digit starts here"))
        self._last.setText(last)
        self.display.unit = (MassUnit.OUNCE if unit is MassUnit.POUND_OUNCE else unit).value
        if self.typed is not None and (animal is None or self.typed.animal != animal):
            self.display.show_text("")
        else:
            self.display.show_text(self.typed.text if self.typed else "")

    @property
    def open_for_another(self) -> Typed | None:
        """A number typed for an animal that is no longer at hand."""
        mine = self._animal[0] if self._animal else None
        return self.typed if self.typed is not None and self.typed.animal != mine else None

    def lock(self, locked: bool) -> None:
        """No digits while a question about a number stands."""
        self._locked = locked

    def press(self, sign: str) -> None:
        """A digit, the point, or "back"."""
        if self._locked:
            return
        if self._animal is None:
            self.nobody.emit()
            return
        text = self.typed.text if self.typed is not None else ""
        if sign == "back":
            text = text[:-1]
        elif len(text) < _LONGEST and not (sign == "." and "." in text):
            text += sign
        self.typed = Typed(self._animal[0], self._animal[1], text) if text else None
        self.display.show_text(text)

    def enter(self) -> None:
        """Save what was typed."""
        if self.typed is not None and not self._locked:
            self.save.emit(self.typed)

    def take_back(self, typed: Typed) -> None:
        """A number that was not written stands again, unless another one was begun."""
        if self.typed is None:
            self.typed = typed
            if self._animal is not None and self._animal[0] == typed.animal:
                self.display.show_text(typed.text)

    def clear(self) -> None:
        """The number is saved, or dropped."""
        self.typed = None
        self.display.show_text("")


class _Display(QWidget):
    """The number in large figures with a cursor after it."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self.text, self.unit = theme, "", "g"
        self.setFixedHeight(theme.px(88))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_text(self, text: str) -> None:
        """Show another number."""
        self.text = text
        self.setAccessibleName(translated("Weight {text}").format(text=f"{text} {self.unit}"))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setBrush(theme.colour("surface"))
            painter.setPen(QPen(theme.colour("accent" if self.text else "edge"), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
            painter.setPen(theme.colour("second"))
            painter.setFont(theme.font(TITLE, bold=True))
            unit = QFontMetrics(painter.font()).horizontalAdvance(self.unit)
            right = self.width() - theme.px(18)
            vertical = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            painter.drawText(QRectF(0, 0, right, self.height()), vertical, self.unit)
            end = right - max(unit, theme.px(16)) - theme.px(14)
            painter.fillRect(
                QRectF(end, theme.px(10), theme.px(3), self.height() - theme.px(20)), theme.colour("accent")
            )
            painter.setPen(theme.colour("ink"))
            painter.setFont(theme.font(56, bold=True))
            painter.drawText(QRectF(0, 0, end - theme.px(4), self.height()), vertical, self.text)
