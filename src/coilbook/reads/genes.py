"""The catalogue as its screen lists it: genes, lines and combinations, the keeper's own marked, conflicts first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import numpy as np

from coilbook.derived.genetics_book import Herd, book_of
from coilbook.derived.genetics_catalogues import own_entries
from coilbook.derived.genetics_locus import CERTAIN
from coilbook.genetics.catalogue import Catalogue, Combination, Complex, Conflict, Gene, Provenance
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.gene_names import Sort, names_of, words_of
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_printer import print_statements
from coilbook.genetics.notation_words import KEYWORDS
from coilbook.genetics.own_differences import says_of
from coilbook.genetics.statement import Says, Statement
from coilbook.reads.genetics_words import LEAST
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import OwnKind, Status
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_text, shipped_texts

#: a conflict's `what` for an entry that no longer fits the shipped catalogue
LEFT_OUT = "left out"


class EntryKind(StrEnum):
    """What a row of the catalogue is."""

    GENE = "gene"
    LINE = "line"
    COMBINATION = "combination"
    #: a locus that several genes share
    COMPLEX = "complex"
    #: an entry of the keeper's that no longer fits
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class EntryConflict:
    """A conflict of one own entry, by the key it is settled under."""

    entry: str
    what: str
    shipped: str
    own: str


@dataclass(frozen=True, slots=True)
class CatalogueRow:
    """One row. `carry` and `may`: animals in the keeper's care that surely, or possibly, carry the gene.

    `own` are the keys of the keeper's entries that speak of it, oldest first. Of a combination and a complex `parts`
    says what it is made of; `inheritance`, `one` and `two` are None.
    """

    kind: EntryKind
    key: str
    name: str
    group: str
    inheritance: Message | None
    one: Message | None
    two: Message | None
    source: Provenance | None
    aliases: tuple[str, ...] = ()
    parts: str = ""
    carry: int = 0
    may: int = 0
    #: of those that may: by odds that weigh possible sires by this locus alone, and by drawn ones
    by_gene: int = 0
    drawn: int = 0
    own: tuple[str, ...] = ()
    conflicts: tuple[EntryConflict, ...] = ()


@dataclass(frozen=True, eq=False)
class CatalogueBook:
    """The catalogue of a species as it stands, its rows, and what it is made of."""

    species: str
    catalogue: Catalogue
    rows: tuple[CatalogueRow, ...]
    own: tuple[OwnEntry, ...]
    shipped: str
    #: how many animals in the keeper's care were counted
    animals: int
    #: how many entries of other species are in conflict
    elsewhere: int = 0


def read_catalogue_book(
    collection: Collection, species: str, cancelled: Callable[[], bool] = lambda: False
) -> CatalogueBook:
    """Everything of one species; for a worker, since it asks the kept genetics. Raises Refusal without a catalogue."""
    shipped = shipped_text(species)
    own = own_entries(collection, species)
    herd = book_of(collection).current(cancelled).herds.get(species)
    catalogue = herd.inputs.catalogue if herd is not None else read_catalogue(shipped, own)
    here = _here(collection, herd) if herd is not None else np.zeros(0, dtype=bool)
    counts = _counts(herd, here) if herd is not None else {}
    conflicts = _conflicts(catalogue, own)
    rows = [_gene_row(catalogue, gene, own, counts, conflicts) for gene in catalogue.genes.values()]
    rows += [_combination_row(catalogue, one, own, conflicts) for one in catalogue.combinations.values()]
    rows += [_complex_row(catalogue, one, own, counts, conflicts) for one in catalogue.complexes.values()]
    rows += [_left_out(conflict) for conflict in catalogue.conflicts if conflict.what == LEFT_OUT]
    rows.sort(key=_order)
    elsewhere = sum(count for other, count in conflicts_by_species(collection).items() if other != species)
    return CatalogueBook(species, catalogue, tuple(rows), own, shipped, int(here.sum()), elsewhere)


def conflicts_by_species(collection: Collection) -> dict[str, int]:
    """How many entries of the keeper's an update of the shipped catalogue says otherwise, by species that has any.

    Computes no odds, but reads catalogues: for a worker.
    """
    found = {}
    for species, shipped in shipped_texts().items():
        if own := own_entries(collection, species):
            catalogue = read_catalogue(shipped, own)
            left_out = sum(conflict.what == LEFT_OUT for conflict in catalogue.conflicts)
            found[species] = len(_conflicts(catalogue, own)) + left_out
    return {species: count for species, count in found.items() if count}


def species_with_catalogue() -> tuple[str, ...]:
    """The species that come with a catalogue, by the key animals carry."""
    return tuple(shipped_texts())


def gene_typed(catalogue: Catalogue, text: str) -> str:
    """The key of the gene a keeper typed by any of its names. Raises Refusal, with the nearest name if there is one."""
    names, words = names_of(catalogue, KEYWORDS), words_of(text)
    found = names.at(list(words), 0) if words else None
    if found is not None and found[1] == len(words) and found[0].sort is Sort.GENE:
        return found[0].key
    near = [target for target in names.near(" ".join(words)) if target.sort is Sort.GENE]
    if near:
        meant = catalogue.genes[near[0].key].name
        raise Refusal(say("No gene {text}. Is {name} meant?", text=text.strip() or "-", name=meant))
    raise Refusal(say("No gene {text}.", text=text.strip() or "-"))


# --- what is said of a gene ----------------------------------------------------------------------------------------


def inheritance_words(catalogue: Catalogue, gene: str) -> Message:
    """How a gene is inherited, and no more than is known of two doses."""
    locus, allele = catalogue.locus_of(gene), catalogue.allele_of(gene)
    two = locus.look(allele, allele)
    match catalogue.inheritance_of(gene):
        case Inheritance.RECESSIVE:
            return say("recessive")
        case Inheritance.INCOMPLETE_DOMINANT:
            return say("incomplete dominant")
        case _ if two.lethal:
            return say("one dose visible; two doses do not hatch")
        case _ if two.unseen:
            return say("one dose visible; two doses not seen")
        case _:
            return say("dominant")


def one_dose(catalogue: Catalogue, gene: str) -> Message:
    """What one dose looks like beside the wild type."""
    return say("does not show") if catalogue.is_recessive(gene) else say("shows")


def two_doses(catalogue: Catalogue, gene: str) -> Message:
    """What two doses look like."""
    locus, allele = catalogue.locus_of(gene), catalogue.allele_of(gene)
    look = locus.look(allele, allele)
    if look.lethal:
        return say("do not hatch")
    if look.unseen:
        return say("not seen")
    return say("look the same") if look == locus.look(0, allele) else say("{look}", look=look.name)


def parts_words(catalogue: Catalogue, combination: Combination) -> str:
    """What a combination is made of, as on a card: "super Enchi Ghost"."""
    says = {
        (True, 1): Says.ONE,
        (True, 2): Says.VISUAL,
        (False, 1): Says.ONE,
        (False, 2): Says.TWO,
    }
    statements = [
        Statement(gene, says[catalogue.is_recessive(gene), doses])
        for gene, doses in combination.parts
        if gene in catalogue.genes
    ]
    return print_statements(tuple(statements), catalogue)


#: how many surely carry, how many may, of these by gene alone, of these drawn
_Counts: TypeAlias = tuple[int, int, int, int]
_NOBODY: _Counts = (0, 0, 0, 0)

# --- rows ----------------------------------------------------------------------------------------------------------


def _here(collection: Collection, herd: Herd) -> np.ndarray:
    """Which animals of the herd, by place, are in the keeper's care."""
    rows = collection.read("SELECT id FROM animal WHERE status = ?", (Status.HERE.value,))
    here = np.zeros(len(herd.rows.ids), dtype=bool)
    here[[herd.rows.place[int(animal)] for (animal,) in rows if int(animal) in herd.rows.place]] = True
    return here


