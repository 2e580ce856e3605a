"""What hangs on the door of an incubator: every place on its shelves, what stands there and what it needs."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from coilbook.reads.egg_rows import BoxNowRow
from coilbook.reads.egg_words import box_day
from coilbook.reads.eggs_now import EggsNow
from coilbook.records.egg_vocabulary import EggState
from coilbook.records.message import Message, say
from coilbook.records.quantities import Temperature
from coilbook.records.when import ShortDate
from coilbook.wording.chances import percent


@dataclass(frozen=True, slots=True)
class ShelfPlace:
    """One place: its number, the box in it ("" when free), its clutches, day, eggs by state, window, what it needs."""

    spot: int | None
    box: str
    clutches: str
    day: int | None
    eggs: Message | None
    pips: Message | None
    needs: Message | None


@dataclass(frozen=True, slots=True)
class ShelfRows:
    """One shelf with its places, free ones too."""

    name: str
    places: tuple[ShelfPlace, ...]


@dataclass(frozen=True, slots=True)
class IncubatorList:
    """One incubator; the last one holds boxes without a place and has no name."""

    name: str
    set_at: Temperature | None
    shelves: tuple[ShelfRows, ...]


@dataclass(frozen=True, slots=True)
class ShelfList:
    """Every incubator as it stands on the day of printing."""

    incubators: tuple[IncubatorList, ...]
    printed: dt.date


def shelf_list(now: EggsNow) -> ShelfList:
    """The list of all incubators; boxes that stand in none, or on a place that is not there, come last."""
    found, listed = [], set()
    for incubator in now.incubators:
        by_place = {(b.shelf, b.spot): b for b in now.boxes if b.incubator == incubator.id}
        shelves = []
        for shelf, name in enumerate(incubator.shelves, 1):
            places = []
            for spot in range(1, incubator.per_shelf + 1):
                box = by_place.get((shelf, spot))
                listed |= {box.id} if box is not None else set()
                places.append(_place(now, spot, box))
            shelves.append(ShelfRows(name, tuple(places)))
        set_at = Temperature(incubator.set_tenths) if incubator.set_tenths is not None else None
        found.append(IncubatorList(incubator.name, set_at, tuple(shelves)))
    loose = tuple(_place(now, None, box) for box in now.boxes if box.id not in listed)
    if loose:
        found.append(IncubatorList("", None, (ShelfRows("", loose),)))
    return ShelfList(tuple(found), now.today)


def _place(now: EggsNow, spot: int | None, box: BoxNowRow | None) -> ShelfPlace:
    if box is None:
        return ShelfPlace(spot, "", "", None, None, None, None)
    names = ", ".join(clutch.label for clutch in box.clutches)
    day = box_day(box, now.today) if box.clutches else None
    return ShelfPlace(spot, box.label, names, day, _eggs(box), _pips(now, box), now.word(box).told)


def _eggs(box: BoxNowRow) -> Message | None:
    """Eggs that lie there still, by what was last thought of them."""
    count = Counter(egg.state for egg in box.eggs if egg.in_the_box)
    told: Message | None = None
    for state in EggState:
        if count[state]:
            slugs = say("{n} slug", "{n} slugs", n=count[state])
            part = slugs if state is EggState.SLUG else say("{n} {state}", None, n=count[state], state=state)
            told = part if told is None else say("{first}, {rest}", first=told, rest=part)
    return told


def _pips(now: EggsNow, box: BoxNowRow) -> Message | None:
    """The first window of hatching of the clutches in it."""
    windows = [now.windows[clutch.id].ahead for clutch in box.clutches if clutch.id in now.windows]
    ahead = min((one for one in windows if one is not None), key=lambda one: one.first, default=None)
    if ahead is None:
        return None
    return say("{first} - {last} ({odds})", first=ShortDate(ahead.first), last=ShortDate(ahead.last),
               odds=percent(ahead.probability, 0))  # fmt: skip
