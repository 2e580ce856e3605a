"""The demo's seasons: plans, stays, locks, follicles, ovulations and pre-lay sheds, of now and of the years before.

The present season stands in the recipe; the past ones are drawn back from the layings. Rates and gaps are invented
near what keepers tell (common practice); nothing in the program rests on them.
"""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coilbook.app.demo_room.cast import Creature, parse_sires
from coilbook.app.demo_room.deeds import Book, Deed, Write
from coilbook.app.demo_room.recipe import Line, Recipe
from coilbook.operations.forecast_keeping import keep_forecasts
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import (
    FollicleMethod,
    LockCertainty,
    OvulationCertainty,
    PlanState,
    PreLay,
    SeasonEnd,
)
from coilbook.records.vocabulary import Act, ShedKind
from coilbook.records.when import moment_text
from coilbook.storage.act import ActInHand
from coilbook.storage.columns import Base
from coilbook.storage.season_tables import Follicle, LockSeen, Ovulation, PairingPlan, RackCooling, SeasonOutcome, Stay
from coilbook.storage.tables import Shed, ShedMark

_STAY_DAYS = 2


@dataclass(frozen=True, slots=True)
class _Together:
    """A stay of the story: `seen` what was seen on its second day."""

    male: str
    first: dt.date
    days: int = _STAY_DAYS
    seen: LockCertainty | None = None
    still: bool = False


@dataclass(frozen=True, slots=True)
class _Her:
    """One season of one female as a story."""

    name: str
    stays: tuple[_Together, ...] = ()
    follicles: tuple[tuple[dt.date, str], ...] = ()
    ovulation: tuple[dt.date, OvulationCertainty, int | None] | None = None
    shed: tuple[dt.date, PreLay] | None = None
    end: tuple[dt.date, SeasonEnd, str] | None = None


def laying_sheds(recipe: Recipe) -> dict[str, list[dt.date]]:
    """Days of the pre-lay sheds of each female: other sheds of hers keep away from them."""
    found: dict[str, list[dt.date]] = {}
    for story in _stories(recipe):
        if story.shed is not None:
            found.setdefault(story.name, []).append(story.shed[0])
    return found


def seasons(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Deed]:
    """Every entry of every season."""
    animals = {c.keeper_id: book.animal(c) for c in creatures}
    places = {c.keeper_id: book.places.get(c.place) for c in creatures}
    teller = _Teller(recipe, animals, places)
    for story in _stories(recipe):
        yield from teller.of(story)
    yield from teller.plans()
    yield from teller.cooling(book)


# --- the stories -------------------------------------------------------------------------------------------
def _stories(recipe: Recipe) -> list[_Her]:
    past = [*recipe.listed("clutches"), *recipe.lines.get("laid", [])]
    return [*(_drawn_back(recipe, line) for line in past), *(_told(line) for line in recipe.listed("season"))]


def _drawn_back(recipe: Recipe, line: Line) -> _Her:
    """What came before a laying: each female has days of her own, each season some of its own."""
    hers, chance = recipe.chance("female", line["dam"]), recipe.chance("season", line["id"])
    laid: dt.date = line["laid"] if "laid" in line else line["on"]
    to_laying = round(30 + hers.gauss(0, 2.4) + chance.gauss(0, 2.0))
    to_shed = round(19 + hers.gauss(0, 1.4) + chance.gauss(0, 1.8))
    shed = laid - dt.timedelta(to_laying)
    ovulated = shed - dt.timedelta(to_shed)
    seen = chance.choice((OvulationCertainty.SEEN, OvulationCertainty.SEEN, OvulationCertainty.INFERRED))
    males = list(parse_sires(line["sires"])) or ["M-04"]
    stays = tuple(_drawn_stay(chance, males, ovulated, back) for back in (86, 58, 33, 12))
    sizes = tuple(
        (ovulated - dt.timedelta(back + chance.randrange(5)), str(mm + chance.randrange(-2, 3)))
        for back, mm in ((70, 16), (24, 32))
    )
    return _Her(line["dam"], stays, sizes, (ovulated, seen, None), (shed, PreLay.PRE_LAY))


