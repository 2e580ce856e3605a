"""What the page says of a pairing, as words: the two-part sentence and the rows of facts below the looks."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.genetics import outlook_chance as chance
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.notation_printer import lowered_name
from coilbook.genetics.wish import Wish
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.reads.outlook import PairingOdds, Proven, WishOdds
from coilbook.reads.outlook_cards import CardOfTheRest
from coilbook.records.vocabulary import Sex
from coilbook.ui.outlook.sorts import FactKey
from coilbook.wording.chances import percent, short_percent, trade_word
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import render


@dataclass(frozen=True, slots=True)
class FactRow:
    """One row: its name, its value, and whether it needs the keeper (clay, with a triangle)."""

    key: FactKey
    name: str
    value: str
    needs_you: bool = False


def wish_words(wish: Wish | None, catalogue: Catalogue | None) -> str:
    """What is looked for, in the order a keeper says it."""
    if wish is None or not wish.statements:
        return translated("nothing yet")
    genes = catalogue.genes if catalogue is not None else {}
    names = []
    for statement in wish.statements:
        name = genes[statement.gene].name if statement.gene in genes else statement.gene
        before = {"2": translated("Super "), "het": translated("het "), "ph": translated("het ")}
        names.append(before.get(statement.says.value, "") + name)
    sex = {Sex.MALE: translated(", male"), Sex.FEMALE: translated(", female")}
    return " ".join(names) + (sex.get(wish.sex, "") if wish.sex else "")


def who_carries(who: chance.Who) -> str:
    """Whose doubt it is, before "carries it"."""
    return {
        chance.Who.DAM: translated("she carries it"),
        chance.Who.SIRE: translated("he carries it"),
        chance.Who.BOTH: translated("both carry it"),
    }.get(who, translated("this pair can give it"))


def two_part_sentence(odds: PairingOdds, wish: WishOdds, looked_for: str) -> str:
    """ "At least one Clown of 6. 66.7% that she carries it; if she does, 98.4% that you see one in 6."."""
    count, parts = odds.asked.hatchlings, wish.parts
    if parts.who is chance.Who.NEVER:
        return translated("No {look} can fall from this pair.").format(look=looked_for)
    said = [translated("at least one {look} of {n}.").format(look=looked_for, n=count)]
    if parts.who is chance.Who.NOBODY:
        said.append(translated("Nothing of it is in doubt: {each} each.").format(each=percent(parts.each_given)))
    else:
        does = {
            chance.Who.DAM: translated("if she does"),
            chance.Who.SIRE: translated("if he does"),
            chance.Who.BOTH: translated("if they do"),
        }.get(parts.who, translated("if it can"))
        second = translated("{carries} that {who}; {does}, {given} that you see one in {n}.")
        if wish.may_hide:
            second = translated("{carries} that {who}; {does}, {given} that there is one in {n}.")
        said.append(
            second.format(
                carries=percent(parts.carries),
                who=who_carries(parts.who),
                does=does,
                given=percent(parts.given),
                n=count,
            )
        )
    if wish.may_hide:
        said.append(translated("Some of them cannot be told at hatch."))
    return " ".join(said)


def fact_rows(odds: PairingOdds, limit: float) -> list[FactRow]:
    """The rows below the looks, in the order of the page."""
    rows: list[FactRow] = []
    wish = odds.wish
    if wish is not None and wish.parts.who is not chance.Who.NEVER:
        rows += [
            FactRow(FactKey.CLUTCH, translated("A whole clutch"), clutch_words(odds, wish)),
            FactRow(FactKey.EGGS, translated("Eggs for one"), needs_words(wish)),
        ]
    cards = card_words(odds)
    if cards:
        rows.append(FactRow(FactKey.CARDS, translated("Cards of the rest"), cards))
    rows.append(_inbreeding(odds, limit))
    if wish is not None:
        rows += [_proven(odds, proven) for proven in wish.proven]
        if wish.proven:
            rows.append(
                FactRow(FactKey.NONE, translated("If none of {n}").format(n=odds.asked.hatchlings), none_words(wish))
            )
    rows.append(FactRow(FactKey.SEX, translated("By sex"), sex_words(odds)))
    if odds.unhatched:
        rows.append(FactRow(FactKey.HATCH, translated("Cannot hatch"), unhatched_words(odds), needs_you=True))
    rows += _minds(odds)
    if odds.by_gene:
        rows.append(FactRow(FactKey.SIRES, translated("Possible sires"), render(SIRES_BY_GENE), needs_you=True))
    for number, one in enumerate(odds.left_open):
        name = translated("Left open") if number == 0 else ""
        rows.append(FactRow(FactKey.OPEN, name, render(one.words), needs_you=one.uncounted))
    if odds.error > 0:
        words = translated("\u00b1 {error} on what a parent carries; drawn, not counted").format(
            error=percent(odds.error)
        )
        rows.append(FactRow(FactKey.BOUNDED, translated("Approximate"), words, needs_you=True))
    return rows


def clutch_words(odds: PairingOdds, wish: WishOdds) -> str:
    """ "63.7% over 3 to 9 eggs, 88% hatching"."""
    sizes = sorted(size for size, share in odds.clutch.eggs.items() if share > 0)
    return translated("{chance} over {least} to {most} eggs, {rate} hatching").format(
        chance=percent(wish.in_a_clutch), least=sizes[0], most=sizes[-1], rate=percent(odds.clutch.rate.mean, 0)
    )


def needs_words(wish: WishOdds) -> str:
    """ "50%: 3 eggs or 1 clutch. 80% and 90%: out of reach, 33.3% that there is none to give"."""
    said, unreachable = [], []
    for eggs, clutches in zip(wish.eggs, wish.clutches):
        if eggs.count is None or clutches.count is None:
            unreachable.append(short_percent(eggs.chance))
            continue
        said.append(
            translated("{chance}: {eggs} or {clutches}").format(
                chance=short_percent(eggs.chance),
                eggs=translated_plural("{n} egg", "{n} eggs", eggs.count),
                clutches=translated_plural("{n} clutch", "{n} clutches", clutches.count),
            )
        )
    if unreachable:
        which = unreachable[-1]
        if len(unreachable) > 1:
            which = translated("{some} and {last}").format(some=", ".join(unreachable[:-1]), last=which)
        missing = percent(1 - wish.eggs[-1].limit)
        said.append(
            translated("{which}: out of reach, {missing} that there is none to give").format(
                which=which, missing=missing
            )
        )
    return ". ".join(said)


def card_words(odds: PairingOdds) -> str:
    """What a card of the young that do not show it may say of each recessive looked for."""
    return "; ".join(_card(card) for card in odds.cards)


def _card(card: CardOfTheRest) -> str:
    """The paper value, as cards print it; beside it the evidence, where that is another number."""
    name, paper = lowered_name(card.gene), card.evidence if card.paper is None else float(card.paper)
    said, evidence = _on_card(paper, name), short_percent(card.evidence)
    if evidence == short_percent(paper):
        return said
    return translated("on paper {said}; with evidence {evidence}").format(said=said, evidence=evidence)


def _on_card(carried: float, name: str) -> str:
    word = trade_word(carried)
    if carried <= 0:
        return translated("no {gene} in them").format(gene=name)
    if word == 100:
        return translated("100% het {gene}").format(gene=name)
    if word is None:
        return translated("{chance} het {gene}, less than any word of the trade").format(
            chance=short_percent(carried), gene=name
        )
    return translated("{chance} het {gene} exactly; the trade word is {word}%").format(
        chance=short_percent(carried), gene=name, word=word
    )


def _inbreeding(odds: PairingOdds, limit: float) -> FactRow:
    name = translated("Inbreeding")
    if not odds.related:
        return FactRow(FactKey.INBREEDING, name, translated("not known"))
    worst = max(odds.related, key=lambda related: related.inbreeding)
    text = translated("at least {chance}; {known} of {of} ancestors known").format(
        chance=percent(worst.inbreeding), known=worst.known, of=worst.of
    )
    if worst.inbreeding >= limit:
        return FactRow(FactKey.INBREEDING, name, translated("{said}, over your limit").format(said=text), True)
    return FactRow(FactKey.INBREEDING, name, text)


def _proven(odds: PairingOdds, proven: Proven) -> FactRow:
    she = proven.parent is Sex.FEMALE
    name = translated("If she is proven") if she else translated("If he is proven")
    value = translated("each {each}; at least one of {n} rises to {more}").format(
        each=percent(proven.each), n=odds.asked.hatchlings, more=percent(proven.at_least_one)
    )
    return FactRow(FactKey.PROVEN_DAM if she else FactKey.PROVEN_SIRE, name, value)


def none_words(wish: WishOdds) -> str:
    """What none of n would leave of each doubt."""
    said = []
    for before, after, words in (
        (wish.before.dam, wish.if_none.dam, translated("she falls to {left}")),
        (wish.before.sire, wish.if_none.sire, translated("he falls to {left}")),
    ):
        if 0 < before < 1:
            said.append(
                words.format(left=percent(after)) + (translated(": little is learnt") if after > before / 3 else "")
            )
    if said and wish.may_hide:
        # another look of some of them hides it: those say nothing when they hatch
        said.append(translated("both only were all of them told at hatch") if len(said) > 1
                    else translated("only were all of them told at hatch"))  # fmt: skip
    return "; ".join(said)


def sex_words(odds: PairingOdds) -> str:
    """Whether the sexes differ."""
    if not odds.sex_linked:
        return translated("alike in both: no gene here is sex-linked")
    if odds.wish is None:
        return translated("a gene here is sex-linked: open a look for its sexes")
    male, female = odds.wish.by_sex
    total = male + female
    if total <= 0:
        return translated("none in either sex")
    return translated("{male} of them males, {female} females").format(
        male=percent(male / total), female=percent(female / total)
    )


def unhatched_words(odds: PairingOdds) -> str:
    """The share of eggs that cannot hatch, by locus."""
    assert odds.outlook is not None
    genes = odds.outlook.catalogue.genes
    return "; ".join(
        translated("{share} of the eggs: two doses at {gene}; not counted in the hatch rate").format(
            share=percent(lost.share), gene=genes[lost.locus].name if lost.locus in genes else lost.locus
        )
        for lost in odds.unhatched
    )


def _minds(odds: PairingOdds) -> list[FactRow]:
    if odds.outlook is None:
        return []
    if not odds.mind:
        return [FactRow(FactKey.MIND, translated("Mind"), translated("no caution known for these genes"))]
    genes = odds.outlook.catalogue.genes
    rows = []
    for number, mind in enumerate(odds.mind):
        about = translated(" with ").join(genes[key].name for key in dict.fromkeys(mind.genes))
        value = translated("{gene}, {share} of the young, evidence {grade}: {text}").format(
            gene=about, share=percent(mind.share), grade=mind.caution.evidence.value, text=mind.caution.text
        )
        rows.append(FactRow(FactKey.MIND, translated("Mind") if number == 0 else "", value, needs_you=True))
    return rows
