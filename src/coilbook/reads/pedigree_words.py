"""The words of the tree: cards, columns, certainty, and how much is known."""

from __future__ import annotations

from coilbook.drawing.family import Certainty, UnknownParent
from coilbook.genetics.known_ancestors import GenerationKnown
from coilbook.reads.kin import Inbreeding
from coilbook.reads.pedigree import CardFacts
from coilbook.records.vocabulary import Origin, Sex, Status
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

CERTAINTY_WORDS = {
    Certainty.KNOWN: "known",
    Certainty.POSSIBLE: "possible, with odds",
    Certainty.UNKNOWN: "not known",
}


def sex_text(card: CardFacts, style: Style) -> str:
    """Sign and letter in one."""
    percent = card.sex_percent if card.sex is not Sex.UNSEXED else None
    return " ".join(part for part in style.sex_sign(card.sex, percent) if part)


def look_text(card: CardFacts) -> str:
    """What it is, in the keeper's words."""
    return card.genetics or translated("look not entered")


def where_text(card: CardFacts, *, place: bool = True) -> str:
    """Where it is or went, and where it comes from; short, for a card. Its tub only with `place`."""
    parts = [_status(card) if place or card.status is not Status.HERE else ""]
    if card.claim and card.status is Status.OUTSIDE:
        parts.append(translated("claimed {text}").format(text=card.claim))
    elif card.origin in (Origin.BOUGHT, Origin.SWAPPED, Origin.GIFT, Origin.RESCUE):
        year = f" {card.came_year}" if card.came_year else ""
        parts.append(words(card.origin) + year)
    elif card.hatched is not None:
        parts.append(translated("hatched {year}").format(year=card.hatched.first.year))
    return ", ".join(part for part in parts if part)


def _status(card: CardFacts) -> str:
    if card.status is Status.HERE:
        return card.place
    said = {
        Status.SOLD: translated("sold"),
        Status.DEAD: translated("died"),
        Status.LOAN: translated("on loan"),
        Status.LOST: translated("lost"),
        Status.OUTSIDE: translated("outside"),
    }[card.status]
    dated = card.turn_year is not None and card.status is not Status.OUTSIDE
    return f"{said} {card.turn_year}" if dated else said


def inbred_text(coefficient: float, style: Style) -> str:
    """The figure on a card; empty for nothing known."""
    return translated("inbred at least {f}").format(f=percent(coefficient, style)) if coefficient else ""


def percent(share: float, style: Style, places: int = 1) -> str:
    """A share as a percentage; never rounded up to a round 100 or down to nothing."""
    from decimal import Decimal

    exact = Decimal(share) * 100
    if 0 < exact < Decimal("0.05"):
        return translated("under {n}%").format(n=style.number(Decimal("0.1"), 1))
    text = style.number(exact, places)
    return (text.removesuffix(".0") if places == 1 else text) + "%"


def unknown_text(parent: UnknownParent, names: dict[int, str]) -> str:
    """What stands in the place of a parent nobody recorded."""
    text = translated("dam of {animal} not known") if parent.dam else translated("sire of {animal} not known")
    return text.format(animal=names.get(parent.of, "?"))


def generation_name(back: int) -> str:
    """Ancestors by how many generations back they stand: 1 the parents."""
    names = (translated("Parents"), translated("Grandparents"), translated("Great-grandparents"))
    if back <= len(names):
        return names[back - 1]
    return translated("{n} generations back").format(n=back)


def young_name(forward: int) -> str:
    """Descendants by how many generations on they stand."""
    names = (translated("Young"), translated("Grandyoung"))
    return names[forward - 1] if forward <= len(names) else translated("{n} generations on").format(n=forward)


def known_short(generation: GenerationKnown) -> str:
    """ "5 of 8", with what is only possible."""
    text = translated("{known} of {all}").format(known=generation.known, all=generation.places)
    return text + translated(", {n} possible").format(n=generation.possible) if generation.possible else text


def known_words(found: Inbreeding) -> str:
    """How much of the pedigree is recorded, in a sentence."""
    known = sum(g.known for g in found.known)
    possible = sum(g.possible for g in found.known)
    missing = sum(g.unknown for g in found.known)
    parts = [translated("{known} of {all} known").format(known=known, all=sum(g.places for g in found.known))]
    if possible:
        parts.append(translated("{n} possible").format(n=possible))
    if missing:
        parts.append(translated("{n} not known").format(n=missing))
    return ", ".join(parts)


def verdict_words(name: str, found: Inbreeding, style: Style) -> str:
    """F in one sentence: the least it can be, or the mean over possible sires."""
    if found.known[0].known + found.known[0].possible < 2:
        return translated("Inbreeding of {animal}: not known").format(animal=name)
    figure = percent(found.coefficient, style)
    if found.doubtful:
        text = translated("Inbreeding of {animal}: {f} on average over the possible sires, at least")
        return text.format(animal=name, f=figure)
    return translated("Inbreeding of {animal}: at least {f}").format(animal=name, f=figure)
