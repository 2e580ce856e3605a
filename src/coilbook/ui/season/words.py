"""Words of the Season screen: names beside the lines, verdicts of the margin, the sentence under the title."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import season_end
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import LIKELY, SHOWN, EventForecast
from coilbook.reads.season_lines import FemaleLine, MaleLine, SeasonPage
from coilbook.records.season_vocabulary import SeasonStage
from coilbook.wording.chances import percent
from coilbook.wording.language import translated, translated_form, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

#: an event ahead as a verdict begins
EXPECTS = {
    Event.OVULATION: "Ovulates {window}",
    Event.SHED: "Pre-lay shed {window}",
    Event.LAYING: "Lays {window}",
    Event.PIP: "Eggs pip {window}",
    Event.OUT: "Young out {window}",
}


def row_words(row: FemaleLine | MaleLine, style: Style) -> tuple[str, str]:
    """Id, and in a few words how it stands."""
    if isinstance(row, FemaleLine):
        return row.keeper_id, render(row.headline, style)
    return row.keeper_id, ", ".join(male_facts(row, style))


def male_facts(row: MaleLine, style: Style) -> list[str]:
    """Days in, females, weight."""
    found = [translated("{n} d").format(n=row.load.days), translated("{n} F").format(n=row.load.females)]
    return [*found, style.mass(row.now_dg)] if row.now_dg is not None else found


def male_note(row: MaleLine, style: Style) -> tuple[bool, str]:
    """Whether it needs the keeper, and the words at the right of his line."""
    if row.load.cautions:
        return True, render(row.load.cautions[0], style)
    if row.load.with_now is not None:
        return False, translated("with {female}").format(female=row.load.with_now.female)
    if row.load.rested is not None:
        return False, translated("rested {n} d").format(n=row.load.rested)
    return False, ""


def window_words(forecast: EventForecast, style: Style, level: float = SHOWN) -> str:
    """The days of a window."""
    window = forecast.window(level)
    if window is None:
        return translated("past all that records say")
    first = style.date(window.first, year=False)
    if window.first == window.last:
        return first
    return f"{first} \u2013 {style.date(window.last, year=False)}"


def held_words(forecast: EventForecast, style: Style, level: float = SHOWN) -> str:
    """The days of a window with the probability that they hold: whole days hold more than was asked of them."""
    window = forecast.window(level)
    shown = window_words(forecast, style, level)
    return shown if window is None else f"{shown} ({percent(window.probability, 0)})"


def verdict(line: FemaleLine, style: Style) -> str:
    """What is next for her, with its window and its likely days."""
    forecast = line.next
    if forecast is None or forecast.curve is None:
        return render(line.headline, style).capitalize()
    text = translated(EXPECTS[forecast.event]).format(window=held_words(forecast, style))
    likely = forecast.window(LIKELY)
    if likely is None:
        return text
    return translated("{text}, likely {days}").format(text=text, days=held_words(forecast, style, 0.5))


_COUNTED = (SeasonStage.PRE_LAY, SeasonStage.GRAVID, SeasonStage.BUILDING, SeasonStage.PAIRING)


def summary(page: SeasonPage, style: Style) -> str:
    """The sentence under the title."""
    total = len(page.females)
    laid = sum(any(one.laying is not None for one in line.season.rounds) for line in page.females)
    counts = page.counts()
    parts = [translated("{n} laid").format(n=laid)] if laid else []
    parts += [f"{counts[stage]} {words(stage)}" for stage in _COUNTED if counts.get(stage)]
    head = translated_plural("{n} female", "{n} females", total)
    text = f"{head}: {', '.join(parts)}." if parts else f"{head}."
    first = next((line for line in page.females if line.next is not None), None)
    if first is not None and first.next is not None:
        event = translated(EXPECTS[first.next.event]).format(window=held_words(first.next, style))
        text += " " + translated("Next: {animal}, {what}.").format(
            animal=first.keeper_id, what=event[:1].lower() + event[1:]
        )
    return text


def season_title(page: SeasonPage) -> str:
    """The season by its years."""
    return translated("Season {years}").format(years=_years(page.start))


def empty_words(page: SeasonPage | None) -> tuple[str, str]:
    """Title and sentence of a season without entries, and which others have some."""
    sentence = translated("Enter the first stay, or plan a pairing. Stages, windows and loads follow from entries.")
    others = [start for start in page.seasons if start != page.start] if page is not None else []
    if others:
        form = translated_form("One other season is on record: {newest}.",
                               "{n} other seasons are on record, the newest {newest}.", len(others))  # fmt: skip
        sentence += "\n" + form.format(n=len(others), newest=_years(others[-1]))
    return translated("Nothing of this season yet"), sentence


def _years(start: dt.date) -> str:
    """The years of the season that begins on a day."""
    end = season_end(start)
    return str(start.year) if start.year == end.year else f"{start.year}\u2013{end.year % 100:02d}"
