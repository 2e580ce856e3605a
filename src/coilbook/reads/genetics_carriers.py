"""The genes in play in a collection, and who carries one with what odds; computes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.derived.genetics_book import book_of
from coilbook.derived.genetics_locus import CERTAIN
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.gene_names import Sort, names_of, words_of
from coilbook.genetics.notation_words import KEYWORDS
from coilbook.reads.genes import inheritance_words
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class GeneInPlay:
    """One gene: how many animals surely have it, how many may."""

    species: str
    key: str
    name: str
    locus: str
    inheritance: str
    grade: str
    own: bool
    sure: int
    possible: int
    #: of those that may, how many by odds that weigh possible sires by this gene alone
    sires_by_gene: int = 0


@dataclass(frozen=True, slots=True)
class Carrier:
    """An animal that has or may have a gene.

    `error`: how far a drawn number may be off, 0 for a counted one. `sires_by_gene`: too many sires were possible to
    weigh them over all genes together.
    """

    keeper_id: str
    with_evidence: float
    on_paper: str
    error: float = 0.0
    sires_by_gene: bool = False


def genes_in_play(collection: Collection) -> list[GeneInPlay]:
    """Every gene somebody has or may have, in the order of the catalogue."""
    found = []
    for species, herd in book_of(collection).current().herds.items():
        for view in herd.loci.values():
            laws = view.answer.all_posteriors()
            for gene in view.states.locus.alleles[1:]:
                held = view.states.copies(view.states.locus.allele_index(gene)) > 0
                # a family in contradiction has no number and is counted nowhere
                chance = np.nan_to_num(laws[:, held].sum(axis=1))
                sure, possible = chance > CERTAIN, (chance > 1e-6) & (chance <= CERTAIN)
                counts = int(sure.sum()), int(possible.sum()), int(possible[view.in_doubt(chance)[0]].sum())
                if any(counts):
                    found.append(_gene(species, herd.inputs.catalogue, gene, counts))
    return found


@dataclass(frozen=True, slots=True)
class GeneCalled:
    """What a word means: the key and the name of a gene, or no key and the name of the gene nearest by its letters."""

    key: str
    name: str


def gene_called(collection: Collection, word: str) -> GeneCalled | None:
    """The gene a keeper calls so, by its name, key or another spelling; None where nothing comes near."""
    words, near = list(words_of(word)), None
    for herd in book_of(collection).current().herds.values():
        catalogue = herd.inputs.catalogue
        names = names_of(catalogue, KEYWORDS)
        found = names.at(words, 0) if words else None
        if found is not None and found[1] == len(words) and found[0].sort is Sort.GENE:
            return GeneCalled(found[0].key, catalogue.genes[found[0].key].name)
        likely = [t for t in names.near(" ".join(words)) if t.sort is Sort.GENE]
        near = near or (GeneCalled("", catalogue.genes[likely[0].key].name) if likely else None)
    return near


def _gene(species: str, catalogue: Catalogue, gene: str, counts: tuple[int, int, int]) -> GeneInPlay:
    entry = catalogue.genes[gene]
    how = str(inheritance_words(catalogue, gene))
    return GeneInPlay(species, gene, entry.name, entry.locus, how, entry.provenance.grade.value, entry.own, *counts)


def carriers_of(collection: Collection, gene: str) -> list[Carrier]:
    """Who has or may have a gene, the surest first."""
    found = []
    for herd in book_of(collection).current().herds.values():
        if gene not in herd.inputs.catalogue.genes or herd.inputs.catalogue.genes[gene].locus not in herd.loci:
            continue
        view = herd.loci[herd.inputs.catalogue.genes[gene].locus]
        allele = view.states.locus.allele_index(gene)
        chance = np.nan_to_num(view.answer.all_posteriors()[:, view.states.copies(allele) > 0].sum(axis=1))
        apart = frozenset(view.in_doubt(chance)[0].tolist())
        names = dict(collection.read("SELECT id, keeper_id FROM animal"))
        for animal in np.argsort(-chance, kind="stable"):
            if chance[animal] <= 1e-6:
                break
            paper = view.paper.value(int(animal), allele)
            words = str(paper.carrier) if paper is not None else ""
            name, error = str(names[int(herd.rows.ids[animal])]), float(view.answer.error(int(animal)))
            found.append(Carrier(name, float(chance[animal]), words, error, int(animal) in apart))
    return found
