"""Where the one open form of a page stands: opening another puts the one before away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QBoxLayout

from coilbook.ui.parts.inline_form import InlineForm

FormT = TypeVar("FormT", bound=InlineForm)


class FormPlace(QObject, Generic[FormT]):
    """A place in a column of the page, at most one form in it; `closed` is called when one was put away."""

    def __init__(self, page: QObject, column: QBoxLayout, at: int, closed: Callable[[], None]) -> None:
        super().__init__(page)
        self._column, self._at, self._closed = column, at, closed
        self.form: FormT | None = None

    def open(self, form: FormT, save: Callable[[], None]) -> None:
        """Show a form with the keyboard in it; Enter runs `save`, which closes it when all is well, Esc leaves it."""
        self.close()
        self.form = form
        form.saved.connect(save)
        form.left.connect(self.close)
        self._column.insertWidget(self._at, form)
        form.begin()

    def close(self) -> None:
        """Put the open form away; nothing happens without one."""
        form, self.form = self.form, None
        if form is not None:
            form.hide()
            self._column.removeWidget(form)
            form.deleteLater()
            self._closed()

    def refuse(self, sentence: str, field: str = "") -> None:
        """Say in the open form what is wrong; a form left meanwhile no longer asks."""
        if self.form is not None:
            self.form.refuse(sentence, field)
