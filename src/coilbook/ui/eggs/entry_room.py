"""The form that is open on the screen of eggs: begun, kept as one or more acts, or left."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Signal

from coilbook.records.changes import Outcome
from coilbook.records.message import CoilbookError
from coilbook.ui.animal.asking import AskingRoom
from coilbook.ui.animal.entry_form import Call, EntryForm
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.entries import Entry
from coilbook.wording.language import translated


class EntryRoom(AskingRoom):
    """Runs the acts of a form one after the other; a refusal leaves the form as it was typed."""

    #: an act of the form was done
    kept = Signal(object)
    #: no form is open any more
    ended = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._entry: Entry | None = None
        self._at: AtHand | None = None

    def begin(self, entry: Entry, at: AtHand) -> None:
        """Open the form of an entry about what is at hand."""
        box = at.box.label if at.box is not None else ""
        egg = at.egg.name if at.egg is not None else ""
        clutch = at.clutch.label if at.clutch is not None else ""
        incubator = at.incubator.name if at.incubator is not None else ""
        about = {"box": box, "clutch": clutch, "egg": egg, "incubator": incubator}.get(entry.needs, "")
        if entry.name == "done" and egg:
            about = egg
        if entry.name == "doubt":
            about = egg or box
        if at.doubt is not None:
            about = at.doubt.about if entry.needs == "doubt" else ""
        title = translated(entry.words) + (f", {about}" if about else "")
        self._entry, self._at = entry, at
        keep = translated("Keep it") if entry.writes is None else translated("Write it")
        form = EntryForm(self._desk, title, entry.asks(self._desk, at), keep)
        form.saved.connect(self._keep)
        form.left.connect(self.close_form)
        self.show_form(form)
        form.begin()

    def _keep(self) -> None:
        form, entry, at = self.form, self._entry, self._at
        values = form.values() if form is not None else None
        if form is None or entry is None or at is None or values is None:
            return
        if entry.writes is not None:
            entry.writes(self._desk, at, values)
            self.close_form()
            return
        try:
            calls = entry.calls(self._desk, at, values)
        except CoilbookError as error:
            form.refuse(self._desk.render(error.message))
            return
        self._run_all(list(calls))

    def _run_all(self, calls: list[Call]) -> None:
        first, *rest = calls

        def done(outcome: Outcome[Any]) -> None:
            self.kept.emit(outcome)
            if rest:
                self._run_all(rest)
            else:
                self.close_form()

        self.run(first.operation, done, **first.arguments)

    def close_form(self) -> None:
        """No form any more; what stood in it is let go."""
        form = self.form
        self.clear()
        self._entry = None
        if form is not None:
            form.deleteLater()
        self.ended.emit()
