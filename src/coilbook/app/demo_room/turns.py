"""The demo's comings and goings as acts: arrivals, hatchings, moves, pairings, sales, deaths, photos, labels."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

from coilbook.app.demo_room.cast import Creature, Turn
from coilbook.app.demo_room.coils import draw_coil
from coilbook.app.demo_room.deeds import Book, Deed, Write
from coilbook.app.demo_room.life import prey_for
from coilbook.app.demo_room.recipe import Recipe
from coilbook.operations.codes import issue_codes
from coilbook.records.message import say
from coilbook.records.vocabulary import (
    STATUS_AFTER,
    Act,
    CodeKind,
    DepartureKind,
    MoveReason,
    Origin,
    PhotoAngle,
    Status,
)
from coilbook.records.when import moment_text
from coilbook.storage import photos
from coilbook.storage.act import ActInHand
from coilbook.storage.tables import Acquisition, Animal, Claim, Departure, LabelPrint, Move, Photo, Sire, Tag

_TURN_ACTS = {
    DepartureKind.SOLD: (Act.SELL, "{animal} sold"),
    DepartureKind.DIED: (Act.DIE, "{animal} entered as dead"),
    DepartureKind.LOANED: (Act.LOAN, "{animal} out on loan"),
    DepartureKind.LOST: (Act.LOSE, "{animal} entered as lost"),
    DepartureKind.RETURNED: (Act.RETURN, "{animal} is back"),
}
_PICTURED = ("F-014", "F-017", "F-038", "F-036", "F-019", "M-03", "M-07", "M-15", "F-042", "J-22", "F-040", "F-026")


def comings_and_goings(recipe: Recipe, creatures: Sequence[Creature], book: Book, folder: Path) -> Iterator[Deed]:
    """Every act that brings, moves, pictures or takes away an animal."""
    yield from _arrivals(recipe, creatures, book)
    for creature in creatures:
        if creature.moved is not None and creature.keeper_id != creature.born_as:
            yield _renamed(recipe, creature, book)
        before = Status.HERE
        for turn in creature.turns:
            yield _turn(recipe, creature, turn, before, book)
            before = STATUS_AFTER[turn.kind]
    by_id = {c.keeper_id: c for c in creatures}
    for stay in recipe.listed("stays"):
        male, female = by_id[stay["male"]], by_id[stay["female"]]
        yield from _stay(recipe, male, female, stay["from"], stay["to"], book)
    for order, name in enumerate(_PICTURED):
        yield _pictured(recipe, by_id[name], book, folder, order)
    yield _labels(recipe, creatures, book)


def _arrivals(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Deed]:
    groups: dict[tuple[dt.date, str], list[Creature]] = defaultdict(list)
    for creature in creatures:
        outside = creature.in_care == dt.date.max
        day = recipe.start if outside else creature.in_care
        clutch = creature.born_as.rsplit("-", 1)[0] if creature.born_as else "outside" if outside else ""
        groups[day, clutch].append(creature)
    for (day, clutch), group in groups.items():
        hour = 10 if clutch == "outside" else 11 if day == recipe.start else 7
        at = dt.datetime.combine(day, dt.time(hour, 20))
        if clutch not in ("", "outside"):
            told = say("clutch {clutch}: {n} hatched", clutch=clutch, n=len(group))
        elif len(group) == 1:
            told = say("{animal} added", animal=group[0].keeper_id)
        else:
            told = say("{n} animals entered", n=len(group))
        yield Deed(at, recipe.lines["keeper"], Act.ADD_ANIMAL, told, _enter(recipe, group, book))


_ANIMAL_COLUMNS = (
    "id", "keeper_id", "name", "sex", "sex_percent", "sex_basis", "genetics", "hatched", "hatched_precision", "origin",
    "status", "dam_id", "place_id", "interval_days", "prey_kind",
)  # fmt: skip


def _enter(recipe: Recipe, group: Sequence[Creature], book: Book) -> Write:
    def write(act: ActInHand) -> None:
        known = _ids_by_name(act)
        known |= {c.keeper_id: book.animal(c) for c in group}
        act.insert_many(
            Animal, _ANIMAL_COLUMNS, [_animal_row(c, book, known) for c in sorted(group, key=lambda c: c.dam != "")]
        )
        issue_codes(act, CodeKind.ANIMAL, [book.animal(c) for c in group])
        sires = [(book.animal(c), known[name], percent) for c in group for name, percent in c.sires.items()]
        act.insert_many(Sire, ("animal_id", "sire_id", "percent"), sires)
        housed = [c for c in group if c.place and c.in_care != dt.date.max]
        moves = [(book.animal(c), act.now_text, book.places[c.first_place or c.place]) for c in housed]
        act.insert_many(Move, ("animal_id", "at", "to_place_id"), moves)
        _provenance(act, group, book)

    return write


def _ids_by_name(act: ActInHand) -> dict[str, int]:
    return {str(name): int(row) for row, name in act.rows("SELECT id, keeper_id FROM animal")}


def _animal_row(creature: Creature, book: Book, known: dict[str, int]) -> tuple[object, ...]:
    outside = creature.in_care == dt.date.max
    place = None if outside or not creature.place else book.places[creature.first_place or creature.place]
    return (
        book.animal(creature),
        creature.born_as or creature.keeper_id,
        creature.line.get("name", ""),
        creature.sex.value,
        creature.sex_percent,
        creature.sex_basis.value,
        creature.looks,
        creature.hatched.stored,
        creature.hatched.precision.value,
        creature.origin.value,
        (Status.OUTSIDE if outside else Status.HERE).value,
        known.get(creature.dam),
        place,
        None if outside else creature.interval,
        "" if outside else prey_for(creature, creature.grams),
    )


def _provenance(act: ActInHand, group: Sequence[Creature], book: Book) -> None:
    for creature in group:
        line, animal = creature.line, book.animal(creature)
        if line.get("claim"):
            act.insert(Claim, animal_id=animal, text=line["claim"], source=line["seller"], said_on=act.now_text[:10])
        if line.get("tag"):
            act.insert(Tag, animal_id=animal, word=line["tag"])
        if line.get("seller"):
            _bought(act, creature, animal, book)
        elif creature.origin is Origin.RESCUE:
            act.insert(Acquisition, animal_id=animal, date=act.now_text[:10], date_precision="day", how="rescue")


def _bought(act: ActInHand, creature: Creature, animal: int, book: Book) -> None:
    came = max(creature.in_care, creature.line.get("came", creature.in_care))
    act.insert(
        Acquisition,
        animal_id=animal,
        date=came.isoformat(),
        date_precision="day",
        how=Origin.BOUGHT.value,
        person_id=book.people[creature.line["seller"]],
        price_minor=(8 + animal % 9) * 5000,
        currency="EUR",
        feeding_claim="takes thawed rats every week" if animal % 2 else "",
        quarantine_from=came.isoformat() if creature.place.startswith("Q1") else None,
    )


def _renamed(recipe: Recipe, creature: Creature, book: Book) -> Deed:
    moved = creature.moved or recipe.today
    at = dt.datetime.combine(moved, dt.time(15, 0))

    def write(act: ActInHand) -> None:
        animal, place = book.animal(creature), book.places[creature.place]
        old = book.places[creature.first_place]
        act.update(Animal, animal, keeper_id=creature.keeper_id, place_id=place)
        act.insert(Move, animal_id=animal, at=moment_text(at), from_place_id=old, to_place_id=place)
        act.insert(Tag, animal_id=animal, word=f"born {creature.born_as}")

    told = say("{old} is now {new}, in {place}", old=creature.born_as, new=creature.keeper_id, place=creature.place)
    return Deed(at, recipe.lines["keeper"], Act.EDIT_ANIMAL, told, write)


def _turn(recipe: Recipe, creature: Creature, turn: Turn, before: Status, book: Book) -> Deed:
    kind, text = _TURN_ACTS[turn.kind]
    at = dt.datetime.combine(turn.on, dt.time(16, 30))

    def write(act: ActInHand) -> None:
        animal, place = book.animal(creature), book.places[creature.place_on(turn.on)]
        back = turn.kind is DepartureKind.RETURNED
        ends = {"from_place_id": None, "to_place_id": place} if back else {"from_place_id": place, "to_place_id": None}
        act.insert(Move, animal_id=animal, at=moment_text(at), **ends)
        act.update(Animal, animal, status=STATUS_AFTER[turn.kind].value, place_id=place if back else None)
        act.insert(
            Departure,
            animal_id=animal,
            at=moment_text(at),
            kind=turn.kind.value,
            status_before=before.value,
            person_id=book.people.get(turn.person),
            price_minor=turn.price_minor,
            currency="EUR" if turn.price_minor else "",
            reason=turn.reason,
        )

    name = creature.born_as if creature.moved is None or turn.on < creature.moved else creature.keeper_id
    return Deed(at, recipe.lines["keeper"], kind, say(text, animal=name or creature.keeper_id), write)


def _stay(
    recipe: Recipe, male: Creature, female: Creature, first: dt.date, last: dt.date, book: Book
) -> Iterator[Deed]:
    for day, start, end, reason in (
        (first, male.place, female.place, MoveReason.PAIRING),
        (last, female.place, male.place, MoveReason.UNSAID),
    ):
        at = dt.datetime.combine(day, dt.time(18, 45))
        told = say("{animal} moved to {place}", animal=male.keeper_id, place=end)
        yield Deed(at, recipe.lines["keeper"], Act.MOVE_ANIMAL, told, _moved(male, at, (start, end), reason, book))


def _moved(creature: Creature, at: dt.datetime, ends: tuple[str, str], reason: MoveReason, book: Book) -> Write:
    def write(act: ActInHand) -> None:
        start, end = (book.places[label] for label in ends)
        animal = book.animal(creature)
        act.update(Animal, animal, place_id=end)
        values = {"from_place_id": start, "to_place_id": end, "reason": reason.value}
        act.insert(Move, animal_id=animal, at=moment_text(at), **values)

    return write


def _pictured(recipe: Recipe, creature: Creature, book: Book, folder: Path, order: int) -> Deed:
    at = dt.datetime.combine(recipe.today - dt.timedelta(70 + 3 * order), dt.time(17, 10))

    def write(act: ActInHand) -> None:
        kept = photos.store(folder, draw_coil(creature.looks, recipe.chance("photo", creature.keeper_id)))
        animal = book.animal(creature)
        values = {"sha256": kept.sha256, "ending": kept.ending, "angle": PhotoAngle.TOP.value}
        photo = act.insert(Photo, animal_id=animal, at=moment_text(at), original_name="drawn.jpg", **values)
        act.update(Animal, animal, cover_photo=photo)

    told = say("photo of {animal} added", animal=creature.keeper_id)
    return Deed(at, recipe.lines["keeper"], Act.ADD_PHOTO, told, write)


def _labels(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Deed:
    at = dt.datetime(2025, 3, 8, 11, 5)

    def write(act: ActInHand) -> None:
        here = {book.animal(c) for c in creatures if not c.away(at.date())}
        codes = act.rows("SELECT body, target FROM code WHERE kind = 'A' ORDER BY target")
        rows = [(f"A{body}", target, act.now_text, "cage card 85x54") for body, target in codes if target in here]
        act.insert_many(LabelPrint, ("code", "animal_id", "at", "stock"), rows)

    return Deed(at, recipe.lines["keeper"], Act.PRINT_LABELS, say("cage cards of all animals printed"), write)
