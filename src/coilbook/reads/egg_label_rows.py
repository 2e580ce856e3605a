"""Egg boxes, their lids and hatchlings' cups as rows of the label queue, in shelf order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from coilbook.labels.code import LabelCode
from coilbook.labels.content import CupLabel, EggBoxLabel, EggBoxLid, LabelContent, sex_mark
from coilbook.reads.codes import codes_of
from coilbook.reads.egg_boxes import boxes
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow
from coilbook.reads.hatch_day import hatched_not_before
from coilbook.reads.hatch_windows import HatchWindow, hatch_windows
from coilbook.reads.label_rows import LabelRow
from coilbook.records.egg_vocabulary import Medium, Verdict
from coilbook.records.ids import AnimalId, ClutchId, EggBoxId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import CodeKind, Precision, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from coilbook.wording.hatch_words import hatch_day
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import words


def boxes_with_eggs(collection: Collection) -> list[EggBoxId]:
    """Every box in use that holds eggs, by incubator and place."""
    rows = collection.read(
        "SELECT b.id FROM egg_box b WHERE b.emptied IS NULL AND EXISTS (SELECT 1 FROM egg e WHERE e.box_id = b.id)"
        " ORDER BY b.incubator_id, b.shelf, b.spot, b.id"
    )
    return [EggBoxId(row) for (row,) in rows]


def cups(collection: Collection) -> list[AnimalId]:
    """Every hatchling here that has no tub yet, by clutch and egg."""
    rows = collection.read(
        "SELECT h.animal_id FROM hatchling h JOIN egg e ON e.id = h.egg_id JOIN clutch c ON c.id = e.clutch_id"
        " JOIN animal a ON a.id = h.animal_id WHERE a.status = 'here' AND a.place_id IS NULL"
        " ORDER BY c.label, e.number, h.twin"
    )
    return [AnimalId(row) for (row,) in rows]


def box_label_rows(
    collection: Collection, wanted: Iterable[EggBoxId], today: dt.date, style: Style, *, lids: bool = False
) -> list[LabelRow]:
    """Labels of these boxes, for their sides or for their lids."""
    found = boxes(collection, list(wanted))
    codes = codes_of(collection, CodeKind.EGG_BOX, [int(box.id) for box in found])
    windows = {} if lids else hatch_windows(collection, found, today)
    printed = dict(collection.read("SELECT code, max(at) FROM label_print WHERE code LIKE 'E%' GROUP BY code"))
    return [_box_row(box, codes.get(box.id), windows, style, lids, printed) for box in found]


def _box_row(
    box: BoxNowRow,
    code: LabelCode | None,
    windows: dict[ClutchId, HatchWindow],
    style: Style,
    lid: bool,
    printed: dict[str, str],
) -> LabelRow:
    names = ", ".join(clutch.label for clutch in box.clutches)
    content: LabelContent | None = None
    problem: Message | None = None
    if code is None:
        problem = say("{place} has no code.", place=box.label)
    elif lid:
        content = EggBoxLid(code, box.label, names)
    elif not box.clutches:
        problem = say("{box} holds no clutch yet.", box=box.label)
    else:
        content = _side(box, code, windows, style)
    return LabelRow(
        animal=None,
        slot=None,
        name=box.label,
        sex=Sex.UNSEXED,
        sex_percent=100,
        says=names or translated("no clutch"),
        place=box.incubator_name,
        code=code,
        content=content,
        problem=problem,
        printed_at=printed.get(code.text) if code is not None else None,
        box=box.id,
    )


def _side(box: BoxNowRow, code: LabelCode, windows: dict[ClutchId, HatchWindow], style: Style) -> EggBoxLabel:
    first = box.clutches[0]
    rows = [
        (
            translated("laid"),
            translated("{day} = day 0").format(day=style.date(first.laid, weekday=_to_the_day(first))),
        ),
        (translated("eggs"), _eggs_words(box)),
    ]
    window = windows.get(first.id)
    ahead = window.ahead if window is not None else None
    if ahead is not None:
        days = f"{first.day_of(ahead.first)} - {first.day_of(ahead.last)}"
        text = translated("{first} - {last}" if first.laid_day.give_or_take else "{first} - {last} (d {days})").format(
            first=style.date(ahead.first, year=False), last=style.date(ahead.last), days=days
        )
        rows.append((translated("hatch"), text))
    rows.append((translated("medium"), _medium_words(box)))
    start = ""
    if box.start_dg is not None:
        start = translated("start {mass}, {lid}").format(mass=style.mass(box.start_dg), lid=words(box.lid))
    clutch = " + ".join(c.label for c in box.clutches)
    return EggBoxLabel(code, clutch, box.label, _parents(box.clutches), tuple(rows), start)


def _to_the_day(clutch: ClutchNow) -> bool:
    return clutch.laid.first == clutch.laid.last


def _eggs_words(box: BoxNowRow) -> str:
    slugs = sum(egg.verdict is Verdict.SLUG for egg in box.eggs)
    text = translated_plural("{n} egg", "{n} eggs", len(box.eggs) - slugs)
    if slugs:
        text += " + " + translated_plural("{n} slug", "{n} slugs", slugs)
    numbers = [egg.number for egg in box.eggs]
    if numbers and len(box.clutches) == 1:
        text += translated(", numbered {first} - {last}").format(first=min(numbers), last=max(numbers))
    return text


def _medium_words(box: BoxNowRow) -> str:
    name = words(box.medium)
    if box.medium is Medium.GRID or not box.dry_dg or not box.water_dg:
        return name
    ratio = f"{box.water_dg / box.dry_dg:.2f}".rstrip("0").rstrip(".")
    return translated("{medium} : water 1 : {ratio} by weight").format(medium=name, ratio=ratio)


def _parents(clutches: Sequence[ClutchNow]) -> str:
    told = []
    for clutch in clutches:
        dam = f"{clutch.dam.name} {sex_mark(Sex.FEMALE)}" if clutch.dam is not None else translated("dam not known")
        sire = translated("sire not known")
        if clutch.sires:
            sire = f"{clutch.sires[0].name} {sex_mark(Sex.MALE)}"
            others = ", ".join(parent.name for parent in clutch.sires[1:])
            sire += translated(" (or {others})").format(others=others) if others else ""
        told.append(f"{dam} × {sire}")
    return "; ".join(told)


def cup_label_rows(collection: Collection, wanted: Iterable[AnimalId], style: Style) -> list[LabelRow]:
    """Labels of hatchlings' cups, in the order asked for."""
    ids = list(dict.fromkeys(wanted))
    codes = codes_of(collection, CodeKind.HATCHLING, [int(a) for a in ids])
    codes = {**codes_of(collection, CodeKind.ANIMAL, [int(a) for a in ids]), **codes}
    printed = dict(collection.read("SELECT code, max(at) FROM label_print GROUP BY code"))
    return [_cup_row(collection, animal, codes.get(animal), style, printed) for animal in ids]


