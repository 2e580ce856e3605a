"""Words of identification: doses with their chances, calls, causes of the impossible, ways to settle."""

from __future__ import annotations

from coilbook.genetics.hatchling_card import Settling, Way
from coilbook.genetics.impossible import Cause, Suspect
from coilbook.genetics.outlook_pair import NEVER
from coilbook.reads.identify import Call, Identity, Said, Trait
from coilbook.wording.chances import percent, short_percent
from coilbook.wording.language import translated, translated_plural


def doses_words(trait: Trait, law: tuple[float, float, float]) -> str:
    """ "one 50%, two 25%" of a gene that shows with one dose; "Clown 25%, het 50%" of a recessive."""
    none, one, two = law
    if none > 1 - NEVER:
        return translated("no")
    one_word = translated("one dose") if trait.by_one else translated("het")
    two_word = translated("two doses") if trait.by_one else translated("shows")
    parts = [(one, one_word), (two, two_word)] if trait.by_one else [(two, two_word), (one, one_word)]
    said = [
        word if chance > 1 - NEVER else f"{word} {short_percent(chance)}" for chance, word in parts if chance > NEVER
    ]
    return ", ".join(said)


def shown_chance(trait: Trait, law: tuple[float, float, float]) -> float:
    """The chance that the gene shows."""
    return law[1] + law[2] if trait.by_one else law[2]


def said_words(trait: Trait) -> str:
    """What the keeper says of it, or that the book holds something."""
    if trait.said is None:
        return translated("on record") if trait.recorded else ""
    return call_words(trait.said)


def call_words(said: Said) -> str:
    """A call in words."""
    if said.call is Call.LEAN:
        return translated("{percent} : {rest}").format(percent=said.percent, rest=100 - said.percent)
    return {
        Call.SEEN: translated("seen"),
        Call.TWO: translated("two doses seen"),
        Call.NOT_SEEN: translated("not seen"),
    }[said.call]


def settling_words(trait: Trait, way: Settling) -> tuple[str, str]:
    """A way to settle a doubt, and what it costs or leaves."""
    if way.way is Way.LATER_PHOTO:
        return translated("Photos at 3, 6 and 12 months"), translated("adult colour tells; common practice")
    if way.way is Way.SHED_TEST:
        return translated("Shed test"), translated("the mutation is published; ask a laboratory")
    if way.young is None:
        return translated("Breeding"), translated("does not settle it")
    young = translated_plural("{n} young", "{n} young", way.young)
    if trait.by_one and trait.doubt.both[0] <= NEVER:
        return translated("{young} by a mate without it, all showing").format(young=young), translated("two doses, 95%")
    mate = translated("a mate without it") if trait.by_one else translated("a mate that shows it")
    return translated("{young} by {mate}, none showing").format(young=young, mate=mate), translated("below 5%")


def cause_words(identity: Identity, suspect: Suspect) -> str:
    """A likely cause of an impossible hatchling."""
    if suspect.cause is Cause.MISREAD_LOOK:
        return translated("a look misread: without what was said of {gene} it can come from them").format(
            gene=gene_name(identity, suspect.about)
        )
    return {
        Cause.WRONG_SIRE: translated("another sire: with this dam some male could give it"),
        Cause.SWAPPED_EGG: translated("an egg swapped with another clutch"),
        Cause.DAM_ONLY: translated("young of the dam alone: rare, her genes allow it, and it is never assumed"),
    }[suspect.cause]


def gene_name(identity: Identity, locus: str) -> str:
    """The gene or genes of a locus that are in play."""
    names = [trait.name for trait in identity.traits if trait.locus == locus]
    return ", ".join(names) or locus


def sex_words(identity: Identity) -> str:
    """The hint of the look about the sex, empty where there is none."""
    male, female = identity.sex_by_look
    if identity.suspects or abs(male - female) < 0.005:
        return ""
    likely = translated("male") if male > female else translated("female")
    return translated("By its look alone {percent} {sex}: a gene here goes with the sex.").format(
        percent=percent(max(male, female)), sex=likely
    )
