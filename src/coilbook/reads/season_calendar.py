"""Every expected event of the present season as an iCalendar text (RFC 5545).

The identifier of an event is the same at every export, so that importing again moves it; the sequence number grows
with the day of the export, which a calendar needs to take the newer one.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import replace

from coilbook.husbandry.calendar_text import CalendarEntry, calendar_text, expected_entry
from coilbook.husbandry.figures import Event
from coilbook.reads.season import season_page
from coilbook.reads.season_lines import SeasonPage
from coilbook.records.message import say
from coilbook.records.season_vocabulary import PlanState
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: sequence numbers count days from here
_EPOCH = dt.date(2020, 1, 1)
#: events a keeper wants to be reminded of, days ahead
_REMIND = {Event.LAYING: 2, Event.PIP: 2}


def season_calendar(collection: Collection, settings: Settings, now: dt.datetime) -> tuple[str, int]:
    """The text of the file, and how many events it holds; `now` with its zone."""
    page = season_page(collection, now.date(), settings)
    entries = _entries(page, Style(settings))
    return calendar_text(entries, _collection_word(collection), now.astimezone(dt.UTC)), len(entries)


def _entries(page: SeasonPage, style: Style) -> list[CalendarEntry]:
    found: list[CalendarEntry] = []
    sequence = (page.today - _EPOCH).days
    for line in page.females:
        # the season it counts from, so that an event keeps its identifier when the season turns
        key = f"{line.id}-{(line.counted_from or page.start).year}"
        key += f"-{len(line.season.rounds)}" if line.season.earlier else ""
        for eggs in line.eggs:
            entry = expected_entry(eggs.forecast, line.keeper_id, f"{line.id}-{eggs.label}", style, sequence)
            if entry is not None:
                found.append(_reminded(entry, eggs.forecast.event))
        for forecast in line.windows:
            entry = expected_entry(forecast, line.keeper_id, key, style, sequence)
            if entry is not None:
                found.append(_reminded(entry, forecast.event))
    for plan in page.plans:
        if plan.state is PlanState.OPEN and plan.day is not None and plan.day >= page.today:
            title = say("{female}: {male} planned", female=plan.female_name, male=plan.male_name)
            detail = plan.target + (f"\n{plan.reason}" if plan.reason else "")
            key = f"plan-{plan.id}"
            found.append(CalendarEntry(key, render(title, style), detail, plan.day, plan.day, sequence))
    return found


def _reminded(entry: CalendarEntry, event: Event) -> CalendarEntry:
    return replace(entry, remind_days=_REMIND.get(event))


def _collection_word(collection: Collection) -> str:
    """A word that is this collection's for good and says nothing of it: of the first act's moment."""
    row = collection.read_one("SELECT at, device FROM act ORDER BY id LIMIT 1")
    return hashlib.sha256(repr(row).encode()).hexdigest()[:12]
