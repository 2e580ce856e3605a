"""Keeps what was typed in a line of the page: one act or several, with the question about an unknown parent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from coilbook.reads.animal_rows import AnimalPage
from coilbook.records.changes import Outcome
from coilbook.records.message import CoilbookError, Refusal
from coilbook.ui.animal.asking import AskingRoom
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.saving import Save, UnknownParent, outside_parent, saves
from coilbook.ui.desk import Desk
from coilbook.wording.language import translated


@dataclass(frozen=True, slots=True)
class LineKeeper:
    """`page` gives the animal in view; a line is closed only when everything typed in it is kept."""

    desk: Desk
    asking: AskingRoom
    page: Callable[[], AnimalPage | None]

    def keep(self, name: str, line: EditInPlace, text: str) -> None:
        """Keep a text under the name of its line."""
        page = self.page()
        if page is None:
            return
        try:
            acts = saves(self.desk, page, name, text)
        except UnknownParent as unknown:
            self._ask_parent(unknown, lambda: self.keep(name, line, text))
        except Refusal as wrong:
            line.refuse(self.desk.render(wrong.message))
        else:
            self._run(acts, line)

    def _run(self, acts: list[Save], line: EditInPlace) -> None:
        if not acts:
            line.done()
            return

        def refused(error: CoilbookError) -> bool:
            line.refuse(self.desk.render(error.message))
            return True

        def kept(_outcome: Outcome[Any]) -> None:
            self._run(acts[1:], line)

        self.desk.run(acts[0].operation, kept, on_refused=refused, **acts[0].arguments)

    def _ask_parent(self, unknown: UnknownParent, again: Callable[[], None]) -> None:
        save = outside_parent(unknown)

        def keep() -> None:
            self.asking.take_back()
            self.desk.run(save.operation, lambda _outcome: again(), **save.arguments)

        words = translated("Keep as somebody else's")
        self.asking.ask(self.desk.render(unknown.message), [(words, keep)])
