"""What was done to eggs over all clutches, and what came of it: by what was done and how the keeper wrote it.

An egg was treated because something was wrong with it, so its share that hatched says nothing against an egg left
alone; it can be held against another way of treating the same trouble. Every share comes with its range.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from coilbook.husbandry.hatch_result import EggEnd
from coilbook.husbandry.wilson import wilson
from coilbook.reads.egg_boxes import clutches
from coilbook.reads.egg_rows import EggNow
from coilbook.records.egg_vocabulary import EggDeed, Outcome
from coilbook.records.ids import ClutchId, EggId
from coilbook.storage.collection import Collection

#: these are told elsewhere: they are not meant to mend anything
_NO_REMEDY = (EggDeed.REMOVED.value, EggDeed.MOVED.value, EggDeed.WATER.value)


@dataclass(frozen=True, slots=True)
class Helped:
    """One way of treating eggs: how often, why, what the next looks found, and what became of those eggs.

    `whys` and `labels` (of clutches) in the order of time; `since`, `last` are ISO dates.
    """

    what: EggDeed
    how: str
    times: int
    eggs: int
    hatched: int
    open: int
    came_of: tuple[tuple[Outcome, int], ...]
    whys: tuple[str, ...]
    labels: tuple[str, ...]
    since: str
    last: str

    @property
    def ended(self) -> int:
        """Eggs of which it is known what became of them."""
        return self.eggs - self.open

    def range(self) -> tuple[float, float] | None:
        """Wilson's interval at 90% of the share that hatched of those ended; None before any did."""
        return wilson(self.hatched, self.ended) if self.ended else None


@dataclass(slots=True)
class _Gathered:
    """The same being counted."""

    times: int = 0
    eggs: dict[EggId, EggNow] = field(default_factory=dict)
    came_of: Counter[Outcome] = field(default_factory=Counter)
    whys: dict[str, None] = field(default_factory=dict)
    days: list[str] = field(default_factory=list)
    how: str = ""


def what_helped(collection: Collection) -> tuple[Helped, ...]:
    """Every way of treating eggs on record, the one used most first."""
    marks = ",".join("?" * len(_NO_REMEDY))
    rows = collection.read(
        f"SELECT id, egg_id, box_id, at, what, how, why, came_of_it FROM egg_done WHERE what NOT IN ({marks})"
        " ORDER BY at, id",
        _NO_REMEDY,
    )
    held = [ClutchId(row) for (row,) in collection.read("SELECT id FROM clutch")] if rows else []
    eggs = {egg.id: egg for clutch in clutches(collection, held) for egg in clutch.eggs}
    left = _left(collection)
    found: dict[tuple[str, str], _Gathered] = {}
    for row, egg, box, at, what, how, why, came in rows:
        one = found.setdefault((what, " ".join(str(how).casefold().split())), _Gathered(how=str(how)))
        one.times += 1
        one.days.append(str(at)[:10])
        if why:
            one.whys.setdefault(str(why))
        if came != Outcome.UNSAID.value:
            one.came_of[Outcome(came)] += 1
        meant = [eggs[egg]] if egg in eggs else []
        if egg is None:
            meant = [e for e in eggs.values() if _box_then(e, left, at, row) == box and _in_the_warm(e, at)]
        one.eggs |= {each.id: each for each in meant}
    made = [_helped(EggDeed(what), one) for (what, _), one in found.items()]
    return tuple(sorted(made, key=lambda one: (-one.times, one.what.value, one.how)))


def _left(collection: Collection) -> dict[EggId, list[tuple[str, int, int | None]]]:
    """When each egg was moved, by which row, and the box it left, in the order of time."""
    sql = "SELECT egg_id, at, id, box_id FROM egg_done WHERE egg_id IS NOT NULL AND what IN (?, ?) ORDER BY at, id"
    found: dict[EggId, list[tuple[str, int, int | None]]] = {}
    for egg, at, row, box in collection.read(sql, (EggDeed.MOVED.value, EggDeed.SEPARATED.value)):
        found.setdefault(EggId(egg), []).append((str(at), row, box))
    return found


def _box_then(egg: EggNow, left: dict[EggId, list[tuple[str, int, int | None]]], at: str, row: int) -> int | None:
    """The box an egg lay in when a row was written of a moment: what is done to a box is done to all in it."""
    return next((box for moved, by, box in left.get(egg.id, ()) if (moved, by) > (at, row)), egg.box)


def _in_the_warm(egg: EggNow, at: str) -> bool:
    laid = egg.looks[0].at if egg.looks else ""
    ends = [end for end in (egg.removed_at, egg.hatched_at) if end is not None]
    return laid <= at and (not ends or at <= min(ends))


def _helped(what: EggDeed, one: _Gathered) -> Helped:
    ends = [egg.story.end for egg in one.eggs.values()]
    return Helped(
        what,
        one.how,
        one.times,
        len(ends),
        ends.count(EggEnd.HATCHED),
        ends.count(EggEnd.OPEN),
        tuple(one.came_of.items()),
        tuple(one.whys),
        tuple(dict.fromkeys(egg.clutch_label for egg in one.eggs.values())),
        one.days[0],
        one.days[-1],
    )
