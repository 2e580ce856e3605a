"""The demo's story as acts: who wrote what, when, in the order in which it was written.

Older months stand in the journal as one act a month and rack, the last two as the evenings and mornings they were.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from coilbook.app.demo_room.cast import Creature
from coilbook.app.demo_room.life import Life, Meal
from coilbook.app.demo_room.recipe import Recipe
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import TAKEN_RESULTS, Act, CleaningExtent, FeedingResult, Precision
from coilbook.records.when import PartialDate, moment_text
from coilbook.storage.act import ActInHand
from coilbook.storage.tables import Cleaning, Feeding, Note, Regurgitation, Shed, SignSeen, Weight

Write = Callable[[ActInHand], None]
_MEAL_COLUMNS = ("id", "animal_id", "at", "result", "reason", "prey", "prey_state", "closed_at")
_PRODUCTS = ("diluted disinfectant, 10 min", "soap and hot water")


@dataclass(frozen=True, slots=True)
class Deed:
    """One act to come: when, by whom, of which kind, how it is told, and its writes."""

    at: dt.datetime
    person: str
    kind: Act
    told: Message
    write: Write


@dataclass(slots=True)
class Book:
    """Row ids given so far; the demo numbers its rows itself, so that many can be written at once."""

    animals: dict[int, int] = field(default_factory=dict)
    places: dict[str, int] = field(default_factory=dict)
    people: dict[str, int] = field(default_factory=dict)
    meals: dict[int, int] = field(default_factory=dict)

    def animal(self, creature: Creature) -> int:
        """Row id of an animal."""
        return self.animals.setdefault(id(creature), len(self.animals) + 1)

    def meal(self, meal: Meal) -> int:
        """Row id of an offer."""
        return self.meals.setdefault(id(meal), len(self.meals) + 1)


def everyday(recipe: Recipe, lives: Sequence[Life], book: Book) -> Iterator[Deed]:
    """Every act of care: feeding, weighing, sheds, signs, cleaning, notes."""
    recent = dt.datetime.combine(recipe.today.replace(day=1) - dt.timedelta(28), dt.time())
    yield from _feeding(recipe, lives, book, recent)
    yield from _weighing(recipe, lives, book, recent)
    yield from _seen(recipe, lives, book, recent)
    yield from _came_back(recipe, lives, book, recent)
    yield from _cleaning(recipe, lives, book)


def _month_end(at: dt.datetime) -> dt.datetime:
    first = (at.replace(day=1) + dt.timedelta(32)).replace(day=1)
    return dt.datetime.combine(first - dt.timedelta(1), dt.time(21, 30))


def _named_month(at: dt.datetime) -> PartialDate:
    return PartialDate(at.date().replace(day=1), Precision.MONTH)


def _feeding(recipe: Recipe, lives: Sequence[Life], book: Book, recent: dt.datetime) -> Iterator[Deed]:
    monthly: dict[tuple[dt.datetime, str], list[tuple[int, Meal]]] = defaultdict(list)
    nightly: dict[tuple[dt.date, str], list[tuple[int, Meal]]] = defaultdict(list)
    for life in lives:
        for meal in life.meals:
            rack, entry = meal.place.split("-")[0], (book.animal(life.creature), meal)
            if meal.at < recent:
                monthly[_month_end(meal.at), rack].append(entry)
            else:
                nightly[meal.at.date(), rack].append(entry)
    helper, keeper = recipe.lines["helper"], recipe.lines["keeper"]
    for (end, rack), meals in monthly.items():
        told = say(
            "{rack}: {n} meal of {month}",
            "{rack}: {n} meals of {month}",
            rack=rack,
            n=len(meals),
            month=_named_month(end),
        )
        yield Deed(end, helper, Act.OFFER_RACK, told, _meals(book, meals, pending=False))
    for (_, rack), meals in nightly.items():
        last = max(meal.at for _, meal in meals)
        left_in = sum(meal.result is not FeedingResult.NOT_OFFERED for _, meal in meals)
        told = say("{rack}: {n} meal left in", "{rack}: {n} meals left in", rack=rack, n=left_in)
        yield Deed(last, helper, Act.OFFER_RACK, told, _meals(book, meals, pending=True))
        later = [meal for _, meal in meals if meal.closed is not None and meal.closed.date() > meal.at.date()]
        if later:
            taken = sum(meal.result in TAKEN_RESULTS for meal in later)
            told = say("{n} offer closed, {taken} taken", "{n} offers closed, {taken} taken", n=len(later), taken=taken)
            closed = max(meal.closed for meal in later if meal.closed is not None)
            yield Deed(closed, keeper, Act.CLOSE_FEEDINGS, told, _close(book, later))


def _meals(book: Book, meals: Sequence[tuple[int, Meal]], *, pending: bool) -> Write:
    def row(animal: int, meal: Meal) -> tuple[object, ...]:
        waits = pending and meal.closed is not None and meal.closed.date() > meal.at.date()
        result, reason, closed = (FeedingResult.PENDING, "", None) if waits else (meal.result, meal.reason, meal.closed)
        ended = moment_text(closed) if closed is not None else None
        return (book.meal(meal), animal, moment_text(meal.at), result.value, reason, meal.prey, meal.state.value, ended)

    ordered = sorted(meals, key=lambda entry: entry[1].at)
    return lambda act: act.insert_many(Feeding, _MEAL_COLUMNS, (row(*entry) for entry in ordered))


def _close(book: Book, meals: Sequence[Meal]) -> Write:
    def write(act: ActInHand) -> None:
        for meal in meals:
            closed = moment_text(meal.closed) if meal.closed is not None else None
            act.update(Feeding, book.meal(meal), result=meal.result.value, reason=meal.reason, closed_at=closed)

    return write


def _weighing(recipe: Recipe, lives: Sequence[Life], book: Book, recent: dt.datetime) -> Iterator[Deed]:
    rows: dict[tuple[dt.datetime, bool], list[tuple[object, ...]]] = defaultdict(list)
    keeper = recipe.lines["keeper"]
    for life in lives:
        for at, mass, tag, doubted, typed in life.weights:
            row = (book.animal(life.creature), moment_text(at), mass, tag.value, int(doubted), typed)
            if typed:
                text = "{animal} weighed {mass}, in doubt" if doubted else "{animal} weighed {mass}"
                told = say(text, animal=life.creature.keeper_id, mass=Mass(mass))
                yield Deed(at, keeper, Act.WEIGH, told, _insert(Weight, _WEIGHT_COLUMNS, [row]))
            elif at < recent:
                rows[_month_end(at), False].append(row)
            else:
                rows[at.replace(hour=11, minute=40), True].append(row)
    for (end, daily), weights in rows.items():
        text = "{n} animals weighed" if daily else "{n} weights of {month}"
        told = say(text, n=len(weights), month=_named_month(end))
        yield Deed(end, keeper, Act.WEIGH, told, _insert(Weight, _WEIGHT_COLUMNS, weights))


_WEIGHT_COLUMNS = ("animal_id", "at", "mass_dg", "tag", "doubted", "typed")


def _insert(model: type, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> Write:
    ready = sorted((tuple(row) for row in rows), key=lambda row: str(row[1]))
    return lambda act: act.insert_many(model, columns, ready)


def _seen(recipe: Recipe, lives: Sequence[Life], book: Book, recent: dt.datetime) -> Iterator[Deed]:
    sheds: dict[dt.datetime, list[tuple[object, ...]]] = defaultdict(list)
    signs: dict[dt.datetime, list[tuple[object, ...]]] = defaultdict(list)
    notes: dict[dt.datetime, list[tuple[object, ...]]] = defaultdict(list)
    keeper, helper = recipe.lines["keeper"], recipe.lines["helper"]
    for life in lives:
        name, animal = life.creature.keeper_id, book.animal(life.creature)
        for at, kind in life.sheds:
            row = (animal, moment_text(at), kind.value)
            if at < recent:
                sheds[_month_end(at)].append(row)
            else:
                told = say("{animal} shed: {kind}", animal=name, kind=kind)
                yield Deed(at, helper, Act.SHED, told, _insert(Shed, ("animal_id", "at", "kind"), [row]))
        for at, sign in life.signs:
            row = (animal, moment_text(at), sign.value)
            if at < recent:
                signs[_month_end(at)].append(row)
            else:
                told = say("{animal}: {sign}", animal=name, sign=sign)
                yield Deed(at, helper, Act.SEE_SIGN, told, _insert(SignSeen, ("animal_id", "at", "sign"), [row]))
        for at, text in life.notes:
            if at < recent:
                notes[_month_end(at)].append((animal, moment_text(at), text))
                continue
            write = _insert(Note, ("animal_id", "at", "text"), [(animal, moment_text(at), text)])
            yield Deed(at, keeper, Act.WRITE_NOTE, say("note on {what} written", what=name), write)
    for end, rows in sheds.items():
        told = say("{n} sheds and blues of {month}", n=len(rows), month=_named_month(end))
        yield Deed(end, helper, Act.SHED, told, _insert(Shed, ("animal_id", "at", "kind"), rows))
    for end, rows in notes.items():
        told = say("{n} notes of {month}", n=len(rows), month=_named_month(end))
        yield Deed(end, keeper, Act.WRITE_NOTE, told, _insert(Note, ("animal_id", "at", "text"), rows))
    for end, rows in signs.items():
        told = say("{n} signs of {month}", n=len(rows), month=_named_month(end))
        yield Deed(end, helper, Act.SEE_SIGN, told, _insert(SignSeen, ("animal_id", "at", "sign"), rows))


def _came_back(recipe: Recipe, lives: Sequence[Life], book: Book, recent: dt.datetime) -> Iterator[Deed]:
    for life in lives:
        for meal, found in life.came_back:
            row = (book.animal(life.creature), moment_text(found), book.meal(meal), "half digested")
            told = say("{animal}: meal came back; offers rest {days} days", animal=life.creature.keeper_id, days=10)
            written = found if meal.at >= recent else max(found, _month_end(meal.at) + dt.timedelta(minutes=5))
            write = _insert(Regurgitation, ("animal_id", "at", "feeding_id", "note"), [row])
            yield Deed(written, recipe.lines["keeper"], Act.REGURGITATION, told, write)


def _cleaning(recipe: Recipe, lives: Sequence[Life], book: Book) -> Iterator[Deed]:
    """Full cleaning rack by rack: every second month, monthly in the last year."""
    for order, rack in enumerate(recipe.racks):
        day = recipe.today - dt.timedelta(9 + 2 * order)
        while day > recipe.start + dt.timedelta(20):
            at = dt.datetime.combine(day, dt.time(14, 10))
            here = [life.creature for life in lives if not life.creature.away(day)]
            in_rack = [c for c in here if c.place_on(day).startswith(f"{rack.name}-")]
            product = _PRODUCTS[day.toordinal() % 2]
            rows = [
                (book.places[c.place_on(day)], moment_text(at), book.animal(c), CleaningExtent.FULL.value, product)
                for c in in_rack
            ]
            if rows:
                told = say(
                    "{place}: {n} tubs cleaned, {extent}", place=rack.name, n=len(rows), extent=CleaningExtent.FULL
                )
                columns = ("place_id", "at", "animal_id", "extent", "product")
                yield Deed(at, recipe.lines["helper"], Act.CLEAN_RACK, told, _insert(Cleaning, columns, rows))
            day -= dt.timedelta(30 if (recipe.today - day).days < 330 else 63)
