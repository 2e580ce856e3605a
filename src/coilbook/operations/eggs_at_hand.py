"""The clutch, egg, box or incubator an act is about, read inside the act, with the refusals common to many acts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.records.ids import AnimalId, ClutchId, EggBoxId, EggId, IncubatorId
from coilbook.records.message import Refusal, say
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand


@dataclass(frozen=True, slots=True)
class ClutchAtHand:
    id: ClutchId
    label: str
    dam: AnimalId | None
    each_own: bool


@dataclass(frozen=True, slots=True)
class EggAtHand:
    """`away` once it was taken out, `out` once it hatched or died in its shell."""

    id: EggId
    clutch: ClutchId
    clutch_label: str
    number: int
    box: EggBoxId | None
    away: bool
    out: bool
    mass_dg: int | None

    @property
    def name(self) -> str:
        """Clutch and number, as it is written on a label."""
        return f"{self.clutch_label}-{self.number}"


@dataclass(frozen=True, slots=True)
class BoxAtHand:
    id: EggBoxId
    label: str
    start_dg: int | None
    lid: str
    emptied: bool


def clutch_at_hand(act: ActInHand, clutch: ClutchId) -> ClutchAtHand:
    """The clutch by its internal id; a refusal when there is none."""
    rows = act.rows("SELECT id, label, dam_id, each_own FROM clutch WHERE id = ?", (clutch,))
    if not rows:
        raise Refusal(say("That clutch is no longer in the book; it may have been undone."))
    row = rows[0]
    return ClutchAtHand(ClutchId(row[0]), str(row[1]), row[2], bool(row[3]))


def eggs_at_hand(act: ActInHand, eggs: Sequence[EggId]) -> list[EggAtHand]:
    """The eggs by their internal ids, in order; a refusal when one is gone."""
    if not eggs:
        raise Refusal(say("No egg was named."))
    found = []
    for egg in dict.fromkeys(eggs):
        rows = act.rows(
            "SELECT e.id, e.clutch_id, c.label, e.number, e.box_id,"
            " EXISTS (SELECT 1 FROM egg_done d WHERE d.egg_id = e.id AND d.what = 'removed'),"
            " EXISTS (SELECT 1 FROM hatching h WHERE h.egg_id = e.id AND h.event <> 'pip'), e.mass_dg"
            " FROM egg e JOIN clutch c ON c.id = e.clutch_id WHERE e.id = ?",
            (egg,),
        )
        if not rows:
            raise Refusal(say("That egg is no longer in the book; it may have been undone."))
        row = rows[0]
        found.append(
            EggAtHand(EggId(row[0]), ClutchId(row[1]), str(row[2]), row[3], row[4], bool(row[5]), bool(row[6]), row[7])
        )
    return found


def refuse_taken_out(egg: EggAtHand) -> None:
    """Refuse an egg that is no longer in the incubator."""
    if egg.away:
        raise Refusal(say("{egg} was taken out of its box. Undo that first if it is wrong.", egg=egg.name))


def eggs_in_the_warm(act: ActInHand, eggs: Sequence[EggId]) -> list[EggAtHand]:
    """The eggs, refused when one was taken out or has hatched."""
    found = eggs_at_hand(act, eggs)
    for egg in found:
        refuse_taken_out(egg)
        if egg.out:
            raise Refusal(say("{egg} is past hatching; nothing was written.", egg=egg.name))
    return found


def earliest_laid(act: ActInHand, clutch: ClutchId) -> dt.date:
    """The first day on which a clutch can have been laid: the first its date can mean, less its doubt."""
    stored, doubt = act.rows("SELECT laid, laid_doubt_days FROM clutch WHERE id = ?", (clutch,))[0]
    return dt.date.fromisoformat(stored) - dt.timedelta(days=doubt)


def must_follow_laying(act: ActInHand, eggs: Sequence[EggAtHand], moment: str) -> None:
    """Refuse what was seen of eggs, or done to them, before their clutch can have been laid."""
    day = moment_from(moment).date()
    for egg in eggs:
        laid = earliest_laid(act, egg.clutch)
        if day < laid:
            told = "{egg} was laid on {laid}; {day} is before that. Correct this date, or first the day of laying."
            raise Refusal(say(told, egg=egg.name, laid=laid, day=day))


def must_follow_setting_up(act: ActInHand, box: EggBoxId, moment: str) -> None:
    """Refuse what was seen of a box, or done to it, before it was set up."""
    label, set_up = act.rows("SELECT label, set_up FROM egg_box WHERE id = ?", (box,))[0]
    day = moment_from(moment).date()
    if set_up is not None and day < dt.date.fromisoformat(set_up):
        told = "{box} was set up on {first}; {day} is before that. Correct this date, or first the day of setting up."
        raise Refusal(say(told, box=str(label), first=dt.date.fromisoformat(set_up), day=day))


def box_at_hand(act: ActInHand, box: EggBoxId) -> BoxAtHand:
    """The box by its internal id; a refusal when there is none."""
    rows = act.rows("SELECT id, label, start_dg, lid, emptied FROM egg_box WHERE id = ?", (box,))
    if not rows:
        raise Refusal(say("That box is no longer in the book; it may have been undone."))
    row = rows[0]
    return BoxAtHand(EggBoxId(row[0]), str(row[1]), row[2], str(row[3]), row[4] is not None)


def box_in_use(act: ActInHand, box: EggBoxId) -> BoxAtHand:
    """The box, refused once it was emptied."""
    found = box_at_hand(act, box)
    if found.emptied:
        raise Refusal(say("{box} was emptied; set up a new one.", box=found.label))
    return found


def incubator_name(act: ActInHand, incubator: IncubatorId) -> str:
    """The name of an incubator; a refusal when there is none."""
    rows = act.rows("SELECT name FROM incubator WHERE id = ?", (incubator,))
    if not rows:
        raise Refusal(say("That incubator is no longer in the book; it may have been undone."))
    return str(rows[0][0])


def names_of(eggs: Sequence[EggAtHand]) -> str:
    """Eggs in a sentence: clutch and number, the numbers of one clutch together ("C26-05 eggs 1, 2").

    >>> names_of([EggAtHand(EggId(1), ClutchId(1), "C26-05", n, None, False, False, None) for n in (1, 2)])
    'C26-05-1, 2'
    """
    parts: list[str] = []
    last = ""
    for egg in eggs:
        parts.append(str(egg.number) if egg.clutch_label == last else egg.name)
        last = egg.clutch_label
    return ", ".join(parts) if len(parts) <= 8 else ", ".join([*parts[:7], "…"])
