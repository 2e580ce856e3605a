"""A line of the page that turns into a field where it stands: Enter keeps, Esc leaves it as it was."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRect, QSize, QStringListModel, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QCompleter, QLineEdit, QSizePolicy, QWidget

from coilbook.ui.theme import BODY, BUTTON_HEIGHT, SMALL, TARGET, Theme
from coilbook.wording.language import translated

HEIGHT = 24
NAME_WIDTH = 72


class _Field(QLineEdit):
    """The field; it keeps Enter and Esc for itself."""

    kept = Signal()
    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.kept.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


class EditInPlace(QWidget):
    """Shows a value, with its name before it when it has one; `saved` carries what was typed.

    The page decides what becomes of it: `done` puts the value back in view, `refuse` says what is wrong and keeps
    the field and its text.
    """

    saved = Signal(str)
    focused = Signal()
    #: the field was opened or closed
    editing_changed = Signal()

    def __init__(self, theme: Theme, name: str, *, bare: bool = False, size: int = BODY, bold: bool = False) -> None:
        super().__init__()
        self._theme, self.name, self._shows_name = theme, name, not bare
        self._size, self._bold, self._token = size, bold, "ink"
        self._value, self._hint, self._start, self._wrong = "", "", "", ""
        self._field: _Field | None = None
        # True between Enter and the answer to it: a second Enter must not keep the same twice
        self._waiting = False
        #: width of the open field at least, at 100 percent
        self.field_width = 240
        #: width down to which a closed line may be cut, at 100 percent
        self.least_width = 96
        #: set by the page: False for a value that is not typed here
        self.may_edit: Callable[[], bool] = lambda: True
        #: set by the page: what a begun text may go on to, best first
        self.suggest: Callable[[str], list[str]] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        wide = QSizePolicy.Policy.Maximum if bare else QSizePolicy.Policy.Preferred
        self.setSizePolicy(wide, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    # --- what is shown -------------------------------------------------------------------------------------
    def show_value(self, value: str, start: str | None = None, *, hint: str = "", token: str = "ink") -> None:
        """Show a value; `start` is what the field begins with, `hint` what stands when there is nothing."""
        self._value, self._hint, self._token = value, hint, token
        self._start = value if start is None else start
        self.setAccessibleName(f"{self.name}: {value or hint}")
        self.updateGeometry()
        self.update()

    @property
    def value(self) -> str:
        """The value in view."""
        return self._value

    @property
    def editing(self) -> bool:
        """True while the field stands open."""
        return self._field is not None

    @property
    def field(self) -> QLineEdit | None:
        """The open field."""
        return self._field

    # --- editing -------------------------------------------------------------------------------------------
    def edit(self) -> None:
        """Open the field."""
        if self._field is not None or not self.may_edit():
            return
        field = _Field(self)
        field.setAccessibleName(self.name)
        field.setPlaceholderText(self._hint)
        field.setFont(self._theme.font(BODY))
        field.setText(self._start)
        field.kept.connect(self._keep)
        field.left.connect(self.done)
        self._field = field
        self._complete(field)
        self.updateGeometry()
        self._place()
        field.show()
        field.selectAll()
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.editing_changed.emit()

    def _complete(self, field: QLineEdit) -> None:
        """What was begun goes on in the field itself, selected, so that typing on replaces it."""
        suggest = self.suggest
        if suggest is None:
            return
        words = QStringListModel(field)
        completer = QCompleter(words, field)
        completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        field.setCompleter(completer)
        # found before the field completes: its own reading of the keys comes after this one
        field.textEdited.connect(lambda text: words.setStringList(suggest(text)))

    @property
    def half_typed(self) -> str:
        """What stands in the open field, when it is not what the field began with."""
        text = self._field.text() if self._field is not None else self._start
        return text if text != self._start else ""

    def _keep(self) -> None:
        if self._field is not None and not self._waiting:
            self._waiting = True
            self.saved.emit(self._field.text())

    def wait_no_longer(self) -> None:
        """The answer stands out for another reason (a question was left): Enter keeps again."""
        self._waiting = False

    def done(self) -> None:
        """Close the field."""
        self._waiting = False
        if self._field is None:
            return
        field, self._field, self._wrong = self._field, None, ""
        field.hide()
        field.deleteLater()
        self.updateGeometry()
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.editing_changed.emit()
        self.update()

    def refuse(self, sentence: str) -> None:
        """Say what is wrong under the field; what was typed stays."""
        self._waiting = False
        if self._field is None:
            return
        self._wrong = sentence
        self._field.setProperty("bad", True)
        self._field.style().unpolish(self._field)
        self._field.style().polish(self._field)
        self._field.setAccessibleDescription(sentence)
        self._field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.updateGeometry()
        self.update()

    # --- widget --------------------------------------------------------------------------------------------
    def sizeHint(self) -> QSize:
        theme, metrics = self._theme, QFontMetrics(self._theme.font(self._size, bold=self._bold))
        wide = metrics.horizontalAdvance(self._value or self._hint) + self._left() + theme.px(10)
        height = max(theme.px(HEIGHT), metrics.height() + theme.px(4))
        if self._field is not None:
            wide, height = (
                max(wide + theme.px(24), theme.px(self.field_width)),
                max(height, theme.px(TARGET if theme.room else BUTTON_HEIGHT)),
            )
            height += self._wrong_height()
        elif theme.room:
            height = max(height, theme.px(TARGET * 0.75))
        return QSize(wide, height)

    def whole_width(self) -> int:
        """The least width at which the closed line is not cut, in px."""
        metrics = QFontMetrics(self._theme.font(self._size, bold=self._bold and bool(self._value)))
        side = self._theme.px(4) if self._shows_name else 0
        return metrics.horizontalAdvance(self._value or self._hint) + self._left() + side

    def minimumSizeHint(self) -> QSize:
        wanted, least = self.sizeHint(), self._theme.px(self.least_width if self._field is None else 200)
        return QSize(min(wanted.width(), least), wanted.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_F2, Qt.Key.Key_Space) or (
            event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.may_edit()
        ):
            self.edit()
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.edit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            if self.hasFocus():
                painter.fillRect(self.rect(), theme.colour("tint"))
                painter.setPen(QPen(theme.colour("accent"), 2))
                painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)
            side = theme.px(4) if self._shows_name else 0
            line = QRect(side, 0, self.width() - side * 2, min(self.height(), self._line_height()))
            if self._shows_name:
                painter.setFont(theme.font(BODY))
                painter.setPen(theme.colour("second"))
                painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, self.name)
            if self._field is None:
                self._paint_value(painter, line.adjusted(self._left() - side, 0, 0, 0))
            elif self._wrong:
                self._paint_wrong(painter)

    def _paint_value(self, painter: QPainter, box: QRect) -> None:
        theme = self._theme
        font = theme.font(self._size, bold=self._bold and bool(self._value))
        painter.setFont(font)
        painter.setPen(theme.colour(self._token if self._value else "second"))
        shown = QFontMetrics(font).elidedText(self._value or self._hint, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, shown)
        self.setToolTip(self._value if shown != self._value and self._value else translated("F2 corrects it"))

    def _paint_wrong(self, painter: QPainter) -> None:
        theme = self._theme
        painter.setFont(theme.font(SMALL, bold=True))
        painter.setPen(theme.colour("clay"))
        box = self.rect().adjusted(self._left(), self._line_height(), 0, 0)
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap, self._wrong)
        self.setToolTip(self._wrong)

    def _left(self) -> int:
        return self._theme.px(NAME_WIDTH + 4) if self._shows_name else 0

    def _line_height(self) -> int:
        return self.sizeHint().height() - self._wrong_height()

    def _wrong_height(self) -> int:
        """Room for the sentence under the field, over as many lines as it needs."""
        if not self._wrong:
            return 0
        room = QRect(0, 0, max(self.width() - self._left(), self._theme.px(120)), 1000)
        metrics = QFontMetrics(self._theme.font(SMALL, bold=True))
        return metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, self._wrong).height() + self._theme.px(4)

    def _place(self) -> None:
        if self._field is not None:
            left = max(self._left() - self._theme.px(4), 0)
            self._field.setGeometry(left, 0, max(self.width() - left, 40), self._line_height())
