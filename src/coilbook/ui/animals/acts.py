"""What the keeper does to the animals of the list: add, edit several, keep a view, copy, print labels."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QVBoxLayout

from coilbook.operations.animals import add_animal, edit_animals
from coilbook.operations.asks import Asks
from coilbook.operations.moving import move_animals
from coilbook.operations.settings import save_view
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError
from coilbook.ui.animals.forms import AddForm, EditForm, MoveForm, ViewForm
from coilbook.ui.animals.table import AnimalList
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.screen import Screen


class AnimalActs(QObject):
    """Owns the place of the form above the list; one form is open at a time."""

    def __init__(self, screen: Screen, table: AnimalList, query: Callable[[], str]) -> None:
        super().__init__(screen)
        self.desk, self.table, self._query = screen.desk, table, query
        self.box = QVBoxLayout()
        self.box.setContentsMargins(0, 0, 0, 0)
        self._place: FormPlace[InlineForm] = FormPlace(self, self.box, 0, self._to_list)

    @property
    def form(self) -> InlineForm | None:
        """The form that is open."""
        return self._place.form

    def chosen(self) -> list[int]:
        """The selected animals, else the one in focus."""
        return self.table.selected() or [a for a in [self.table.focused()] if a]

    def copy(self) -> None:
        """Put the selected rows on the clipboard, as text and as CSV."""
        rows = self.table.selected_rows() or [self.table.current_row()]
        QGuiApplication.clipboard().setMimeData(self.table.animals.carried(rows, self.table.shown_columns()))

    def go_labels(self) -> None:
        """To the labels, with the selected animals queued."""
        self.desk.go("labels", animals=tuple(AnimalId(a) for a in self.chosen()))

    def begin_add(self) -> None:
        """Open the form for a new animal."""
        form = AddForm(self.desk)
        self._open_form(form, lambda: self._add(form))

    def _add(self, form: AddForm) -> None:
        new = form.read()
        if new is None:
            return

        def done(outcome: Outcome[Any]) -> None:
            form.again()
            form.begin()
            self.table.focus_animal(int(outcome.value))

        self.desk.run(
            add_animal,
            done,
            origin=self,
            on_refused=self._refused(form),
            details=new.details,
            place=new.place,
            sires=new.sires,
            weight=new.weight,
        )

    def begin_edit(self) -> None:
        """Open the form for all selected animals."""
        animals = self.chosen()
        if animals:
            form = EditForm(self.desk, animals)
            self._open_form(form, lambda: self._edit(form))

    def _edit(self, form: EditForm) -> None:
        said = form.read()
        if said is not None:
            self.desk.run(
                edit_animals,
                lambda _outcome: self.close_form(),
                origin=self,
                on_refused=self._refused(form),
                animals=form.animals,
                details=said.details,
                together=said.together,
            )

    def begin_move(self) -> None:
        """Open the form that moves all selected animals."""
        animals = self.chosen()
        if animals:
            form = MoveForm(self.desk, animals)
            self._open_form(form, lambda: self._move(form))

    def _move(self, form: MoveForm) -> None:
        moves = form.read()
        if moves is not None:
            self.desk.run(
                move_animals,
                lambda _outcome: self.close_form(),
                origin=self,
                on_refused=self._refused(form),
                moves=moves,
                reason=form.reason,
                note=form.note,
            )

    def begin_view(self) -> None:
        """Open the form for the name of a view."""
        form = ViewForm(self.desk, self._query())
        self._open_form(form, lambda: self._save_view(form))

    def _save_view(self, form: ViewForm) -> None:
        name = form.read()
        if name is not None:
            self.desk.run(
                save_view,
                lambda _outcome: self.close_form(),
                origin=self,
                on_refused=self._refused(form),
                name=name,
                query=self._query(),
                columns=self.table.layout_now.stored(),
            )

    def _refused(self, form: InlineForm) -> Callable[[CoilbookError], bool]:
        def told(error: CoilbookError) -> bool:
            if isinstance(error, Asks):
                return False
            form.refuse(self.desk.render(error.message))
            return True

        return told

    def _open_form(self, form: InlineForm, save: Callable[[], None]) -> None:
        self._place.open(form, save)
        self.box.setContentsMargins(self.desk.theme.px(8), 0, self.desk.theme.px(24), self.desk.theme.px(12))

    def close_form(self) -> None:
        """Put the form away; the keyboard goes back to the list."""
        self._place.close()

    def _to_list(self) -> None:
        self.box.setContentsMargins(0, 0, 0, 0)
        self.table.setFocus()
