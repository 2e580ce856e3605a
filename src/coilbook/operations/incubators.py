"""Incubators: added and corrected; readings typed one by one, or brought in from a logger's file."""

from __future__ import annotations

import codecs
import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from coilbook.husbandry.incubator import DAY_MINUTES, Readings, TypedTemperature, moment_of, pairs_of, typed_temperature
from coilbook.husbandry.logger_csv import LoggerFile, read_logger
from coilbook.operations.at_hand import happened
from coilbook.operations.eggs_at_hand import incubator_name
from coilbook.operations.settings import settings_in, settings_of
from coilbook.operations.uncollected import without_collector
from coilbook.records.changes import Outcome
from coilbook.records.egg_vocabulary import ReadingSource
from coilbook.records.ids import IncubatorId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.quantities import Temperature
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Incubator, IncubatorReading, LoggerDay

#: a file larger than this is no logger's (200,000 rows are about 8 MB)
LARGEST_FILE = 64_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class IncubatorDetails:
    """An incubator; None leaves a column as it is. `shelves` are names from the top, `per_shelf` how many boxes fit.

    `set_known` False takes away what it is set to: nobody knows any more. Of one typed in Fahrenheit the act tells.
    """

    name: str | None = None
    set_at: Temperature | TypedTemperature | None = None
    set_known: bool = True
    shelves: tuple[str, ...] | None = None
    per_shelf: int | None = None
    note: str | None = None

    def columns(self) -> dict[str, object]:
        """Values by column name, of what was said."""
        said: dict[str, object] = {}
        if self.name is not None:
            said["name"] = " ".join(self.name.split())
        if self.set_at is not None:
            at = self.set_at
            said["set_tenths"] = (at.temperature if isinstance(at, TypedTemperature) else at).tenths
        if not self.set_known:
            said["set_tenths"] = None
        if self.shelves is not None:
            said["shelves"] = "\n".join(" ".join(name.split()) for name in self.shelves)
        if self.per_shelf is not None:
            said["per_shelf"] = self.per_shelf
        if self.note is not None:
            said["note"] = self.note.strip()
        return said


def add_incubator(collection: Collection, *, details: IncubatorDetails) -> Outcome[IncubatorId]:
    """Add an incubator."""
    with collection.act(Act.ADD_INCUBATOR) as act:
        values = details.columns()
        _check(act, {"name": "", **values}, None)
        row = IncubatorId(act.insert(Incubator, **values))
        _warn_of_unit(act, details)
        act.tell(say("{incubator} added", incubator=values["name"]))
    return act.outcome(Act.ADD_INCUBATOR, row)


def edit_incubator(
    collection: Collection, *, incubator: IncubatorId, details: IncubatorDetails
) -> Outcome[IncubatorId]:
    """Correct an incubator: its name, what it is set to, its shelves; refused where a box would have no place left."""
    with collection.act(Act.EDIT_INCUBATOR) as act:
        name = incubator_name(act, incubator)
        values = details.columns()
        _check(act, values, incubator)
        _check_boxes(act, values, incubator)
        if values:
            act.update(Incubator, incubator, **values)
        _warn_of_unit(act, details)
        act.tell(say("{incubator} corrected", incubator=name))
    return act.outcome(Act.EDIT_INCUBATOR, incubator)


def _warn_of_unit(act: ActInHand, details: IncubatorDetails) -> None:
    if isinstance(details.set_at, TypedTemperature) and details.set_at.told is not None:
        act.warn(details.set_at.told)


def _check(act: ActInHand, values: dict[str, object], incubator: IncubatorId | None) -> None:
    if values.get("name") == "":
        raise Refusal(say("An incubator needs a name."))
    same = act.rows("SELECT id FROM incubator WHERE name = ? COLLATE NOCASE", (values.get("name", ""),))
    if any(row != incubator for (row,) in same):
        raise Refusal(say("There is an incubator {name} already.", name=values["name"]))
    per_shelf = values.get("per_shelf")
    if isinstance(per_shelf, int) and not 1 <= per_shelf <= 12:
        raise Refusal(say("A shelf holds 1 to 12 boxes."))


def _check_boxes(act: ActInHand, values: dict[str, object], incubator: IncubatorId) -> None:
    """No box stands on a shelf, or at a place of one, that would be no more."""
    shelves, per_shelf = values.get("shelves"), values.get("per_shelf")
    sql = "SELECT label, shelf, spot FROM egg_box WHERE incubator_id = ? AND emptied IS NULL AND shelf IS NOT NULL"
    for label, shelf, spot in act.rows(f"{sql} ORDER BY id", (incubator,)):
        gone = isinstance(shelves, str) and shelf > len(shelves.split("\n"))
        if gone or (isinstance(per_shelf, int) and spot is not None and spot > per_shelf):
            raise Refusal(say("{box} stands in a place that would be gone. Move it or empty it first.", box=label))


