"""Fields: a small head above an editor, and one sentence below when what was typed cannot be."""

from __future__ import annotations

from typing import Generic, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent, QTextCursor
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QSizePolicy, QVBoxLayout, QWidget

from coilbook.ui.parts.text import label

Editor = TypeVar("Editor", bound=QWidget)


class SentenceEdit(QPlainTextEdit):
    """A long sentence, broken into as many lines as it takes; Enter and Tab do what they do in a field of one line."""

    LEAST, MOST = 2, 5

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self.setTabChangesFocus(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.textChanged.connect(self._fit)
        self.set_text(text)

    def text(self) -> str:
        """What stands in it."""
        return self.toPlainText()

    def set_text(self, text: str) -> None:
        """Put a text in, its beginning in sight."""
        self.setPlainText(text)
        self.moveCursor(QTextCursor.MoveOperation.Start)

    def _fit(self) -> None:
        # a document of plain text counts its height in lines as they are broken
        lines = round(self.document().size().height())
        scrolls = Qt.ScrollBarPolicy.ScrollBarAsNeeded if lines > self.MOST else Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        self.setVerticalScrollBarPolicy(scrolls)
        around = self.height() - self.viewport().height() + 2 * round(self.document().documentMargin())
        shown = min(max(lines, self.LEAST), self.MOST)
        # a line that is cut by a pixel is taken for one that does not fit
        wanted = shown * self.fontMetrics().lineSpacing() + around + self.LEAST
        if wanted != self.minimumHeight():
            self.setFixedHeight(wanted)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.ignore()
        else:
            super().keyPressEvent(event)


class FieldRow(QWidget, Generic[Editor]):
    """One field. `editor` is the widget it was given; its accessible name is the head."""

    def __init__(self, words: str, editor: Editor, hint: str = "") -> None:
        super().__init__()
        self.words, self.editor = words, editor
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        head = label(words.upper(), "head")
        head.setBuddy(editor)
        editor.setAccessibleName(words)
        if hint:
            editor.setAccessibleDescription(hint)
            if isinstance(editor, QLineEdit | QPlainTextEdit):
                editor.setPlaceholderText(hint)
        self._wrong = label("", "clay", wrap=True)
        self._wrong.hide()
        column.addWidget(head)
        column.addWidget(editor)
        column.addWidget(self._wrong)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def refuse(self, sentence: str) -> None:
        """Say what is wrong; what was typed stays."""
        self._wrong.setText(sentence)
        self._wrong.setVisible(bool(sentence))
        # as high as the lines of the sentence; a fixed height would leave room for what it takes when it is not broken
        high = QSizePolicy.Policy.Minimum if sentence else QSizePolicy.Policy.Fixed
        self.setSizePolicy(QSizePolicy.Policy.Preferred, high)
        self.editor.setProperty("bad", bool(sentence))
        self.editor.style().unpolish(self.editor)
        self.editor.style().polish(self.editor)

    def accept(self) -> None:
        """Nothing is wrong."""
        self.refuse("")
