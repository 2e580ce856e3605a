"""The wording of every question an import asks, with its key, its readings and what is suggested."""

from __future__ import annotations

import colorsys

from coilbook.intake.columns import Column, Meaning
from coilbook.intake.dates import DateReading, HeaderDate
from coilbook.intake.questions import Option, Question, Scope
from coilbook.records.message import Message, Refusal, say
from coilbook.records.quantities import MassUnit, parse_mass
from coilbook.records.settings import DateOrder

GROUPS = "groups"
SAME_ON_TABS = "same-on-tabs"
IN_COLLECTION = "in-collection"
HEADER_ORDER = "date-order|date columns"
HEADER_YEAR = "year|"
NO_ID = "no-id"
MERGE = "merge"
SEPARATE = "separate"
LEAVE_OUT = "leave_out"


def date_order_question(column: Column, text: str, reading: DateReading, own: DateOrder | None) -> Question:
    """Which of two readings the numeric dates of a column have."""
    return Question(
        f"date-order|{column.fingerprint}",
        say("Column '{column}': what day is {text}? Its other dates do not tell.", column=column.title, text=text),
        (
            Option(DateOrder.DAY_FIRST, say("day first: {text} is {date}", text=text, date=reading.day_first)),
            Option(DateOrder.MONTH_FIRST, say("month first: {text} is {date}", text=text, date=reading.month_first)),
        ),
        Scope.COLUMN,
        suggested=own if own in (DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST) else None,
    )


def unit_question(column: Column, text: str, own: MassUnit) -> Question:
    """What unit a column of small bare numbers is in; the keeper's own unit is suggested unless it is the gram."""
    return Question(
        f"weight-unit|{column.fingerprint}",
        say("Column '{column}': what unit is {text}? All its numbers are small.", column=column.title, text=text),
        tuple(
            Option(unit.value, _unit_reading(text, unit))
            for unit in (MassUnit.OUNCE, MassUnit.KILOGRAM, MassUnit.GRAM, MassUnit.POUND_OUNCE)
        ),
        Scope.COLUMN,
        suggested=own.value if own is not MassUnit.GRAM else None,
    )


def _unit_reading(text: str, unit: MassUnit) -> Message:
    names = {
        MassUnit.OUNCE: say("ounces"),
        MassUnit.KILOGRAM: say("kilograms"),
        MassUnit.GRAM: say("grams"),
        MassUnit.POUND_OUNCE: say("pounds"),
    }
    shown = f"{text} lb" if unit is MassUnit.POUND_OUNCE else text
    try:
        grams: object = parse_mass(shown, unit).grams
    except Refusal:
        return names[unit]
    return say("{unit}: {text} is {grams} g", unit=names[unit], text=text, grams=grams)


def colour_name(fill: str) -> str:
    """A plain word for a background colour.

    >>> colour_name("FFFF00"), colour_name("FFC7CE"), colour_name("theme 5")
    ('yellow', 'pink', 'coloured (theme 5)')
    """
    try:
        red, green, blue = (int(fill[at : at + 2], 16) / 255 for at in (0, 2, 4))
    except ValueError:
        return f"coloured ({fill})"
    hue, lightness, saturation = colorsys.rgb_to_hls(red, green, blue)
    if saturation < 0.12:
        return "grey"
    degrees = hue * 360
    if (degrees < 15 or degrees >= 300) and lightness > 0.7:
        return "pink"
    names = ((15, "red"), (45, "orange"), (70, "yellow"), (165, "green"), (255, "blue"), (320, "purple"), (361, "red"))
    return next(name for limit, name in names if degrees < limit)


def fill_question(fill: str) -> Question:
    """What the background colour of a row says."""
    name = colour_name(fill)
    return Question(
        f"fill|{fill}",
        say("Some rows are {colour}. What does the colour say?", colour=name),
        (
            Option("nothing", say("nothing")),
            Option(f"tag:{name}", say("give them the tag '{colour}'", colour=name)),
            Option("tag:holdback", say("kept back for breeding")),
            Option("male", say("males")),
            Option("female", say("females")),
            Option("sold", say("sold")),
            Option("dead", say("dead")),
        ),
        Scope.WORD,
        holds=False,
    )


def group_question() -> Question:
    """What to make of rows like ``1.2``."""
    return Question(
        GROUPS,
        say("Some rows stand for several animals (1.2 is one male and two females). What becomes of them?"),
        (
            Option("split", say("one animal each, their ids numbered /1, /2, /3")),
            Option("keep", say("keep the row as text")),
        ),
        Scope.SHEET,
        suggested="split",
    )


def column_question(column: Column, suggested: Meaning) -> Question:
    """What a column means that its header and content do not agree on."""
    choices = (
        Meaning.ID, Meaning.NAME, Meaning.SEX, Meaning.GENETICS, Meaning.HATCHED, Meaning.WEIGHT, Meaning.PLACE,
        Meaning.DAM, Meaning.SIRE, Meaning.ACQUIRED, Meaning.SOURCE, Meaning.PRICE, Meaning.STATUS, Meaning.TAGS,
        Meaning.NOTES,
    )  # fmt: skip
    return Question(
        column.key,
        say(
            "What is in column '{column}'? It holds cells like {examples}.",
            column=column.title,
            examples=", ".join(f"'{text}'" for text in column.examples[:3]),
        ),
        tuple(Option(meaning.value, MEANING_WORDS[meaning]) for meaning in choices),
        Scope.COLUMN,
        suggested=suggested.value,
        holds=False,
    )