def _cup_row(
    collection: Collection, animal: AnimalId, code: LabelCode | None, style: Style, printed: dict[str, str]
) -> LabelRow:
    row = collection.read_one(
        "SELECT a.keeper_id, a.sex, a.sex_percent, a.genetics, a.hatched, coalesce(p.label, ''), (SELECT w.mass_dg FROM"
        " weight w WHERE w.animal_id = a.id AND w.doubted = 0 ORDER BY w.at, w.id LIMIT 1), a.hatched_precision"
        " FROM animal a LEFT JOIN place p ON p.id = a.place_id WHERE a.id = ?",
        (animal,),
    )
    if row is None:
        raise Refusal(say("That animal is no longer in the book; it may have been undone."))
    name, sex, percent, genetics, hatched, place, mass, precision = row
    sex_text = translated("sex ?")
    if sex != Sex.UNSEXED:
        sex_text = sex_mark(Sex(sex), unsure=int(percent) < 95)
    about = "  ".join(part for part in (sex_text, style.mass(mass) if mass is not None else "") if part)
    day = ""
    if hatched:
        on = PartialDate(dt.date.fromisoformat(str(hatched)[:10]), Precision(precision or Precision.DAY))
        day = translated("hatched {day}").format(day=hatch_day(style, on, hatched_not_before(collection, animal)))
    content: LabelContent | None = None
    problem: Message | None = say("{animal} has no code.", animal=name) if code is None else None
    if code is not None:
        try:
            content = CupLabel(code, str(name), str(genetics) or translated("not identified yet"), about, day)
        except Refusal as refusal:
            problem = refusal.message
    return LabelRow(
        animal=animal,
        slot=None,
        name=str(name),
        sex=Sex(sex),
        sex_percent=int(percent),
        says=str(genetics),
        place=str(place),
        code=code,
        content=content,
        problem=problem,
        printed_at=printed.get(code.text) if code is not None else None,
    )
