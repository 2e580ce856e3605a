"""Why she is in the round: last offers, interval, what holds a meal back."""

from __future__ import annotations

from coilbook.husbandry.waits import BLUE_DAYS, HOLD_DAYS
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginLink
from coilbook.ui.parts.shapes import RESULT_SHAPES
from coilbook.ui.round import telling
from coilbook.ui.round.walk import Walk
from coilbook.wording.language import translated
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
    evidence = tuple(
        Evidence(
            style.date(moment_from(o.at).date(), year=False),
            RESULT_SHAPES[o.result],
            telling.offer_words(o),
            f"{o.prey}, {words(o.prey_state)}" if o.prey else "",
        )
        for o in animal.offers
    )
    facts = [Fact(translated("Interval"), style.days(animal.interval_days))]
    if animal.next_due is not None:
        facts.append(Fact(translated("Due"), style.date(animal.next_due)))
    if animal.weight_dg is not None:
        facts.append(Fact(translated("Weight"), style.mass(animal.weight_dg), strong=True))
    facts.append(Fact(translated("Refused since the last meal"), style.number(animal.refused_since)))
    return MarginContent(
        heading=translated("Why, for the animal at hand"),
        whose=animal.keeper_id,
        sex=style.sex_sign(animal.sex, animal.sex_percent),
        about=", ".join(part for part in (animal.genetics, tub.label) if part),
        verdict=verdict,
        needs_you=bool(held),
        why=telling.fed_words(animal, walk.time, style).replace("\n", " "),
        evidence=evidence,
        facts=tuple(facts),
        rests_on=translated(
            "Due = last offer + interval. In blue counts for {blue} days, a meal that came back rests {rest} days"
            " (common practice)."
        ).format(blue=BLUE_DAYS, rest=HOLD_DAYS),
        links=(MarginLink(translated("Open her page"), lambda: desk.go_animal(animal.id)),),
        strip=f"{telling.prey_words(animal)}, {held or due}",
    )