def date_numbers_question(column: Column) -> Question:
    """Whether small numbers in date columns are weights of the snakes, and not of their prey."""
    return Question(
        "date-numbers",
        say(
            "Date columns hold numbers like {examples}. Are they weights of the snakes?",
            examples=", ".join(f"'{text}'" for text in column.examples[:3]),
        ),
        (
            Option(Meaning.WEIGHT_ON.value, say("yes, the snakes' weights")),
            Option(Meaning.OTHER.value, say("no: keep them as notes of that day")),
        ),
        Scope.SHEET,
        holds=False,
    )


def header_order_question(header: HeaderDate, title: str, year: int) -> Question:
    """Day or month first in the headers of date columns."""
    return Question(
        HEADER_ORDER,
        say("Which day is the column '{column}'?", column=title),
        tuple(
            Option(order.value, say("{date}", date=header.on(order, year)))
            for order in (DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST)
        ),
        Scope.COLUMN,
        holds=False,
    )


def header_year_question(sheet: str, title: str, this_year: int) -> Question:
    """The year of date columns without one."""
    return Question(
        f"{HEADER_YEAR}{sheet}",
        say("Tab '{tab}': in which year is the first date column, '{column}'?", tab=sheet, column=title),
        tuple(Option(str(year), say("{year}", year=str(year))) for year in range(this_year, this_year - 12, -1)),
        Scope.SHEET,
        suggested=str(this_year),
        holds=False,
    )


def no_id_question(example: str) -> Question:
    """Whether animals without an id and a name get one."""
    return Question(
        NO_ID,
        say("Some animals have neither an id nor a name. Give them one?"),
        (
            Option("number", say("yes: {example} and so on", example=example)),
            Option(LEAVE_OUT, say("no, keep their rows as text")),
        ),
        Scope.SHEET,
        suggested="number",
    )


def same_id_question(key: str, *, keeper_id: str, other: Message, new_id: str, alike: bool) -> Question:
    """What a second row under the same id is."""
    return Question(
        key,
        say("'{id}' was already used in {other}. Is this the same animal?", id=keeper_id, other=other),
        (
            Option(MERGE, say("the same animal: put both rows together")),
            Option(SEPARATE, say("another animal: call it '{id}'", id=new_id)),
            Option(LEAVE_OUT, say("leave this row out")),
        ),
        Scope.ROW,
        suggested=MERGE if alike else SEPARATE,
    )


def same_on_tabs_question() -> Question:
    """Whether the same id on several tabs is the same animal; contradicting rows are asked one by one."""
    return Question(
        SAME_ON_TABS,
        say("Some ids stand on several tabs, with nothing that speaks against one animal. Put them together?"),
        (
            Option(MERGE, say("yes, one animal with the entries of all tabs")),
            Option(LEAVE_OUT, say("no, take the first tab only")),
        ),
        Scope.SHEET,
        suggested=MERGE,
    )


def spelling_question(key: str, *, name: str, other: str, where: str) -> Question:
    """Whether two nearly equal names are one animal."""
    return Question(
        key,
        say("Is '{name}' the same animal as '{other}' ({where})?", name=name, other=other, where=where),
        (Option(MERGE, say("the same animal")), Option(SEPARATE, say("two animals"))),
        Scope.ROW,
        suggested=MERGE,
    )


def in_collection_question() -> Question:
    """What to do with animals the collection has; contradicting rows are asked one by one."""
    return Question(
        IN_COLLECTION,
        say("Some of these ids are in your collection already. What becomes of their rows?"),
        (
            Option(MERGE, say("add what is new to the animals you have")),
            Option(LEAVE_OUT, say("leave these rows out")),
        ),
        Scope.SHEET,
        suggested=MERGE,
    )


MEANING_WORDS: dict[Meaning, Message] = {
    Meaning.ID: say("id"),
    Meaning.NAME: say("name"),
    Meaning.SEX: say("sex"),
    Meaning.GENETICS: say("genetics"),
    Meaning.HATCHED: say("hatched"),
    Meaning.WEIGHT: say("weight"),
    Meaning.WEIGHED: say("date of the weight"),
    Meaning.ROOM: say("room"),
    Meaning.RACK: say("rack"),
    Meaning.SLOT: say("slot"),
    Meaning.PLACE: say("place"),
    Meaning.DAM: say("dam"),
    Meaning.SIRE: say("sire"),
    Meaning.PARENTS: say("both parents"),
    Meaning.ACQUIRED: say("acquired on"),
    Meaning.SOURCE: say("acquired from"),
    Meaning.PRICE: say("price"),
    Meaning.STATUS: say("status"),
    Meaning.SOLD: say("sold"),
    Meaning.DIED: say("died"),
    Meaning.TAGS: say("tags"),
    Meaning.PREY: say("usual prey"),
    Meaning.NOTES: say("notes"),
    Meaning.FEEDING_ON: say("feeding of that day"),
    Meaning.WEIGHT_ON: say("weight of that day"),
    Meaning.CLUTCH: say("clutch"),
    Meaning.OTHER: say("not known: kept as notes"),
    Meaning.EMPTY: say("empty"),
}
