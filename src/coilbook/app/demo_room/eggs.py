"""The demo's eggs: clutches of past years, and this season's at every stage, done by the acts a keeper does."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from coilbook.app.demo_room.cast import Creature, parse_sires
from coilbook.app.demo_room.deeds import Book, Deed
from coilbook.app.demo_room.egg_pictures import draw_egg
from coilbook.app.demo_room.recipe import Line, Recipe
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, do_to_box, look_at_box, water_box
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs
from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.operations.photos import add_egg_photo
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import ClutchMass, Dents, EggDeed, HatchEvent, Lid, Medium, Veins, Verdict
from coilbook.records.egg_vocabulary import Outcome as CameOf
from coilbook.records.ids import AnimalId, EggBoxId, EggId
from coilbook.records.message import say
from coilbook.records.quantities import Mass, Temperature
from coilbook.records.vocabulary import Act
from coilbook.records.when import PartialDate, moment_text
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Clutch, ClutchSire, Egg, EggLook, Hatching, Hatchling, LoggerDay

_SEEN: Mapping[str, EggSeen] = {
    "veins": EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR),
    "faint": EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.FAINT),
    "doubtful": EggSeen(verdict=Verdict.DOUBTFUL, dents=Dents.SLIGHT),
    "slug": EggSeen(verdict=Verdict.SLUG, veins=Veins.NONE),
    "dead": EggSeen(verdict=Verdict.DEAD, veins=Veins.NONE),
    "mould": EggSeen(mould=True),
    "dent": EggSeen(dents=Dents.SLIGHT),
    "worse": EggSeen(mould=True, came_of=CameOf.WORSE),
}
_LOGGED_EVERY = 10


@dataclass(frozen=True, slots=True)
class Doing:
    """One step of the eggs' story that is done by an operation: when, by whom, and what."""

    at: dt.datetime
    person: str
    do: Callable[[Collection], object]


# --- past years --------------------------------------------------------------------------------------------
def past_clutches(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Deed]:
    """Every clutch of the years before, with its eggs and the young that hatched from them."""
    by_name = {c.keeper_id: c for c in creatures} | {c.born_as: c for c in creatures if c.born_as}
    keeper = recipe.lines["keeper"]
    for number, line in enumerate(recipe.listed("clutches"), 1):
        young = [c for c in creatures if c.born_as and c.born_as.rsplit("-", 1)[0] == line["id"]]
        laid = dt.datetime.combine(line["laid"], dt.time(10, 20))
        told = say("{clutch}: {n} eggs laid", clutch=line["id"], n=line["good"] + line["slugs"])
        parents = {name: book.animal(by_name[name]) for name in (line["dam"], *parse_sires(line["sires"]))}
        yield Deed(laid, keeper, Act.LAY_CLUTCH, told, _laid(recipe, line, number, parents))
        if young:
            hatched = dt.datetime.combine(max(_day(c) for c in young) + dt.timedelta(1), dt.time(18, 5))
            told = say("{n} young of {clutch} linked to their eggs", n=len(young), clutch=line["id"])
            yield Deed(hatched, keeper, Act.HATCH_EGGS, told, _hatched(line, young, book))


def _day(creature: Creature) -> dt.date:
    assert creature.hatched is not None
    return creature.hatched.first


def _laid(recipe: Recipe, line: Line, number: int, parents: Mapping[str, int]) -> Callable[[ActInHand], None]:
    chance = recipe.chance("eggs", line["id"])

    def write(act: ActInHand) -> None:
        whole = line["good"] + line["slugs"]
        masses = [chance.randrange(700, 940) for _ in range(line["good"])]
        masses += [chance.randrange(280, 420) for _ in range(line["slugs"])]
        values = {"label": line["id"], "dam_id": parents[line["dam"]], "laid": line["laid"].isoformat()}
        clutch = act.insert(Clutch, **values, mass_dg=sum(masses), mass_kind=ClutchMass.EGGS.value)
        for sire, percent in parse_sires(line["sires"]).items():
            act.insert(ClutchSire, clutch_id=clutch, sire_id=parents[sire], percent=percent)
        for egg in range(1, whole + 1):
            row = act.insert(Egg, clutch_id=clutch, number=egg, mass_dg=masses[egg - 1])
            verdict = Verdict.GOOD if egg <= line["good"] else Verdict.SLUG
            act.insert(EggLook, egg_id=row, at=act.now_text, verdict=verdict.value, mass_dg=masses[egg - 1])

    return write


