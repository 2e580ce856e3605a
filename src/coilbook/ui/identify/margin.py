"""What the margin says of the gene in focus, or why the hatchling cannot come from its parents."""

from __future__ import annotations

from coilbook.genetics.hatchling_card import Settling
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.reads.identify import Base, Identity, Trait
from coilbook.ui.identify.words import (
    call_words,
    cause_words,
    doses_words,
    gene_name,
    settling_words,
    sex_words,
    shown_chance,
)
from coilbook.ui.margin_content import Evidence, Fact, MarginContent, MarginSection
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: letters that stand beside a name without being broken into a column of words
_BESIDE = 20

HEADING = "Why, for the gene in focus"


def refused_margin(base: Base, style: Style) -> MarginContent:
    """Why there is nothing to go by yet, and where that is mended."""
    animal = base.animal
    return MarginContent(
        heading=translated("Why nothing can be told"),
        whose=animal.keeper_id,
        sex=style.sex_sign(animal.sex, animal.sex_percent),
        verdict=translated("Nothing to identify it by"),
        why=render(base.refused, style) if base.refused is not None else "",
        rests_on=translated("Its parents are named in the part Family of its page (F2)."),
    )


def identity_margin(identity: Identity | None, trait: Trait | None, style: Style) -> MarginContent:
    """The margin of identification."""
    if identity is None:
        return MarginContent(heading=translated(HEADING))
    animal = identity.base.animal
    whose = {
        "heading": translated(HEADING),
        "whose": animal.keeper_id,
        "sex": style.sex_sign(animal.sex, animal.sex_percent),
    }
    if identity.suspects:
        return MarginContent(**whose, **_impossible(identity))  # type: ignore[arg-type]
    if trait is None:
        return MarginContent(**whose, verdict=translated("Nothing in doubt"))  # type: ignore[arg-type]
    return MarginContent(**whose, **_trait(identity, trait))  # type: ignore[arg-type]


def _impossible(identity: Identity) -> dict[str, object]:
    at_fault = ", ".join(gene_name(identity, locus) for locus in identity.faults)
    why = translated("What was seen of {genes} cannot come from these parents.").format(genes=at_fault)
    if not identity.faults:
        why = translated("Each look alone could come from these parents, all of them together cannot.")
    causes = tuple(Evidence(shape="dash", word=cause_words(identity, suspect)) for suspect in identity.suspects)
    return {
        "verdict": translated("Cannot come from these parents"),
        "needs_you": True,
        "why": why,
        "sections": (MarginSection(translated("Likely causes, to be looked into"), causes),),
        "rests_on": translated("Nothing is decided for you: what you keep is what you saw."),
    }


def _trait(identity: Identity, trait: Trait) -> dict[str, object]:
    parents, both = trait.doubt.parents, trait.doubt.both
    verdict = translated("{gene}: {doses}").format(gene=trait.name, doses=doses_words(trait, both) or translated("no"))
    facts = [Fact(translated("Its parents give"), doses_words(trait, parents))]
    sections, why = [], translated("Nothing was said of it: these are its parents' odds.")
    if trait.said is not None:
        facts.append(Fact(translated("You say"), call_words(trait.said)))
        why = translated(
            "What you say is evidence: it is weighed with the odds of its parents, {before} that it shows, "
            "and gives {after}."
        ).format(before=percent(shown_chance(trait, parents)), after=percent(shown_chance(trait, both)))
        if shown_chance(trait, parents) == 0:
            why = translated("Its parents cannot make it show, so what you say of it changes nothing here.")
    elif trait.recorded:
        why = translated("The book holds a look of it. Say something else and it is corrected, with its history kept.")
    facts.append(Fact(translated("Both together"), doses_words(trait, both) or translated("no"), strong=True))
    if trait.ways:
        sections += [_settling(trait, way, first=not number) for number, way in enumerate(trait.ways)]
    if identity.card:
        text = translated("{known}. A printed card gives a possible het its percentage on paper.")
        sections.append(MarginSection(translated("So far, with evidence"), text=text.format(known=identity.card)))
    if len(identity.sires) > 1:
        names = [*(sire.keeper_id for sire, _ in identity.base.sires), translated("a male not on record")]
        rows = tuple(Fact(name, percent(chance)) for name, chance in zip(names, identity.sires))
        text = translated(
            "By the chances on record, what its siblings and the rest of the family show, and its own look, all genes "
            "together."
        )
        sections.append(MarginSection(translated("Which sire"), rows, text))
    if identity.base.by_gene:
        sections.append(MarginSection(translated("The odds of its parents"), text=render(SIRES_BY_GENE)))
    young = translated("What its own young show is not in these numbers; its page has everything.")
    return {
        "rests_on": young if identity.base.has_young else "",
        "verdict": verdict,
        "why": " ".join(part for part in (why, sex_words(identity)) if part),
        "facts": tuple(facts),
        "sections": tuple(sections),
    }


def _settling(trait: Trait, way: Settling, *, first: bool) -> MarginSection:
    """A way to settle a doubt; more than a few words of what it costs stand under its name."""
    name, cost = settling_words(trait, way)
    heading = translated("What would settle it") if first else ""
    if len(cost) <= _BESIDE:
        return MarginSection(heading, (Fact(name, cost),))
    return MarginSection(heading, (Fact(name, ""),), cost)
