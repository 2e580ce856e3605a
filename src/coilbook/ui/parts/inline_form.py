"""A calm form inside the page: Enter saves, Esc leaves, no window opens."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLineEdit, QPlainTextEdit, QSizePolicy, QVBoxLayout, QWidget
from shiboken6 import isValid

from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.fields import Editor, FieldRow, SentenceEdit
from coilbook.ui.parts.shapes import paint_card
from coilbook.ui.parts.text import label
from coilbook.ui.screen import Screen
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated


class InlineForm(QWidget):
    """Fields in a grid over two buttons; on `saved` the screen reads the editors and closes the form itself."""

    saved = Signal()
    left = Signal()

    def __init__(self, theme: Theme, title: str, save_words: str = "", columns: int = 3) -> None:
        super().__init__()
        self._theme, self._columns = theme, columns
        self.rows: dict[str, FieldRow[QWidget]] = {}
        self._place = 0
        #: the page's own main buttons, which stand back while the form is open
        self._others = others = list[PrimaryButton]()
        # a form may be deleted while it stands open
        self.destroyed.connect(lambda: _come_forward(others))
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        outer = QVBoxLayout(self)
        pad = theme.px(16)
        outer.setContentsMargins(pad + theme.px(4), pad, pad, pad)
        outer.setSpacing(theme.px(12))
        outer.addWidget(label(title, "strong"))
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme.px(12))
        self._grid.setVerticalSpacing(theme.px(12))
        for column in range(columns):
            self._grid.setColumnStretch(column, 1)
        outer.addLayout(self._grid)
        self._wrong = label("", "clay", wrap=True)
        self._wrong.hide()
        outer.addWidget(self._wrong)
        buttons = QHBoxLayout()
        buttons.setSpacing(theme.px(8))
        self.save = PrimaryButton(theme, save_words or translated("Save"), "Enter")
        self.leave = QuietButton(theme, translated("Leave"), "Esc")
        self.save.clicked.connect(self.saved)
        self.leave.clicked.connect(self.left)
        buttons.addWidget(self.save)
        buttons.addWidget(self.leave)
        buttons.addStretch(1)
        outer.addLayout(buttons)

    def add(self, name: str, words: str, editor: Editor, *, hint: str = "", span: int = 1) -> FieldRow[Editor]:
        """Add a field in reading order; `span` columns wide."""
        row = FieldRow(words, editor, hint)
        if isinstance(editor, QPlainTextEdit) and not isinstance(editor, SentenceEdit):
            editor.setFixedHeight(self._theme.px(72))
        at = self._place % self._columns
        if at + span > self._columns:
            self._place += self._columns - at
        place = (self._place // self._columns, self._place % self._columns)
        self._grid.addWidget(row, *place, 1, span, Qt.AlignmentFlag.AlignTop)
        self._place += span
        self.rows[name] = row  # type: ignore[assignment]
        return row

    def typed(self, name: str) -> str:
        """What stands in a line, without the blanks around it; nothing for a field of another kind."""
        editor = self.rows[name].editor
        return editor.text().strip() if isinstance(editor, QLineEdit) else ""

    def begin(self) -> None:
        """Show the form, the keyboard in its first field; what stands there is selected, so that typing replaces it."""
        self.show()
        # the buttons were made before the fields, yet stand under them
        for before, after in pairwise([*(row.editor for row in self.rows.values()), self.save, self.leave]):
            QWidget.setTabOrder(before, after)
        for row in self.rows.values():
            row.editor.setFocus(Qt.FocusReason.OtherFocusReason)
            if isinstance(row.editor, QLineEdit):
                row.editor.selectAll()
            break

    def refuse(self, sentence: str, field: str = "") -> None:
        """Say what is wrong, at a field when it is known which; nothing typed is lost."""
        if field in self.rows:
            self.rows[field].refuse(sentence)
            self.rows[field].editor.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self._wrong.setText(sentence)
        self._wrong.setVisible(bool(sentence))

    def accept(self) -> None:
        """Take every complaint away."""
        self._wrong.hide()
        for row in self.rows.values():
            row.accept()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        _come_forward(self._others)
        screen = self.parentWidget()
        while screen is not None and not isinstance(screen, Screen):
            screen = screen.parentWidget()
        if screen is not None:
            self._others += [b for b in screen.findChildren(PrimaryButton) if not self.isAncestorOf(b)]
        for button in self._others:
            button.stand_back(True)

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        _come_forward(self._others)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            field = self.focusWidget()
            typing = isinstance(field, QPlainTextEdit) and not isinstance(field, SentenceEdit)
            if not typing or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.saved.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        paint_card(self, self._theme, "accent")


def _come_forward(buttons: list[PrimaryButton]) -> None:
    for button in buttons:
        if isValid(button):
            button.stand_back(False)
    buttons.clear()
