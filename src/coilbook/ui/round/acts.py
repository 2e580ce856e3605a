"""What a pressed key of the round writes: one operation each, always about the animal it was pressed for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from coilbook.operations.asks import Asks
from coilbook.operations.care import record_shed, see_sign
from coilbook.operations.feeding import close_feedings, offer_feeding, offer_rack
from coilbook.operations.weighing import weigh
from coilbook.reads.round import RoundAnimal, RoundState
from coilbook.records.changes import Outcome
from coilbook.records.ids import ActId, AnimalId, FeedingId
from coilbook.records.message import CoilbookError
from coilbook.records.quantities import MassUnit, parse_mass
from coilbook.records.vocabulary import FeedingResult, RefusalReason, ShedKind, Sign
from coilbook.ui.desk import Desk
from coilbook.ui.round.walk import Walk
from coilbook.ui.round.weigh_panel import Typed

#: told when an act raised a question: the question, and how to send the act again with more arguments
OnAsked = Callable[[Asks, Callable[..., None]], None]


class RoundActs:
    """Sends acts to the worker that writes. `shown` is called whenever the page should be drawn again."""

    def __init__(self, desk: Desk, walk: Walk, shown: Callable[[], None]) -> None:
        self._desk, self._walk, self._shown = desk, walk, shown
        #: signs written while the animal is at hand, with their act, so that a second press takes them back
        self.seen: dict[AnimalId, dict[Sign | ShedKind, ActId]] = {}

    def offer(
        self,
        animal: RoundAnimal,
        result: FeedingResult,
        *,
        reason: RefusalReason | None,
        note: str,
        asked: OnAsked,
    ) -> None:
        """Write how an offer went; the walk counts it at once and takes it back when it is refused."""
        self._walk.mark(animal.id, RoundState(result.value))
        self._walk.next_todo()
        self._send_offer(animal, result, {"reason": reason, "note": note}, asked)

    def _send_offer(
        self, animal: RoundAnimal, result: FeedingResult, arguments: dict[str, object], asked: OnAsked
    ) -> None:
        def done(_outcome: Outcome[Any]) -> None:
            self._walk.unmark(animal.id)
            self._shown()

        def refused(error: CoilbookError) -> bool:
            self._walk.unmark(animal.id)
            self._walk.to_animal(animal.id)
            if isinstance(error, Asks):
                asked(error, again)
                return True
            self._shown()
            return False

        def again(**more: object) -> None:
            self._walk.mark(animal.id, RoundState(result.value))
            self._walk.next_todo()
            self._send_offer(animal, result, {**arguments, **more}, asked)

        self._desk.run(offer_feeding, done, on_refused=refused, animal=animal.id, result=result, **arguments)

    def whole_rack(self, animals: Sequence[RoundAnimal], rack: str) -> None:
        """Leave a meal in for all of these, in one act."""
        self._desk.run(offer_rack, self._move_on, animals=[a.id for a in animals], rack=rack)

    def rest_taken(self, animals: Sequence[RoundAnimal]) -> None:
        """Close the open offers of all of these as taken, in one act."""
        results: dict[FeedingId, tuple[FeedingResult, RefusalReason | None]] = {
            offer.id: (FeedingResult.TAKEN, None) for a in animals if (offer := a.open_offer) is not None
        }
        if results:
            self._desk.run(close_feedings, self._move_on, results=results)

    def _move_on(self, _outcome: Outcome[Any]) -> None:
        self._walk.next_todo()
        self._shown()

    def sign(self, animal: RoundAnimal, seen: Sign | ShedKind) -> None:
        """Write a sign, or take it back when it was written a moment ago."""
        written = self.seen.setdefault(animal.id, {})
        if seen in written:
            self._desk.undo(written.pop(seen))
            self._shown()
            return

        def done(outcome: Outcome[Any]) -> None:
            if outcome.changes.act is not None:
                written[seen] = outcome.changes.act
            self._shown()

        if isinstance(seen, ShedKind):
            self._desk.run(record_shed, done, animal=animal.id, kind=seen)
        else:
            self._desk.run(see_sign, done, animal=animal.id, sign=seen)

    def weigh(self, typed: Typed, *, asked: OnAsked, back: Callable[[Typed], None]) -> None:
        """Write a weight; `back` gets the number again when it was not written."""
        unit = self._desk.settings.mass_unit
        try:
            mass = parse_mass(typed.text, MassUnit.OUNCE if unit is MassUnit.POUND_OUNCE else unit)
        except CoilbookError as error:
            self._desk.notices.refuse(error)
            back(typed)
            return

        def send(**more: object) -> None:
            self._desk.run(weigh, done, on_refused=refused, animal=typed.animal, mass=mass, typed=typed.text, **more)

        def done(_outcome: Outcome[Any]) -> None:
            self._shown()

        def refused(error: CoilbookError) -> bool:
            back(typed)
            if isinstance(error, Asks):
                asked(error, send)
                return True
            self._shown()
            return False

        send()

    def forget_signs(self, act_gone: frozenset[int]) -> None:
        """Acts undone elsewhere no longer show as written."""
        for animal in act_gone:
            self.seen.pop(AnimalId(animal), None)