def read_incubator(
    collection: Collection,
    *,
    incubator: IncubatorId,
    typed: str,
    least: str = "",
    most: str = "",
    humidity: int | None = None,
    shelf: int | None = None,
    source: ReadingSource = ReadingSource.PROBE,
    note: str = "",
    at: dt.datetime | None = None,
) -> Outcome[int]:
    """A temperature as typed; one that can only be Fahrenheit is converted, kept as typed beside it, and told."""
    with collection.act(Act.READ_INCUBATOR) as act:
        name = incubator_name(act, incubator)
        told: list[Message] = []
        now, low, high = (_tenths(act, text, told) for text in (typed, least, most))
        if now is None:
            raise Refusal(say("'{text}' is not a temperature. Type 31.5 or 88.7 F.", text=typed))
        _check_reading(now, low, high, humidity)
        row = act.insert(
            IncubatorReading,
            incubator_id=incubator,
            at=happened(act, at),
            tenths=now,
            least_tenths=low,
            most_tenths=high,
            humidity=humidity,
            shelf=shelf,
            source=source.value,
            typed=typed.strip(),
            note=note.strip(),
        )
        act.warnings += told
        act.tell(say("{incubator}: {temperature}", incubator=name, temperature=Temperature(now)))
    return act.outcome(Act.READ_INCUBATOR, row)


def _tenths(act: ActInHand, text: str, told: list[Message]) -> int | None:
    """Tenths of a degree Celsius of a typed temperature, None for none; adds to `told` when it was turned over."""
    if not text.strip():
        return None
    found = typed_temperature(text, settings_in(act).fahrenheit)
    told += [found.told] if found.told is not None else []
    return found.temperature.tenths


def _check_reading(tenths: int, low: int | None, high: int | None, humidity: int | None) -> None:
    if (low is not None and low > tenths) or (high is not None and high < tenths):
        raise Refusal(say("The least is at most what is read now, and the most at least that."))
    if humidity is not None and not 0 <= humidity <= 100:
        raise Refusal(say("Humidity lies between 0 and 100 percent."))


def import_readings(
    collection: Collection,
    *,
    incubator: IncubatorId,
    file: Path,
    day_first: bool | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Outcome[int]:
    """A logger's CSV in any column order. Moments that are there already from a logger are left as they are.

    Raises `Refusal` with the reason when there is nothing to read; returns how many readings came in.
    """
    if not file.is_file() or file.stat().st_size > LARGEST_FILE:
        raise Refusal(say("{file} is no logger's file.", file=file.name))
    with without_collector():
        text = _text_of(file)
        found = _read(text, day_first, settings_of(collection).date_order is not DateOrder.MONTH_FIRST)
        with collection.act(Act.IMPORT_READINGS) as act:
            name = incubator_name(act, incubator)
            fresh = _write_days(act, incubator, found.readings, progress, cancelled)
            for told in found.told:
                act.warn(told)
            act.tell(say("{incubator}: {n} reading brought in", "{incubator}: {n} readings brought in",
                         incubator=name, n=fresh))  # fmt: skip
            if not fresh:
                raise Refusal(say("All {n} readings of the file are in the book already.", n=len(found.readings)))
    return act.outcome(Act.IMPORT_READINGS, fresh)


def _text_of(file: Path) -> str:
    raw = file.read_bytes()
    wide = raw[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
    return raw.decode("utf-16" if wide else "utf-8", errors="replace")


def _read(text: str, day_first: bool | None, keepers_order: bool) -> LoggerFile:
    """The file's readings; dates that read both ways are taken in the keeper's own order, and that is told."""
    try:
        return read_logger(text, day_first)
    except Refusal:
        if day_first is not None:
            raise
    found = read_logger(text, keepers_order)
    told = say("The dates of the file read both ways; they were taken in your own order.")
    return replace(found, told=(*found.told, told))


def _write_days(
    act: ActInHand,
    incubator: IncubatorId,
    readings: Readings,
    progress: Callable[[int, int], None] | None,
    cancelled: Callable[[], bool] | None,
) -> int:
    """Write readings day by day into what is there; how many moments are new."""
    tenths = np.rint(readings.celsius * 10).astype(np.int64)
    days, starts = np.unique(readings.minutes // DAY_MINUTES, return_index=True)
    ends = [*starts[1:].tolist(), len(readings)]
    fresh = 0
    for number, (day, start, end) in enumerate(zip(days.tolist(), starts.tolist(), ends)):
        if cancelled is not None and cancelled():
            raise Refusal(say("Cancelled; no reading was brought in."))
        minutes = (readings.minutes[start:end] % DAY_MINUTES).tolist()
        fresh += _write_day(act, incubator, moment_of(day * DAY_MINUTES).date(), minutes, tenths[start:end].tolist())
        if progress is not None and number % 50 == 0:
            progress(end, len(readings))
    return fresh


def _write_day(act: ActInHand, incubator: IncubatorId, day: dt.date, minutes: list[int], tenths: list[int]) -> int:
    rows = act.rows("SELECT id, readings FROM logger_day WHERE incubator_id = ? AND day = ?", (incubator, str(day)))
    there = dict(pairs_of(rows[0][1])) if rows else {}
    merged = {**dict(zip(minutes, tenths)), **there}
    text = ",".join(f"{minute}:{value}" for minute, value in sorted(merged.items()))
    if not rows:
        act.insert(LoggerDay, incubator_id=incubator, day=str(day), readings=text)
    elif len(merged) > len(there):
        act.update(LoggerDay, rows[0][0], readings=text)
    return len(merged) - len(there)
