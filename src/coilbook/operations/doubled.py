"""What an undo brings back beside what was done since: a second animal of one id, others in a slot, a second offer."""

from __future__ import annotations

import json
from dataclasses import dataclass

from coilbook.records.message import say
from coilbook.storage.act import ActInHand

#: more are not told one by one: the undo of a whole import is read in the list of animals
_MOST_TOLD = 5


@dataclass(frozen=True, slots=True)
class _Back:
    """An animal as an undo leaves it, and what of it is other than before."""

    keeper_id: str
    place: int | None
    may_double: bool
    moved: bool


def warn_of_doubles(act: ActInHand) -> None:
    """Say of the animals an undo touched which share their id or their slot with others, or have two offers open."""
    touched = _touched(act)
    ids = {one.keeper_id.lower() for one in touched if one.may_double}
    slots = {one.place for one in touched if one.moved and one.place is not None}
    told = [
        say("There is another animal {id} here; give one of them another id.", id=keeper_id)
        for keeper_id, folded in (_namesakes(act) if ids else ())
        if folded in ids
    ]
    sql = """SELECT p.label, group_concat(a.keeper_id, ', ') FROM json_each(?) j JOIN animal a ON a.place_id = j.value
        JOIN place p ON p.id = a.place_id GROUP BY p.id HAVING count(*) > 1 ORDER BY p.walk, p.id"""
    shared = act.rows(sql, (json.dumps(sorted(slots)),))
    told += [say("{place} now holds {animals} together.", place=label, animals=animals) for label, animals in shared]
    open_sql = """SELECT a.keeper_id FROM change c JOIN feeding f ON f.id = c.row JOIN animal a ON a.id = f.animal_id
        WHERE c.act = ? AND c.tbl = 'feeding' AND c.op <> 'D' AND f.result = 'pending' AND EXISTS (SELECT 1
        FROM feeding o WHERE o.animal_id = f.animal_id AND o.id <> f.id AND o.result = 'pending') GROUP BY a.id"""
    told += [say("{animal} has two offers open now.", animal=who) for (who,) in act.rows(open_sql, (act.id,))]
    box_sql = """SELECT DISTINCT b.label FROM change c JOIN egg_box b ON b.id = c.row
        JOIN egg_box o ON o.label = b.label COLLATE NOCASE AND o.id <> b.id
        WHERE c.act = ? AND c.tbl = 'egg_box' AND c.op <> 'D' AND b.emptied IS NULL AND o.emptied IS NULL"""
    told += [say("Two boxes in use are called {box} now.", box=label) for (label,) in act.rows(box_sql, (act.id,))]
    for message in told[:_MOST_TOLD]:
        act.warn(message)


def _touched(act: ActInHand) -> list[_Back]:
    sql = """SELECT a.keeper_id, a.status IN ('here', 'loan'), a.place_id, c.op, c.before ->> '$.keeper_id',
        c.before ->> '$.status', c.before ->> '$.place_id', a.status
        FROM change c JOIN animal a ON a.id = c.row WHERE c.act = ? AND c.tbl = 'animal' AND c.op <> 'D'"""
    return [
        _Back(
            str(keeper_id),
            place,
            bool(kept) and (op == "I" or (keeper_id, status) != (old_id, old_status)),
            op == "I" or place != old_place,
        )
        for keeper_id, kept, place, op, old_id, old_status, old_place, status in act.rows(sql, (act.id,))
    ]


def _namesakes(act: ActInHand) -> list[tuple[str, str]]:
    """(id as it is written, in small letters) of every id that several animals in the keeper's care have."""
    sql = """SELECT min(keeper_id), lower(keeper_id) FROM animal WHERE status IN ('here', 'loan')
        GROUP BY lower(keeper_id) HAVING count(*) > 1 ORDER BY 1"""
    return [(str(keeper_id), str(folded).lower()) for keeper_id, folded in act.rows(sql)]
