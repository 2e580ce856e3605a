"""The lines of the screen as stories for the drawing: what was entered, what is expected, what is planned."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from coilbook.derived.season_book import FemaleSeason
from coilbook.drawing.season_lines import Band, Block, Point, Span, Story, Word
from coilbook.husbandry.forecast import LIKELY, SHOWN, EventForecast
from coilbook.reads.season_lines import FemaleLine, MaleLine, SeasonPage
from coilbook.records.season_vocabulary import FollicleMethod, LockCertainty, OvulationCertainty, PreLay
from coilbook.wording.style import Style
from coilbook.wording.texts import words

#: what was seen of a pair, the surest first
_SEEN = (LockCertainty.LOCK, LockCertainty.LIKELY, LockCertainty.COURTING)
_SURE = (OvulationCertainty.SEEN, OvulationCertainty.PHOTO)


def female_story(line: FemaleLine, page: SeasonPage, style: Style) -> Story:
    """Everything on a female's line."""
    today = _shown_until(page)
    blocks = [
        Block(s.first.toordinal(), (s.last or today).toordinal(), _seen([k.certainty for k in s.locks]), s.male_name,
              s.last is None)
        for s in line.season.every_stay
    ]  # fmt: skip
    ahead = [eggs.forecast for eggs in line.eggs]
    blocks += [_planned(plan.day, plan.male_name) for plan in line.plans if _ahead(plan.day, today, plan.state.value)]
    return Story(
        tuple(sorted(blocks, key=lambda b: b.first)),
        _points(line),
        _spans(line, today),
        tuple(band for band in (_band(w, today) for w in (*ahead, *line.windows)) if band is not None),
        _words(line, style),
    )


def male_story(line: MaleLine, page: SeasonPage) -> Story:
    """Everything on a male's line."""
    today = _shown_until(page)
    blocks = [
        Block(s.first.toordinal(), (s.last or today).toordinal(), _seen([k.certainty for k in s.locks]), "",
              s.last is None)
        for s in line.stays
    ]  # fmt: skip
    planned = [p for p in line.plans if _ahead(p.day, today, p.state.value)]
    blocks += [_planned(plan.day, "") for plan in planned]
    named = tuple(Word(p.day.toordinal() + 2, p.female_name, middle=False) for p in planned if p.day is not None)
    return Story(tuple(sorted(blocks, key=lambda b: b.first)), words=named)


def _shown_until(page: SeasonPage) -> dt.date:
    return min(page.today, page.end)


def _seen(certainties: Sequence[LockCertainty]) -> str:
    return next((c.value for c in _SEEN if c in certainties), "")


def _ahead(day: dt.date | None, today: dt.date, state: str) -> bool:
    return day is not None and day >= today and state == "open"


def _planned(day: dt.date | None, name: str) -> Block:
    first = day.toordinal() if day is not None else 0
    return Block(first, first + 1, label=name, planned=True)


def _points(line: FemaleLine) -> tuple[Point, ...]:
    found = [point for season in line.season.rounds for point in _points_of(season)]
    found += [Point(_a_year_on(day).toordinal(), "laid_before") for day in line.laid_before]
    return tuple(sorted(found, key=lambda point: point.day))


def _points_of(season: FemaleSeason) -> list[Point]:
    found = []
    if season.ovulation is not None:
        shape = "ovulation" if season.ovulation.certainty in _SURE else "inferred"
        found.append(Point(season.ovulation.day.toordinal(), shape))
    for shed in season.sheds:
        if shed.was is not PreLay.ORDINARY:
            shape = "pre_lay" if shed.was is PreLay.PRE_LAY else "pre_lay_unsure"
            found.append(Point(shed.day.toordinal(), shape))
    if season.laying is not None:
        found.append(Point(season.laying.day.toordinal(), "laid"))
        if season.laying.pip is not None:
            found.append(Point(season.laying.pip.latest.toordinal(), "hatched"))
    return found


def _a_year_on(day: dt.date) -> dt.date:
    return dt.date(day.year + 1, day.month, min(day.day, 28) if day.month == 2 else day.day)


def _spans(line: FemaleLine, today: dt.date) -> tuple[Span, ...]:
    return tuple(span for season in line.season.rounds for span in _spans_of(season, today.toordinal()))


def _spans_of(season: FemaleSeason, now: int) -> list[Span]:
    over = season.outcome.day.toordinal() if season.outcome is not None else now
    ovulated = season.ovulation.day.toordinal() if season.ovulation is not None else None
    laid = season.laying.day.toordinal() if season.laying is not None else None
    found = []
    if season.follicles:
        end = ovulated if ovulated is not None else laid if laid is not None else over
        found.append(Span(season.follicles[0].day.toordinal(), end, "building"))
    begun = ovulated if ovulated is not None else season.shed.day.toordinal() if season.shed is not None else None
    if begun is not None:
        found.append(Span(begun, laid if laid is not None else over, "gravid"))
    if season.laying is not None and laid is not None:
        pip = season.laying.pip
        found.append(Span(laid, pip.latest.toordinal() if pip is not None else now, "eggs"))
    return found


def _band(forecast: EventForecast, today: dt.date) -> Band | None:
    shown, likely = forecast.window(SHOWN), forecast.window(LIKELY)
    if shown is None or likely is None:
        if not forecast.late:
            return None
        day = today.toordinal()
        return Band(forecast.event.value, day, day, day, day, late=True)
    return Band(
        forecast.event.value, shown.first.toordinal(), shown.last.toordinal(), likely.first.toordinal(),
        likely.last.toordinal(), forecast.late,
    )  # fmt: skip


def _words(line: FemaleLine, style: Style) -> tuple[Word, ...]:
    found = []
    for follicle in (seen for season in line.season.rounds for seen in season.follicles):
        # a grade is never read as millimetres: it stands with its letter
        size = f"{follicle.mm:g}" if follicle.method is FollicleMethod.ULTRASOUND else f"g{follicle.grade}"
        found.append(Word(follicle.day.toordinal(), size))
    outcome = line.season.outcome
    if outcome is not None:
        text = f"{words(outcome.outcome)} {style.date(outcome.day, year=False)}"
        found.append(Word(outcome.day.toordinal(), f"{text}: {outcome.note}" if outcome.note else text, middle=False))
    return tuple(found)