def _drawn_stay(chance: random.Random, males: Sequence[str], ovulated: dt.date, back: int) -> _Together:
    first = ovulated - dt.timedelta(back + chance.randrange(6))
    seen = chance.choice((LockCertainty.LOCK, LockCertainty.LOCK, LockCertainty.LIKELY, LockCertainty.COURTING, None))
    return _Together(chance.choice(list(males)), first, chance.choice((1, 2, 2, 3)), seen)


def _told(line: Line) -> _Her:
    """A line of the recipe: stays "M-03 2026-01-09 2 lock", follicles "2026-01-18 31" or "2026-02-01 grade 4"."""
    stays = tuple(_told_stay(text) for text in line.get("stays", ()))
    sizes = tuple((dt.date.fromisoformat(day), size) for day, _, size in (t.partition(" ") for t in line.get("mm", ())))
    ovulation = shed = end = None
    if "ovulation" in line:
        day, certainty, *days = line["ovulation"].split()
        give = int(days[0]) if days else None
        ovulation = (dt.date.fromisoformat(day), OvulationCertainty(certainty), give)
    if "shed" in line:
        day, _, was = line["shed"].partition(" ")
        shed = (dt.date.fromisoformat(day), PreLay(was or "pre_lay"))
    if "end" in line:
        day, outcome, *why = line["end"].split(" ", 2)
        end = (dt.date.fromisoformat(day), SeasonEnd(outcome), why[0] if why else "")
    return _Her(line["id"], stays, sizes, ovulation, shed, end)


def _told_stay(text: str) -> _Together:
    male, day, days, *seen = text.split()
    still = days == "still"
    certainty = LockCertainty(seen[0]) if seen else None
    return _Together(male, dt.date.fromisoformat(day), _STAY_DAYS if still else int(days), certainty, still)


