"""The pedigree of one animal as it goes on paper: three to five generations, what is sure, and what it rests on."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from dataclasses import dataclass

from coilbook.drawing.family import FamilyPicture, tree_of
from coilbook.reads.kin import Inbreeding, Kin
from coilbook.reads.pedigree import CardFacts, card_facts, family_lines
from coilbook.reads.pedigree_genes import GeneWords, gene_service
from coilbook.reads.photos import thumbnail
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.storage.collection import Collection

LOG = logging.getLogger(__name__)

LEAST, MOST = 3, 5
#: longest side of the printed photo in pixels: 40 mm at 300 dots an inch
_PHOTO = 480


@dataclass(frozen=True)
class PedigreeSheet:
    """Everything the sheet says; `gene` the word of the gene whose odds stand on the cards, else empty."""

    who: CardFacts
    picture: FamilyPicture
    facts: Mapping[int, CardFacts]
    names: Mapping[int, str]
    inbreeding: Inbreeding
    printed: dt.date
    photo: bytes | None
    gene: str
    gene_words: Mapping[int, GeneWords]


def pedigree_sheet(
    collection: Collection, animal: AnimalId, today: dt.date, generations: int = 3, gene: str = ""
) -> PedigreeSheet:
    """The sheet of an animal, 3 to 5 generations back; `Refusal` when it is not in the book."""
    back = min(max(generations, LEAST), MOST)
    lines = family_lines(collection)
    if animal not in lines.members:
        raise Refusal(say("That animal is no longer in the book; it may have been undone."))
    picture = tree_of(lines.members, animal, back, 0)
    shown = [key for column in picture.columns for key in column if key > 0]
    facts = card_facts(collection, shown)
    service = gene_service(collection)
    name = next((one.name for one in service.genes() if one.key == gene), "") if service is not None else ""
    return PedigreeSheet(
        who=facts[animal],
        picture=picture,
        facts=facts,
        names=lines.names,
        inbreeding=Kin(lines).inbreeding(animal, back),
        printed=today,
        photo=_photo(collection, facts[animal]),
        gene=name,
        gene_words=service.gene_words(gene, shown) if service is not None and name else {},
    )


def _photo(collection: Collection, card: CardFacts) -> bytes | None:
    if card.photo is None:
        return None
    try:
        return thumbnail(collection, *card.photo, _PHOTO)
    except CoilbookError as error:
        # a sheet without its photo is still a sheet; the animal's page says what is the matter with the file
        LOG.warning("the sheet has no photo: %s", error)
        return None