def _hatched(line: Line, young: Sequence[Creature], book: Book) -> Callable[[ActInHand], None]:
    def write(act: ActInHand) -> None:
        sql = "SELECT e.number, e.id FROM egg e JOIN clutch c ON c.id = e.clutch_id WHERE c.label = ?"
        eggs = dict(act.rows(sql, (line["id"],)))
        for one in young:
            egg = eggs[int(one.born_as.rsplit("-", 1)[1])]
            out = dt.datetime.combine(_day(one), dt.time(8, 30))
            pip, before = out - dt.timedelta(hours=22), out - dt.timedelta(hours=36)
            for event, at, not_yet in ((HatchEvent.PIP, pip, before), (HatchEvent.OUT, out, pip)):
                act.insert(Hatching, egg_id=egg, event=event.value, at=moment_text(at), not_yet_at=moment_text(not_yet))
            act.insert(Hatchling, animal_id=book.animal(one), egg_id=egg)

    return write


# --- this season -------------------------------------------------------------------------------------------
@dataclass
class _Season:
    """What the steps of one clutch share: ids given while they run, and the weight of the box."""

    line: Line
    recipe: Recipe
    animals: Mapping[str, int]
    eggs: dict[int, EggId] = field(default_factory=dict)
    box: EggBoxId | None = None
    taken_dg: int = 0


def this_season(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Deed | Doing]:
    """The incubator, and each clutch from laying on, in steps that each know their moment."""
    keeper = recipe.lines["keeper"]
    told = recipe.lines["incubator"]
    start = dt.datetime.combine(told["from"], dt.time(19, 0))
    details = IncubatorDetails(name=told["name"], set_at=Temperature.of(told["set"]), shelves=tuple(told["shelves"]))
    yield Doing(start, keeper, lambda c: _run(add_incubator, c, details=details))
    animals = {c.keeper_id: book.animal(c) for c in creatures}
    for line in recipe.listed("laid"):
        season = _Season(line, recipe, animals)
        yield Doing(_moment(line, 0, 0), keeper, _laying(season))
        for step, text in enumerate(line["story"], 1):
            day = int(text.split()[0])
            yield Doing(_moment(line, day, step), keeper, _step(season, text))
    logged = dt.datetime.combine(recipe.today, dt.time(9, 30))
    yield Deed(logged, keeper, Act.IMPORT_READINGS, say("{incubator}: readings brought in", incubator=told["name"]),
               _logged(recipe, told))  # fmt: skip


def _moment(line: Line, day: int, step: int) -> dt.datetime:
    return dt.datetime.combine(line["on"] + dt.timedelta(day), dt.time(9, 5)) + dt.timedelta(minutes=7 * step)


def _run(operation: Any, collection: Collection, **arguments: Any) -> Any:
    return operation(collection, **arguments).value


def _laying(season: _Season) -> Callable[[Collection], None]:
    line = season.line

    def do(collection: Collection) -> None:
        medium = Medium(line.get("medium", "vermiculite"))
        masses = {name: Mass(line[name] * 10) for name in ("start", "dry", "water") if name in line}
        box = BoxDetails(label=line["box"], incubator=1, medium=medium, lid=Lid.WITH, **masses)  # type: ignore[arg-type]
        sires = (
            {AnimalId(season.animals[name]): p for name, p in parse_sires(line["sires"]).items()}
            if line["sires"]
            else {}
        )
        laying = Laying(
            dam=AnimalId(season.animals[line["dam"]]),
            eggs=read_egg_line(line["eggs"]),
            laid=PartialDate(line["on"]),
            label=line["id"],
            sires=sires,
            box=box,
            dam_after=Mass(line["after"] * 10) if "after" in line else None,
        )
        clutch = _run(lay_clutch, collection, laying=laying)
        rows = collection.read("SELECT number, id, box_id FROM egg WHERE clutch_id = ?", (clutch,))
        season.eggs = {int(number): EggId(egg) for number, egg, _ in rows}
        season.box = EggBoxId(rows[0][2])

    return do


