"""What is seen of an animal and done for its tub: sheds, signs, cleaning, notes."""

from __future__ import annotations

import datetime as dt

from coilbook.operations.at_hand import animal_at_hand, happened, living_here, place_at_hand
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PlaceId, ShedId
from coilbook.records.message import Refusal, say
from coilbook.records.season_vocabulary import PreLay
from coilbook.records.vocabulary import SHED_RESULTS, Act, CleaningExtent, PlaceKind, ShedKind, Sign
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Cleaning, Note, Shed, SignSeen

_VET_SIGNS = {Sign.WHEEZE}
#: two incomplete sheds within this time ask for a look at the humidity (common practice)
INCOMPLETE_DAYS = 150


def record_shed(
    collection: Collection,
    *,
    animal: AnimalId,
    kind: ShedKind = ShedKind.COMPLETE,
    at: dt.datetime | None = None,
    note: str = "",
    pre_lay: PreLay | None = None,
) -> Outcome[ShedId]:
    """A stage of a shed cycle (in blue, clear again) or the shed itself.

    A shed that may be the pre-lay shed raises `Asks` until `pre_lay` says what it was.
    """
    # the year of a female is loaded by the first shed, not by the page that offers to log one
    from coilbook.operations.season_seen import ask_of_shed, write_mark

    with collection.act(Act.SHED) as act:
        found = living_here(act, animal)
        moment = happened(act, at)
        if kind in SHED_RESULTS and pre_lay is None:
            ask_of_shed(act, found, moment)
        row = ShedId(act.insert(Shed, animal_id=animal, at=moment, kind=kind.value, note=note))
        if pre_lay is not None:
            write_mark(act, animal, row, pre_lay)
        if kind in (ShedKind.INCOMPLETE, ShedKind.EYECAPS) and _poor_sheds(act, animal, moment) >= 2:
            act.warn(
                say(
                    "{animal}: a second incomplete shed. Check the humidity, and ask a reptile veterinarian "
                    "about eye caps that stay (common practice).",
                    animal=found.keeper_id,
                )
            )
        act.tell(say("{animal}: {kind}", animal=found.keeper_id, kind=kind))
    return act.outcome(Act.SHED, row)


def see_sign(
    collection: Collection, *, animal: AnimalId, sign: Sign, at: dt.datetime | None = None, note: str = ""
) -> Outcome[int]:
    """One thing seen on an animal."""
    with collection.act(Act.SEE_SIGN) as act:
        found = living_here(act, animal)
        row = act.insert(SignSeen, animal_id=animal, at=happened(act, at), sign=sign.value, note=note)
        if sign in _VET_SIGNS:
            act.warn(say("{animal}: {sign}. Ask a reptile veterinarian soon.", animal=found.keeper_id, sign=sign))
        act.tell(say("{animal}: {sign}", animal=found.keeper_id, sign=sign))
    return act.outcome(Act.SEE_SIGN, row)


def clean_place(
    collection: Collection,
    *,
    place: PlaceId,
    extent: CleaningExtent = CleaningExtent.SPOT,
    product: str = "",
    at: dt.datetime | None = None,
    note: str = "",
) -> Outcome[int]:
    """A slot's tub cleaned, or every slot of a rack in one act; returns how many."""
    row = collection.read_one("SELECT kind FROM place WHERE id = ?", (place,))
    kind = Act.CLEAN if row is None or row[0] == PlaceKind.SLOT else Act.CLEAN_RACK
    with collection.act(kind) as act:
        found = place_at_hand(act, place)
        moment = happened(act, at)
        slots = [found.id] if found.kind is PlaceKind.SLOT else _slots_of(act, found.id)
        if not slots:
            raise Refusal(say("{place} has no slots yet, so there is nothing to clean.", place=found.label))
        for slot in slots:
            dwellers = act.rows("SELECT id FROM animal WHERE place_id = ? ORDER BY id", (slot,)) or [(None,)]
            for (dweller,) in dwellers:
                values = {"extent": extent.value, "product": product, "note": note}
                act.insert(Cleaning, place_id=slot, animal_id=dweller, at=moment, **values)
        if found.kind is PlaceKind.SLOT:
            act.tell(say("{place} cleaned, {extent}", place=found.label, extent=extent))
        else:
            act.tell(
                say(
                    "{place}: {n} tub cleaned, {extent}",
                    "{place}: {n} tubs cleaned, {extent}",
                    place=found.label,
                    n=len(slots),
                    extent=extent,
                )
            )
    return act.outcome(kind, len(slots))


def write_note(
    collection: Collection,
    *,
    text: str,
    animal: AnimalId | None = None,
    place: PlaceId | None = None,
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """A note on an animal or a place."""
    if not text.strip():
        raise Refusal(say("A note needs words."))
    if (animal is None) == (place is None):
        raise Refusal(say("A note belongs to one animal or one place."))
    with collection.act(Act.WRITE_NOTE) as act:
        name = animal_at_hand(act, animal).keeper_id if animal is not None else ""
        if place is not None:
            name = place_at_hand(act, place).label
        row = act.insert(Note, animal_id=animal, place_id=place, at=happened(act, at), text=text.strip())
        act.tell(say("note on {what} written", what=name))
    return act.outcome(Act.WRITE_NOTE, row)


def _slots_of(act: ActInHand, place: PlaceId) -> list[PlaceId]:
    sql = """WITH RECURSIVE under(id) AS (
        SELECT id FROM place WHERE parent_id = ? UNION SELECT p.id FROM place p JOIN under ON p.parent_id = under.id)
        SELECT p.id FROM under JOIN place p ON p.id = under.id WHERE p.kind = 'slot' ORDER BY p.walk, p.id"""
    return [PlaceId(i) for (i,) in act.rows(sql, (place,))]


def _poor_sheds(act: ActInHand, animal: AnimalId, moment: str) -> int:
    since = (moment_from(moment) - dt.timedelta(days=INCOMPLETE_DAYS)).strftime("%Y-%m-%d")
    rows = act.rows(
        "SELECT count(*) FROM shed WHERE animal_id = ? AND at >= ? AND kind IN ('incomplete', 'eyecaps')",
        (animal, since),
    )
    return int(rows[0][0])
