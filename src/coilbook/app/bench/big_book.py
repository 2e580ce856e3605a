"""Collections for the benchmark: as many animals and events as asked for, written as acts with their journal.

Everything is drawn from a seed. A collection is built once and kept; nothing measured on it leaves it changed.
"""

from __future__ import annotations

import datetime as dt
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from coilbook.derived import summary
from coilbook.operations.bulk import next_id
from coilbook.operations.codes import issue_codes
from coilbook.operations.people import add_person
from coilbook.records.ids import PersonId
from coilbook.records.message import say
from coilbook.records.vocabulary import Act, CodeKind, PersonRole
from coilbook.records.when import moment_text
from coilbook.storage.collection import Collection
from coilbook.storage.columns import Base
from coilbook.storage.layout import FILE_NAME
from coilbook.storage.tables import Animal, Feeding, Move, Note, Place, Shed, SignSeen, Weight

NOW = dt.datetime(2026, 3, 29, 20, 14)
SLOTS_IN_RACK = 20
#: animals whose entries one act of the past holds
TOGETHER = 5_000
_LOOKS = ("Pastel", "Enchi", "Fire", "Leopard", "Yellow Belly", "Gravel", "Butter", "Orange Dream", "normal")
_MORE = ("", "Clown", "Piebald", "Albino", "Ghost", "het clown", "66% het clown", "het piebald", "50% het albino")
_PREY = ("weaned rat", "small rat", "medium rat")
_NOTES = ("calm in the hand", "struck at the tongs", "prefers her meal left in", "tub was dry", "pushes her bowl over")


@dataclass(frozen=True, slots=True)
class Size:
    """How large a collection is."""

    name: str
    animals: int
    events: int

    @property
    def each(self) -> int:
        """Events of one animal."""
        return self.events // self.animals


KEEPER = Size("keeper", 500, 60_000)
LARGE = Size("large", 100_000, 2_000_000)
SIZES = {size.name: size for size in (KEEPER, LARGE)}


def clock() -> dt.datetime:
    """The moment every benchmark collection stands at."""
    return NOW.astimezone()


def built(folder: Path, size: Size, told: Callable[[str], None]) -> Path:
    """The collection of this size below `folder`, built if it is not there yet."""
    place = folder / f"{size.name}-{size.animals}-{size.events}"
    if not (place / FILE_NAME).is_file():
        told(f"building {size.animals:,} animals and {size.events:,} events, once")
        unfinished = place.with_name(f"{place.name}.unfinished")
        shutil.rmtree(unfinished, ignore_errors=True)
        _build(unfinished, size, told)
        unfinished.rename(place)
    return place


def _build(folder: Path, size: Size, told: Callable[[str], None]) -> None:
    moment = dt.datetime(2022, 9, 4, 9)
    with Collection.create(folder, lambda: moment.astimezone(), device="bench") as book:
        with book.building():
            keeper = add_person(book, name="Wren", role=PersonRole.KEEPER).value
            book.at_keyboard(PersonId(keeper), "Wren")
            _places(book, size)
            _animals(book, size)
            for past in _past(size):
                moment = past.at
                _write(book, past)
                told(
                    f"  {past.at:%Y-%m} {past.table.__name__.lower()}, {len(past.rows):,} rows"
                ) if size is LARGE else None
        moment = NOW
        summary.attach(book)


