"""What the margin says of the piece in focus: why the number is what it is, and what would settle it."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from coilbook.genetics import outlook_chance as chance
from coilbook.reads.outlook import LookRow, PairingOdds, WishOdds
from coilbook.ui.margin_content import Fact, MarginContent, MarginSection
from coilbook.ui.outlook.count_chart import CountChart
from coilbook.ui.outlook.layout import Piece, Shown
from coilbook.ui.outlook.sorts import FactKey, PieceKind
from coilbook.ui.outlook.words import FactRow, who_carries
from coilbook.ui.theme import Theme
from coilbook.wording.chances import one_in, percent
from coilbook.wording.language import translated, translated_plural


def outlook_margin(theme: Theme, piece: Piece | None, shown: Shown | None, looked_for: str) -> MarginContent:
    """The margin for a piece of a pairing."""
    if piece is None or shown is None:
        return MarginContent(
            heading=translated("Why, for the number in focus"),
            verdict=translated("No pairing yet"),
            why=translated("Add a pairing, or rank all males for a female."),
        )
    content = _content(theme, piece, shown, looked_for)
    return replace(content, heading=translated("Why, for the number in focus"))


def _content(theme: Theme, piece: Piece, shown: Shown, looked_for: str) -> MarginContent:
    odds = shown.odds
    match piece.kind:
        case PieceKind.NUMBER | PieceKind.TITLE if odds.wish is not None:
            return _number(theme, odds, odds.wish, looked_for)
        case PieceKind.LOOK | PieceKind.INSIDE:
            return _look(odds, cast(LookRow, piece.content))
        case PieceKind.FACT:
            return _fact(odds, cast(FactRow, piece.content))
        case PieceKind.MORE:
            return MarginContent(
                verdict=translated_plural("{n} look more", "{n} looks more", shown.more),
                why=translated("They are worked out when you open them, the likeliest first."),
            )
        case PieceKind.REFUSED:
            why = translated("Del takes the pairing off the page; D opens the page of the dam, S that of the sire.")
            return MarginContent(verdict=shown.sentence, needs_you=True, why=why)
        case _:
            return MarginContent(
                verdict=translated("Nothing is looked for"),
                why=translated("Say which look you look for, and its odds stand here."),
            )


def _number(theme: Theme, odds: PairingOdds, wish: WishOdds, looked_for: str) -> MarginContent:
    parts, count = wish.parts, odds.asked.hatchlings
    if parts.who is chance.Who.NEVER:
        return MarginContent(
            verdict=translated("Never from this pair"),
            why=translated("Neither what is known of her nor of him leaves a way for {look}.").format(look=looked_for),
            sections=(_rests_on(odds),),
        )
    verdict, why, facts = _two_steps(odds, wish) if _misleads(parts) else _one_step(odds, wish)
    likeliest = max(range(len(wish.how_many)), key=lambda k: wish.how_many[k])
    mean = f"{wish.each * count:.1f}"
    note = translated("{mean} on average.").format(mean=mean)
    if likeliest == 0 and wish.each * count >= 1:
        note = translated("{mean} on average, yet none at all is the likeliest count.").format(mean=mean)
    return MarginContent(
        verdict=verdict,
        why=why,
        facts=tuple(facts),
        chart=lambda: CountChart(theme, wish.how_many),
        chart_note=note,
        sections=tuple(section for section in (_rests_on(odds), _settles(odds, wish)) if section is not None),
    )


def _misleads(parts: chance.TwoParts) -> bool:
    """Whether taking each hatchling as a fresh coin would show another number."""
    return parts.who is not chance.Who.NOBODY and percent(parts.coins) != percent(parts.overall)


def _one_step(odds: PairingOdds, wish: WishOdds) -> tuple[str, str, list[Fact]]:
    parts, count = wish.parts, odds.asked.hatchlings
    facts = [
        Fact(translated("Each hatchling"), percent(parts.each_given)),
        Fact(translated("At least one of {n}").format(n=count), percent(parts.overall), strong=True),
    ]
    why = translated("What both carry for it is not in doubt: only the luck of each of the {n} hatchlings is.").format(
        n=count
    )
    return percent(parts.overall), why, facts


def _two_steps(odds: PairingOdds, wish: WishOdds) -> tuple[str, str, list[Fact]]:
    parts, count = wish.parts, odds.asked.hatchlings
    naive, carries = percent(parts.coins), who_carries(parts.who)
    verdict = translated("{right}, not {naive}").format(right=percent(parts.overall), naive=naive)
    why = translated(
        "Taking {each} as a fresh chance for each hatchling would give {naive}. But whether {who} is settled once, "
        "for the whole clutch. So it is two steps, not {n} coins."
    ).format(each=percent(wish.each), naive=naive, who=carries, n=count)
    facts = [
        Fact(carries[:1].upper() + carries[1:], percent(parts.carries)),
        Fact(translated("If so, each hatchling"), percent(parts.each_given)),
        Fact(translated("If so, at least one of {n}").format(n=count), percent(parts.given)),
        Fact(translated("Both"), percent(parts.overall), strong=True),
    ]
    return verdict, why, facts


def _rests_on(odds: PairingOdds) -> MarginSection:
    rows = [Fact(odds.dam.keeper_id, odds.dam.genetics or translated("no genes written"))]
    rows += [Fact(sire.keeper_id, sire.genetics or translated("no genes written")) for sire, _ in odds.sires]
    text = translated("And everything found out of their parents, siblings and young.")
    if len(odds.sires) > 1:
        whole = translated("One of the sires for the whole clutch, each with the chance you gave. ")
        each = translated("Each egg with its own sire of the list, each with the chance you gave. ")
        text = (each if odds.pairing.each_own else whole) + text
    if odds.wish is not None and odds.wish.males_apart:
        text += " " + translated(
            "Two of the males are in doubt; they are taken as independent given her, exact unless they are related."
        )
    return MarginSection(translated("What it rests on"), tuple(rows), text)


def _settles(odds: PairingOdds, wish: WishOdds) -> MarginSection | None:
    rows = []
    count = odds.asked.hatchlings
    sire = odds.sires[0][0].keeper_id if len(odds.sires) == 1 else ""
    for before, after, who, young in (
        (wish.before.dam, wish.if_none.dam, odds.dam.keeper_id, wish.to_settle[0]),
        (wish.before.sire, wish.if_none.sire, sire, wish.to_settle[1]),
    ):
        if not 0 < before < 1 or not who:
            continue
        rows.append(
            Fact(
                translated("This clutch, {n} hatched").format(n=count),
                translated("{who} proven, or {left}").format(who=who, left=percent(after)),
            )
        )
        if young:
            rows.append(
                Fact(
                    translated_plural("{n} young, none of it", "{n} young, none of it", young),
                    translated("{who} below 5%").format(who=who),
                )
            )
    text = ""
    if wish.may_hide:
        text = translated("Only were all of them told at hatch: another look of some hides it, and those say nothing.")
    return MarginSection(translated("What would settle it"), tuple(rows), text) if rows else None


def _look(odds: PairingOdds, row: LookRow) -> MarginContent:
    count = odds.asked.hatchlings
    why = translated("What you see is this look. What it may hide or carry stands in its name.")
    if row.several:
        why = translated("These cannot be told apart when they hatch: one look hides the other. Enter opens it.")
    if row.in_doubt:
        why += " " + translated("Hatched: it can only fall if the parents carry what it takes.")
    male, female = row.by_sex
    facts = [
        Fact(translated("Each hatchling"), f"{percent(row.each)}, {one_in(row.each)}"),
        Fact(translated("Each good egg"), percent(_each_egg(odds, row))),
        Fact(translated("Of {n} hatchlings").format(n=count), f"{row.expected:.2f}"),
        Fact(translated("At least one of {n}").format(n=count), percent(row.at_least_one), strong=True),
    ]
    if odds.sex_linked:
        facts.append(Fact(translated("Sons, daughters"), f"{percent(male)}, {percent(female)}"))
    return MarginContent(verdict=row.title, why=why, facts=tuple(facts), rests_on=_rate(odds))


def _each_egg(odds: PairingOdds, row: LookRow) -> float:
    assert odds.outlook is not None
    return chance.each_egg(odds.outlook.cases(row.group.masks), odds.clutch.rate.mean)


def _rate(odds: PairingOdds) -> str:
    return translated("{rate} of good eggs hatching: {source}.").format(
        rate=percent(odds.clutch.rate.mean, 0), source=_source(odds)
    )


def _source(odds: PairingOdds) -> str:
    """What clutch sizes and hatch rate rest on."""
    others, hers = odds.next.others, odds.next.hers
    if not others and not hers:
        return translated("common practice; your own clutches will outrank it")
    said = []
    if others:
        said.append(translated_plural("{n} clutch of your others", "{n} clutches of your others", others))
    if hers:
        said.append(translated_plural("{n} of hers", "{n} of hers", hers))
    return translated("common practice, then {own}").format(own=", ".join(said))


_WHY = {
    FactKey.CLUTCH: "The clutch may be small or large, and not every good egg hatches: the chance is the mean over "
    "both, with the doubt about the parents settled once.",
    FactKey.EGGS: "Good eggs of this pair, each hatching by itself, until the chance is reached. What the parents "
    "cannot give no number of eggs brings.",
    FactKey.CARDS: "What a card may say of young that do not show it. The number is exact, the trade's word is the "
    "highest not above it.",
    FactKey.INBREEDING: "The chance that both copies of a gene of the young come from one ancestor. Ancestors nobody "
    "recorded count as unrelated, so it is the least it can be.",
    FactKey.PROVEN_DAM: "One young that shows it, with its parents certain, proves her.",
    FactKey.PROVEN_SIRE: "One young that shows it, with its parents certain, proves him.",
    FactKey.NONE: "Young that do not show it are evidence too, the more of them the stronger. Slugs and dead eggs are "
    "none.",
    FactKey.SEX: "A gene on the sex chromosomes goes mostly with the chromosome it lies on.",
    FactKey.HATCH: "A genotype that cannot hatch is never a hatchling, so the odds of hatchlings are among the "
    "others, and the hatch rate is that of the others.",
    FactKey.MIND: "Said once, with how well it is founded: A published, B many keepers, C rumour. Your vet and your "
    "local rules decide, and so do you.",
    FactKey.SIRES: "More combinations of sires are possible here than can be counted for all genes together, so each "
    "gene asks by itself which sire it was. Once sires are settled on the pages of the young, all genes rest on them.",
    FactKey.OPEN: "Odds count what is written as it is written: a doubt needs its number. Enter it on the page of the "
    "animal, as in '66% het clown' or 'pastel 60%'.",
    FactKey.BOUNDED: "Too many animals of this family hang together for an exact count, so the laws were drawn at "
    "random.",
}


def _fact(odds: PairingOdds, fact: FactRow) -> MarginContent:
    rests = _rate(odds) if fact.key in (FactKey.CLUTCH, FactKey.EGGS, FactKey.HATCH) else ""
    facts: tuple[Fact, ...] = ()
    verdict = fact.value
    if fact.key is FactKey.CLUTCH:
        facts = tuple(
            Fact(translated_plural("{n} egg", "{n} eggs", size), percent(share, 0))
            for size, share in sorted(odds.clutch.eggs.items())
        )
        rests = translated("Clutch sizes and hatch rate: {source}.").format(source=_source(odds))
    if fact.key is FactKey.INBREEDING and len(odds.related) > 1:
        facts = tuple(
            Fact(sire.keeper_id, percent(related.inbreeding)) for (sire, _), related in zip(odds.sires, odds.related)
        )
    if fact.key is FactKey.OPEN:
        verdict = translated("The words leave it open")
        rests = fact.value
    if fact.key is FactKey.SIRES:
        verdict = fact.name  # the sentence is long, and stands in the row
        rests = translated("Too many sires are possible in the family of {animals}.").format(
            animals=", ".join(mate.keeper_id for mate in odds.by_gene)
        )
    if fact.key is FactKey.MIND and odds.mind:
        sources = dict.fromkeys(m.caution.provenance.citation or m.caution.provenance.grade.value for m in odds.mind)
        rests = "; ".join(sources)
    return MarginContent(
        verdict=verdict, needs_you=fact.needs_you, why=translated(_WHY[fact.key]), facts=facts, rests_on=rests
    )
