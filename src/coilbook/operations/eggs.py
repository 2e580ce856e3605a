"""Eggs: looked at, corrected, moved, separated, and what was done to them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from coilbook.derived.season_profile import profile_now
from coilbook.drawing.egg_places import first_places
from coilbook.husbandry.figures import FigureKey
from coilbook.operations.at_hand import happened
from coilbook.operations.clutches import fertile_doubt
from coilbook.operations.doubts import DoubtDetails, open_doubt, write_answer, write_doubt
from coilbook.operations.eggs_at_hand import (
    EggAtHand,
    box_at_hand,
    box_in_use,
    eggs_at_hand,
    eggs_in_the_warm,
    must_follow_laying,
    names_of,
)
from coilbook.operations.photos import kept_picture, write_photo_before
from coilbook.records.changes import Outcome
from coilbook.records.egg_vocabulary import Dents, DoubtKind, EggDeed, Veins, Verdict
from coilbook.records.egg_vocabulary import Outcome as CameOf
from coilbook.records.ids import EggBoxId, EggId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Egg, EggDone, EggLook

#: until this day a doubtful egg is asked "fertile?", after it "alive?" (veins show by then; common practice)
FERTILE_UNTIL_DAY = 20
ALIVE_LOOK_AGAIN_DAYS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class EggSeen:
    """What a look found on one egg; None and UNSAID are not looked at, False is looked and not so.

    `came_of` says how it stands after what was done to it last.
    """

    verdict: Verdict = Verdict.UNSAID
    veins: Veins = Veins.UNSAID
    dents: Dents = Dents.UNSAID
    thin_shell: bool | None = None
    wet: bool | None = None
    mould: bool | None = None
    turned: bool | None = None
    mass: Mass | None = None
    came_of: CameOf = CameOf.UNSAID
    note: str = ""

    def said(self) -> dict[str, Any]:
        """What was looked at, by field."""
        plain = EggSeen()
        return {f.name: value for f in fields(self) if (value := getattr(self, f.name)) != getattr(plain, f.name)}

    def columns(self) -> dict[str, object]:
        """Values by column name."""
        marks = {name: getattr(self, name) for name in ("thin_shell", "wet", "mould", "turned")}
        return {
            "verdict": self.verdict.value,
            "veins": self.veins.value,
            "dents": self.dents.value,
            **{name: None if value is None else int(value) for name, value in marks.items()},
            "mass_dg": self.mass.decigrams if self.mass else None,
            "note": self.note.strip(),
        }


def look_at_eggs(
    collection: Collection, *, looks: Mapping[EggId, EggSeen], at: dt.datetime | None = None
) -> Outcome[int]:
    """One look at one or many eggs. A doubtful one opens a doubt, a verdict settles it; earlier looks all stay."""
    with collection.act(Act.LOOK_AT_EGGS) as act:
        moment = happened(act, at)
        eggs = eggs_in_the_warm(act, list(looks))
        must_follow_laying(act, eggs, moment)
        for egg in eggs:
            seen = looks[egg.id]
            act.insert(EggLook, egg_id=egg.id, at=moment, **seen.columns())
            _mind_doubt(act, egg, seen, moment)
            if seen.came_of is not CameOf.UNSAID:
                _mind_deed(act, egg, seen.came_of, moment)
        act.tell(_told(eggs, looks))
    return act.outcome(Act.LOOK_AT_EGGS, len(eggs))


def _told(eggs: Sequence[EggAtHand], looks: Mapping[EggId, EggSeen]) -> Message:
    if len(eggs) == 1:
        seen = looks[eggs[0].id]
        return say("{egg}: {verdict}", egg=eggs[0].name, verdict=seen.verdict)
    judged: dict[Verdict, int] = {}
    for seen in looks.values():
        judged[seen.verdict] = judged.get(seen.verdict, 0) + 1
    most = max(judged, key=lambda v: judged[v])
    return say("{eggs} looked at: {n} {verdict}", None, eggs=names_of(eggs), n=judged[most], verdict=most)


def _mind_doubt(act: ActInHand, egg: EggAtHand, seen: EggSeen, moment: str) -> None:
    """Open or settle the doubt that a verdict opens or settles."""
    standing = open_doubt(act, DoubtKind.FERTILE, DoubtKind.ALIVE, egg=egg.id)
    if seen.verdict is Verdict.DOUBTFUL and standing is None:
        write_doubt(act, _doubt_of(act, egg, moment), moment[:10])
    elif seen.verdict in (Verdict.GOOD, Verdict.SLUG, Verdict.DEAD) and standing is not None:
        by = "veins seen" if seen.veins in (Veins.CLEAR, Veins.FAINT) else "a look"
        write_answer(act, standing, str(seen.verdict.value), by, moment[:10])


def _doubt_of(act: ActInHand, egg: EggAtHand, moment: str) -> DoubtDetails:
    laid = act.rows("SELECT laid FROM clutch WHERE id = ?", (egg.clutch,))[0][0]
    day = dt.date.fromisoformat(moment[:10])
    if (day - dt.date.fromisoformat(laid)).days < FERTILE_UNTIL_DAY:
        return fertile_doubt(egg.id, moment)
    again = day + dt.timedelta(ALIVE_LOOK_AGAIN_DAYS)
    return DoubtDetails(kind=DoubtKind.ALIVE, egg=egg.id, settles_by="candling", look_again=again)


def _mind_deed(act: ActInHand, egg: EggAtHand, came_of: CameOf, moment: str) -> None:
    rows = act.rows(
        "SELECT id FROM egg_done WHERE egg_id = ? AND came_of_it = 'unsaid' AND at <= ? ORDER BY at DESC, id DESC",
        (egg.id, moment),
    )
    for (row,) in rows:
        act.update(EggDone, row, came_of_it=came_of.value, seen_at=moment)


def do_to_eggs(
    collection: Collection,
    *,
    eggs: Sequence[EggId],
    what: EggDeed,
    how: str = "",
    why: str = "",
    away: Mass | None = None,
    photo_before: Path | bytes | None = None,
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """Something done to eggs, in the keeper's words; the next look says what came of it.

    A removed egg keeps its number and lies no longer in the box; `away` is its weight, or the box's loss is unknown.
    `photo_before` shows the egg as it was then, and stays linked with what was done.
    """
    taken = kept_picture(collection, photo_before) if photo_before is not None else None
    with collection.act(Act.DO_TO_EGGS) as act:
        moment = happened(act, at)
        found = eggs_in_the_warm(act, eggs)
        if away is not None and len(found) > 1:
            raise Refusal(say("Weigh each egg by itself when several are taken out."))
        must_follow_laying(act, found, moment)
        _mind_cutting(act, found, what, moment)
        for egg in found:
            mass = away.decigrams if away is not None else None
            values = {"how": how.strip(), "why": why.strip(), "away_dg": mass}
            row = act.insert(EggDone, egg_id=egg.id, box_id=egg.box, at=moment, what=what.value, **values)
            if taken is not None:
                write_photo_before(act, taken, row, egg=egg.id, box=None, at=moment)
        text = "{eggs}: {what}, {mass}" if away is not None else "{eggs}: {what}"
        act.tell(say(text, eggs=names_of(found), what=what, mass=away))
    return act.outcome(Act.DO_TO_EGGS, len(found))


def _mind_cutting(act: ActInHand, eggs: Sequence[EggAtHand], what: EggDeed, moment: str) -> None:
    """Practice differs: said once with the act, never refused."""
    if what is not EggDeed.CUT_BEFORE_PIP:
        return
    after = int(profile_now(act.rows).value(FigureKey.CUTTING_AFTER_DAY))
    for clutch in {egg.clutch for egg in eggs}:
        laid = act.rows("SELECT laid FROM clutch WHERE id = ?", (clutch,))[0][0]
        day = (dt.date.fromisoformat(moment[:10]) - dt.date.fromisoformat(laid)).days
        act.warn(
            say(
                "Day {day}, before the first pip. Practice differs: many cut only after the first natural pip and"
                " from day {after} on, others never (common practice). A vet is the one to ask.",
                day=day,
                after=after,
            )
        )


def move_eggs(
    collection: Collection,
    *,
    eggs: Sequence[EggId],
    box: EggBoxId,
    separated: bool = False,
    why: str = "",
    away: Mass | None = None,
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """Move eggs to another box; what the old one lost is `away`, unknown when not weighed."""
    with collection.act(Act.MOVE_EGGS) as act:
        moment = happened(act, at)
        found = eggs_in_the_warm(act, eggs)
        if away is not None and len(found) > 1:
            raise Refusal(say("Weigh each egg by itself when several are moved."))
        must_follow_laying(act, found, moment)
        target = box_in_use(act, box)
        there = act.rows("SELECT count(*) FROM egg WHERE box_id = ?", (box,))[0][0]
        deed = EggDeed.SEPARATED if separated else EggDeed.MOVED
        for egg, (x, y) in zip(found, first_places(len(found), there)):
            if egg.box == box:
                raise Refusal(say("{egg} lies in {box} already.", egg=egg.name, box=target.label))
            before = box_at_hand(act, egg.box).label if egg.box is not None else ""
            mass = away.decigrams if away is not None else None
            values = {"how": f"{before} to {target.label}" if before else target.label, "why": why.strip()}
            act.insert(EggDone, egg_id=egg.id, box_id=egg.box, at=moment, what=deed.value, away_dg=mass, **values)
            act.update(Egg, egg.id, box_id=box, x=x, y=y)
        if target.start_dg is not None and away is None:
            act.warn(say("What {box} loses is not known from now on: its starting weight does not hold these eggs, and "
                         "they were not weighed.", box=target.label))  # fmt: skip
        act.tell(say("{eggs} moved to {box}", eggs=names_of(found), box=target.label))
    return act.outcome(Act.MOVE_EGGS, len(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class EggDetails:
    """What is corrected of an egg; None leaves a column as it is, `cleared` takes it away.

    (x, y) in thousandths of the box.
    """

    x: int | None = None
    y: int | None = None
    mass: Mass | None = None
    length_mm: int | None = None
    width_mm: int | None = None
    twin_suspected: bool | None = None
    stuck: bool | None = None
    up_mark: bool | None = None
    note: str | None = None
    #: of "mass", "length_mm", "width_mm" and "up_mark" what is not known after all
    cleared: frozenset[str] = frozenset()

    def columns(self) -> dict[str, object]:
        """Values by column name, of what was said."""
        said: dict[str, object] = {}
        for name in ("x", "y", "length_mm", "width_mm", "twin_suspected", "stuck", "up_mark", "note"):
            value = getattr(self, name)
            if value is not None:
                said[name] = int(value) if isinstance(value, bool) else value
        if self.mass is not None:
            said["mass_dg"] = self.mass.decigrams
        return said | {"mass_dg" if name == "mass" else name: None for name in self.cleared}


def edit_egg(collection: Collection, *, egg: EggId, details: EggDetails) -> Outcome[EggId]:
    """Correct an egg: where it lies, its size, its mark, whether it may hold twins. Its number never changes."""
    with collection.act(Act.EDIT_EGG) as act:
        (found,) = eggs_at_hand(act, [egg])
        values = details.columns()
        if values:
            act.update(Egg, egg, **values)
        act.tell(say("{egg} corrected", egg=found.name))
    return act.outcome(Act.EDIT_EGG, egg)
