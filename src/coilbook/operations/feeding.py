"""Feeding: offers, how they ended, and a meal that came back.

An offer is pending until somebody has looked; only a closed one counts. Common practice for the waits named here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.husbandry.waits import AGAIN_HOURS, HOLD_DAYS, STILL_OPEN_DAYS
from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import AnimalAtHand, happened, living_here
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, FeedingId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import TAKEN_RESULTS, Act, FeedingResult, PreyState, RefusalReason
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Feeding, Regurgitation


@dataclass(frozen=True, slots=True, kw_only=True)
class Prey:
    """What is offered; empty words mean what the animal usually gets."""

    kind: str = ""
    state: PreyState | None = None
    mass: Mass | None = None
    pieces: int = 1


def offer_feeding(
    collection: Collection,
    *,
    animal: AnimalId,
    result: FeedingResult = FeedingResult.PENDING,
    reason: RefusalReason | None = None,
    prey: Prey | None = None,
    at: dt.datetime | None = None,
    note: str = "",
    again: bool = False,
    closes: bool | None = None,
) -> Outcome[FeedingId]:
    """Record an offer, or the decision not to offer; the result of an open offer closes that one instead.

    A result of an earlier moment than the open offer is of another meal, written up late: it stands beside it.
    Raises `Asks` for a second meal within 20 hours of a taken one, and for a result while an offer days old stands
    open (`closes`: that one, or a new one); warns during the rest after a regurgitation.
    """
    with collection.act(Act.OFFER_FEEDING) as act:
        found = living_here(act, animal)
        moment = happened(act, at)
        open_row = _open_offer(act, animal, moment if at and result is not FeedingResult.PENDING else None)
        if open_row is not None and result is FeedingResult.NOT_OFFERED:
            raise Refusal(say("{animal} has a meal left in; say first how it ended.", animal=found.keeper_id))
        if open_row is not None and result is not FeedingResult.PENDING:
            _ask_which(act, found, open_row, moment, closes)
        if closes is False and result is not FeedingResult.PENDING:
            open_row = None
        if open_row is not None and result is not FeedingResult.PENDING:
            feeding = FeedingId(open_row)
            _close(act, feeding, result, reason, moment)
        elif open_row is not None:
            raise Refusal(say("{animal} has a meal left in already; say first how it ended.", animal=found.keeper_id))
        else:
            if result is not FeedingResult.NOT_OFFERED:
                _ask_when_again(act, found, moment, again)
                _warn_on_hold(act, found, moment)
            feeding = write_offer(act, found, moment, result, reason, prey or Prey(), note)
        act.tell(say("{animal}: {result}", animal=found.keeper_id, result=result))
    return act.outcome(Act.OFFER_FEEDING, feeding)


def offer_rack(
    collection: Collection, *, animals: Sequence[AnimalId], rack: str, at: dt.datetime | None = None
) -> Outcome[list[FeedingId]]:
    """Leave a meal in for each of these animals, in one act; those with an open offer or at rest are left out, said."""
    with collection.act(Act.OFFER_RACK) as act:
        moment = happened(act, at)
        made: list[FeedingId] = []
        left: list[str] = []
        for animal in animals:
            found = living_here(act, animal)
            if _open_offer(act, animal, None) is not None or _on_hold(act, animal, moment):
                left.append(found.keeper_id)
            else:
                made.append(write_offer(act, found, moment, FeedingResult.PENDING, None, Prey(), ""))
        if left:
            act.warn(say("Left out, fed or at rest: {animals}.", animals=", ".join(left)))
        act.tell(say("{rack}: {n} meal left in", "{rack}: {n} meals left in", rack=rack, n=len(made)))
    return act.outcome(Act.OFFER_RACK, made)


def close_feedings(
    collection: Collection,
    *,
    results: Mapping[FeedingId, tuple[FeedingResult, RefusalReason | None]],
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """The morning close: how several offers ended, in one act."""
    with collection.act(Act.CLOSE_FEEDINGS) as act:
        moment = happened(act, at)
        for feeding, (result, reason) in results.items():
            _close(act, feeding, result, reason, moment)
        taken = sum(result in TAKEN_RESULTS for result, _ in results.values())
        act.tell(
            say("{n} offer closed, {taken} taken", "{n} offers closed, {taken} taken", n=len(results), taken=taken)
        )
    return act.outcome(Act.CLOSE_FEEDINGS, len(results))


def record_regurgitation(
    collection: Collection,
    *,
    animal: AnimalId,
    at: dt.datetime | None = None,
    feeding: FeedingId | None = None,
    note: str = "",
) -> Outcome[int]:
    """A meal that came back: linked to the last taken meal before it, which then no longer counts as kept."""
    with collection.act(Act.REGURGITATION) as act:
        found = living_here(act, animal)
        moment = happened(act, at)
        meal = _last_taken(act, animal, moment, feeding)
        if meal is None and feeding is not None:
            raise Refusal(
                say("That is no meal {animal} had taken and kept until then; choose another.", animal=found.keeper_id)
            )
        row = act.insert(Regurgitation, animal_id=animal, at=moment, feeding_id=meal, note=note)
        if meal is None:
            act.warn(say("No taken meal of {animal} is on record before that.", animal=found.keeper_id))
        if _regurgitations(act, animal, moment) >= 2:
            act.warn(say("{animal}: two within 60 days. Ask a reptile veterinarian.", animal=found.keeper_id))
        act.tell(say("{animal}: meal came back; offers rest {days} days", animal=found.keeper_id, days=HOLD_DAYS))
    return act.outcome(Act.REGURGITATION, row)


def write_offer(
    act: ActInHand,
    animal: AnimalAtHand,
    moment: str,
    result: FeedingResult,
    reason: RefusalReason | None,
    prey: Prey,
    note: str,
) -> FeedingId:
    """The row of an offer, inside an act."""
    check_reason(result, reason)
    check_meal(prey.pieces, prey.mass.decigrams if prey.mass else None)
    return FeedingId(
        act.insert(
            Feeding,
            animal_id=animal.id,
            at=moment,
            result=result.value,
            reason=reason.value if reason else "",
            prey=prey.kind or animal.prey_kind,
            prey_state=(prey.state or animal.prey_state).value,
            prey_dg=prey.mass.decigrams if prey.mass else None,
            pieces=prey.pieces,
            closed_at=None if result is FeedingResult.PENDING else moment,
            note=note,
        )
    )


def _close(act: ActInHand, feeding: FeedingId, result: FeedingResult, reason: RefusalReason | None, moment: str) -> str:
    if result is FeedingResult.PENDING:
        raise Refusal(say("Closing an offer needs how it ended."))
    check_reason(result, reason)
    rows = act.rows(
        "SELECT a.keeper_id, f.result, f.at FROM feeding f JOIN animal a ON a.id = f.animal_id WHERE f.id = ?",
        (feeding,),
    )
    if not rows:
        raise Refusal(say("That offer is no longer in the book; it may have been undone."))
    keeper_id, before, at = rows[0]
    if before != FeedingResult.PENDING:
        raise Refusal(say("The offer to {animal} was closed already. Correct it on its page.", animal=keeper_id))
    closed = max(moment, str(at))
    act.update(Feeding, feeding, result=result.value, reason=reason.value if reason else "", closed_at=closed)
    return str(keeper_id)


def refuse_untaken_come_back(act: ActInHand) -> None:
    """Refuse an undo that leaves a meal which came back as one that was never taken."""
    taken = ", ".join(f"'{result.value}'" for result in TAKEN_RESULTS)
    for table, row in (("regurgitation", "r.id"), ("feeding", "r.feeding_id")):
        sql = f"""SELECT a.keeper_id, r.at FROM change c JOIN regurgitation r ON {row} = c.row
            JOIN feeding f ON f.id = r.feeding_id JOIN animal a ON a.id = r.animal_id
            WHERE c.act = ? AND c.tbl = '{table}' AND c.op <> 'D' AND f.result NOT IN ({taken}) LIMIT 1"""
        for keeper_id, at in act.rows(sql, (act.id,)):
            told = "A meal of {animal} came back on {day}, so it was taken. Take that entry out first."
            raise Refusal(say(told, animal=keeper_id, day=moment_from(at).date()))


def check_meal(pieces: int, mass_dg: int | None) -> None:
    """Refuse a meal of no piece, or of no weight when it was weighed."""
    if pieces < 1:
        raise Refusal(say("A meal is at least one piece, not {pieces}.", pieces=pieces))
    if mass_dg is not None and mass_dg <= 0:
        raise Refusal(say("A weight is more than nothing; leave it empty when nothing was weighed."))


def check_reason(result: FeedingResult, reason: RefusalReason | None) -> None:
    """Refuse a reason for a meal that was taken or that nobody has looked at yet."""
    if reason is not None and result in (*TAKEN_RESULTS, FeedingResult.PENDING):
        raise Refusal(say("A reason goes with a refusal or with not offering, not with '{result}'.", result=result))


def _open_offer(act: ActInHand, animal: AnimalId, until: str | None) -> int | None:
    """The newest open offer; only one made by `until` where that is given: a later one is of another meal.

    What is told now is of the offer that stands open, were the clock set back since it was made.
    """
    rows = act.rows(
        "SELECT id FROM feeding WHERE animal_id = ? AND result = 'pending' AND at <= coalesce(?, at)"
        " ORDER BY at DESC, id DESC LIMIT 1",
        (animal, until),
    )
    return int(rows[0][0]) if rows else None


def _last_taken(act: ActInHand, animal: AnimalId, moment: str, only: FeedingId | None) -> FeedingId | None:
    sql = """SELECT f.id FROM feeding f
        WHERE f.animal_id = ? AND f.at <= ? AND f.id = coalesce(?, f.id) AND f.result IN ('taken', 'taken_late')
        AND NOT EXISTS (SELECT 1 FROM regurgitation r WHERE r.feeding_id = f.id)
        ORDER BY f.at DESC, f.id DESC LIMIT 1"""
    rows = act.rows(sql, (animal, moment, only))
    return FeedingId(rows[0][0]) if rows else None


def _ask_which(act: ActInHand, animal: AnimalAtHand, open_row: int, moment: str, closes: bool | None) -> None:
    at = moment_from(act.rows("SELECT at FROM feeding WHERE id = ?", (open_row,))[0][0])
    if closes is None and (moment_from(moment) - at).days >= STILL_OPEN_DAYS:
        raise Asks(
            say(
                "An offer to {animal} has stood open since {day}. Which one ended so?",
                animal=animal.keeper_id,
                day=at.date(),
            ),
            (Choice(say("That one"), {"closes": True}), Choice(say("A new one"), {"closes": False})),
        )


def _ask_when_again(act: ActInHand, animal: AnimalAtHand, moment: str, again: bool) -> None:
    if again:
        return
    rows = act.rows(
        "SELECT at FROM feeding WHERE animal_id = ? AND at <= ? AND result IN ('taken', 'taken_late')"
        " ORDER BY at DESC LIMIT 1",
        (animal.id, moment),
    )
    if rows and (moment_from(moment) - moment_from(rows[0][0])).total_seconds() < AGAIN_HOURS * 3600:
        raise Asks(
            say(
                "{animal} took a meal at {moment}. Offer again?",
                animal=animal.keeper_id,
                moment=moment_from(rows[0][0]),
            ),
            (Choice(say("Offer again"), {"again": True}),),
        )


def _regurgitations(act: ActInHand, animal: AnimalId, moment: str) -> int:
    since = (moment_from(moment) - dt.timedelta(days=60)).strftime("%Y-%m-%d")
    rows = act.rows(
        "SELECT count(*) FROM regurgitation WHERE animal_id = ? AND at >= ? AND at <= ?", (animal, since, moment)
    )
    return int(rows[0][0])


def _on_hold(act: ActInHand, animal: AnimalId, moment: str) -> bool:
    since = (moment_from(moment) - dt.timedelta(days=HOLD_DAYS)).strftime("%Y-%m-%dT%H:%M")
    return bool(
        act.rows("SELECT 1 FROM regurgitation WHERE animal_id = ? AND at > ? AND at <= ?", (animal, since, moment))
    )


def _warn_on_hold(act: ActInHand, animal: AnimalAtHand, moment: str) -> None:
    if _on_hold(act, animal.id, moment):
        act.warn(
            say(
                "{animal} brought a meal back within {days} days (common practice: wait).",
                animal=animal.keeper_id,
                days=HOLD_DAYS,
            )
        )
