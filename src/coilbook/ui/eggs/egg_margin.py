"""What the margin says of the egg in focus: how it was laid, and everything every look saw."""

from __future__ import annotations

from coilbook.reads.egg_rows import ClutchNow, EggLooked, EggNow
from coilbook.reads.egg_words import look_words
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.margin_content import Evidence, Fact, MarginSection
from coilbook.wording.language import translated


def egg_sections(desk: Desk, at: AtHand) -> list[MarginSection]:
    """The egg in focus; nothing without one."""
    egg, clutch = at.egg, at.clutch
    if egg is None or clutch is None:
        return []
    facts = [*_facts(desk, egg), *(_look(desk, clutch, look) for look in egg.looks)]
    return [MarginSection(translated("Egg {n}").format(n=egg.number), tuple(facts), egg.note)]


def _facts(desk: Desk, egg: EggNow) -> list[Fact | Evidence]:
    marked = {None: translated("not said"), True: translated("yes"), False: translated("no")}
    facts: list[Fact | Evidence] = [
        Fact(translated("Weight when laid"), desk.style.mass(egg.mass_dg) if egg.mass_dg is not None else _unknown(egg))
    ]
    if egg.length_mm is not None or egg.width_mm is not None:
        size = " \u00d7 ".join(str(mm) if mm is not None else "?" for mm in (egg.length_mm, egg.width_mm))
        facts.append(Fact(translated("Size"), translated("{size} mm").format(size=size)))
    facts.append(Fact(translated("Its top is marked"), marked[egg.up_mark]))
    if egg.twin_suspected:
        facts.append(Fact(translated("May hold twins"), translated("yes")))
    return facts


def _unknown(egg: EggNow) -> str:
    return translated("not known, it sticks to others") if egg.stuck else translated("not weighed")


def _look(desk: Desk, clutch: ClutchNow, look: EggLooked) -> Evidence:
    """One look whole, with its weight and the words kept with it."""
    parts = [desk.render(part) for part in look_words(look)] or [translated("looked at")]
    parts += [desk.style.mass(look.mass_dg)] if look.mass_dg is not None else []
    parts += [look.note] if look.note else []
    day = clutch.day_of(moment_from(look.at).date())
    return Evidence(translated("d {n}").format(n=day), "circle", ", ".join(parts))
