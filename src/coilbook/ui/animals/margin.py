"""What the margin says of the cell in focus: each column has an answer of its own, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coilbook.husbandry.waits import BLUE_DAYS, HOLD_DAYS
from coilbook.reads.behind_cell import Behind, OfferMade
from coilbook.reads.health_now import course_words, is_due
from coilbook.reads.herd_rows import HerdRow
from coilbook.reads.standing import NEW_DAYS, State
from coilbook.records.vocabulary import RefusalReason, ShedKind, WeightTag
from coilbook.ui.animals.columns import Writing, short_day, state_words
from coilbook.ui.animals.painter import CURVE_DAYS
from coilbook.ui.animals.small_chart import SmallWeightChart
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.parts.shapes import RESULT_SHAPES
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import render, words


@dataclass(frozen=True, slots=True)
class Asked:
    """The row in focus with everything an answer is made of."""

    row: HerdRow
    behind: Behind
    writing: Writing
    theme: Theme
    open_page: Callable[[], None]

    def day(self, value: object) -> str:
        """A date, or the day of a moment, in a narrow column."""
        return short_day(value.date() if hasattr(value, "date") else value, self.writing)  # type: ignore[arg-type]


def answer(asked: Asked, column: str) -> MarginContent:
    """The margin for a cell of `column`."""
    row, style = asked.row, asked.writing.style
    about = ", ".join(part for part in (row.genetics, row.place) if part)
    content = _ANSWERS.get(column, _animal)(asked)
    return replace(
        content,
        heading=translated("Why, for the cell in focus"),
        whose=row.keeper_id,
        sex=style.sex_sign(row.sex, row.sex_percent),
        about=about,
        links=(MarginLink(translated("Open the page"), asked.open_page),),
    )


def _meal(asked: Asked) -> MarginContent:
    row, today = asked.row, asked.writing.today
    style = asked.writing.style
    if row.taken is None:
        verdict = translated("No taken meal is written down")
    else:
        days = (today - row.taken).days
        verdict = translated_plural("{n} day since a meal taken", "{n} days since a meal taken", days)
    refused, passed = row.refused, asked.behind.not_offered_since
    why = translated_plural("{n} offer refused since.", "{n} offers refused since.", refused) if refused else ""
    if not refused and row.taken is not None:
        why = translated("No offer was refused since.")
    if passed:
        why += " " + translated_plural("Nothing was offered on {n} day.", "Nothing was offered on {n} days.", passed)
    return MarginContent(
        verdict=verdict,
        why=why.strip(),
        evidence=tuple(_offer(asked, offer) for offer in asked.behind.offers),
        facts=(
            *_due_facts(asked),
            Fact(translated("Weight now"), style.mass(row.weight_dg) if row.weight_dg else translated("not weighed")),
        ),
        rests_on=translated(
            "Counted from the last meal taken and kept. A decision not to offer is never a refusal, "
            "and a meal left in counts when it is closed."
        ),
    )


def _offer(asked: Asked, offer: OfferMade) -> Evidence:
    word = words(offer.result)
    if not offer.kept:
        word = translated("{result}, came back").format(result=word)
    if offer.reason is not None and offer.reason is not RefusalReason.UNKNOWN:
        word = f"{word}, {words(offer.reason)}"
    hours = round(offer.left_for.total_seconds() / 3600) if offer.left_for else 0
    prey = ", ".join(p for p in (offer.prey, asked.writing.style.mass(offer.prey_dg) if offer.prey_dg else "") if p)
    left = translated("left in {n} h").format(n=hours) if hours else ""
    return Evidence(asked.day(offer.at), RESULT_SHAPES[offer.result], word, prey or left)


def _due_facts(asked: Asked) -> tuple[Fact, ...]:
    row, style = asked.row, asked.writing.style
    own = asked.behind.interval_days
    days = own if own is not None else style.settings.default_interval_days
    whose = translated("own") if own is not None else translated("of the collection")
    facts = [Fact(translated("Offered every"), f"{style.days(days)}, {whose}")]
    if row.due is not None:
        facts.append(Fact(translated("Due"), asked.day(row.due), strong=row.due <= asked.writing.today))
    if asked.behind.prey:
        facts.append(Fact(translated("Prey"), asked.behind.prey))
    return tuple(facts)


def _weight(asked: Asked) -> MarginContent:
    row, style, today = asked.row, asked.writing.style, asked.writing.today
    if not row.weight_dg:
        return MarginContent(verdict=translated("Not weighed yet"), why=translated("No weight is written down."))
    points = tuple((day, mass) for day, mass in row.curve if day >= today.toordinal() - CURVE_DAYS)
    why = translated("Weighed on a day that is not on record.")
    if row.weighed is not None:
        why = translated("Weighed {ago}.").format(ago=style.days_ago(row.weighed, today))
    facts = []
    sure = [weight for weight in asked.behind.weights if not weight.doubted]
    if len(sure) > 1 and not (sure[0].undated or sure[1].undated):
        change = style.mass_change(sure[1].mass_dg, sure[0].mass_dg)
        before = translated("{change} since {day}").format(change=change, day=asked.day(sure[1].at))
        facts.append(Fact(translated("Last change"), before))
    if len(points) > 1:
        top = max(points, key=lambda point: point[1])
        facts.append(Fact(translated("Highest in 12 months"), style.mass(top[1])))
        if row.weighed is not None:
            facts.append(Fact(translated("Below that"), style.mass_change(top[1], row.weight_dg)))
    return MarginContent(
        verdict=style.mass(row.weight_dg),
        why=why,
        evidence=tuple(
            Evidence(
                translated("day not said") if weight.undated else asked.day(weight.at),
                "weight",
                style.mass(weight.mass_dg),
                translated("doubted, drives nothing") if weight.doubted else _tag(weight.tag),
            )
            for weight in asked.behind.weights
        ),
        chart=(lambda: SmallWeightChart(asked.theme, style, points)) if len(points) > 1 else None,
        facts=tuple(facts),
        rests_on=translated("From the weights written down; a doubted one stays in the book and drives nothing."),
    )


def _tag(tag: WeightTag) -> str:
    return "" if tag is WeightTag.UNSAID else words(tag)


def _place(asked: Asked) -> MarginContent:
    moves, others = asked.behind.moves, asked.behind.neighbours
    why = translated("No move is written down.")
    if moves:
        why = translated("Since {day}.").format(day=asked.day(moves[0].at))
    if others:
        why += " " + translated("Shares it with {animals}.").format(animals=", ".join(others))
    return MarginContent(
        verdict=asked.row.place or translated("No place"),
        why=why,
        evidence=tuple(
            Evidence(
                asked.day(move.at),
                "move",
                translated("to {place}").format(place=move.went_to) if move.went_to else translated("taken out"),
                translated("from {place}").format(place=move.came_from) if move.came_from else "",
            )
            for move in moves
        ),
        rests_on=translated("From the moves written down; scan the animal, then a slot, to move it."),
    )


def _genetics(asked: Asked) -> MarginContent:
    claims = asked.behind.claims
    sections: tuple[MarginSection, ...] = ()
    if claims:
        rows = tuple(Fact(text, source) for text, source in claims)
        sections = (MarginSection(translated("Claims, word for word"), rows),)
    return MarginContent(
        verdict=asked.row.genetics or translated("No genetics written down"),
        why=translated("As you entered it.") if asked.row.genetics else translated("Open the page and type them in."),
        facts=_parents(asked),
        sections=sections,
        rests_on=translated("What a seller or a sheet said is kept beside it and never overwritten."),
    )


def _parents(asked: Asked) -> tuple[Fact, ...]:
    facts = []
    for keeper_id, role, percent in asked.behind.parents:
        share = f", {percent}%" if percent < 100 else ""
        facts.append(Fact(translated("Dam") if role == "dam" else translated("Sire"), keeper_id + share))
    return tuple(facts) or (Fact(translated("Parents"), translated("not known")),)


def _hatched(asked: Asked) -> MarginContent:
    row, style = asked.row, asked.writing.style
    if row.hatched is None:
        return MarginContent(verdict=translated("Hatch date not known"), facts=_parents(asked))
    years = (asked.writing.today - row.hatched.first).days // 365
    age = (
        translated_plural("About {n} year old", "About {n} years old", years)
        if years
        else translated("Under a year old")
    )
    return MarginContent(
        verdict=translated("Hatched {date}").format(date=style.date(row.hatched)),
        why=translated("{age}; the date is known {precision}.").format(age=age, precision=words(row.hatched.precision)),
        facts=(Fact(translated("Origin"), words(asked.behind.origin)), *_parents(asked)),
    )


def _shed(asked: Asked) -> MarginContent:
    row, sheds = asked.row, asked.behind.sheds
    verdict = translated("No shed is written down")
    if row.shed is not None:
        verdict = translated("Shed {ago}").format(ago=asked.writing.style.days_ago(row.shed, asked.writing.today))
    shapes = {ShedKind.BLUE: "blue", ShedKind.CLEAR: "circle"}
    return MarginContent(
        verdict=verdict,
        evidence=tuple(Evidence(asked.day(at), shapes.get(kind, "shed"), words(kind)) for at, kind in sheds),
    )


def _due(asked: Asked) -> MarginContent:
    row = asked.row
    verdict = translated("Never offered here")
    if row.due is not None:
        verdict = translated("Due {day}").format(day=asked.day(row.due))
    return MarginContent(
        verdict=verdict,
        why=translated("Last offered {ago}.").format(ago=asked.writing.style.days_ago(row.offered, asked.writing.today))
        if row.offered
        else "",
        facts=_due_facts(asked),
        rests_on=translated("The last offer and the interval. A decision not to offer moves nothing."),
    )


def _state(asked: Asked) -> MarginContent:
    row = asked.row
    said = state_words(row, asked.writing).text
    if row.state in (State.FAST, State.NOT_OFFERED, State.PENDING):
        return replace(_meal(asked), verdict=_large(said))
    if row.state is State.BLUE:
        rule = translated("An entry in blue is believed for {n} days; common practice, from memory.")
        return replace(_shed(asked), verdict=_large(said), rests_on=rule.format(n=BLUE_DAYS))
    if row.state is State.REGURGITATED:
        rule = translated("Many keepers wait 10 to {n} days and begin again small (common practice). ").format(
            n=HOLD_DAYS
        )
        vet = translated("If it happens again, ask a veterinarian.")
        return replace(_meal(asked), verdict=_large(said), needs_you=True, rests_on=rule + vet)
    if row.state in (State.QUARANTINE, State.TREATMENT):
        return replace(_place(asked), verdict=_large(said), why=_courses(asked), needs_you=_course_due(asked))
    if row.state is State.NEW:
        rule = translated("An animal counts as new for {n} days after it came.").format(n=NEW_DAYS)
        return MarginContent(verdict=_large(said), facts=_origin(asked), rests_on=rule)
    if row.state is State.NONE:
        return MarginContent(
            verdict=translated("Nothing to report"),
            why=translated("Not in blue, no meal left in, no long gap, no hold."),
            facts=_due_facts(asked),
        )
    return MarginContent(verdict=_large(said), facts=_origin(asked))


def _courses(asked: Asked) -> str:
    """What goes on of the animal's health, a sentence each."""
    style, today = asked.writing.style, asked.writing.today
    return " ".join(_large(render(course_words(c, today), style)) + "." for c in asked.behind.courses)


