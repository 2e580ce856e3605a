"""Open doubts: asked on a day, with what it could be, what would settle it and when to look again; then settled."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.records.changes import Outcome
from coilbook.records.egg_vocabulary import DoubtKind
from coilbook.records.ids import AnimalId, ClutchId, DoubtId, EggBoxId, EggId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtDetails:
    """One question: about a clutch, an egg, a box or an animal. `question` is free when the kind says enough."""

    kind: DoubtKind
    clutch: ClutchId | None = None
    egg: EggId | None = None
    box: EggBoxId | None = None
    animal: AnimalId | None = None
    question: str = ""
    candidates: str = ""
    settles_by: str = ""
    look_again: dt.date | None = None


def ask_doubt(collection: Collection, *, details: DoubtDetails) -> Outcome[DoubtId]:
    """Write a doubt down."""
    with collection.act(Act.ASK_DOUBT) as act:
        if not (details.question.strip() or details.clutch or details.egg or details.box or details.animal):
            raise Refusal(say("A doubt needs its question."))
        row = write_doubt(act, details, act.now_text[:10])
        act.tell(say("doubt noted: {what}", what=details.question.strip() or details.kind))
    return act.outcome(Act.ASK_DOUBT, row)


def write_doubt(act: ActInHand, details: DoubtDetails, day: str) -> DoubtId:
    """The row of a doubt asked on `day`, inside an act."""
    row = act.insert(
        Doubt,
        kind=details.kind.value,
        clutch_id=details.clutch,
        egg_id=details.egg,
        box_id=details.box,
        animal_id=details.animal,
        asked_on=day,
        question=details.question.strip(),
        candidates=details.candidates.strip(),
        settles_by=details.settles_by.strip(),
        look_again=details.look_again.isoformat() if details.look_again else None,
    )
    return DoubtId(row)


def settle_doubt(
    collection: Collection, *, doubt: DoubtId, answer: str, by: str = "", on: dt.date | None = None
) -> Outcome[DoubtId]:
    """Say what it was, and by what it was settled; the doubt stays in the story."""
    with collection.act(Act.SETTLE_DOUBT) as act:
        rows = act.rows("SELECT settled_on, kind FROM doubt WHERE id = ?", (doubt,))
        if not rows:
            raise Refusal(say("That doubt is no longer in the book; it may have been undone."))
        if rows[0][0] is not None:
            raise Refusal(say("That doubt was settled already."))
        if not answer.strip():
            raise Refusal(say("Say what it was."))
        write_answer(act, doubt, answer, by, on.isoformat() if on else act.now_text[:10])
        act.tell(say("{what} settled: {answer}", what=DoubtKind(rows[0][1]), answer=answer.strip()))
    return act.outcome(Act.SETTLE_DOUBT, doubt)


def put_off_doubt(collection: Collection, *, doubt: DoubtId, look_again: dt.date) -> Outcome[DoubtId]:
    """Look again on another day; the question stays as it was asked."""
    with collection.act(Act.PUT_OFF_DOUBT) as act:
        rows = act.rows("SELECT settled_on, kind FROM doubt WHERE id = ?", (doubt,))
        if not rows:
            raise Refusal(say("That doubt is no longer in the book; it may have been undone."))
        if rows[0][0] is not None:
            raise Refusal(say("That doubt was settled already."))
        if look_again.isoformat() < act.now_text[:10]:
            raise Refusal(say("{day} is past: say a day to come.", day=look_again))
        act.update(Doubt, doubt, look_again=look_again.isoformat())
        act.tell(say("{what} look again {day}", what=DoubtKind(rows[0][1]), day=look_again))
    return act.outcome(Act.PUT_OFF_DOUBT, doubt)


def write_answer(act: ActInHand, doubt: DoubtId, answer: str, by: str, day: str) -> None:
    """Settle a doubt inside an act."""
    act.update(Doubt, doubt, settled_on=day, settled_by=by.strip(), answer=answer.strip())


def open_doubt(
    act: ActInHand, *kinds: DoubtKind, egg: EggId | None = None, box: EggBoxId | None = None
) -> DoubtId | None:
    """The open doubt of one of these kinds about an egg or a box."""
    marks = ",".join("?" * len(kinds))
    rows = act.rows(
        f"SELECT id FROM doubt WHERE settled_on IS NULL AND egg_id IS ? AND box_id IS ? AND kind IN ({marks})"
        " ORDER BY id LIMIT 1",
        (egg, box, *(kind.value for kind in kinds)),
    )
    return DoubtId(rows[0][0]) if rows else None
