"""Expected events as an iCalendar file (RFC 5545), whole days, with identifiers that stay when windows move.

An event imported again under the same UID with a higher SEQUENCE replaces the one before. No person, place or price
is written.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coilbook.husbandry.forecast import EventForecast
from coilbook.husbandry.forecast_words import EVENT_NAMES
from coilbook.records.message import say
from coilbook.wording.chances import percent
from coilbook.wording.style import Style
from coilbook.wording.texts import render

_PRODUCT = "-//Coilbook//Season//EN"
#: octets of a line before it is folded (RFC 5545, 3.1)
_FOLD = 75
#: the window that goes into a calendar
_LEVEL = 0.8


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """An expected event from `first` to `last`, both inclusive.

    `key` stays the same for the same event of the same season ("laying-C17"); `sequence` grows when it was changed;
    `remind_days` before the first day, None for no reminder.
    """

    key: str
    title: str
    detail: str
    first: dt.date
    last: dt.date
    sequence: int = 0
    remind_days: int | None = None


def calendar_text(entries: Sequence[CalendarEntry], collection: str, stamp: dt.datetime) -> str:
    """The text of the file, CRLF at the ends of lines.

    `collection` any lasting word of this collection, so that two collections do not share identifiers; `stamp` when
    the file is made, in UTC. Raises ValueError when two entries share a key or an entry ends before it begins.
    """
    if len({entry.key for entry in entries}) != len(entries):
        raise ValueError("two events share a key")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{_PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    for entry in entries:
        lines.extend(_event(entry, collection, stamp))
    lines.append("END:VCALENDAR")
    return "".join(part + "\r\n" for line in lines for part in _folded(line))


def _event(entry: CalendarEntry, collection: str, stamp: dt.datetime) -> Iterator[str]:
    if entry.last < entry.first:
        raise ValueError(f"{entry.key} ends before it begins")
    yield "BEGIN:VEVENT"
    yield f"UID:{_escaped(entry.key)}@{_escaped(collection)}.coilbook"
    yield f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}"
    yield f"SEQUENCE:{entry.sequence}"
    yield f"DTSTART;VALUE=DATE:{_date(entry.first)}"
    # the end is the first day that no longer belongs to it
    yield f"DTEND;VALUE=DATE:{_date(entry.last + dt.timedelta(days=1))}"
    yield f"SUMMARY:{_escaped(entry.title)}"
    yield f"DESCRIPTION:{_escaped(entry.detail)}"
    # a window of days is no appointment
    yield "TRANSP:TRANSPARENT"
    if entry.remind_days is not None:
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{_escaped(entry.title)}")
        yield from (f"TRIGGER:-P{entry.remind_days}D", "END:VALARM")
    yield "END:VEVENT"


def _date(day: dt.date) -> str:
    return day.isoformat().replace("-", "")


def _escaped(text: str) -> str:
    for plain, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"), ("\r", "\\n")):
        text = text.replace(plain, written)
    return "".join(sign for sign in text if sign >= " " or sign == "\t")


def _folded(line: str) -> Iterator[str]:
    """A line in parts of at most 75 octets, later ones begun by a space; no character is cut in two."""
    part, size = "", 0
    for sign in line:
        octets = len(sign.encode())
        if size + octets > _FOLD:
            yield part
            part, size = " ", 1
        part += sign
        size += octets
    yield part


def expected_entry(
    forecast: EventForecast, name: str, key: str, style: Style, sequence: int = 0
) -> CalendarEntry | None:
    """The 80% window of a forecast as an entry; `name` whose it is, `key` of that season. None without a window."""
    window = forecast.window(_LEVEL)
    if window is None:
        return None
    title = say("{name}: {event}", name=name, event=EVENT_NAMES[forecast.event])
    held = say("Expected {first} to {last}; these days hold {percent}.",
               first=window.first, last=window.last, percent=percent(window.probability, 0))  # fmt: skip
    detail = "\n".join(render(message, style) for message in (held, *forecast.because))
    return CalendarEntry(
        f"{forecast.event.value}-{key}", render(title, style), detail, window.first, window.last, sequence
    )
