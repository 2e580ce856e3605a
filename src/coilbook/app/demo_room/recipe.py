"""The recipe of the demo as data, and a source of chance for each thing drawn from it."""

from __future__ import annotations

import datetime as dt
import random
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate
from coilbook.wording.resources import demo_path

Line = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Rack:
    """A rack of the room; `anchor` is its last feeding night, from which the earlier ones follow."""

    name: str
    rows: str
    columns: int
    anchor: dt.date
    quarantine: bool

    @property
    def slots(self) -> tuple[str, ...]:
        """Names of its slots in walking order."""
        return tuple(f"{row}{column}" for row in self.rows for column in range(1, self.columns + 1))


@dataclass(frozen=True, slots=True)
class Recipe:
    """`demo/recipe.toml`, with the dates as dates; the lines of animals and stories stay as they are written."""

    seed: int
    now: dt.datetime
    start: dt.date
    racks: tuple[Rack, ...]
    lines: Line

    @property
    def today(self) -> dt.date:
        """The day the demo stands at."""
        return self.now.date()

    def listed(self, name: str) -> list[Line]:
        """The lines under `name`: adults, outside, clutches, stays, weights, notes."""
        return list(self.lines[name])

    def chance(self, *about: object) -> random.Random:
        """A source of chance of its own for each thing, so that one more animal changes no other."""
        return random.Random(":".join(str(part) for part in (self.seed, *about)))


def load_recipe(path: Path | None = None) -> Recipe:
    """The recipe shipped with the program, or another of its form."""
    lines = tomllib.loads((path or demo_path("recipe.toml")).read_text(encoding="utf-8"))
    racks = tuple(
        Rack(r["name"], r["rows"], r["columns"], r["anchor"], bool(r.get("quarantine", False))) for r in lines["racks"]
    )
    return Recipe(int(lines["seed"]), lines["now"], lines["start"], racks, lines)


def partial_date(text: str) -> PartialDate:
    """A date of the recipe, known to the year, the month or the day.

    >>> partial_date("2021").precision.value
    'year'
    """
    parts = [int(part) for part in text.split("-")]
    precision = (Precision.YEAR, Precision.MONTH, Precision.DAY)[len(parts) - 1]
    year, month, day = (*parts, 1, 1)[:3]
    return PartialDate(dt.date(year, month, day), precision)
