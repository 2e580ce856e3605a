"""The desk every screen works at: the collection, the workers, the settings, and the ways to the rest of the window."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from coilbook.operations.asks import Asks
from coilbook.operations.settings import change_settings, settings_of
from coilbook.operations.undo import RestsOn, undo_act, undo_last
from coilbook.reads.people import at_keyboard_choices
from coilbook.records.changes import Outcome
from coilbook.records.ids import ActId, AnimalId, PersonId
from coilbook.records.message import CoilbookError, Message, WorkStopped, say
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import PersonRole
from coilbook.ui.background import Background, Control, Job, Lane
from coilbook.ui.changes_bus import ChangesBus
from coilbook.ui.notices import NoticeChoice, Notices
from coilbook.ui.theme import Theme
from coilbook.wording.style import Style
from coilbook.wording.texts import render

if TYPE_CHECKING:
    from coilbook.ui.margin import MarginPanel

Operation = Callable[..., Outcome[Any]]
OnDone = Callable[[Outcome[Any]], None]
#: returns True when the refusal has been told where the keeper looks, so that the foot need not
OnRefused = Callable[[CoilbookError], object]


@dataclass(frozen=True, slots=True)
class AtKeyboard:
    """A person who may stand in the journal."""

    id: PersonId | None
    name: str
    role: PersonRole = PersonRole.KEEPER


@dataclass(eq=False)
class DeskParts:
    """What a desk is made of; the composition root and the tests fill it in."""

    #: an open collection
    collection: Any
    background: Background


@dataclass(frozen=True, slots=True)
class _Request:
    """An operation on its way, kept so that an answer to its question can send it again."""

    operation: Operation
    arguments: dict[str, object]
    on_done: OnDone | None
    on_refused: OnRefused | None
    origin: object | None
    #: set for a long one
    what: Message | None = None


class Desk(QObject):
    """Given to every screen. Screens know the desk, never the window and never each other."""

    settings_changed = Signal()
    person_changed = Signal()
    #: screen key, target
    going = Signal(str, object)
    going_back = Signal()

    def __init__(self, parts: DeskParts, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.collection = parts.collection
        self.clock: Callable[[], dt.datetime] = parts.collection.clock
        self.background = parts.background
        self.background.untold.connect(self.tell_failed)
        self.settings: Settings = settings_of(self.collection)
        self.style = Style(self.settings)
        self.bus = ChangesBus(self)
        self.notices = Notices(self.clock, self)
        self.theme = Theme(self.settings, self)
        self.margin: MarginPanel | None = None
        self.people = self._people()
        self.person = self.people[0] if self.people else AtKeyboard(None, self.settings.keeper_name)
        self.collection.at_keyboard(self.person.id, self.person.name)

    # --- ways ----------------------------------------------------------------------------------------------
    def go(self, screen: str, **target: object) -> None:
        """Open a screen, at an animal or a place when given."""
        self.going.emit(screen, target)

    def go_animal(self, animal: AnimalId) -> None:
        """Open the page of an animal."""
        self.go("animal", animal=animal)

    def back(self) -> None:
        """Return to where the keeper came from."""
        self.going_back.emit()

    def render(self, message: Message) -> str:
        """A sentence in the keeper's language and units."""
        return render(message, self.style)

    def tell_failed(self, error: CoilbookError) -> None:
        """What was worked out beside the window did not come: the foot says why, unless it was stopped on purpose."""
        if not isinstance(error, WorkStopped):
            self.notices.refuse(error)

    # --- acts ----------------------------------------------------------------------------------------------
    def run(
        self,
        operation: Operation,
        on_done: OnDone | None = None,
        *,
        origin: object | None = None,
        on_refused: OnRefused | None = None,
        **arguments: object,
    ) -> Job:
        """Run `operation(collection, **arguments)` on the worker that owns writes.

        Its changes go out on the bus, its sentence into the foot with Undo. A refusal becomes one line in the foot,
        a question (`Asks`) one line with its answers; what was typed stays. `on_refused` hears of it first and
        may return True when the screen says it itself.
        """
        return self._submit(_Request(operation, arguments, on_done, on_refused, origin))

    def run_long(
        self,
        operation: Operation,
        what: Message,
        on_done: OnDone | None = None,
        *,
        origin: object | None = None,
        on_refused: OnRefused | None = None,
        **arguments: object,
    ) -> Job:
        """As `run`, for an operation that also takes `progress(at, total)` and `cancelled()`.

        `what` ("Importing") stands in the foot with how many and Cancel.
        """
        return self._submit(_Request(operation, arguments, on_done, on_refused, origin, what))

    def undo(self, act: ActId | None = None) -> None:
        """Take back an act: the one named, else the latest told in the foot, else the latest of the collection."""
        chosen = act if act is not None else self.notices.undoable

        def undone(_outcome: Outcome[Any]) -> None:
            if chosen is not None:
                self.notices.forget_act(chosen)

        def refused(error: CoilbookError) -> bool:
            if not isinstance(error, RestsOn) or chosen is None:
                return False
            words = say("Undo {n} together", "Undo {n} together", n=len(error.acts) + 1)
            together = NoticeChoice(words, lambda: self._undo_together(chosen, undone))
            self.notices.refuse(error, (together,))
            return True

        if chosen is None:
            self.run(undo_last, on_refused=refused)
        else:
            self.run(undo_act, undone, on_refused=refused, act=chosen)

    def _undo_together(self, act: ActId, undone: Callable[[Outcome[Any]], None]) -> None:
        self.run(undo_act, undone, act=act, together=True)

    def receive(self, outcome: Outcome[Any], origin: object | None = None) -> None:
        """An act is committed: show it, tell everyone what it changed."""
        self.notices.done(outcome)
        if outcome.changes.touches("setting"):
            self._follow(settings_of(self.collection))
        if outcome.changes.touches("person"):
            self.people = self._people()
            self.sit_down(self._still_there())
        self.bus.publish(outcome.changes, origin)

    # --- person and settings -------------------------------------------------------------------------------
    def sit_down(self, person: AtKeyboard) -> None:
        """Somebody else is at the keyboard; acts from now on stand under that name."""
        self.person = person
        self.collection.at_keyboard(person.id, person.name)
        self.person_changed.emit()

    def _still_there(self) -> AtKeyboard:
        """The person at the keyboard under the name the book has now; the keeper when that one is gone."""
        for person in self.people:
            if person.id == self.person.id:
                return person
        return self.people[0] if self.people else self.person

    def change_settings(self, settings: Settings) -> None:
        """Keep new settings, as an act that can be undone, and follow them at once."""
        self._follow(settings)
        self.run(change_settings, settings=settings)

    def _people(self) -> tuple[AtKeyboard, ...]:
        return tuple(AtKeyboard(row.id, row.name, row.role) for row in at_keyboard_choices(self.collection))

    def _follow(self, settings: Settings) -> None:
        if settings == self.settings:
            return
        self.settings = settings
        self.style = Style(settings)
        self.theme.follow(settings)
        self.settings_changed.emit()

    def _submit(self, request: _Request) -> Job:
        def work(control: Control) -> Outcome[Any]:
            more: dict[str, object] = {}
            if request.what is not None:
                more = {"progress": control.progress, "cancelled": control.cancelled}
            return request.operation(self.collection, **request.arguments, **more)

        def done(outcome: Outcome[Any]) -> None:
            self.receive(outcome, request.origin)
            if request.on_done is not None:
                request.on_done(outcome)

        def failed(error: CoilbookError) -> None:
            if request.on_refused is None or request.on_refused(error) is not True:
                self.notices.refuse(error, self._answers(request, error))

        self._say_what_it_waits_for()
        return self.background.write(work, done, failed, request.what)

    def _say_what_it_waits_for(self) -> None:
        """An act behind a long one is not lost, only later: say so."""
        for job in self.background.jobs:
            if job.lane is Lane.WRITE and job.what is not None:
                self.notices.tell(say("Noted; it is written as soon as this is done: {what}.", what=job.what))
                return

    def _answers(self, request: _Request, error: CoilbookError) -> tuple[NoticeChoice, ...]:
        """Each answer to a question runs the same operation again with what the answer adds."""
        if not isinstance(error, Asks):
            return ()
        again = [replace(request, arguments={**request.arguments, **choice.arguments}) for choice in error.choices]
        return tuple(
            NoticeChoice(choice.word, lambda one=one: self._answer(one))  # type: ignore[misc]
            for choice, one in zip(error.choices, again, strict=True)
        )

    def _answer(self, request: _Request) -> None:
        self.notices.put_away()
        self._submit(request)