def _course_due(asked: Asked) -> bool:
    return any(is_due(course, asked.writing.today) for course in asked.behind.courses)


def _origin(asked: Asked) -> tuple[Fact, ...]:
    return (Fact(translated("Origin"), words(asked.behind.origin)), *_parents(asked))


def _large(said: str) -> str:
    return said[:1].upper() + said[1:]


def _animal(asked: Asked) -> MarginContent:
    row, style = asked.row, asked.writing.style
    sure = "" if row.sex_percent >= 100 else f", {row.sex_percent}%"
    facts = [Fact(translated("Sex"), words(row.sex) + sure)]
    if row.hatched is not None:
        facts.append(Fact(translated("Hatched"), style.date(row.hatched)))
    facts += [
        Fact(_large(words(c.kind)), translated("since {day}").format(day=style.date(c.since)))
        for c in asked.behind.courses
    ]
    facts += [*_origin(asked), *_due_facts(asked)]
    if asked.behind.tags:
        facts.append(Fact(translated("Tags"), ", ".join(asked.behind.tags)))
    notes = tuple(Fact(asked.day(at), text) for at, text in asked.behind.notes[:4])
    said = state_words(row, asked.writing).text
    return MarginContent(
        verdict=row.name or _large(said) or translated("In {place}").format(place=row.place or translated("no place")),
        facts=tuple(facts),
        sections=(MarginSection(translated("Notes"), notes),) if notes else (),
    )


_ANSWERS: dict[str, Callable[[Asked], MarginContent]] = {
    "meal": _meal, "weight": _weight, "curve": _weight, "place": _place, "genetics": _genetics, "hatched": _hatched,
    "shed": _shed, "due": _due, "state": _state,
}  # fmt: skip