def _places(book: Collection, size: Size) -> None:
    racks = -(-size.animals // SLOTS_IN_RACK)
    with book.act(Act.ADD_PLACE) as act:
        first = next_id(act, Place)
        columns = ("id", "kind", "parent_id", "name", "label", "walk")
        rows: list[tuple[object, ...]] = []
        row = first
        for number in range(1, racks + 1):
            rack, label = row, f"R{number}"
            rows.append((rack, "rack", None, label, label, row))
            for slot in range(SLOTS_IN_RACK):
                row += 1
                name = f"{'ABCD'[slot // 5]}{slot % 5 + 1}"
                rows.append((row, "slot", rack, name, f"{label}-{name}", row))
            row += 1
        act.insert_many(Place, columns, rows)
        issue_codes(act, CodeKind.SLOT, [int(str(r[0])) for r in rows if r[1] == "slot"])
        act.tell(say("{n} racks added", n=racks))


def _animals(book: Collection, size: Size) -> None:
    slots = [int(i) for (i,) in book.read("SELECT id FROM place WHERE kind = 'slot' ORDER BY walk")]
    chance = random.Random(11)
    columns = (
        "id", "keeper_id", "name", "sex", "genetics", "hatched", "hatched_precision", "origin", "dam_id", "place_id",
        "interval_days", "prey_kind",
    )  # fmt: skip
    rows: list[tuple[object, ...]] = []
    for number in range(1, size.animals + 1):
        female = number % 2 == 1
        hatched = dt.date(2016, 5, 1) + dt.timedelta(chance.randrange(3300))
        dam = chance.randrange(1, number, 2) if number > 60 and number % 3 == 0 else None
        name = f"Name {number}" if number % 7 == 0 else ""
        looks = f"{chance.choice(_LOOKS)} {chance.choice(_MORE)}".strip()
        keeper_id = f"{'F' if female else 'M'}-{number:03d}"
        values = (
            number,
            keeper_id,
            name,
            "female" if female else "male",
            looks,
            hatched.isoformat(),
            "day",
            "bred_here",
        )
        rows.append((*values, dam, slots[number - 1], 10, _PREY[number % 3]))
    with book.act(Act.ADD_ANIMAL) as act:
        act.insert_many(Animal, columns, rows)
        moves = ((row[0], act.now_text, row[9]) for row in rows)
        act.insert_many(Move, ("animal_id", "at", "to_place_id"), moves)
        issue_codes(act, CodeKind.ANIMAL, range(1, size.animals + 1))
        act.tell(say("{n} animals entered", n=size.animals))


@dataclass(frozen=True, slots=True)
class _Past:
    """Rows of one kind that one act of the past wrote."""

    at: dt.datetime
    act: Act
    table: type[Base]
    columns: tuple[str, ...]
    rows: list[tuple[object, ...]]


def _past(size: Size) -> Iterator[_Past]:
    """The past of every animal, act after act in the order of time; of ten entries seven are meals (invented)."""
    span = dt.timedelta(10)
    for step in range(size.each):
        at = NOW - span * (size.each - step) * (0.7 if size.each > 60 else 6.0) - dt.timedelta(hours=2)
        for first in range(1, size.animals + 1, TOGETHER if size.animals > TOGETHER else SLOTS_IN_RACK):
            last = min(size.animals, first + (TOGETHER if size.animals > TOGETHER else SLOTS_IN_RACK) - 1)
            yield from _entries(step, at, range(first, last + 1))


def _entries(step: int, at: dt.datetime, animals: range) -> Iterator[_Past]:
    chance = random.Random(f"{step}:{animals.start}")
    told = moment_text(at)
    kind = "mmwmmsmwmm"[step % 10] if step % 30 != 17 else "n"
    if kind == "m":
        closed = moment_text(at + dt.timedelta(hours=11))
        results = chance.choices(("taken", "taken_late", "refused", "struck"), (60, 25, 14, 1), k=len(animals))
        rows = [(a, told, r, _PREY[a % 3], closed) for a, r in zip(animals, results, strict=True)]
        yield _Past(at, Act.OFFER_RACK, Feeding, ("animal_id", "at", "result", "prey", "closed_at"), list(rows))
    elif kind == "w":
        weights = [(a, told, (300 + a % 1900 + step * 3 + chance.randrange(-20, 20)) * 10) for a in animals]
        yield _Past(at, Act.WEIGH, Weight, ("animal_id", "at", "mass_dg"), list(weights))
    elif kind == "s":
        half = [(a, told, "complete") for a in animals if a % 3]
        yield _Past(at, Act.SHED, Shed, ("animal_id", "at", "kind"), list(half))
        signs = [(a, told, "stool") for a in animals if a % 3 == 0]
        yield _Past(at, Act.SEE_SIGN, SignSeen, ("animal_id", "at", "sign"), list(signs))
    else:
        notes = [(a, told, _NOTES[(a + step) % len(_NOTES)]) for a in animals]
        yield _Past(at, Act.WRITE_NOTE, Note, ("animal_id", "at", "text"), list(notes))


def _write(book: Collection, past: _Past) -> None:
    with book.act(past.act) as act:
        act.insert_many(past.table, past.columns, past.rows)
        act.tell(say("{n} entries", n=len(past.rows)))