def _counts(herd: Herd, here: np.ndarray) -> dict[str, _Counts]:
    """By gene, or complex: how many of the animals here surely carry it, and so on as in `CatalogueRow`."""
    found = {}
    for view in herd.loci.values():
        laws = view.answer.all_posteriors()
        genes = view.states.locus.alleles[1:]
        carries = [view.states.copies(allele) > 0 for allele in range(1, len(genes) + 1)]
        # a complex is carried with any of its genes
        for key, which in ((view.states.locus.key, np.any(carries, axis=0)), *zip(genes, carries, strict=True)):
            # a family in contradiction has no number and is counted nowhere
            carrier = np.nan_to_num(laws[:, which].sum(axis=1))
            sure, may = carrier > CERTAIN, (carrier > LEAST) & (carrier <= CERTAIN)
            by_gene, drawn = (int((may & here)[places].sum()) for places in view.in_doubt(carrier))
            found[key] = (int((sure & here).sum()), int((may & here).sum()), by_gene, drawn)
    return found


def _gene_row(
    catalogue: Catalogue,
    gene: Gene,
    own: Iterable[OwnEntry],
    counts: Mapping[str, _Counts],
    conflicts: Mapping[str, tuple[EntryConflict, ...]],
) -> CatalogueRow:
    carry, may, by_gene, drawn = counts.get(gene.key, _NOBODY)
    return CatalogueRow(
        EntryKind.LINE if gene.line_of else EntryKind.GENE,
        gene.key,
        gene.name,
        gene.complex_name or (catalogue.genes[gene.line_of].name if gene.line_of in catalogue.genes else ""),
        inheritance_words(catalogue, gene.key),
        one_dose(catalogue, gene.key),
        two_doses(catalogue, gene.key),
        gene.provenance,
        gene.aliases,
        carry=carry,
        may=may,
        by_gene=by_gene,
        drawn=drawn,
        own=tuple(entry.key for entry in own if _speaks_of(entry, gene.key, catalogue)),
        conflicts=conflicts.get(f"gene {gene.key}", ()),
    )


