"""What the labels of a pair leave open and its odds therefore count as nothing, or as sure: said beside the odds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.known import questions_of
from coilbook.genetics.statement import Reading, Statement
from coilbook.reads.genetics_recorded import bare_hets, without_number
from coilbook.reads.outlook_source import GeneticsNow, Mate
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """A sentence on something written of a parent; `uncounted`: it counts as nothing, so the odds may be too low."""

    words: Message
    uncounted: bool


def left_open(collection: Collection, genetics: GeneticsNow, pair: Iterable[Mate]) -> tuple[LeftOpen, ...]:
    """What is written of each parent and is counted otherwise than it may be meant."""
    book, catalogue, told = book_of(collection), genetics.catalogue, list[LeftOpen]()
    for mate in pair:
        reading = book.reading_of(mate.genetics, catalogue)
        claims = collection.read("SELECT text FROM claim WHERE animal_id = ? ORDER BY id", (mate.id,))
        texts = [reading, *(book.reading_of(str(text), catalogue) for (text,) in claims)]
        if questions_of(reading):
            text = (
                "{animal}: its label, '{label}', can be read in several ways and counts as nothing until that is said."
            )
            told.append(LeftOpen(say(text, animal=mate.keeper_id, label=mate.genetics.strip()), uncounted=True))
            continue
        known = {states.locus.key for states in genetics.loci_of([mate.id])}
        for said in _unsaid(genetics, texts):
            if catalogue.genes[catalogue.current(said.gene)].locus not in known:
                name = catalogue.genes[catalogue.current(said.gene)].name
                text = "{animal}: {gene} is written in doubt without a number, and counts as nothing here."
                told.append(LeftOpen(say(text, animal=mate.keeper_id, gene=name), uncounted=True))
        if sure := [catalogue.genes[catalogue.current(gene)].name for gene in sorted(bare_hets(reading))]:
            text = "{animal}: 'het' without a number is taken as sure (100%): {genes}."
            told.append(LeftOpen(say(text, animal=mate.keeper_id, genes=", ".join(sure)), uncounted=False))
    return tuple(told)


def in_question(collection: Collection, genetics: GeneticsNow, mates: Iterable[Mate]) -> Mapping[AnimalId, Message]:
    """Those of these animals whose label counts as nothing until its question is answered, with the sentence."""
    book, told = book_of(collection), say("its label can be read in several ways, and counts as nothing until then")
    return {m.id: told for m in mates if questions_of(book.reading_of(m.genetics, genetics.catalogue))}


def _unsaid(genetics: GeneticsNow, texts: Iterable[Reading]) -> list[Statement]:
    """What is in doubt without a number, each gene once."""
    found = {said.gene: said for text in texts for said in without_number(text, genetics.catalogue)}
    return list(found.values())
