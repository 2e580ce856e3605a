"""Fields: a small head above an editor, and one sentence below when what was typed cannot be."""

from __future__ import annotations

from typing import Generic, TypeVar

from PySide6.QtWidgets import QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from coilbook.ui.parts.text import label

Editor = TypeVar("Editor", bound=QWidget)


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
            if isinstance(editor, QLineEdit):
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