def _combination_row(
    catalogue: Catalogue,
    combination: Combination,
    own: Iterable[OwnEntry],
    conflicts: Mapping[str, tuple[EntryConflict, ...]],
) -> CatalogueRow:
    key = f"combination {combination.key}"
    return CatalogueRow(
        EntryKind.COMBINATION,
        combination.key,
        combination.name,
        "",
        None,
        None,
        None,
        combination.provenance,
        combination.aliases,
        parts_words(catalogue, combination),
        own=tuple(entry.key for entry in own if entry.key == key),
        conflicts=conflicts.get(key, ()),
    )


def _complex_row(
    catalogue: Catalogue,
    one: Complex,
    own: Iterable[OwnEntry],
    counts: Mapping[str, _Counts],
    conflicts: Mapping[str, tuple[EntryConflict, ...]],
) -> CatalogueRow:
    key = f"complex {one.key}"
    carry, may, by_gene, drawn = counts.get(one.key, _NOBODY)
    return CatalogueRow(
        EntryKind.COMPLEX,
        one.key,
        one.name,
        "",
        None,
        None,
        None,
        one.provenance,
        parts=", ".join(gene.name for gene in catalogue.members_of(one.key)),
        carry=carry,
        may=may,
        by_gene=by_gene,
        drawn=drawn,
        own=tuple(entry.key for entry in own if entry.key == key),
        conflicts=conflicts.get(key, ()),
    )


def _left_out(conflict: Conflict) -> CatalogueRow:
    told = EntryConflict(conflict.key, LEFT_OUT, conflict.shipped, conflict.own)
    name = conflict.key.partition(" ")[2]
    kind = EntryKind.LEFT_OUT
    return CatalogueRow(kind, conflict.key, name, "", None, None, None, None, own=(conflict.key,), conflicts=(told,))


def _speaks_of(entry: OwnEntry, gene: str, catalogue: Catalogue) -> bool:
    kind, _, key = entry.key.partition(" ")
    match kind:
        case "gene" | "line" | "merge":
            return key == gene or catalogue.current(key) == gene
        case "complex":
            # what else is said of a complex stands at its own row
            return key == catalogue.genes[gene].locus and says_of(entry, "linkage")
        case "pair" | "caution":
            return gene in key.split(_AND)
        case _:
            return False


def _conflicts(catalogue: Catalogue, own: Iterable[OwnEntry]) -> dict[str, tuple[EntryConflict, ...]]:
    """By the row that shows them ("gene clown", "combination snow")."""
    kept = {_today(entry.key, catalogue): entry.key for entry in own}
    found: dict[str, tuple[EntryConflict, ...]] = {}
    for conflict in catalogue.conflicts:
        if conflict.what == LEFT_OUT:
            continue
        entry = f"{conflict.kind} {conflict.key}"
        of_two = conflict.kind in (OwnKind.PAIR, OwnKind.CAUTION)
        row = f"gene {conflict.key.partition(_AND)[0]}" if of_two else entry
        told = EntryConflict(kept.get(entry, entry), conflict.what, conflict.shipped, conflict.own)
        found[row] = (*found.get(row, ()), told)
    return found


def _today(entry: str, catalogue: Catalogue) -> str:
    """The key of an entry with its genes as they are called after the keeper's merges."""
    kind, _, key = entry.partition(" ")
    if kind not in (OwnKind.GENE, OwnKind.PAIR, OwnKind.CAUTION):
        return entry
    return f"{kind} {_AND.join(sorted(map(catalogue.current, key.split(_AND))))}"


#: between the two genes in the key of an entry of both
_AND = " + "
_KINDS = {
    EntryKind.LEFT_OUT: 0,
    EntryKind.GENE: 1,
    EntryKind.LINE: 2,
    EntryKind.COMPLEX: 3,
    EntryKind.COMBINATION: 4,
}


def _order(row: CatalogueRow) -> tuple[bool, int, str]:
    return not row.conflicts, _KINDS[row.kind], row.name.casefold()
