"""Why she is in the round: last offers, interval, what holds a meal back."""

from __future__ import annotations

from coilbook.husbandry.waits import BLUE_DAYS, HOLD_DAYS
from coilbook.reads.round import Offer, RoundAnimal
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink
from coilbook.ui.parts.shapes import RESULT_SHAPES
from coilbook.ui.round import telling
from coilbook.ui.round.walk import Walk
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words


def round_margin(desk: Desk, walk: Walk) -> MarginContent:
    """What the margin says of the animal at hand."""
    animal, tub, style = walk.animal, walk.tub, desk.style
    if animal is None or tub is None:
        several = translated("which of those in the slot?") if tub is not None else ""
        return MarginContent(heading=translated("Why, for the animal at hand"), strip=several)
    held = telling.hold_words(animal, style)
    due = telling.due_words(animal, walk.time)
    verdict = translated("Wait: {why}.").format(why=held) if held else f"{due[:1].upper()}{due[1:]}."
    return MarginContent(
        heading=translated("Why, for the animal at hand"),
        whose=animal.keeper_id,
        sex=style.sex_sign(animal.sex, animal.sex_percent),
        about=", ".join(part for part in (animal.genetics, tub.label) if part),
        verdict=verdict,
        needs_you=bool(held),
        why=telling.fed_words(animal, walk.time, style).replace("\n", " "),
        evidence=tuple(_evidence(offer, style) for offer in animal.offers),
        facts=_facts(animal, style),
        rests_on=translated(
            "Due = last offer + interval. In blue counts for {blue} days, a meal that came back rests {rest} days"
            " (common practice)."
        ).format(blue=BLUE_DAYS, rest=HOLD_DAYS),
        links=(MarginLink(translated("Open her page"), lambda: desk.go_animal(animal.id)),),
        strip=f"{telling.prey_words(animal)}, {held or due}",
    )


def _evidence(offer: Offer, style: Style) -> Evidence:
    prey = f"{offer.prey}, {words(offer.prey_state)}" if offer.prey else ""
    day = style.date(moment_from(offer.at).date(), year=False)
    return Evidence(day, RESULT_SHAPES[offer.result], telling.offer_words(offer), prey)


def _facts(animal: RoundAnimal, style: Style) -> tuple[Fact, ...]:
    facts = [Fact(translated("Interval"), style.days(animal.interval_days))]
    if animal.next_due is not None:
        facts.append(Fact(translated("Due"), style.date(animal.next_due)))
    if animal.weight_dg is not None:
        facts.append(Fact(translated("Weight"), style.mass(animal.weight_dg), strong=True))
    facts.append(Fact(translated("Refused since the last meal"), style.number(animal.refused_since)))
    return tuple(facts)
