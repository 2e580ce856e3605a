"""What stands on the sheet of one clutch: its eggs, a grid to write in, its story. No price, place or person."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.hatch_result import hatch_result
from coilbook.labels.code import LabelCode
from coilbook.reads.clutch_story import StoryLine, clutch_story, lay_there
from coilbook.reads.codes import code_of
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, Parent, PhotoTaken
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.reads.photos import thumbnail
from coilbook.reads.sire_odds import SireOdds
from coilbook.records.egg_vocabulary import EggState
from coilbook.records.message import Message, StorageTrouble, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import CodeKind, Sex
from coilbook.records.when import ShortDate, moment_from
from coilbook.storage.collection import Collection
from coilbook.wording.chances import percent

LOG = logging.getLogger(__name__)

#: pictures are printed some 87 mm wide: 1,000 pixels are 290 dots an inch
_PICTURE_PX = 1000


@dataclass(frozen=True, slots=True)
class SheetEgg:
    """One row of the grid: number, mass in tenths of a gram, how the egg stands on the day of printing."""

    number: int
    mass_dg: int | None
    state: EggState


@dataclass(frozen=True, slots=True)
class SheetPicture:
    """A picture of an egg or the box as the bytes of a small JPEG or PNG; None when its file is gone."""

    caption: Message
    image: bytes | None


@dataclass(frozen=True, slots=True)
class ClutchSheet:
    """Content of the sheet; `facts` are named lines, the story and the pictures oldest first."""

    label: str
    box: str
    code: LabelCode | None
    facts: tuple[tuple[Message, Message], ...]
    eggs: tuple[SheetEgg, ...]
    result: tuple[Message, ...]
    story: tuple[StoryLine, ...]
    printed: dt.date
    pictures: tuple[SheetPicture, ...] = ()


def clutch_sheet(
    collection: Collection,
    clutch: ClutchNow,
    box: BoxNowRow | None,
    window: HatchWindow | None,
    today: dt.date,
    *,
    boxes: Sequence[BoxNowRow] = (),
    odds: SireOdds | None = None,
) -> ClutchSheet:
    """The sheet of a clutch as it stands today, for the box it lies in beside it.

    `boxes` all in which its eggs lie or lay, `box` alone when none are named; `odds` who sired it, by what hatched.
    """
    boxes = boxes or ((box,) if box is not None else ())
    return ClutchSheet(
        label=clutch.label,
        box=box.label if box is not None else "",
        code=code_of(collection, CodeKind.EGG_BOX, box.id) if box is not None else None,
        facts=tuple(_facts(clutch, box, window, odds)),
        eggs=tuple(SheetEgg(egg.number, egg.mass_dg, egg.state) for egg in clutch.eggs),
        result=hatch_result([egg.story for egg in clutch.eggs]).told(),
        story=clutch_story(clutch, boxes),
        printed=today,
        pictures=_pictures(collection, clutch, boxes),
    )


def _pictures(collection: Collection, clutch: ClutchNow, boxes: Sequence[BoxNowRow]) -> tuple[SheetPicture, ...]:
    taken = [(photo, say("egg {number}", number=egg.number)) for egg in clutch.eggs for photo in egg.photos]
    for box in boxes:
        taken += [(photo, say("{box}", box=box.label)) for photo in box.photos if lay_there(clutch, box, photo.at)]
    made = []
    for photo, about in sorted(taken, key=lambda one: one[0].at):
        moment = moment_from(photo.at).date()
        caption = say("Day {n}, {date}: {about}", None, n=clutch.day_of(moment), date=ShortDate(moment), about=about)
        if photo.caption:
            caption = say("{caption}, {words}", caption=caption, words=photo.caption)
        made.append(SheetPicture(caption, _image(collection, photo)))
    return tuple(made)


def _image(collection: Collection, photo: PhotoTaken) -> bytes | None:
    try:
        return thumbnail(collection, photo.sha256, photo.ending, _PICTURE_PX)
    except StorageTrouble as error:
        LOG.warning("a picture of the sheet is missing: %s", error)
        return None


def _facts(
    clutch: ClutchNow, box: BoxNowRow | None, window: HatchWindow | None, odds: SireOdds | None
) -> list[tuple[Message, Message]]:
    facts = [(say("Dam"), _parent(clutch.dam) if clutch.dam is not None else say("not known"))]
    sires = [_parent(sire, sire.percent) for sire in clutch.sires] or [say("not known")]
    facts += [(say("Sire") if len(sires) == 1 else say("Possible sire"), sire) for sire in sires]
    facts += _odds_facts(odds) if odds is not None else []
    laid = say("{day} = day 0", day=clutch.laid)
    if clutch.doubt_days:
        laid = say("{day} = day 0, give or take {n} days", day=clutch.laid, n=clutch.doubt_days)
    facts.append((say("Laid"), laid))
    ahead = window.ahead if window is not None else None
    if ahead is not None:
        told = say("{first} to {last}, {odds}", first=ahead.first, last=ahead.last,
                   odds=percent(ahead.probability, 0))  # fmt: skip
        facts.append((say("First pip"), told))
    if clutch.mass_dg is not None:
        facts.append((say("Clutch"), say("{mass}, {how}", mass=Mass(clutch.mass_dg), how=clutch.mass_kind)))
    if box is not None:
        facts.append((say("Medium"), say("{medium}", medium=box.medium)))
        if box.start_dg is not None:
            facts.append((say("Box at the start"), say("{mass}, {lid}", mass=Mass(box.start_dg), lid=box.lid)))
    return facts


def _odds_facts(odds: SireOdds) -> list[tuple[Message, Message]]:
    """Who sired it after what hatched, each sire beside what was thought at laying; then what told it."""
    facts = []
    for name, before, now in zip(odds.sires, odds.before, odds.now, strict=True):
        who = say("{sire}", sire=name) if name else say("a male not on record")
        told = say("{sire}: {now} by what hatched, {before} at laying",
                   sire=who, now=percent(now, 0), before=percent(before, 0))  # fmt: skip
        facts.append((say("Sire now"), told))
    facts += [(say("It was told by"), step.told) for step in odds.steps]
    return facts + [(say("Mind"), note) for note in odds.notes]


def _parent(parent: Parent, percent: int = 100) -> Message:
    sex = {Sex.FEMALE: "\u2640 F", Sex.MALE: "\u2642 M"}.get(parent.sex, "")
    words = " ".join(part for part in (parent.name, sex, parent.genetics) if part)
    return say("{parent}", parent=words) if percent == 100 else say("{parent}, {n}%", None, parent=words, n=percent)
