"""What stands on the sheet of one animal: who it is, its curve, treatments, last meals, weights, sheds and notes.

Never a price and never a person: the sheet goes along with the animal or to a veterinarian.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.drawing.weight_chart import Series
from coilbook.labels.code import LabelCode
from coilbook.reads.animal_chart import series_of
from coilbook.reads.animal_facts import day_of
from coilbook.reads.animal_rows import AnimalPage, Entry, Identity
from coilbook.reads.genetics_card import CardText
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Origin, Sex, Status

#: rows of each list on the one page
MEALS, WEIGHTS, SHEDS, NOTES = 10, 10, 6, 6


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One line of a list: its day, and its words in parts."""

    day: dt.date
    said: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class AnimalSheet:
    """Content of the sheet; `facts` are named lines, lists newest first."""

    who: Identity
    facts: tuple[tuple[Message, Message], ...]
    claims: tuple[str, ...]
    series: Series
    meals: tuple[SheetRow, ...]
    weights: tuple[SheetRow, ...]
    sheds: tuple[SheetRow, ...]
    notes: tuple[SheetRow, ...]
    #: treatments and quarantines: how those that go on began, then everything else of them, newest first
    health: tuple[SheetRow, ...]
    code: LabelCode | None
    printed: dt.date
    #: what may be printed of its genes; None where only its label can be
    genes: CardText | None = None


def animal_sheet(page: AnimalPage, today: dt.date, genes: CardText | None = None) -> AnimalSheet:
    """The sheet of an animal as it stands today; `genes` what its card may say."""
    return AnimalSheet(
        page.who,
        tuple(_facts(page)),
        tuple(c.text for c in page.claims),
        series_of(page, today),
        _rows(page.entries, ("feeding", "regurgitation"), MEALS),
        _rows(page.entries, ("weight",), WEIGHTS),
        _rows(page.entries, ("shed",), SHEDS),
        _rows(page.entries, ("note", "sign_seen"), NOTES),
        _health(page),
        page.code,
        today,
        genes,
    )


def _health(page: AnimalPage) -> tuple[SheetRow, ...]:
    """What goes on comes first, so that no note of it takes the room of what it is for and what is done."""
    entries = [e for e in page.entries if e.table in ("health_course", "course_step")]
    going_on = {course.id for course in page.courses}
    begun = [e for e in entries if e.table == "health_course" and e.row in going_on]
    rest = [e for e in entries if e not in begun]
    return _rows([*begun, *rest], ("health_course", "course_step"), len(entries))


def _rows(entries: Sequence[Entry], tables: tuple[str, ...], most: int) -> tuple[SheetRow, ...]:
    return tuple(SheetRow(day_of(e.at), e.said) for e in entries if e.table in tables and e.at)[:most]


def _facts(page: AnimalPage) -> list[tuple[Message, Message]]:
    who, family = page.who, page.family
    facts: list[tuple[Message, Message]] = []
    if who.hatched is not None:
        day = say("{date}", date=who.hatched)
        if who.hatched_not_before is not None:
            day = say("{first} to {date}, between two looks", first=who.hatched_not_before, date=who.hatched)
        facts.append((say("hatched"), day))
    if who.origin is not Origin.UNKNOWN:
        facts.append((say("came"), say("{how}", how=who.origin)))
    if who.sex is not Sex.UNSEXED:
        sure = say("sure") if who.sex_percent == 100 else say("{percent}% sure", percent=who.sex_percent)
        facts.append((say("sex"), say("{basis}, {sure}", basis=who.sex_basis, sure=sure)))
    if family.dam is not None:
        facts.append((say("dam"), say("{id}", id=family.dam.keeper_id)))
    if family.sires:
        sires = ", ".join(s.keeper_id + ("" if s.percent == 100 else f" {s.percent}%") for s in family.sires)
        facts.append((say("sire"), say("{id}", id=sires)))
    if who.prey_kind:
        facts.append((say("prey"), say("{prey}, {state}", prey=who.prey_kind, state=who.prey_state)))
    if who.interval_days:
        facts.append((say("offered every"), say("{n} day", "{n} days", n=who.interval_days)))
    if who.microchip:
        facts.append((say("microchip"), say("{chip}", chip=who.microchip)))
    if page.home.label:
        facts.append((say("place"), say("{place}", place=page.home.label)))
    if who.status is not Status.HERE:
        facts.append((say("status"), say("{status}", status=who.status)))
    return facts
