"""How a hatchling gets on, in words: its column of the strip, and what the margin says of being ready for sale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coilbook.husbandry.forecast import SHOWN
from coilbook.ui.animal.words import FactWords
from coilbook.ui.margin_content import Evidence, Fact, MarginSection
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

if TYPE_CHECKING:
    from coilbook.husbandry.day_curve import Window
    from coilbook.husbandry.young import YoungNow

_SHAPES = {True: "done", False: "circle", None: "dash"}
_EXPECTED = {
    "first_shed": translated("first shed"),
    "first_meal": translated("first meal"),
    "sale_ready": translated("ready for sale"),
}


def young_fact(young: YoungNow, style: Style) -> FactWords:
    """Ready since when, or the first thing missing; below it the window, or what asks for the keeper."""
    head = translated("For sale")
    if young.rule.ready:
        since = translated("rule met {day}").format(day=style.date(young.since, year=False)) if young.since else ""
        return FactWords(head, translated("ready"), (since, translated("by the rule only")), "done")
    value = translated("not started") if not young.started else _meals(young)
    shape = "triangle" if young.mind is not None else ""
    missing = [part for part in young.rule.parts if not part.met]
    return FactWords(head, value, (_ready_words(young, style), _missing(len(missing))), shape)


def _meals(young: YoungNow) -> str:
    return translated("{n} of {needed} meals").format(n=young.rule.meals, needed=young.rule.needed)


def _missing(count: int) -> str:
    return translated("{n} missing").format(n=count)


def _ready_words(young: YoungNow, style: Style) -> str:
    ahead = young.ready_ahead
    window = ahead.window(SHOWN) if ahead is not None else None
    return (
        translated("ready {days} ({odds})").format(days=_days(window, style), odds=percent(window.probability, 0))
        if window is not None
        else ""
    )


def _days(window: Window, style: Style) -> str:
    first, last = style.date(window.first, year=False), style.date(window.last, year=False)
    return first if window.first == window.last else f"{first} \u2013 {last}"


def young_verdict(young: YoungNow, style: Style) -> str:
    """In a few words."""
    if young.rule.ready:
        return translated("Ready for sale by the rule")
    return translated("Not ready for sale") if young.started else translated("Not started, not ready for sale")


def young_parts(young: YoungNow, style: Style) -> tuple[Evidence, ...]:
    """Every part of the rule, met or not."""
    return tuple(
        Evidence(shape=_SHAPES[part.met], word=render(part.told, style).rstrip("."), right=_met(part.met))
        for part in young.rule.parts
    )


def _met(met: bool | None) -> str:
    return translated("not known") if met is None else translated("met") if met else translated("missing")


def young_sections(young: YoungNow, style: Style) -> tuple[MarginSection, ...]:
    """The windows ahead, with what they hold, and what holds them back."""
    rows = []
    for forecast in young.ahead:
        window = forecast.window(SHOWN)
        name = _EXPECTED[forecast.event.value]
        shown = translated("past all that records say")
        if window is not None:
            shown = f"{_days(window, style)} ({percent(window.probability, 0)})"
        rows.append(Fact(name, shown, strong=forecast is young.ready_ahead))
    if not rows:
        return ()
    told = [render(message, style) for message in (young.ready_ahead or young.ahead[-1]).because]
    if young.not_before is not None:
        told.append(render(young.not_before, style))
    return (MarginSection(translated("Windows, 80%, with what they hold"), tuple(rows), " ".join(told)),)