def _step(season: _Season, text: str) -> Callable[[Collection], None]:
    day, about, what, *rest = text.split(maxsplit=3)
    more = rest[0] if rest else ""

    def do(collection: Collection) -> None:
        if about == "box":
            _to_box(collection, season, int(day), what, more)
        elif about == "all":
            good = [n for n, egg in enumerate(read_egg_line(season.line["eggs"]), 1) if egg.verdict is Verdict.GOOD]
            _run(look_at_eggs, collection, looks={season.eggs[n]: _SEEN[what] for n in good})
        else:
            _to_egg(collection, season, int(about), what, more)

    return do


def _to_box(collection: Collection, season: _Season, day: int, what: str, more: str) -> None:
    if what == "fine":
        _run(look_at_box, collection, box=season.box, seen=BoxSeen(fine=True))
    elif what == "smell":
        _run(look_at_box, collection, box=season.box, seen=BoxSeen(smell=True))
    elif what == "weigh":
        line = season.line
        total = int(more) * 10 if more else line["start"] * 10 - season.taken_dg - round(day * line["loss"]) * 10
        _run(look_at_box, collection, box=season.box, seen=BoxSeen(total=Mass(total)), sure=True)
    elif what == "pour":
        _run(water_box, collection, box=season.box, added=Mass(int(more) * 10))
    else:
        _run(do_to_box, collection, box=season.box, what=EggDeed(what), how=more)


def _to_egg(collection: Collection, season: _Season, number: int, what: str, more: str) -> None:
    egg = season.eggs[number]
    if what in _SEEN:
        _run(look_at_eggs, collection, looks={egg: _SEEN[what]})
    elif what == "photo":
        picture = draw_egg(more, season.recipe.chance("egg photo", season.line["id"], number, more))
        _run(add_egg_photo, collection, picture=picture, egg=egg, caption=more)
    elif what == "pip":
        _run(hatch_eggs, collection, eggs=[OfEgg(egg)], event=HatchEvent.PIP)
    elif what == "out":
        looks = season.line.get("looks", {}).get(str(number), "")
        young = NewHatchling(egg=egg, mass=Mass(int(more) * 10), genetics=looks)
        _run(make_hatchlings, collection, young=[young])
    elif what == "removed":
        season.taken_dg += int(more) * 10
        _run(do_to_eggs, collection, eggs=[egg], what=EggDeed.REMOVED, away=Mass(int(more) * 10), why="dark, no veins")
    else:
        _run(do_to_eggs, collection, eggs=[egg], what=EggDeed(what), how=more, why="mould")


def _logged(recipe: Recipe, told: Line) -> Callable[[ActInHand], None]:
    """A logger's readings every ten minutes: calm, with one night the power was out and ten hours nobody logged."""
    chance = recipe.chance("incubator")

    def write(act: ActInHand) -> None:
        day = told["from"]
        drift = 0.0
        while day <= recipe.today:
            pairs = []
            for minute in range(0, 24 * 60, _LOGGED_EVERY):
                at = dt.datetime.combine(day, dt.time()) + dt.timedelta(minutes=minute)
                if at > recipe.now:
                    break
                drift = 0.96 * drift + chance.gauss(0, 0.05)
                if not _not_logged(recipe, at):
                    pairs.append(f"{minute}:{round(_celsius(told, at, drift, chance) * 10)}")
            act.insert(LoggerDay, incubator_id=1, day=str(day), readings=",".join(pairs))
            day += dt.timedelta(1)

    return write


def _not_logged(recipe: Recipe, at: dt.datetime) -> bool:
    gap = dt.datetime.combine(recipe.today - dt.timedelta(6), dt.time(8))
    return gap <= at < gap + dt.timedelta(hours=10)


def _celsius(told: Line, at: dt.datetime, drift: float, chance: random.Random) -> float:
    hours: float = (at - told["out"]).total_seconds() / 3600
    set_at, coldest, lasted = float(told["set"]), float(told["coldest"]), int(told["out_hours"])
    celsius = set_at + drift + chance.gauss(0, 0.03)
    if 0 <= hours <= lasted:
        return celsius - (set_at - coldest) * hours / lasted
    if lasted < hours < lasted + 2:
        return celsius - (set_at - coldest) * (lasted + 2 - hours) / 2
    return celsius
