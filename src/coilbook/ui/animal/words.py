"""An animal's page in words: the lines of its head, of the facts strip, of entries and relatives."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coilbook.reads.animal_facts import GONE, Compared, day_of, fast_facts, kept_meals, shed_facts, weight_facts
from coilbook.reads.animal_rows import AnimalPage, Entry, Meal, Relative, Weighing
from coilbook.reads.timeline import entry_date, meal_words
from coilbook.records.vocabulary import FeedingResult, Origin, PreyState, Sex, SexBasis, Status, WeightTag
from coilbook.wording.hatch_words import hatch_day
from coilbook.wording.language import translated, translated_form, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

if TYPE_CHECKING:
    from coilbook.husbandry.pre_lay_fast import PreLayFast
    from coilbook.reads.season_fast import SeasonNow

#: closed offers the strip counts the kept ones of
LAST_OFFERS = 7
#: the shape of an entry in the timeline: by its code, else by its table
_SHAPE_OF_CODE = {
    "taken": "taken",
    "taken_late": "taken_late",
    "refused": "refused",
    "struck": "struck",
    "pending": "pending",
    "not_offered": "not_offered",
    "blue": "blue",
    "back": "back",
    "weight": "weight",
    "doubted": "doubted",
    "wheeze": "triangle",
    "mites": "triangle",
    "swelling": "triangle",
    "lock": "lock",
    "likely": "likely",
    "courting": "courting",
    "pre_lay": "pre_lay",
    "noted": "dot",
    "ended": "tick",
    "quarantine": "pause",
}
_SHAPE_OF_TABLE = {
    "shed": "shed",
    "move": "move",
    "departure": "flag",
    "acquisition": "flag",
    "note": "note",
    "photo": "photo",
    "claim": "note",
    "cleaning": "dash",
    "sign_seen": "dot",
    "label_print": "dash",
    "stay": "stay",
    "lock_seen": "lock",
    "ovulation": "ovulation",
    "shed_mark": "shed",
    "follicle": "dot",
    "season_outcome": "dash",
    "health_course": "course",
}


@dataclass(frozen=True, slots=True)
class FactWords:
    """One column of the strip: its head, the value in bold, two lines below, and a shape before the value."""

    head: str
    value: str
    lines: tuple[str, str] = ("", "")
    shape: str = ""


def shape_of(entry: Entry) -> str:
    """The shape before an entry."""
    return _SHAPE_OF_CODE.get(entry.code, _SHAPE_OF_TABLE.get(entry.table, "dot"))


def entry_words(entry: Entry, style: Style) -> str:
    """An entry in one line, with the people it names."""
    return ", ".join(render(part, style) for part in (*entry.said, *entry.inside))


def entry_day(entry: Entry, today: dt.date, style: Style) -> str:
    """The day of an entry as short as it can be: without the year within the last ten months."""
    day = entry_date(entry)
    if day is None:
        return translated("no date")
    return style.date(day, year=(today - day.first).days > 300)


def sex_line(page: AnimalPage) -> str:
    """How sure the sex is, and by what."""
    who = page.who
    if who.sex is Sex.UNSEXED:
        return translated("not sexed yet")
    sure = translated("sure") if who.sex_percent == 100 else f"{who.sex_percent}%"
    return sure if who.sex_basis is SexBasis.UNKNOWN else f"{sure}: {words(who.sex_basis)}"


def sex_typed(page: AnimalPage) -> str:
    """The sex call as it would be typed."""
    who = page.who
    if who.sex is Sex.UNSEXED:
        return ""
    letter = "F" if who.sex is Sex.FEMALE else "M"
    doubt = "" if who.sex_percent == 100 else f"? {who.sex_percent}%"
    basis = "" if who.sex_basis is SexBasis.UNKNOWN else f" {words(who.sex_basis)}"
    return f"{letter}{doubt}{basis}"


def origin_line(page: AnimalPage, style: Style) -> str:
    """Hatched, where from, of whom."""
    who, family = page.who, page.family
    parts = []
    if who.hatched is not None:
        here = who.origin is Origin.BRED_HERE
        text = translated("hatched here {date}") if here else translated("hatched {date}")
        parts.append(text.format(date=hatch_day(style, who.hatched, who.hatched_not_before)))
    elif who.origin is Origin.BRED_HERE:
        parts.append(translated("bred here"))
    if who.origin not in (Origin.BRED_HERE, Origin.UNKNOWN):
        parts.append(came_words(page, style))
    line = ", ".join(parts) or translated("hatched and come from: not known")
    if family.dam is None and not family.sires:
        return line + "; " + translated("parents not known")
    dam = family.dam.keeper_id if family.dam else "?"
    return f"{line}; {dam} \u00d7 {sires_short(page)}"


def sires_short(page: AnimalPage) -> str:
    """The sires in a line: one id, or each with its percent."""
    sires = page.family.sires
    if not sires:
        return "?"
    if len(sires) == 1 and sires[0].percent == 100:
        return sires[0].keeper_id
    return " / ".join(f"{s.keeper_id} {s.percent}%" for s in sires)


def came_words(page: AnimalPage, style: Style) -> str:
    """How the animal came, when, and from whom."""
    text = words(page.who.origin)
    arrival = page.arrival
    if arrival is None:
        return text
    if arrival.date is not None:
        text += " " + style.date(arrival.date)
    if arrival.person:
        text += " " + translated("from {person}").format(person=arrival.person)
    return text


def came_typed(page: AnimalPage, style: Style) -> str:
    """How the animal came, as it would be typed: without the person."""
    if page.who.origin is Origin.UNKNOWN:
        return ""
    date = page.arrival.date if page.arrival is not None else None
    return words(page.who.origin) + (f" {style.date(date)}" if date is not None else "")


def status_line(page: AnimalPage, style: Style) -> str:
    """One line under the id when the animal is not simply here; empty otherwise."""
    status, turn = page.who.status, page.turn
    if status is Status.HERE:
        return ""
    if status is Status.OUTSIDE:
        return translated("Somebody else's animal: only its looks and parents are kept here.")
    text = {
        Status.SOLD: translated("Sold"),
        Status.DEAD: translated("Died"),
        Status.LOAN: translated("Out on loan"),
        Status.LOST: translated("Lost"),
    }[status]
    if turn is None:
        return text
    text += " " + style.date(day_of(turn.at))
    if turn.person:
        text += ", " + turn.person
    return f"{text}: {turn.reason}" if turn.reason else text


def relative_sex(relative: Relative, style: Style) -> tuple[str, str]:
    """Sign and letter of a relative."""
    return style.sex_sign(relative.sex, relative.sex_percent)


def relative_words(relative: Relative) -> str:
    """What is said of a relative after its id: look, then status when it is not here."""
    parts = [relative.genetics] if relative.genetics else []
    if relative.status is not Status.HERE:
        parts.append(words(relative.status))
    return ", ".join(parts)


def prey_words(meal: Meal, style: Style) -> str:
    """What was offered in one meal; of one where nothing was said, frozen/thawed is what is assumed and not said."""
    what = meal_words(meal.prey, meal.pieces, meal.prey_dg)
    if what is None:
        return "" if meal.prey_state is PreyState.FROZEN_THAWED else words(meal.prey_state)
    return f"{render(what, style)}, {words(meal.prey_state)}"


def usual_prey(page: AnimalPage) -> str:
    """What the animal usually gets, as it would be typed."""
    who = page.who
    if not who.prey_kind:
        return ""
    state = "" if who.prey_state is PreyState.FROZEN_THAWED else f", {words(who.prey_state)}"
    return who.prey_kind + state


def percent(compared: Compared, style: Style) -> str:
    """A change with its sign and the day it is counted from."""
    return translated("{change} since {date}").format(
        change=style.mass_change(1000, 1000 + compared.permille),
        date=style.date(day_of(compared.then.at), year=False),
    )


def strip(page: AnimalPage, today: dt.date, style: Style) -> dict[str, FactWords]:
    """The five columns, by the name the margin knows them by; a hatchling here has a sixth."""
    columns = {
        "place": _place(page, style),
        "weight": _weight(page, style),
        "meal": _meal(page, today, style),
        "fast": _fast(page, today, style),
        "shed": _shed(page, today, style),
    }
    if page.young is not None and page.who.status not in GONE:
        from coilbook.ui.animal.young_words import young_fact

        columns["sale"] = young_fact(page.young, style)
    return columns


def _place(page: AnimalPage, style: Style) -> FactWords:
    home, head = page.home, translated("Place")
    if home.place is None:
        return FactWords(head, translated("no place"))
    since = translated("since {date}").format(date=style.date(day_of(home.since))) if home.since else ""
    others = ", ".join(c.keeper_id for c in home.companions)
    alone = translated("with {animals}").format(animals=others) if others else translated("alone")
    if home.quarantine:
        alone = translated("quarantine, ") + alone
    return FactWords(head, home.label, (since, alone), "triangle" if home.companions else "")


def _weight(page: AnimalPage, style: Style) -> FactWords:
    head, facts = translated("Weight"), weight_facts(page.weights, page.meals)
    if facts is None:
        doubted = translated("only readings in doubt") if page.weights else ""
        return FactWords(head, translated("not weighed"), (doubted, ""))
    first = translated("day not said") if facts.now.undated else style.date(day_of(facts.now.at), year=False)
    if facts.now.tag is not WeightTag.UNSAID:
        first += ", " + words(facts.now.tag)
    trend = facts.since_meal or facts.short or facts.highest
    return FactWords(head, style.mass(facts.now.mass_dg), (first, percent(trend, style) if trend else ""))


def weighed_words(one: Weighing, style: Style) -> str:
    """When it was weighed, where that is on record."""
    if one.undated:
        return translated("Weighed on a day that is not on record.")
    return translated("Weighed {when}.").format(when=style.moment(one.at))


def _meal(page: AnimalPage, today: dt.date, style: Style) -> FactWords:
    head, facts = translated("Last meal taken"), fast_facts(page.meals, page.weights, today)
    if facts.meal is None:
        asked = translated("never offered") if facts.last_offer is None else translated("none taken yet")
        return FactWords(head, asked)
    day = day_of(facts.meal.at)
    value = style.date(day, year=day.year != today.year)
    if page.who.status not in GONE:
        value += ", " + style.days_ago(day, today)
    lines = (prey_words(facts.meal, style), _kept_of_last(page))
    return FactWords(head, value, lines, "taken")


def _kept_of_last(page: AnimalPage) -> str:
    """How many of the last closed offers were taken and kept."""
    closed = [m for m in page.meals if m.result not in (FeedingResult.NOT_OFFERED, FeedingResult.PENDING)][
        -LAST_OFFERS:
    ]
    kept = len(kept_meals(closed))
    form = translated_form("{k} of {n} offer kept down", "{k} of the last {n} offers kept down", len(closed))
    return form.format(k=kept, n=len(closed)) if closed else ""


def _fast(page: AnimalPage, today: dt.date, style: Style) -> FactWords:
    gone = page.who.status in GONE
    if gone and page.turn is not None:
        today = day_of(page.turn.at)
    head, facts = translated("Fast"), fast_facts(page.meals, page.weights, today)
    offered = ""
    if facts.pending is not None:
        offered = translated("a meal has been in since {time}").format(time=style.moment(facts.pending.at, year=False))
    elif facts.last_offer is not None and not gone:
        offered = translated("last offered {ago}").format(ago=style.days_ago(day_of(facts.last_offer.at), today))
    if not facts.refused:
        value = translated("no refusal") if facts.meal is not None else translated("nothing offered")
        return FactWords(head, value if facts.last_offer is not None else translated("nothing offered"), (offered, ""))
    value = translated_plural("{n} refused", "{n} refused", len(facts.refused))
    if facts.days is not None:
        value = translated("{days}, {refused}").format(days=style.days(facts.days), refused=value)
    change = ""
    if facts.weight is not None:
        change = translated("{change} of weight since").format(
            change=style.mass_change(1000, 1000 + facts.weight.permille)
        )
    if page.season is not None and page.season.fast is not None and not gone:
        return FactWords(head, value, (_expected(page.season, style), change), _fast_shape(page.season.fast))
    return FactWords(head, value, (offered, change), "refused")


def _expected(season: SeasonNow, style: Style) -> str:
    """Whether her stage explains the fast."""
    fast = season.fast
    if fast is not None and fast.now is not None and fast.alarm_dg is not None and fast.now.mass_dg <= fast.alarm_dg:
        return translated("more than {stage} explains").format(stage=words(season.stage.stage))
    return translated("expected: {stage}").format(stage=words(season.stage.stage))


def _fast_shape(fast: PreLayFast) -> str:
    """A triangle once she has lost more than her stage explains."""
    lost = fast.now is not None and fast.alarm_dg is not None and fast.now.mass_dg <= fast.alarm_dg
    return "triangle" if lost else "gravid"


def _shed(page: AnimalPage, today: dt.date, style: Style) -> FactWords:
    head, facts = translated("Shed"), shed_facts(page.sheds)
    own = ""
    if facts.interval is not None and facts.shortest is not None and facts.longest is not None:
        spread = f"{facts.shortest}\u2013{facts.longest}" if facts.shortest != facts.longest else str(facts.shortest)
        own = translated("every {n} d, middle {m} d").format(n=spread, m=facts.interval)
    if facts.blue is not None:
        since = style.date(day_of(facts.blue.at), year=False)
        value = translated("{stage} since {date}").format(stage=words(facts.blue.kind), date=since)
        return FactWords(head, value, (_shed_before(page, today, style), own), "blue")
    if facts.last is None:
        return FactWords(head, translated("none recorded"))
    day = day_of(facts.last.at)
    return FactWords(head, style.date(day, year=day.year != today.year), (words(facts.last.kind), own), "shed")


def _shed_before(page: AnimalPage, today: dt.date, style: Style) -> str:
    last = shed_facts(page.sheds).last
    if last is None:
        return ""
    return translated("shed {ago}").format(ago=style.days_ago(day_of(last.at), today))
