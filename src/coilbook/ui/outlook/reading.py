"""What the page reads on the worker: every pairing ready to be shown, and the words of a wish."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.notation_reader import read as read_notation
from coilbook.genetics.outlook_chance import each
from coilbook.genetics.statement import Says
from coilbook.genetics.states import LocusStates
from coilbook.genetics.wish import Wish, wish_for, wish_today
from coilbook.reads.outlook import FIRST_GROUPS, Asked, LookRow, Pairing, PairingOdds, read_outlook
from coilbook.reads.outlook_fit import floors_now
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.reads.outlook_ranking import Ranked, read_ranking
from coilbook.reads.own_clutches import own_clutches
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex
from coilbook.ui.background import Control
from coilbook.ui.outlook.layout import Shown
from coilbook.ui.outlook.words import fact_rows, two_part_sentence, wish_words
from coilbook.wording.chances import percent
from coilbook.wording.language import translated
from coilbook.wording.texts import render

#: groups opened with one press of "and n more"
MORE_GROUPS = 24


@dataclass(frozen=True, slots=True)
class Request:
    """What the page asks: the pairings, how many hatchlings, what is looked for; None: choose something."""

    pairings: tuple[Pairing, ...]
    hatchlings: int
    wish: Wish | None
    species: str
    #: inbreeding of the young from which a pair is named
    limit: float
    listed: Mapping[Pairing, int]


@dataclass(frozen=True, eq=False)
class Page:
    """The answer: the columns, and what is looked for."""

    shown: tuple[Shown, ...]
    wish: Wish | None
    looked_for: str
    gone: tuple[Pairing, ...] = ()


def read_page(collection: Any, request: Request, control: Control) -> Page:
    """All columns. Pairings with an animal that is gone are left out and named."""
    genetics = kept_genetics(collection, request.species, control.cancelled)
    wish, shown, gone = wish_today(request.wish, genetics.catalogue), [], []
    own = own_clutches(collection)
    for number, pairing in enumerate(request.pairings):
        control.check()
        control.progress(number, len(request.pairings))
        try:
            odds = read_outlook(collection, genetics, pairing, Asked(request.hatchlings, wish), own)
            if wish is None and odds.outlook is not None:
                wish = first_wish(odds)
                if wish is not None:
                    odds = read_outlook(collection, genetics, pairing, Asked(request.hatchlings, wish), own)
        except Refusal:
            gone.append(pairing)
            continue
        looks = odds.looks(request.listed.get(pairing, FIRST_GROUPS))
        shown.append(make_shown(odds, looks, request.limit))
    return Page(tuple(shown), wish, wish_words(wish, genetics.catalogue), tuple(gone))


def read_mates(
    collection: Any,
    animal: AnimalId,
    wish: Wish | None,
    hatchlings: int,
    settings: Settings,
    today: dt.date,
    cancelled: Callable[[], bool],
) -> tuple[Ranked, str]:
    """Every mate of an animal by the keeper's limits, and what is looked for in words. Raises `WorkStopped`."""
    species, limit = settings.species, settings.inbreeding_limit_tenths / 1000
    genetics = kept_genetics(collection, species, cancelled)
    wish = wish_today(wish, genetics.catalogue)
    if wish is None:
        wish = wish_of_animal(genetics.catalogue, genetics.loci_of([animal]))
    if wish is None:
        raise Refusal(say("Nothing of this animal can be looked for: it shows and carries no gene on record."))
    floors = floors_now(collection, settings, today)
    ranked = read_ranking(collection, genetics, animal, wish, hatchlings, species, limit=limit, floors=floors)
    return ranked, wish_words(wish, genetics.catalogue)


def typed_wish(collection: Any, species: str, text: str) -> Wish:
    """What a keeper typed, in the trade's notation; Refusal says what is not understood."""
    catalogue = kept_genetics(collection, species).catalogue
    reading = read_notation(text, catalogue)
    if reading.refused is not None:
        raise Refusal(reading.refused)
    unknown = [s.gene for s in reading.statements if s.gene not in catalogue.genes]
    if not reading.statements or unknown or reading.rest.strip():
        rest = reading.rest.strip() or ", ".join(unknown) or text.strip()
        raise Refusal(say("'{rest}' is no gene or look here. Write it as on a card, like Pastel Clown.", rest=rest))
    sex = reading.sex if reading.sex in (Sex.MALE, Sex.FEMALE) else None
    return Wish(reading.statements, sex)


def make_shown(odds: PairingOdds, looks: Sequence[LookRow], limit: float) -> Shown:
    """A column."""
    if odds.refused is not None or odds.outlook is None:
        sentence = render(odds.refused) if odds.refused is not None else ""
        return Shown(odds, "", "", sentence, (), 0, 0.0, ())
    looked_for = wish_words(odds.asked.wish, odds.outlook.catalogue)
    number = percent(odds.wish.parts.overall) if odds.wish is not None else "\u2013"
    sentence = (
        two_part_sentence(odds, odds.wish, looked_for)
        if odds.wish is not None
        else translated("Say which look you look for.")
    )
    more = max(0, odds.count - len(looks))
    share = max(0.0, 1 - sum(row.each for row in looks)) if more else 0.0
    rows = tuple((row, 0) for row in looks)
    return Shown(odds, looked_for, number, sentence, rows, more, share, tuple(fact_rows(odds, limit)))


def opened(shown: Shown, at: int) -> Shown:
    """The column with a look opened to what hides in it, or closed again."""
    looks = list(shown.looks)
    row, depth = looks[at]
    if depth or not row.several:
        return shown
    below = at + 1
    if below < len(looks) and looks[below][1]:
        while below < len(looks) and looks[below][1]:
            del looks[below]
    else:
        looks[below:below] = [(one, 1) for one in shown.odds.inside(row)]
    return replace(shown, looks=tuple(looks))


def first_wish(odds: PairingOdds) -> Wish | None:
    """What a keeper is likeliest to look for: the recessive that can show and is least likely to."""
    outlook = odds.outlook
    assert outlook is not None
    catalogue = outlook.catalogue
    found: list[tuple[bool, float, str]] = []
    for locus in outlook.loci:
        for gene in locus.states.locus.alleles[1:]:
            if gene in catalogue.genes:
                wish = wish_for(catalogue, {gene: None})
                chance = each(outlook.cases(wish.masks(catalogue, [locus.states])))
                if chance > 0:
                    found.append((not catalogue.is_recessive(gene), chance, gene))
    return wish_for(catalogue, {min(found)[2]: None}) if found else None


def wish_of_animal(catalogue: Catalogue, loci: Sequence[LocusStates]) -> Wish | None:
    """A wish from what one animal may have: its first recessive, else its first gene."""
    genes = [gene for states in loci for gene in states.locus.alleles[1:] if gene in catalogue.genes]
    genes.sort(key=lambda gene: not catalogue.is_recessive(gene))
    says: dict[str, Says | None] = dict.fromkeys(genes[:1])
    return wish_for(catalogue, says) if says else None
