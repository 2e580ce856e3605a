"""Log something: a row of kinds by letter, the form of the one chosen, all inside the page."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from coilbook.reads.animal_rows import AnimalPage
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError
from coilbook.ui.animal.asking import AskingRoom
from coilbook.ui.animal.choice_strip import ChoiceStrip, Option
from coilbook.ui.animal.entry_form import EntryForm
from coilbook.ui.animal.log_all import ALL_KINDS
from coilbook.ui.animal.log_kinds import LogKind
from coilbook.ui.desk import Desk
from coilbook.wording.language import translated

_KINDS = {kind.name: kind for kind in ALL_KINDS}


class LogPanel(QWidget):
    """What was typed for an animal stays with that animal until it is kept or left."""

    #: a kind's form was opened, by name
    begun = Signal(str)
    logged = Signal(object)
    closed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._page: AnimalPage | None = None
        self._kind: LogKind | None = None
        self._forms: dict[tuple[AnimalId, str], EntryForm] = {}
        choices = [Option(translated(kind.words), kind.name, kind.key) for kind in ALL_KINDS]
        self.kinds = ChoiceStrip(desk.theme, choices)
        self.kinds.setAccessibleName(translated("What to log"))
        self.room = AskingRoom(desk)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(desk.theme.px(8))
        column.addWidget(self.kinds)
        column.addWidget(self.room)
        self.kinds.chosen.connect(self._choose)
        self.kinds.taken.connect(lambda _name: self._to_form())

    # --- opening and leaving -------------------------------------------------------------------------------
    def show_page(self, page: AnimalPage) -> None:
        """Another animal, or the same one reread."""
        other = self._page is not None and self._page.who.id != page.who.id
        self._page = page
        if not other:
            return
        self.room.clear()
        self._forget_clean()
        half_typed = next((name for animal, name in self._forms if animal == page.who.id), None)
        if half_typed is not None:
            self.begin(half_typed)
        else:
            self._close()

    def begin(self, name: str | None = None) -> None:
        """Open the panel: at a kind, or at the choice of kinds."""
        self.show()
        if name is None:
            self.room.clear()
            self.kinds.choose(None)
            self._kind = None
            self.kinds.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.kinds.choose(name)
        self._choose(name)
        self._to_form()

    @property
    def form(self) -> EntryForm | None:
        """The form that is open."""
        return self.room.form

    @property
    def kind(self) -> str:
        """Name of the kind that is open, empty for none."""
        return self._kind.name if self._kind is not None else ""

    @property
    def dirty(self) -> bool:
        """True while something typed has not been kept."""
        return any(form.dirty for form in self._forms.values())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.kinds.hasFocus():
            self._to_form()
        else:
            super().keyPressEvent(event)

    def leave(self) -> None:
        """Esc: what stands in the open form is let go."""
        self._forget_open()
        self._close()

    # --- forms ---------------------------------------------------------------------------------------------
    def _choose(self, name: str) -> None:
        page = self._page
        if page is None:
            return
        self._kind = kind = _KINDS[name]
        key = (page.who.id, name)
        if key not in self._forms:
            title = f"{translated(kind.words)}, {page.who.keeper_id}"
            form = EntryForm(self._desk, title, kind.asks(self._desk, page), translated("Keep it"))
            form.saved.connect(self.keep)
            form.left.connect(self.leave)
            self._forms[key] = form
        self.room.show_form(self._forms[key])
        self.begun.emit(name)

    def _to_form(self) -> None:
        if self.room.form is None and self._kind is None:
            self._choose(ALL_KINDS[0].name)
            self.kinds.choose(ALL_KINDS[0].name)
        if self.room.form is not None:
            self.room.form.begin()

    def keep(self) -> None:
        """Log what the form says."""
        form, page, kind = self.room.form, self._page, self._kind
        values = form.values() if form is not None else None
        if form is None or page is None or kind is None or values is None:
            return
        try:
            call = kind.call(page, values)
        except CoilbookError as error:
            form.refuse(self._desk.render(error.message))
            return
        self.room.run(call.operation, self._done, **call.arguments)

    def _done(self, outcome: Outcome[Any]) -> None:
        self._forget_open()
        self._close()
        self.logged.emit(outcome)

    def _forget_open(self) -> None:
        form = self.room.form
        self.room.clear()
        for key, kept in list(self._forms.items()):
            if kept is form:
                del self._forms[key]
                kept.deleteLater()

    def _forget_clean(self) -> None:
        for key, form in list(self._forms.items()):
            if not form.dirty:
                del self._forms[key]
                form.deleteLater()

    def _close(self) -> None:
        self._kind = None
        self._forget_clean()
        self.hide()
        self.closed.emit()
