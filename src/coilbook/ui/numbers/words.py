"""Numbers of a species in the keeper's units, written and read."""

from __future__ import annotations

import re
from collections.abc import Callable

from coilbook.husbandry.incubator import to_celsius
from coilbook.husbandry.own_numbers import Unit
from coilbook.reads.species_numbers import NumberRow
from coilbook.records.message import Message, Refusal, say
from coilbook.records.quantities import parse_mass
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.parts.table import CellLook
from coilbook.wording.language import translated
from coilbook.wording.style import Style

HEADS = (
    translated("About"),
    translated("Number"),
    translated("Counted with"),
    translated("Shipped"),
    translated("Its range"),
    translated("Where from"),
)
#: columns of numbers
NUMBERS = (2, 3, 4)
_UNIT_WORDS = {
    Unit.DAYS: translated("{n} d"),
    Unit.WEEKS: translated("{n} weeks"),
    Unit.YEARS: translated("{n} years"),
    Unit.MM: translated("{n} mm"),
    Unit.COUNT: "{n}",
    Unit.EGGS: translated("{n} eggs"),
}
_TYPED = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*\u00b0?\s*([a-z%]*)")
#: what may be typed behind a number of each unit
_TYPED_WORDS: dict[Unit, tuple[str, ...]] = {
    Unit.DAYS: ("d", "day", "days"),
    Unit.WEEKS: ("w", "week", "weeks"),
    Unit.YEARS: ("y", "year", "years"),
    Unit.MM: ("mm",),
    Unit.SHARE: ("%",),
    Unit.CELSIUS: ("c", "f"),
    Unit.COUNT: (),
    Unit.EGGS: ("egg", "eggs"),
}


def number_text(style: Style, unit: Unit, value: float) -> str:
    """A number with its unit, as the keeper reads it."""
    if unit is Unit.GRAMS:
        return style.mass(round(10 * value))
    if unit is Unit.CELSIUS:
        return style.temperature(round(10 * value))
    if unit is Unit.SHARE:
        return f"{100 * value:.3g}%"
    return _UNIT_WORDS[unit].format(n=f"{value:.3g}" if value < 100 else f"{value:.4g}")


def typed_number(style: Style, unit: Unit, text: str) -> float:
    """What was typed, in the unit of the profile; a bare number is in the keeper's unit. Raises `Refusal`."""
    if unit is Unit.GRAMS:
        return parse_mass(text, style.settings.mass_unit).decigrams / 10
    found = _TYPED.fullmatch(text.strip().lower().replace(",", "."))
    if found is None:
        raise Refusal(say("'{text}' is not a number.", text=text))
    value, word = float(found[1]), found[2]
    if word not in ("", *_TYPED_WORDS[unit]):
        raise Refusal(say("'{text}' is in another unit. Type the number alone.", text=text))
    if unit is Unit.SHARE:
        return value / 100
    if unit is Unit.CELSIUS and (word == "f" or (style.settings.fahrenheit and not word)):
        return to_celsius(value)
    return value


def looks_of(row: NumberRow, style: Style, render: Callable[[Message], str], group: str) -> tuple[CellLook, ...]:
    """The cells of a row; what is the keeper's own stands in bold with its word."""
    own = row.own is not None
    used = number_text(style, row.unit, row.used)
    changed = row.shipped_then is not None
    return (
        CellLook(group, token="second"),
        CellLook(render(row.name), bold=own),
        CellLook(used, bold=own, shape="diamond" if own else "", right=not own),
        CellLook(number_text(style, row.unit, row.shipped), token="second", right=True,
                 shape="triangle" if changed else ""),
        CellLook(range_text(row, style), token="second", right=True),
        CellLook(str(row.provenance), token="second"),
    )  # fmt: skip


def range_text(row: NumberRow, style: Style) -> str:
    """The shipped range; empty without one."""
    if row.low is None and row.high is None:
        return ""
    low, high = (row.shipped if one is None else one for one in (row.low, row.high))
    first, last = number_text(style, row.unit, low), number_text(style, row.unit, high)
    return f"{first.split()[0] if first.split()[-1:] == last.split()[-1:] else first} \u2013 {last}"


def number_margin(row: NumberRow | None, style: Style, render: Callable[[Message], str],
                  species: str, links: tuple[MarginLink, ...]) -> MarginContent:  # fmt: skip
    """The number in focus: yours, the shipped one and where that is from, what changed since."""
    heading = translated("Why, for the number in focus")
    if row is None:
        return MarginContent(heading=heading, verdict=translated("No number fits"))
    facts = [Fact(translated("Shipped"), number_text(style, row.unit, row.shipped), strong=row.own is None)]
    if row.own is not None:
        facts.insert(0, Fact(translated("Yours"), number_text(style, row.unit, row.own), strong=True))
    if range_text(row, style):
        facts.append(Fact(translated("Its range"), range_text(row, style)))
    sections = [MarginSection(translated("The shipped number"), (), _shipped_words(row))]
    if row.shipped_then is not None:
        then = number_text(style, row.unit, row.shipped_then)
        told = translated("An update changed the shipped number from {then} since you set yours. Yours still counts.")
        sections.append(MarginSection(translated("Changed since"), (), told.format(then=then)))
    return MarginContent(
        heading=heading,
        verdict=render(row.name),
        about=species,
        why=translated("Your own number counts.") if row.own is not None else translated("The shipped number counts."),
        facts=tuple(facts),
        sections=tuple(sections),
        rests_on=translated(
            "Your number takes the place of the species' one, survives an update and can be undone. Days of a window "
            "and what is expected of a clutch are still blended with your own seasons. A spread is the standard "
            "deviation: some two of three seasons lie within it of the middle."
        ),
        links=links,
    )


def _shipped_words(row: NumberRow) -> str:
    note = f" {row.provenance.note[:1].upper()}{row.provenance.note[1:]}." if row.provenance.note else ""
    mark = str(row.provenance)
    return f"{mark[:1].upper()}{mark[1:]}.{note}"
