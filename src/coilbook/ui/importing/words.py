"""An import's plan in words: tiers, columns, and what a row becomes."""

from __future__ import annotations

from coilbook.intake.asking import MEANING_WORDS
from coilbook.intake.columns import Meaning
from coilbook.intake.planned import Fate, PlannedAnimal, PlannedParent, PlanRow
from coilbook.intake.tiers import TIER_WORDS, Tier
from coilbook.records.message import Message
from coilbook.records.vocabulary import FeedingResult, Status
from coilbook.ui.margin_content import Fact
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render, words

#: shape and ink of each tier; the word carries it alone
TIER_LOOK: dict[Tier, tuple[str, str]] = {
    Tier.READY: ("tick", "ink"),
    Tier.QUESTION: ("triangle", "clay"),
    Tier.TEXT_KEPT: ("dot", "second"),
    Tier.REFUSED: ("cross", "clay"),
}

FATE_WORDS: dict[Fate, str] = {
    Fate.FIELD: "",
    Fate.NOTE: "a note",
    Fate.FIELD_AND_NOTE: "and a note",
    Fate.UNKNOWN: "not known",
    Fate.SET_ASIDE: "set aside, as you said",
    Fate.STRUCTURE: "title",
    Fate.KEPT: "kept as text",
}


def tier_word(tier: Tier, style: Style) -> str:
    """The word of a tier."""
    return render(TIER_WORDS[tier], style)


def meaning_word(meaning: Meaning) -> str:
    """What a column holds, in words."""
    return render(MEANING_WORDS[meaning])


def becomes(row: PlanRow, animals: tuple[PlannedAnimal, ...], style: Style) -> str:
    """One line: what the row becomes, or why it becomes nothing."""
    if row.reason is not None:
        return render(row.reason, style)
    if not row.animals:
        return translated("waits for an answer") if row.tier is Tier.QUESTION else translated("kept as text")
    made = [animals[index] for index in row.animals]
    first = made[0]
    parts = [_sex(first)] if first.existing is None else [translated("adds to {id}").format(id=first.keeper_id)]
    parts += [first.claim] if first.claim else []
    parts += [translated("hatched {date}").format(date=style.date(first.hatched))] if first.hatched else []
    parts += [style.mass(first.weights[-1].mass.decigrams)] if first.weights else []
    if first.feedings:
        parts.append(translated_plural("{n} offer", "{n} offers", len(first.feedings)))
    if first.status is not Status.HERE:
        parts.append(words(first.status))
    if len(made) > 1:
        parts.insert(0, translated_plural("{n} animal", "{n} animals", len(made)))
    return ", ".join(part for part in parts if part)


def _sex(animal: PlannedAnimal) -> str:
    return words(animal.sex) + ("" if animal.sex_sure else "?")


def facts_of(animal: PlannedAnimal, style: Style) -> tuple[Fact, ...]:
    """Everything an animal of the plan would say, as facts for the margin."""
    found: list[Fact] = [Fact(translated("sex"), _sex(animal))]

    def add(name: str, value: str) -> None:
        if value:
            found.append(Fact(translated(name), value))

    add("name", animal.name)
    add("hatched", style.date(animal.hatched) if animal.hatched else "")
    add("genetics, kept word for word", animal.claim)
    add("read as", animal.read_as)
    add("place", _place(animal))
    add("dam", _parent(animal.dam) if animal.dam else "")
    add("sire", " / ".join(_parent(sire) for sire in animal.sire))
    add("status", words(animal.status) if animal.status is not Status.HERE else "")
    add("came", style.date(animal.acquired) if animal.acquired else "")
    add("from", animal.source)
    add("price", style.money(animal.price) if animal.price else animal.price_text)
    add("eats", animal.prey)
    for weight in animal.weights[-3:]:
        day = style.date(weight.on) if weight.on else translated("day not said")
        found.append(Fact(translated("weight, {day}").format(day=day), style.mass(weight.mass.decigrams)))
    if animal.feedings:
        taken = sum(f.result in (FeedingResult.TAKEN, FeedingResult.TAKEN_LATE) for f in animal.feedings)
        text = translated("{n}, {taken} taken").format(n=len(animal.feedings), taken=taken)
        found.append(Fact(translated("offers"), text))
    add("tags", ", ".join(animal.tags))
    for note in animal.notes[:6]:
        found.append(Fact(translated("note"), note.text))
    return tuple(found)


def _place(animal: PlannedAnimal) -> str:
    place = animal.place
    if place is None:
        return ""
    label = "-".join(part for part in (place.rack, place.slot) if part) or place.room
    return label if place.existing is not None else translated("{place}, to be made").format(place=label)


def _parent(parent: PlannedParent) -> str:
    if parent.outside:
        return translated("{id}, somebody else's").format(id=parent.keeper_id)
    return parent.keeper_id


def sentence(message: Message, style: Style) -> str:
    """A message in the keeper's words."""
    return render(message, style)
