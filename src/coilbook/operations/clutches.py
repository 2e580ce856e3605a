"""Clutches: laid, with every egg in one act, and corrected."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.drawing.egg_places import first_places
from coilbook.husbandry.known_day import KnownDay
from coilbook.operations.ancestry import refuse_sire_list
from coilbook.operations.animals import write_sires
from coilbook.operations.at_hand import animal_at_hand, female_here, happened, must_be_born
from coilbook.operations.clutch_sires import sires_by_stays
from coilbook.operations.doubts import DoubtDetails, write_doubt
from coilbook.operations.egg_boxes import BoxDetails, write_box
from coilbook.operations.eggs_at_hand import box_at_hand, clutch_at_hand
from coilbook.operations.forecast_keeping import keep_forecasts
from coilbook.operations.weighing import write_weight
from coilbook.records.changes import Outcome
from coilbook.records.egg_line import LaidEgg
from coilbook.records.egg_vocabulary import ClutchMass, DoubtKind, HatchEvent, Verdict
from coilbook.records.ids import AnimalId, ClutchId, EggBoxId, EggId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act, Precision, Sex, WeightTag
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Clutch, ClutchSire, Egg, EggBox, EggLook
from coilbook.storage.tables import Animal, Sire

#: a doubtful egg is looked at again after this many days (common practice: 5 to 7)
LOOK_AGAIN_DAYS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """One laying. `eggs` in the order of their numbers, slugs too; `clump` one weight of those that stick, which
    are the ones without a weight.

    `box` is one that stands there or one to set up, None for eggs left with the dam (`maternal`) or not boxed yet.
    `sires` with their percent, empty for a sire not known; None takes them from stays on record. `dam_after` her
    weight after laying.
    """

    dam: AnimalId | None
    eggs: tuple[LaidEgg, ...]
    laid: PartialDate | None = None
    doubt_days: int = 0
    label: str = ""
    sires: Mapping[AnimalId, int] | None = None
    each_own: bool = False
    box: EggBoxId | BoxDetails | None = None
    clump: Mass | None = None
    maternal: bool = False
    dam_after: Mass | None = None
    #: whether the top of each egg was marked as it was laid into its box; None is not said
    up_mark: bool | None = None
    note: str = ""


def lay_clutch(collection: Collection, *, laying: Laying, at: dt.datetime | None = None) -> Outcome[ClutchId]:
    """A clutch and each of its eggs, their first look, their box and her weight after laying, in one act."""
    with collection.act(Act.LAY_CLUTCH) as act:
        moment = happened(act, at)
        day = laying.laid or PartialDate(dt.date.fromisoformat(moment[:10]))
        _check_laid(act, day, laying.dam)
        label = " ".join(laying.label.split()) or _next_label(act, day.first.year)
        _check_label(act, label, None)
        clutch = _write_clutch(act, laying, day, label)
        _write_clutch_sires(act, clutch, _sires_of(act, laying, day))
        box = _box_of(act, laying, day)
        eggs = _write_eggs(act, clutch, laying, box, moment)
        if laying.dam is not None and laying.dam_after is not None:
            write_weight(act, laying.dam, moment, laying.dam_after, tag=WeightTag.AFTER_LAYING)
        if laying.dam is not None:
            keep_forecasts(act, laying.dam)
        slugs = sum(egg.verdict is Verdict.SLUG for egg in laying.eggs)
        words = say("{n} slug", "{n} slugs", n=slugs)
        told = "{clutch}: {good} eggs and {slugs}" if slugs else "{clutch}: {good} eggs"
        act.tell(say(told, clutch=label, good=len(eggs) - slugs, slugs=words))
    return act.outcome(Act.LAY_CLUTCH, clutch)


def _next_label(act: ActInHand, year: int) -> str:
    """C26-05 after C26-04, by the year of laying."""
    start = f"C{year % 100:02d}-"
    rows = act.rows("SELECT label FROM clutch WHERE label LIKE ?", (start + "%",))
    numbers = [int(m[1]) for (label,) in rows if (m := re.match(rf"{start}(\d+)$", label))]
    return f"{start}{max(numbers, default=0) + 1:02d}"


def _laid(act: ActInHand, clutch: ClutchId) -> PartialDate:
    stored, precision = act.rows("SELECT laid, laid_precision FROM clutch WHERE id = ?", (clutch,))[0]
    return PartialDate(dt.date.fromisoformat(stored), Precision(precision))


def _check_laid(act: ActInHand, day: PartialDate, dam: AnimalId | None) -> None:
    if day.first.isoformat() > act.now_text[:10]:
        raise Refusal(say("{day} lies ahead of today.", day=day))
    if dam is not None:
        animal_at_hand(act, dam)
        must_be_born(act, dam, day)


def _check_before_seen(act: ActInHand, clutch: ClutchId, details: ClutchDetails) -> None:
    """Refuse a corrected day, less its doubt, after something was seen of an egg of the clutch or done to it.

    The look that came with the laying is no such entry: its moment is that of writing the clutch down.
    """
    if details.laid is None and details.doubt_days is None:
        return
    stored, doubt = act.rows("SELECT laid, laid_doubt_days FROM clutch WHERE id = ?", (clutch,))[0]
    day = details.laid.first if details.laid is not None else dt.date.fromisoformat(stored)
    earliest = day - dt.timedelta(doubt if details.doubt_days is None else details.doubt_days)
    sql = """SELECT e.number, s.at, s.event FROM egg e JOIN (
        SELECT egg_id, at, NULL AS event FROM egg_look l
            WHERE id > (SELECT min(f.id) FROM egg_look f WHERE f.egg_id = l.egg_id)
        UNION ALL SELECT egg_id, at, NULL FROM egg_done WHERE egg_id IS NOT NULL
        UNION ALL SELECT egg_id, at, event FROM hatching) s ON s.egg_id = e.id
        WHERE e.clutch_id = ? AND s.at < ? ORDER BY s.at, e.number LIMIT 1"""
    for number, at, event in act.rows(sql, (clutch, earliest.isoformat())):
        egg, seen = f"{clutch_at_hand(act, clutch).label}-{number}", moment_from(at).date()
        what = HatchEvent(event) if event is not None else say("seen")
        told = "{egg}: {what} on {day}, so it was laid no later. Correct that entry first."
        raise Refusal(say(told, egg=egg, what=what, day=seen))


def _check_label(act: ActInHand, label: str, clutch: ClutchId | None) -> None:
    same = act.rows("SELECT id FROM clutch WHERE label = ? COLLATE NOCASE", (label,))
    if any(row != clutch for (row,) in same):
        raise Refusal(say("There is a clutch {clutch} already; give this one another name.", clutch=label))


def _write_clutch(act: ActInHand, laying: Laying, day: PartialDate, label: str) -> ClutchId:
    if laying.dam is not None:
        female_here(act, laying.dam)
    if not laying.eggs:
        raise Refusal(say("A clutch needs its eggs: type a weight for each, or 6x for six not weighed."))
    masses = [egg.mass.decigrams for egg in laying.eggs if egg.mass is not None]
    whole = sum(masses) if len(masses) == len(laying.eggs) else None
    # eggs weighed by themselves do not stick: they are not in the clump
    clump = laying.clump.decigrams + sum(masses) if laying.clump is not None else None
    row = act.insert(
        Clutch,
        label=label,
        dam_id=laying.dam,
        laid=day.stored,
        laid_precision=day.precision.value,
        laid_doubt_days=laying.doubt_days,
        mass_dg=clump if clump is not None else whole,
        mass_kind=(ClutchMass.CLUMP if clump is not None else ClutchMass.EGGS).value,
        maternal=int(laying.maternal),
        each_own=int(laying.each_own),
        note=laying.note.strip(),
    )
    return ClutchId(row)


def _write_clutch_sires(act: ActInHand, clutch: ClutchId, sires: Mapping[AnimalId, int]) -> None:
    refuse_sire_list(sires)
    for sire, percent in sires.items():
        found = animal_at_hand(act, sire)
        if found.sex is Sex.FEMALE:
            act.warn(say("{animal} is entered as a female; kept as said.", animal=found.keeper_id))
        act.insert(ClutchSire, clutch_id=clutch, sire_id=sire, percent=percent)
    _refuse_one_parent(act, clutch)


def _refuse_one_parent(act: ActInHand, clutch: ClutchId) -> None:
    sql = (
        "SELECT c.dam_id FROM clutch c JOIN clutch_sire s ON s.clutch_id = c.id AND s.sire_id = c.dam_id WHERE c.id = ?"
    )
    for (parent,) in act.rows(sql, (clutch,)):
        raise Refusal(say("{animal} cannot be both parents.", animal=animal_at_hand(act, AnimalId(parent)).keeper_id))


def _sires_of(act: ActInHand, laying: Laying, day: PartialDate) -> Mapping[AnimalId, int]:
    """The sires as said, else as the stays on record make them, which is told."""
    if laying.sires is not None or laying.dam is None:
        return laying.sires or {}
    laid = KnownDay.of_laying(day, laying.doubt_days, dt.date.fromisoformat(act.now_text[:10]))
    found = sires_by_stays(act, laying.dam, laid)
    if found:
        names = ", ".join(f"{animal_at_hand(act, male).keeper_id} {percent}%" for male, percent in found.items())
        act.warn(say("Sires from the stays on record: {names}. Correct the clutch where that is wrong.", names=names))
    return found


def _box_of(act: ActInHand, laying: Laying, day: PartialDate) -> EggBoxId | None:
    if laying.box is None or not isinstance(laying.box, BoxDetails):
        box = laying.box
        if box is not None and act.rows("SELECT 1 FROM egg WHERE box_id = ?", (box,)):
            found = box_at_hand(act, box)
            act.warn(say("{box} now holds two clutches: the loss of each is not computable.", box=found.label))
        return box
    box = write_box(act, laying.box)
    if laying.box.set_up is None:
        act.update(EggBox, box, set_up=max(day.stored, day.first.isoformat()))
    return box


def _write_eggs(act: ActInHand, clutch: ClutchId, laying: Laying, box: EggBoxId | None, moment: str) -> list[EggId]:
    there = act.rows("SELECT count(*) FROM egg WHERE box_id = ?", (box,))[0][0] if box is not None else 0
    places = first_places(len(laying.eggs), there) if box is not None else ()
    found = []
    for index, laid in enumerate(laying.eggs):
        x, y = places[index] if places else (None, None)
        mass = laid.mass.decigrams if laid.mass is not None else None
        values = {"mass_dg": mass, "x": x, "y": y, "stuck": int(laying.clump is not None and mass is None)}
        values["up_mark"] = int(laying.up_mark) if laying.up_mark is not None else None
        egg = EggId(act.insert(Egg, clutch_id=clutch, number=index + 1, box_id=box, **values))
        act.insert(EggLook, egg_id=egg, at=moment, verdict=laid.verdict.value, mass_dg=mass)
        if laid.verdict is Verdict.DOUBTFUL:
            write_doubt(act, fertile_doubt(egg, moment), moment[:10])
        found.append(egg)
    return found


def fertile_doubt(egg: EggId, moment: str) -> DoubtDetails:
    """The question a doubtful egg opens; candling settles it."""
    again = dt.date.fromisoformat(moment[:10]) + dt.timedelta(LOOK_AGAIN_DAYS)
    return DoubtDetails(kind=DoubtKind.FERTILE, egg=egg, settles_by="candling", look_again=again)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchDetails:
    """What is corrected of a clutch; None leaves it as it is. `sires` takes the place of the whole list."""

    label: str | None = None
    laid: PartialDate | None = None
    doubt_days: int | None = None
    mass: Mass | None = None
    mass_kind: ClutchMass | None = None
    maternal: bool | None = None
    dam: AnimalId | None = None
    sires: Mapping[AnimalId, int] | None = None
    each_own: bool | None = None
    note: str | None = None


def edit_clutch(collection: Collection, *, clutch: ClutchId, details: ClutchDetails) -> Outcome[ClutchId]:
    """Correct a clutch; its hatchlings take the corrected dam and sires along."""
    with collection.act(Act.EDIT_CLUTCH) as act:
        found = clutch_at_hand(act, clutch)
        values: dict[str, object] = {}
        if details.label is not None:
            values["label"] = " ".join(details.label.split())
            _check_label(act, str(values["label"]), clutch)
        if details.laid is not None or details.dam is not None:
            _check_laid(act, details.laid or _laid(act, clutch), details.dam or found.dam)
        if details.laid is not None:
            values |= {"laid": details.laid.stored, "laid_precision": details.laid.precision.value}
        _check_before_seen(act, clutch, details)
        if details.mass is not None:
            values["mass_dg"] = details.mass.decigrams
        if details.mass_kind is not None:
            values["mass_kind"] = details.mass_kind.value
        for name, value in (
            ("laid_doubt_days", details.doubt_days), ("maternal", details.maternal), ("dam_id", details.dam),
            ("each_own", details.each_own), ("note", details.note),
        ):  # fmt: skip
            if value is not None:
                values[name] = int(value) if isinstance(value, bool) else value
        if values:
            act.update(Clutch, clutch, **values)
            if details.sires is None:
                _refuse_one_parent(act, clutch)
        if details.sires is not None:
            for (row,) in act.rows("SELECT id FROM clutch_sire WHERE clutch_id = ?", (clutch,)):
                act.delete(ClutchSire, row)
            _write_clutch_sires(act, clutch, details.sires)
        if details.sires is not None or details.dam is not None or details.each_own is not None:
            _follow(act, clutch)
        act.tell(say("{clutch} corrected", clutch=found.label))
    return act.outcome(Act.EDIT_CLUTCH, clutch)


def _follow(act: ActInHand, clutch: ClutchId) -> None:
    """Give every hatchling of the clutch its dam and sires anew."""
    sql = "SELECT h.animal_id FROM hatchling h JOIN egg e ON e.id = h.egg_id WHERE e.clutch_id = ?"
    young = [AnimalId(row) for (row,) in act.rows(sql, (clutch,))]
    for animal in young:
        for (row,) in act.rows("SELECT id FROM sire WHERE animal_id = ?", (animal,)):
            act.delete(Sire, row)
    write_parents(act, clutch, young)


def write_parents(act: ActInHand, clutch: ClutchId, young: Sequence[AnimalId]) -> None:
    """Dam and sires of a clutch to animals that came out of it, inside an act."""
    found = clutch_at_hand(act, clutch)
    rows = act.rows("SELECT sire_id, percent FROM clutch_sire WHERE clutch_id = ? ORDER BY id", (clutch,))
    sires = {AnimalId(sire): int(percent) for sire, percent in rows}
    for animal in young:
        act.update(Animal, animal, dam_id=found.dam)
        write_sires(act, animal, sires, found.each_own)
