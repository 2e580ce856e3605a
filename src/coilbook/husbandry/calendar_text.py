"""Expected events as an iCalendar file (RFC 5545), whole days, with identifiers that stay when windows move.

An event imported again under the same UID with a higher SEQUENCE replaces the one before. One that is expected no more
is written once more with STATUS:CANCELLED, which tells a calendar to strike it out or take it away; one that is merely
left out of a file stays in a calendar that imported it. No person, place or price is written.
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
    `remind_days` before the first day, None for no reminder. `cancelled`: it was expected once, and is no more.
    """

    key: str
    title: str
    detail: str
    first: dt.date
    last: dt.date
    sequence: int = 0
    remind_days: int | None = None
    cancelled: bool = False


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
    if entry.cancelled:
        yield "STATUS:CANCELLED"
    # a window of days is no appointment
    yield "TRANSP:TRANSPARENT"
    if entry.remind_days is not None and not entry.cancelled:
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{_escaped(entry.title)}")
        ahead = f"-P{entry.remind_days}D" if entry.remind_days else "PT0S"
        yield from (f"TRIGGER:{ahead}", "END:VALARM")
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


def former_entries(text: str, collection: str) -> tuple[CalendarEntry, ...]:
    """The events of this collection that a file written before holds, cancelled ones too; what cannot be read is none.

    Nothing but key, title and days is read back.
    """
    ending = f"@{_escaped(collection)}.coilbook"
    found: dict[str, CalendarEntry] = {}
    for part in text.replace("\r\n", "\n").replace("\n ", "").split("BEGIN:VEVENT\n")[1:]:
        said = dict(line.split(":", 1) for line in part.split("END:VEVENT")[0].split("\n") if ":" in line)
        key = _plain(said.get("UID", ""))
        try:
            first, end = (dt.date.fromisoformat(said[f"{name};VALUE=DATE"].strip()) for name in ("DTSTART", "DTEND"))
        except (KeyError, ValueError):
            continue
        if key.endswith(ending) and end > first:
            key = key.removesuffix(ending)
            title = _plain(said.get("SUMMARY", ""))
            off = said.get("STATUS", "").strip() == "CANCELLED"
            found[key] = CalendarEntry(key, title, "", first, end - dt.timedelta(days=1), cancelled=off)
    return tuple(found.values())


def _plain(text: str) -> str:
    """What `_escaped` was made of."""
    signs, found = iter(text.strip()), []
    for sign in signs:
        after = next(signs, "") if sign == "\\" else sign
        found.append("\n" if sign == "\\" and after in "nN" else after)
    return "".join(found)


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
