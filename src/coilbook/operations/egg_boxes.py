"""Egg boxes: set up, corrected, looked at in one key or by weight, watered, emptied."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import happened
from coilbook.operations.codes import issue_codes
from coilbook.operations.doubts import DoubtDetails, open_doubt, write_doubt
from coilbook.operations.eggs_at_hand import BoxAtHand, box_at_hand, box_in_use, incubator_name, must_follow_setting_up
from coilbook.operations.photos import kept_picture, write_photo_before
from coilbook.records.changes import Outcome
from coilbook.records.egg_vocabulary import DoubtKind, EggDeed, Lid, Medium
from coilbook.records.egg_vocabulary import Outcome as CameOf
from coilbook.records.ids import EggBoxId, IncubatorId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act, CodeKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import BoxLook, BoxWater, EggBox, EggDone

#: a total further than this from the one expected is asked about: with or without the lid? (tenths of a gram)
FAR_DG = 800


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxDetails:
    """A box as it is set up, or what is corrected of it; None leaves a column as it is, `cleared` takes it away.

    `start` is the total with the medium, the water and the eggs, weighed as `lid` says. Without `shelf` and `spot`
    the first free place of the incubator is taken.
    """

    label: str | None = None
    incubator: IncubatorId | None = None
    shelf: int | None = None
    spot: int | None = None
    set_up: dt.date | None = None
    medium: Medium | None = None
    dry: Mass | None = None
    water: Mass | None = None
    start: Mass | None = None
    lid: Lid | None = None
    emptied: dt.date | None = None
    note: str | None = None
    #: of "dry", "water" and "start" what is not known after all, "incubator" for a box that stands in none
    cleared: frozenset[str] = frozenset()

    def columns(self) -> dict[str, object]:
        """Values by column name, of what was said."""
        masses = {"dry_dg": self.dry, "water_dg": self.water, "start_dg": self.start}
        said: dict[str, object] = {name: mass.decigrams for name, mass in masses.items() if mass is not None}
        for name in ("shelf", "spot", "note"):
            if getattr(self, name) is not None:
                said[name] = getattr(self, name)
        for name, day in (("set_up", self.set_up), ("emptied", self.emptied)):
            if day is not None:
                said[name] = day.isoformat()
        if self.label is not None:
            said["label"] = " ".join(self.label.split())
        if self.incubator is not None:
            said["incubator_id"] = self.incubator
        if self.medium is not None:
            said["medium"] = self.medium.value
        if self.lid is not None:
            said["lid"] = self.lid.value
        said |= {f"{name}_dg": None for name in self.cleared - {"incubator"}}
        return said | (dict.fromkeys(("incubator_id", "shelf", "spot")) if "incubator" in self.cleared else {})


def set_up_box(collection: Collection, *, details: BoxDetails) -> Outcome[EggBoxId]:
    """Set a box up, with its code."""
    with collection.act(Act.SET_UP_BOX) as act:
        box = write_box(act, details)
        act.tell(say("{box} set up", box=box_at_hand(act, box).label))
    return act.outcome(Act.SET_UP_BOX, box)


def write_box(act: ActInHand, details: BoxDetails) -> EggBoxId:
    """The row and the code of a new box, inside an act."""
    values = details.columns()
    values["label"] = values.get("label") or _next_label(act)
    values.setdefault("set_up", act.now_text[:10])
    _check_label(act, str(values["label"]), None)
    _place(act, values, None)
    box = EggBoxId(act.insert(EggBox, **values))
    issue_codes(act, CodeKind.EGG_BOX, [box])
    return box


def edit_box(collection: Collection, *, box: EggBoxId, details: BoxDetails) -> Outcome[EggBoxId]:
    """Correct a box, move it in the incubator, or say that it was emptied."""
    with collection.act(Act.EDIT_BOX) as act:
        found = box_at_hand(act, box)
        values = details.columns()
        if "label" in values:
            _check_label(act, str(values["label"]), box)
        if "incubator" not in details.cleared and values.keys() & {"incubator_id", "shelf", "spot"}:
            _place(act, values, box)
        if values:
            act.update(EggBox, box, **values)
        text = "{box} emptied" if details.emptied is not None else "{box} corrected"
        act.tell(say(text, box=found.label))
    return act.outcome(Act.EDIT_BOX, box)


def _next_label(act: ActInHand) -> str:
    """One more than the highest number in use: EB-12 after EB-11."""
    numbers = [int(m[1]) for (label,) in act.rows("SELECT label FROM egg_box") if (m := re.match(r"EB-(\d+)$", label))]
    return f"EB-{max(numbers, default=0) + 1:02d}"


def _check_label(act: ActInHand, label: str, box: EggBoxId | None) -> None:
    if not label:
        raise Refusal(say("A box needs a name, like EB-12."))
    same = act.rows("SELECT id FROM egg_box WHERE label = ? COLLATE NOCASE AND emptied IS NULL", (label,))
    if any(row != box for (row,) in same):
        raise Refusal(say("There is a box {box} in use already; give this one another name.", box=label))


def _place(act: ActInHand, values: dict[str, object], box: EggBoxId | None) -> None:
    """Fill in the first free place of the incubator, or refuse one that is taken or not there."""
    incubator = values.get("incubator_id")
    if incubator is None and box is not None:
        incubator = act.rows("SELECT incubator_id FROM egg_box WHERE id = ?", (box,))[0][0]
    if not isinstance(incubator, int):
        return
    name = incubator_name(act, IncubatorId(incubator))
    ((shelves, per_shelf),) = act.rows("SELECT shelves, per_shelf FROM incubator WHERE id = ?", (incubator,))
    count = max(len(str(shelves).split("\n")), 1)
    sql = "SELECT shelf, spot FROM egg_box WHERE incubator_id = ? AND emptied IS NULL AND id IS NOT ?"
    taken = {(row[0], row[1]) for row in act.rows(sql, (incubator, box))}
    wanted = (values.get("shelf"), values.get("spot"))
    free = [(s, p) for s in range(1, count + 1) for p in range(1, per_shelf + 1) if (s, p) not in taken]
    fits = [place for place in free if all(w is None or w == p for w, p in zip(wanted, place))]
    if not fits and wanted == (None, None):
        return  # it stands on top of another for now; the screen lists it without a place
    if not fits:
        raise Refusal(say("That place in {incubator} is taken or not there.", incubator=name))
    values["shelf"], values["spot"] = fits[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSeen:
    """What a look at a box found. `fine` alone is the look at a glance; None is not looked at.

    `lid` is how `total` was weighed, as at setting up when None; `eggs` the same eggs weighed apart.
    """

    fine: bool = False
    total: Mass | None = None
    lid: Lid | None = None
    eggs: Mass | None = None
    drops_under_lid: bool | None = None
    smell: bool | None = None
    note: str = ""

    def columns(self, lid: str) -> dict[str, object]:
        """Values by column name; `lid` holds where nothing else was said."""
        return {
            "fine": int(self.fine),
            "total_dg": self.total.decigrams if self.total else None,
            "lid": self.lid.value if self.lid else lid,
            "eggs_dg": self.eggs.decigrams if self.eggs else None,
            "drops_under_lid": None if self.drops_under_lid is None else int(self.drops_under_lid),
            "smell": None if self.smell is None else int(self.smell),
            "note": self.note.strip(),
        }


def look_at_box(
    collection: Collection,
    *,
    box: EggBoxId,
    seen: BoxSeen,
    came_of: Mapping[int, CameOf] | None = None,
    at: dt.datetime | None = None,
    sure: bool = False,
    lid: Lid | None = None,
) -> Outcome[int]:
    """A look at a box. A smell that is not traced opens a doubt; `came_of` answers what was done (row of `egg_done`).

    A total far from the one expected raises `Asks`: weighed without the lid, or sure of it.
    """
    seen = replace(seen, lid=lid) if lid is not None else seen
    with collection.act(Act.LOOK_AT_BOX) as act:
        found = box_in_use(act, box)
        moment = happened(act, at)
        must_follow_setting_up(act, box, moment)
        if seen.total is not None and not sure and seen.lid is None:
            _ask_when_far(act, found, seen.total, moment)
        row = act.insert(BoxLook, box_id=box, at=moment, **seen.columns(found.lid))
        if seen.smell and open_doubt(act, DoubtKind.SMELL, box=box) is None:
            details = DoubtDetails(kind=DoubtKind.SMELL, box=box, settles_by="smelling each egg by itself")
            write_doubt(act, details, moment[:10])
        for done, outcome in (came_of or {}).items():
            act.update(EggDone, done, came_of_it=outcome.value, seen_at=moment)
        if seen.total is not None:
            act.tell(say("{box}: {mass}", box=found.label, mass=seen.total))
        else:
            act.tell(say("{box}: looked, fine" if seen.fine else "{box}: looked at", box=found.label))
    return act.outcome(Act.LOOK_AT_BOX, row)


#: where an egg went that was moved: the box it left next, else the one it lies in
_WENT = """coalesce((SELECT n.box_id FROM egg_done n WHERE n.egg_id = d.egg_id AND n.what IN ('moved', 'separated')
    AND (n.at, n.id) > (d.at, d.id) ORDER BY n.at, n.id LIMIT 1), e.box_id)"""
#: masses by which a box (?1) is lighter for what left it since a moment (?2) and until another (?3), below zero for an
#: egg that came; null where not weighed, and for one that came on the day of setting up (the start may hold it or not)
_LEFT = f"""SELECT away_dg FROM egg_done WHERE box_id = ?1 AND at > ?2 AND at <= ?3
        AND what NOT IN ('moved', 'separated') AND (what = 'removed' OR away_dg IS NOT NULL)
    UNION ALL SELECT CASE WHEN left_box = ?1 THEN away_dg WHEN substr(at, 1, 10) = ?2 THEN NULL ELSE -away_dg END
        FROM (SELECT d.at, d.away_dg, d.box_id AS left_box, {_WENT} AS went
            FROM egg_done d JOIN egg e ON e.id = d.egg_id
            WHERE d.what IN ('moved', 'separated') AND d.at > ?2 AND d.at <= ?3)
        WHERE left_box IS NOT went AND (left_box = ?1 OR went = ?1)
    UNION ALL SELECT NULL FROM hatching h JOIN egg e ON e.id = h.egg_id
        WHERE e.box_id = ?1 AND h.event <> 'pip' AND h.at > ?2 AND h.at <= ?3"""


def expected_total(act: ActInHand, box: BoxAtHand, until: str) -> int | None:
    """The last total with what was poured and what came or left since, in tenths of a gram; None when not known.

    It is not where an egg came, left or hatched unweighed. What is of one minute is taken as `reads.box_water` takes
    it: an egg left before the weighing, water came after it.
    """
    start = act.rows("SELECT set_up FROM egg_box WHERE id = ?", (box.id,))[0][0]
    sql = "SELECT total_dg, at FROM box_look WHERE box_id = ? AND total_dg IS NOT NULL AND lid = ? AND at < ?"
    last = act.rows(sql + " ORDER BY at DESC, id DESC LIMIT 1", (box.id, box.lid, until))
    total, since = last[0] if last else (box.start_dg, start)
    left = [mass for (mass,) in act.rows(_LEFT, (box.id, since, until))]
    if total is None or None in left:
        return None
    sql = "SELECT coalesce(sum(added_dg), 0) FROM box_water WHERE box_id = ? AND at >= ? AND at < ?"
    return int(total + act.rows(sql, (box.id, since, until))[0][0] - sum(left))


def _ask_when_far(act: ActInHand, box: BoxAtHand, total: Mass, moment: str) -> None:
    expected = expected_total(act, box, moment)
    if expected is None or abs(total.decigrams - expected) <= FAR_DG:
        return
    other = Lid.WITHOUT if box.lid == Lid.WITH else Lid.WITH
    question = say(
        "{total} for {box}? About {expected} was expected, {lid}.",
        total=total,
        box=box.label,
        expected=Mass(max(expected, 1)),
        lid=Lid(box.lid),
    )
    raise Asks(question, (Choice(say("It is right"), {"sure": True}), Choice(say("{lid}", lid=other), {"lid": other})))


def water_box(
    collection: Collection, *, box: EggBoxId, added: Mass, at: dt.datetime | None = None, note: str = ""
) -> Outcome[int]:
    """Water was poured into a box."""
    with collection.act(Act.WATER_BOX) as act:
        found, moment = box_in_use(act, box), happened(act, at)
        must_follow_setting_up(act, box, moment)
        row = act.insert(BoxWater, box_id=box, at=moment, added_dg=added.decigrams, note=note.strip())
        act.tell(say("{box}: {mass} poured", box=found.label, mass=added))
    return act.outcome(Act.WATER_BOX, row)


def do_to_box(
    collection: Collection,
    *,
    box: EggBoxId,
    what: EggDeed,
    how: str = "",
    why: str = "",
    away: Mass | None = None,
    photo_before: Path | bytes | None = None,
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """Something was done to a whole box: vented, a cover added, or anything that took weight away."""
    taken = kept_picture(collection, photo_before) if photo_before is not None else None
    with collection.act(Act.DO_TO_EGGS) as act:
        found, moment = box_in_use(act, box), happened(act, at)
        must_follow_setting_up(act, box, moment)
        row = act.insert(
            EggDone,
            box_id=box,
            at=moment,
            what=what.value,
            how=how.strip(),
            why=why.strip(),
            away_dg=away.decigrams if away else None,
        )
        if taken is not None:
            write_photo_before(act, taken, row, egg=None, box=box, at=moment)
        act.tell(say("{box}: {what}", box=found.label, what=what))
    return act.outcome(Act.DO_TO_EGGS, row)
