"""What the margin says of the line in focus: the window, what it rests on, the fast, the sires, what goes wrong now."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from coilbook.derived.season_rows import StayRow
from coilbook.husbandry.forecast_words import EVENT_NAMES
from coilbook.husbandry.sire_prior import rule_told
from coilbook.husbandry.stage_notes import stage_notes
from coilbook.reads.season_lines import FemaleLine, MaleLine, PlanRow, SeasonPage
from coilbook.reads.sire_odds import SireOdds
from coilbook.records.ids import ClutchId
from coilbook.records.message import Message
from coilbook.records.season_vocabulary import LockCertainty
from coilbook.records.vocabulary import Sex
from coilbook.ui.health_words import Courses, health_sections
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.season.curve_chart import CurveChart
from coilbook.ui.season.words import held_words, male_facts, verdict
from coilbook.ui.sire_words import sire_sections
from coilbook.ui.theme import Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

_FEW_STAYS = 8


def season_margin(
    theme: Theme,
    style: Style,
    page: SeasonPage | None,
    row: FemaleLine | MaleLine | None,
    go: Callable[[], None],
    sires: Mapping[ClutchId, SireOdds],
    health: Courses,
) -> MarginContent:
    """The margin for a line; `go` opens the animal's page, `sires` are those of clutches weighed by what hatched.

    `health` are the courses that go on, by animal.
    """
    heading = translated("Why, for the line in focus")
    if page is None or row is None:
        why = translated("Enter the first stay, or plan a pairing; everything else follows from what is seen.")
        return MarginContent(heading=heading, verdict=translated("Nothing of this season yet"), why=why)
    link = MarginLink(translated("Open the page of {animal}").format(animal=row.keeper_id), go)
    courses = health_sections(health.get(row.id, ()), page.today, style)
    if isinstance(row, MaleLine):
        made = _male(heading, style, row, page, link)
        return replace(made, sections=(*courses, *made.sections))
    weighed = [sires[one.laying.clutch] for one in row.season.rounds if one.laying and one.laying.clutch in sires]
    made = _female(heading, theme, style, row, page, link, weighed)
    return replace(made, sections=(*courses, *made.sections))


def _sentences(style: Style, told: tuple[Message, ...]) -> str:
    return " ".join(render(message, style) for message in told)


def _female(
    heading: str,
    theme: Theme,
    style: Style,
    row: FemaleLine,
    page: SeasonPage,
    link: MarginLink,
    weighed: Sequence[SireOdds],
) -> MarginContent:
    ahead = row.next
    late = next((w for w in row.windows if w.late), None)
    sections = [*_windows(row, style), *_fast(row, style), *_sires(row, style)]
    sections += [section for odds in weighed for section in sire_sections(odds, style)]
    sections += [*_plans(row.plans, style)]
    sections += [_wrong(row, style), *_held(page, style)]
    return MarginContent(
        heading=heading,
        whose=row.keeper_id,
        sex=style.sex_sign(Sex.FEMALE),
        about=", ".join(part for part in (row.genetics, row.place) if part),
        verdict=verdict(row, style),
        needs_you=late is not None,
        why=_sentences(style, row.stage.reasons),
        chart=None if ahead is None else lambda: CurveChart(theme, style, ahead, min(page.today, page.end)),
        chart_note=""
        if ahead is None
        else translated("Solid: as seen from today; dashed: before today ruled days out; shaded: 80%."),
        sections=tuple(sections),
        rests_on=translated("Days and spreads: the species' profile, blended with your own seasons as they come."),
        links=(link,),
    )


def _windows(row: FemaleLine, style: Style) -> list[MarginSection]:
    rows = []
    for forecast in row.windows:
        rows.append(Fact(render(EVENT_NAMES[forecast.event], style), held_words(forecast, style)))
    for eggs in row.eggs:
        name = f"{eggs.label}: {render(EVENT_NAMES[eggs.forecast.event], style)}"
        rows.append(Fact(name, held_words(eggs.forecast, style)))
    if not rows:
        return []
    first = row.next or (*row.windows, *(eggs.forecast for eggs in row.eggs))[0]
    edge = translated("Late after {day}, the 95% edge.").format(day=style.date(first.from_start.last, year=False))
    why = f"{_sentences(style, first.because)} {edge}"
    return [MarginSection(translated("Windows, 80%, with what they hold"), tuple(rows), why)]


def _fast(row: FemaleLine, style: Style) -> list[MarginSection]:
    fast = row.fast
    if fast is None:
        return []
    rows = []
    if fast.last_meal is not None and fast.days is not None:
        value = f"{style.date(fast.last_meal, year=False)}, {style.days(fast.days)}"
        rows.append(Fact(translated("Last meal taken"), value))
    rows.append(Fact(translated("Refused since"), style.number(fast.refused)))
    if fast.not_offered:
        rows.append(Fact(translated("Not offered for"), style.days(fast.not_offered)))
    if fast.now is not None and fast.permille is not None:
        weighed = translated("Weight, {day}").format(day=style.date(fast.now.day, year=False))
        rows.append(Fact(weighed, f"{style.mass(fast.now.mass_dg)}, {fast.permille / 10:+.1f}%"))
    if fast.alarm_dg is not None:
        rows.append(Fact(translated("Alarm at"), style.mass(fast.alarm_dg)))
    if fast.ends is not None:
        first, last = (style.date(day, year=False) for day in fast.ends)
        rows.append(Fact(translated("First meal expected"), f"{first} \u2013 {last}"))
    before = [_past_fast(p.days, p.permille) for p in fast.past if p.days is not None]
    if before:
        rows.append(Fact(translated("Her own before"), ", ".join(before[-3:])))
    return [MarginSection(translated("The fast"), tuple(rows))]


def _past_fast(days: int | None, permille: int | None) -> str:
    change = "" if permille is None else f" {permille / 10:+.1f}%"
    return translated("{n} d").format(n=days) + change


def _sires(row: FemaleLine, style: Style) -> list[MarginSection]:
    shown = [s for s in row.sires if s.share >= 0.005]
    if not shown:
        return []
    rows = tuple(
        Fact(s.name or translated("not on record"), percent(s.share, 0), strong=number == 0)
        for number, s in enumerate(shown)
    )
    why = render(shown[0].because[-1], style) if shown[0].because else ""
    how = render(rule_told()[0], style) + " " + render(rule_told()[-1], style)
    return [MarginSection(translated("Sire, before anything hatches"), rows, f"{why} {how}".strip())]


def _plans(plans: tuple[PlanRow, ...], style: Style) -> list[MarginSection]:
    if not plans:
        return []
    rows = tuple(Fact(_plan_name(p), plan_words(p, style)) for p in plans)
    told = " ".join(p.target + (f" ({p.reason})" if p.reason else "") + "." for p in plans if p.target)
    return [MarginSection(translated("Planned, and what happened"), rows, told)]


def _plan_name(plan: PlanRow) -> str:
    return f"{plan.male_name} ({plan.backup_name})" if plan.backup_name else plan.male_name


def plan_words(plan: PlanRow, style: Style) -> str:
    """How a plan stands beside what happened."""
    parts = [words(plan.state)]
    if plan.day is not None:
        parts.append(translated("for {day}").format(day=style.date(plan.day, year=False)))
    if plan.stays:
        parts.append(translated_plural("{n} stay", "{n} stays", plan.stays))
    return ", ".join(parts)


def _wrong(row: FemaleLine, style: Style) -> MarginSection:
    notes = stage_notes(row.stage.stage)
    text = " ".join(f"{render(note.told, style)}" for note in notes)
    marks = ", ".join(dict.fromkeys(note.mark.value for note in notes))
    return MarginSection(translated("What goes wrong now"), (), f"{text} ({marks})")


def _held(page: SeasonPage, style: Style) -> list[MarginSection]:
    told = [render(score.told(), style) for score in page.scores]
    if not told:
        return []
    return [MarginSection(translated("How windows given here have held"), (), " ".join(told))]


def _male(heading: str, style: Style, row: MaleLine, page: SeasonPage, link: MarginLink) -> MarginContent:
    load = row.load
    facts = [
        Fact(translated("Days with females"), style.number(load.days), strong=True),
        Fact(translated("Females"), style.number(load.females)),
    ]
    if load.rested is not None:
        facts.append(Fact(translated("Rested"), style.days(load.rested)))
    if load.permille is not None:
        facts.append(Fact(translated("Weight this season"), f"{load.permille / 10:+.1f}%"))
    cautions = [render(c, style) for c in load.cautions]
    stays = tuple(
        Evidence(style.date(s.first, year=False), _shape(s), s.female_name, _days(s.first, s.last))
        for s in reversed(row.stays[-_FEW_STAYS:])
    )
    planned = tuple(Fact(p.female_name, plan_words(p, style)) for p in row.plans)
    return MarginContent(
        heading=heading,
        whose=row.keeper_id,
        sex=style.sex_sign(Sex.MALE),
        verdict=cautions[0] if cautions else ", ".join(male_facts(row, style)),
        needs_you=bool(cautions),
        why=" ".join(cautions[1:]),
        evidence=stays,
        facts=tuple(facts),
        sections=(MarginSection(translated("Planned"), planned),) if planned else (),
        rests_on=translated("Days, rest and females a male: common practice; the floor of weight is yours (Settings)."),
        links=(link,),
    )


def _shape(stay: StayRow) -> str:
    """The surest thing seen in a stay."""
    seen = [lock.certainty for lock in stay.locks]
    return next((certainty.value for certainty in LockCertainty if certainty in seen), "stay")


def _days(first: dt.date, last: dt.date | None) -> str:
    return translated("in now") if last is None else translated("{n} d").format(n=(last - first).days)