# --- the acts ----------------------------------------------------------------------------------------------
@dataclass
class _Teller:
    """Turns stories into acts; numbers the stays itself, so that their ends and locks can name them."""

    recipe: Recipe
    animals: Mapping[str, int]
    places: Mapping[str, int | None]
    stay: int = 0

    def of(self, story: _Her) -> Iterator[Deed]:
        """Every act of one story."""
        for number, together in enumerate(story.stays):
            yield from self._together(story.name, together, forecast=number == 0)
        for day, size in story.follicles:
            yield self._follicle(story.name, day, size)
        if story.ovulation is not None:
            yield self._ovulation(story.name, *story.ovulation)
        if story.shed is not None:
            yield self._shed(story.name, *story.shed)
        if story.end is not None:
            day, outcome, why = story.end
            values = {"animal_id": self.animals[story.name], "outcome": outcome.value, "note": why}
            told = say("{animal}: {outcome}", animal=story.name, outcome=outcome)
            yield self._deed(_evening(day), Act.END_SEASON, told, SeasonOutcome, values)

    def _deed(
        self,
        at: dt.datetime,
        kind: Act,
        told: Message,
        model: type[Base],
        values: Mapping[str, object],
        forecast: int = 0,
    ) -> Deed:
        def write(act: ActInHand) -> None:
            act.insert(model, **{"at": moment_text(at), **values})
            if forecast:
                keep_forecasts(act, AnimalId(forecast))

        return Deed(at, self.recipe.lines["keeper"], kind, told, write)

    def _together(self, female: str, together: _Together, *, forecast: bool) -> Iterator[Deed]:
        self.stay += 1
        stay, male = self.stay, together.male
        start = _evening(together.first)
        values = {"id": stay, "female_id": self.animals[female], "male_id": self.animals[male]}
        told = say("{male} put with {female}", male=male, female=female)
        yield self._deed(start, Act.ENTER_STAY, told, Stay, values | {"place_id": self.places[female]},
                         forecast=self.animals[female] if forecast else 0)  # fmt: skip
        if together.seen is not None:
            at = start + dt.timedelta(hours=4 if together.days < 2 else 27)
            told = say("{male} with {female}: {seen}", male=male, female=female, seen=together.seen)
            yield self._deed(at, Act.SEE_LOCK, told, LockSeen, {"stay_id": stay, "certainty": together.seen.value})
        if not together.still:
            end = start + dt.timedelta(days=together.days, hours=1)
            told = say("{male} out of {female}, {n} day", "{male} out of {female}, {n} days",
                       male=male, female=female, n=together.days)  # fmt: skip
            yield Deed(end, self.recipe.lines["keeper"], Act.LEAVE_STAY, told,
                       lambda act: act.update(Stay, stay, until=moment_text(end)))  # fmt: skip

    def _follicle(self, female: str, day: dt.date, size: str) -> Deed:
        values: dict[str, object] = {"animal_id": self.animals[female]}
        if size.startswith("grade"):
            grade = int(size.split()[1])
            values |= {"method": FollicleMethod.PALPATION.value, "grade": grade}
            told = say("{animal}: follicles felt, grade {grade}", animal=female, grade=grade)
        else:
            values |= {"method": FollicleMethod.ULTRASOUND.value, "mm_tenths": 10 * int(size), "typed": size}
            told = say("{animal}: follicles of {mm} mm", animal=female, mm=size)
        at = _evening(day, 17)
        return self._deed(at, Act.FEEL_FOLLICLES, told, Follicle, values, forecast=self.animals[female])

    def _ovulation(self, female: str, day: dt.date, certainty: OvulationCertainty, give: int | None) -> Deed:
        animal = self.animals[female]
        values = {"animal_id": animal, "certainty": certainty.value, "doubt_days": give}
        told = say("{animal}: ovulation, {certainty}", animal=female, certainty=certainty)
        return self._deed(_evening(day, 21), Act.SEE_OVULATION, told, Ovulation, values, forecast=animal)

    def _shed(self, female: str, day: dt.date, was: PreLay) -> Deed:
        at, animal = _evening(day, 8), self.animals[female]

        def write(act: ActInHand) -> None:
            row = act.insert(Shed, animal_id=animal, at=moment_text(at), kind=ShedKind.COMPLETE.value)
            act.insert(ShedMark, shed_id=row, was=was.value)
            keep_forecasts(act, AnimalId(animal))

        told = say("{animal} shed, {kind}", animal=female, kind=ShedKind.COMPLETE)
        return Deed(at, self.recipe.lines["keeper"], Act.SHED, told, write)

    def plans(self) -> Iterator[Deed]:
        """Planned pairings; those that happened were done by their first stay."""
        for line in self.recipe.listed("plans"):
            at = _evening(line["made"], 20)
            values = {
                "female_id": self.animals[line["female"]],
                "male_id": self.animals[line["male"]],
                "backup_id": self.animals.get(line.get("backup", "")),
                "made_on": line["made"].isoformat(),
                "day": line["day"].isoformat() if "day" in line else None,
                "target": line.get("target", ""),
                "reason": line.get("reason", ""),
                "state": PlanState(line.get("state", "open")).value,
            }
            told = say("{male} planned for {female}", male=line["male"], female=line["female"])
            yield Deed(at, self.recipe.lines["keeper"], Act.PLAN_PAIRING, told, _inserted(PairingPlan, values))

    def cooling(self, book: Book) -> Iterator[Deed]:
        """Racks cooled at night."""
        for line in self.recipe.listed("cooling"):
            values = {
                "place_id": book.places[line["rack"]],
                "since": line["since"].isoformat(),
                "until": line["until"].isoformat(),
                "night_tenths": round(10 * line["night"]),
            }
            told = say("{place} cooled at night", place=line["rack"])
            at = _evening(line["until"], 20)
            yield Deed(at, self.recipe.lines["keeper"], Act.COOL_RACK, told, _inserted(RackCooling, values))


def _inserted(model: type[Base], values: Mapping[str, object]) -> Write:
    def write(act: ActInHand) -> None:
        act.insert(model, **values)

    return write


def _evening(day: dt.date, hour: int = 19) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(hour, 10))
