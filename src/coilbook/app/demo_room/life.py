"""What happens to one animal of the demo, drawn day by day: meals, weights, sheds, signs.

The rates are invented for looks, near what keepers tell (common practice); nothing in the program rests on them.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from coilbook.app.demo_room.cast import Creature
from coilbook.app.demo_room.recipe import Rack, Recipe
from coilbook.records.vocabulary import FeedingResult as Fed
from coilbook.records.vocabulary import Precision, PreyState, RefusalReason, Sex, ShedKind, Sign, WeightTag

#: what is offered up to a body weight (grams); common practice in kind, the steps are invented
_PREY = ((90, "rat pup"), (180, "fuzzy rat"), (480, "weaned rat"), (1100, "small rat"), (10_000, "medium rat"))
_SCRIPTED_NIGHT = dt.date(2026, 3, 19)
_WEIGHING_DAY = dt.date(2026, 3, 22)
_HOLD = dt.timedelta(12)
#: days between a shed of the season and any other
_APART = 24


@dataclass(frozen=True, slots=True)
class Meal:
    """An offer; `closed` None while nobody has looked."""

    at: dt.datetime
    result: Fed
    reason: str
    prey: str
    state: PreyState
    closed: dt.datetime | None
    place: str


@dataclass(slots=True)
class Life:
    """Everything recorded of one animal, each list in order of time."""

    creature: Creature
    meals: list[Meal] = field(default_factory=list)
    #: (meal, when it was found)
    came_back: list[tuple[Meal, dt.datetime]] = field(default_factory=list)
    #: (at, decigrams, tag, doubted, typed)
    weights: list[tuple[dt.datetime, int, WeightTag, bool, str]] = field(default_factory=list)
    sheds: list[tuple[dt.datetime, ShedKind]] = field(default_factory=list)
    signs: list[tuple[dt.datetime, Sign]] = field(default_factory=list)
    notes: list[tuple[dt.datetime, str]] = field(default_factory=list)


def live(recipe: Recipe, creature: Creature) -> Life:
    """The records of one animal from its first day in the room to its last, or to the demo's today."""
    creature.laid.sort()
    chance = recipe.chance("life", creature.born_as or creature.keeper_id)
    life = Life(creature)
    _sheds(recipe, life, chance)
    _weights(recipe, life, chance)
    _meals(recipe, life, chance)
    _signs(recipe, life, chance)
    _notes(recipe, life, chance)
    for entries in (life.weights, life.sheds, life.signs, life.notes):
        entries.sort(key=lambda entry: entry[0])
    return life


def _hatched(creature: Creature) -> dt.date:
    middle = {Precision.YEAR: 181, Precision.MONTH: 15}.get(creature.hatched.precision, 0)
    return creature.hatched.first + dt.timedelta(middle)


def _at(day: dt.date, hour: int, minute: int) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(hour + minute // 60, minute % 60))


def _days(recipe: Recipe, creature: Creature, every: int, last: dt.date) -> Iterator[dt.date]:
    """Days of a rhythm counted back from `last`, oldest first, on which the animal was there."""
    count = (last - creature.in_care).days // every
    for step in range(count, -1, -1):
        day = last - dt.timedelta(every * step)
        if not creature.away(day) and day <= recipe.today:
            yield day


#: lost at laying, as a share, and the days until it is back (invented near common practice)
_LOST_AT_LAYING, _BACK_DAYS = 0.27, 170


def grams_on(recipe: Recipe, creature: Creature, day: dt.date) -> float:
    """Body weight on a day before the noise of a scale: growth, the loss at laying and the way back."""
    if not creature.scale:
        creature.scale = _anchor(recipe, creature)
    return _shape(creature, day) * creature.scale * _after_laying(creature, day)


def _after_laying(creature: Creature, day: dt.date) -> float:
    """What is left of her after this season's laying: her weight in the recipe is the one she went into it with."""
    if creature.laid_now is None or day < creature.laid_now[0]:
        return 1.0
    laid, after = creature.laid_now
    lost = _LOST_AT_LAYING if after is None else 1 - after / (_shape(creature, laid) * creature.scale)
    return 1 - lost * (1 - min((day - laid).days / _BACK_DAYS, 1.0))


def _shape(creature: Creature, day: dt.date) -> float:
    years = max(0.0, (day - _hatched(creature)).days / 365.25)
    full = max(creature.grams, 300) * 1.08
    grown = 62 + (full - 62) * (1 - math.exp(-((years / 2.1) ** 1.35)))
    for laid in creature.laid:
        since = (day - laid).days
        if 0 <= since < _BACK_DAYS:
            grown *= 1 - _LOST_AT_LAYING * (1 - since / _BACK_DAYS)
        elif -70 < since < 0:
            grown *= 1 + 0.05 * (1 + since / 70)
    return grown


def _anchor(recipe: Recipe, creature: Creature) -> float:
    story = [w for w in recipe.listed("weights") if w["id"] == creature.keeper_id and not w.get("doubted")]
    if story:
        return float(story[0]["g"]) / _shape(creature, story[0]["at"])
    last = creature.line.get("weighed", min(_WEIGHING_DAY, *(t.on for t in creature.turns), _WEIGHING_DAY))
    return creature.grams / _shape(creature, last)


def _weights(recipe: Recipe, life: Life, chance: random.Random) -> None:
    creature = life.creature
    story = [w for w in recipe.listed("weights") if w["id"] == creature.keeper_id]
    ends = min((w["at"] for w in story), default=dt.date.max)
    last = creature.line.get("weighed", _WEIGHING_DAY)
    for day in _days(recipe, creature, 14, last):
        age = (day - _hatched(creature)).days
        if day >= ends or (age > 120 and (last - day).days % 28):
            continue
        exact = day == last
        grams = grams_on(recipe, creature, day) * (1 if exact else chance.gauss(1, 0.008))
        gravid = any(-50 < (day - laid).days < 0 for laid in creature.laid)
        tag = WeightTag.GRAVID if gravid else chance.choice((WeightTag.EMPTY, WeightTag.UNSAID))
        life.weights.append((_at(day, 10, chance.randrange(90)), round(grams) * 10, tag, False, ""))
    for laid in creature.laid:
        if not creature.away(laid):
            grams = round(grams_on(recipe, creature, laid))
            life.weights.append((_at(laid, 9, 40), grams * 10, WeightTag.AFTER_LAYING, False, ""))
    if creature.laid_now is not None and creature.laid_now[1] is None:
        laid = creature.laid_now[0]
        grams = round(grams_on(recipe, creature, laid))
        life.weights.append((_at(laid, 21, 40), grams * 10, WeightTag.AFTER_LAYING, False, ""))
    for order, line in enumerate(story):
        tag = WeightTag(line.get("tag", "empty"))
        doubted = bool(line.get("doubted", False))
        life.weights.append((_at(line["at"], 21, order), line["g"] * 10, tag, doubted, f"{line['g']} g"))


def _sheds(recipe: Recipe, life: Life, chance: random.Random) -> None:
    creature = life.creature
    day = creature.in_care + dt.timedelta(9 if creature.in_care == creature.hatched.first else chance.randrange(50))
    end = recipe.today - dt.timedelta(20 if creature.line.get("blue") else 1)
    while day <= end:
        if not creature.away(day):
            if chance.random() < 0.6 and not creature.away(day - dt.timedelta(8)):
                life.sheds.append((_at(day - dt.timedelta(8), 20, 15), ShedKind.BLUE))
            kind = chance.choices((ShedKind.COMPLETE, ShedKind.INCOMPLETE, ShedKind.EYECAPS), (92, 6, 2))[0]
            life.sheds.append((_at(day, 8, chance.randrange(50)), kind))
        age = (day - _hatched(creature)).days
        day += dt.timedelta(int(chance.gauss(64 if age > 900 else 36 + age / 40, 5)))
    # those near a shed of the season are left out afterwards, so that everything else is drawn as it was
    life.sheds = [
        s for s in life.sheds if all(abs((s[0].date() - shed).days) >= _APART for shed in creature.laying_sheds)
    ]
    if creature.line.get("blue"):
        life.sheds.append((_at(recipe.today - dt.timedelta(3), 20, 5), ShedKind.BLUE))


def _meals(recipe: Recipe, life: Life, chance: random.Random) -> None:
    creature = life.creature
    racks = {rack.name: rack for rack in recipe.racks}
    blues = [(s[0].date(), s[0].date() + dt.timedelta(9)) for s in life.sheds if s[1] is ShedKind.BLUE]
    last_taken = creature.line.get("last") or recipe.lines["last_meals"].get(creature.keeper_id)
    hold = dt.date.min
    for day in _days(recipe, creature, creature.interval, _anchor_night(creature, racks)):
        newborn = creature.in_care == creature.hatched.first and (day - creature.in_care).days < 14
        if day == recipe.today or day < hold or newborn:
            continue
        blue = any(start <= day < end for start, end in blues)
        result, reason = _result(creature, day, blue, chance)
        if last_taken is not None and day >= last_taken:
            result, reason = (Fed.TAKEN, "") if day == last_taken else (Fed.REFUSED, _why(creature))
        elif day == _SCRIPTED_NIGHT and creature.place[:2] in ("R1", "R2"):
            result, reason = Fed.TAKEN, ""
        meal = _meal(recipe, creature, day, result, reason, chance)
        life.meals.append(meal)
        if result is Fed.TAKEN and last_taken is None and chance.random() < 0.002:
            found = meal.at + dt.timedelta(days=2, hours=11)
            if found.date() < recipe.today:
                life.came_back.append((meal, found))
                hold = day + _HOLD
    _tonight(recipe, life, chance)


def _anchor_night(creature: Creature, racks: dict[str, Rack]) -> dt.date:
    rack = racks[(creature.place or creature.first_place).split("-")[0]]
    return rack.anchor


def _why(creature: Creature) -> str:
    if creature.line.get("tag") == "gravid":
        return RefusalReason.GRAVID.value
    return (RefusalReason.SEASON if creature.keeper_id.startswith("M") else RefusalReason.UNKNOWN).value


def _result(creature: Creature, day: dt.date, blue: bool, chance: random.Random) -> tuple[Fed, str]:
    drawn = chance.random()
    if blue and drawn < 0.6:
        return (Fed.NOT_OFFERED if drawn < 0.15 else Fed.REFUSED), RefusalReason.BLUE.value
    gravid = any(-55 < (day - laid).days < 6 for laid in creature.laid)
    if gravid and drawn < 0.75:
        return Fed.REFUSED, RefusalReason.GRAVID.value
    grown_male = creature.sex is Sex.MALE and (day - _hatched(creature)).days > 500
    if grown_male and day.month in (12, 1, 2, 3) and drawn < 0.25:
        return Fed.REFUSED, RefusalReason.SEASON.value
    if drawn < 0.05:
        return Fed.REFUSED, chance.choice(("", "", RefusalReason.UNKNOWN.value, RefusalReason.SIZE.value))
    if drawn < 0.06:
        return Fed.STRUCK, ""
    return (Fed.TAKEN_LATE if drawn > 0.62 else Fed.TAKEN), ""


def _meal(recipe: Recipe, creature: Creature, day: dt.date, result: Fed, reason: str, chance: random.Random) -> Meal:
    grams = grams_on(recipe, creature, day)
    at = _at(day, 19, 50 + _order(creature.place_on(day)))
    seen = result is Fed.TAKEN or result is Fed.NOT_OFFERED
    closed = at if seen else _at(day + dt.timedelta(1), 8, 5 + _order(creature.place_on(day)) // 2)
    first_meals = (day - _hatched(creature)).days < 40
    state = PreyState.PRE_KILLED if first_meals and chance.random() < 0.3 else PreyState.FROZEN_THAWED
    return Meal(at, result, reason, prey_for(creature, grams), state, closed, creature.place_on(day))


def prey_for(creature: Creature, grams: float) -> str:
    """What an animal of this weight gets; the grow-out juveniles stay on weaned rats."""
    if creature.keeper_id.startswith("J-") and grams > 180:
        return "weaned rat"
    return next(prey for limit, prey in _PREY if grams < limit)


def _order(place: str) -> int:
    slot = place.split("-")[1] if "-" in place else "A1"
    return (ord(slot[0]) - ord("A")) * 5 + int(slot[1:]) - 1


def _tonight(recipe: Recipe, life: Life, chance: random.Random) -> None:
    """The round at hand: R1 has its meals in, the first two of R2 are done."""
    creature = life.creature
    if creature.away(recipe.today) or not (creature.place.startswith("R1-") or creature.place in ("R2-A1", "R2-A2")):
        return
    minute = _order(creature.place) + (22 if creature.place.startswith("R2") else 0)
    at = _at(recipe.today, 19, 48 + minute)
    result = Fed.NOT_OFFERED if creature.line.get("blue") else Fed.TAKEN if creature.place == "R2-A1" else Fed.PENDING
    reason = RefusalReason.BLUE.value if result is Fed.NOT_OFFERED else ""
    closed = None if result is Fed.PENDING else at
    prey = prey_for(creature, creature.grams)
    life.meals.append(Meal(at, result, reason, prey, PreyState.FROZEN_THAWED, closed, creature.place))


def _signs(recipe: Recipe, life: Life, chance: random.Random) -> None:
    creature = life.creature
    for meal in life.meals:
        if meal.result in (Fed.TAKEN, Fed.TAKEN_LATE) and chance.random() < 0.08:
            at = meal.at + dt.timedelta(days=chance.randrange(3, 6), hours=-10)
            if at.date() < recipe.today and not creature.away(at.date()):
                life.signs.append((at, chance.choice((Sign.STOOL, Sign.STOOL, Sign.URATES))))
    seasons = [laid for laid in creature.laid if not creature.away(laid)]
    if creature.line.get("tag") == "gravid":
        seasons.append(recipe.today + dt.timedelta(20))
    for laid in seasons:
        for sign, before in ((Sign.GLOW, 80), (Sign.WRAPS_BOWL, 64), (Sign.SWELLING, 48), (Sign.INVERTED, 20)):
            at = _at(laid - dt.timedelta(before + chance.randrange(-4, 5)), 21, chance.randrange(50))
            if chance.random() < 0.7 and at < recipe.now and not creature.away(at.date()):
                life.signs.append((at, sign))
    if creature.keeper_id == "F-052":
        life.signs.append((_at(dt.date(2026, 2, 20), 19, 20), Sign.MITES))
    if creature.keeper_id == "M-16":
        life.signs.append((_at(dt.date(2025, 11, 8), 20, 40), Sign.WHEEZE))


def _notes(recipe: Recipe, life: Life, chance: random.Random) -> None:
    creature = life.creature
    life.notes += [(_at(n["at"], 21, 35), n["text"]) for n in recipe.listed("notes") if n["id"] == creature.keeper_id]
    if "note" in creature.line:
        life.notes.append((_at(max(creature.in_care, recipe.start), 19, 5), creature.line["note"]))
    for laid in creature.laid:
        clutch = next(c for c in recipe.listed("clutches") if c["laid"] == laid and c["dam"] == creature.keeper_id)
        life.notes.append(
            (_at(laid, 9, 30), f"Laid clutch {clutch['id']}: {clutch['good']} good, {clutch['slugs']} slugs.")
        )
    texts = list(recipe.lines["texts"])
    for day in _days(recipe, creature, 91, recipe.today - dt.timedelta(chance.randrange(2, 80))):
        if chance.random() < 0.35:
            life.notes.append((_at(day, 20, 30), chance.choice(texts)))
