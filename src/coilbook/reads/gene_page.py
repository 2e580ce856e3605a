"""Everything the catalogue says of one gene, beside its row: alleles, masking, cautions, lines, what was shipped."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.genetics.catalogue import EVERYTHING, Catalogue, Caution, Complex, Gene, Provenance
from coilbook.genetics.own_differences import Difference, differences
from coilbook.reads.genes import CatalogueBook, CatalogueRow, EntryKind, two_doses
from coilbook.records.message import Message, say


@dataclass(frozen=True, slots=True)
class Together:
    """What a gene looks like with another allele of its locus; `source` where that is told."""

    other: str
    look: Message
    source: Provenance | None


@dataclass(frozen=True, slots=True)
class CautionOf:
    """A caution and what it is about: "" the gene alone, "2" two doses, else the name of the gene it is together with.

    `other` is the key of that gene: the gene's own for two doses, None for the gene alone.
    """

    about: str
    caution: Caution
    other: str | None = None


@dataclass(frozen=True, slots=True)
class GenePage:
    """What the margin says of a gene beyond its row."""

    gene: Gene
    recombination: float | None
    hemizygous: bool
    together: tuple[Together, ...]
    complex: Complex | None
    hides: tuple[Message, ...]
    hidden_by: tuple[str, ...]
    cautions: tuple[CautionOf, ...]
    lines: tuple[str, ...]
    combinations: tuple[str, ...]
    different: tuple[Difference, ...]
    merged: tuple[str, ...]


def gene_page(book: CatalogueBook, row: CatalogueRow) -> GenePage | None:
    """The page of a gene or a line; None for any other row. Reads nothing: quick enough for the window."""
    catalogue = book.catalogue
    gene = catalogue.genes.get(row.key)
    if gene is None or row.inheritance is None:
        return None
    locus = catalogue.locus_of(gene.key)
    linkage = locus.linkage
    return GenePage(
        gene,
        linkage.recombination if linkage is not None else None,
        linkage is not None and linkage.hemizygous,
        _together(catalogue, gene),
        catalogue.complexes.get(gene.locus),
        _hides(catalogue, gene),
        tuple(other.name for other in catalogue.genes.values() if gene.key in other.hides),
        _cautions(catalogue, gene),
        tuple(line.name for line in catalogue.lines_of(gene.key)),
        tuple(one.name for one in catalogue.combinations.values() if gene.key in dict(one.parts)),
        different(book, row),
        tuple(old for old in catalogue.merged if catalogue.current(old) == gene.key),
    )


def different(book: CatalogueBook, row: CatalogueRow) -> tuple[Difference, ...]:
    """What the keeper's entries on a row say otherwise than what is shipped; of its complex what concerns it."""
    said = [(entry, one) for entry in book.own if entry.key in row.own for one in differences(book.shipped, entry)]
    return tuple(
        one
        for entry, one in said
        if row.kind is EntryKind.COMPLEX or one.what == "linkage" or not entry.key.startswith("complex ")
    )


@dataclass(frozen=True, slots=True)
class ComplexPage:
    """What the margin says of a complex: its genes with the look of two doses, their looks in pairs, what is unsure."""

    complex: Complex
    recombination: float | None
    hemizygous: bool
    doubles: tuple[Together, ...]
    pairs: tuple[Together, ...]
    unsure: tuple[str, ...]
    different: tuple[Difference, ...]


def complex_page(book: CatalogueBook, row: CatalogueRow) -> ComplexPage | None:
    """The page of a complex; None for any other row. Reads nothing: quick enough for the window."""
    catalogue = book.catalogue
    one = catalogue.complexes.get(row.key) if row.kind is EntryKind.COMPLEX else None
    if one is None:
        return None
    genes = catalogue.members_of(one.key)
    linkage = catalogue.loci[one.key].linkage if genes else None
    return ComplexPage(
        one,
        linkage.recombination if linkage is not None else None,
        linkage is not None and linkage.hemizygous,
        tuple(Together(gene.name, two_doses(catalogue, gene.key), None) for gene in genes),
        tuple(
            Together(f"{first.name} + {second.name}", _look(catalogue, first.key, second.key), source)
            for at, first in enumerate(genes)
            for second in genes[at + 1 :]
            if (source := catalogue.pair_sources.get(_pair(first.key, second.key))) is not None
        ),
        tuple(gene.name for gene in genes if gene.unsure_complex),
        different(book, row),
    )


def _pair(first: str, second: str) -> tuple[str, str]:
    return min(first, second), max(first, second)


def _look(catalogue: Catalogue, first: str, second: str) -> Message:
    """What two alleles look like together."""
    look = catalogue.look_of(first, second)
    if look.lethal:
        return say("{look}, does not hatch", look=look.name)
    if look.unseen:
        return say("{look}, not seen", look=look.name)
    return say("{look}", look=look.name) if look.key else say("does not show")


def _together(catalogue: Catalogue, gene: Gene) -> tuple[Together, ...]:
    return tuple(
        Together(
            catalogue.genes[other].name,
            _look(catalogue, gene.key, other),
            catalogue.pair_sources.get(_pair(gene.key, other)),
        )
        for other in catalogue.locus_of(gene.key).alleles[1:]
        if other != gene.key
    )


def _hides(catalogue: Catalogue, gene: Gene) -> tuple[Message, ...]:
    """What an animal with one of the gene's looks hides, look by look."""
    locus, allele = catalogue.locus_of(gene.key), catalogue.allele_of(gene.key)
    found = []
    for look in dict.fromkeys((locus.look(0, allele), locus.look(allele, allele))):
        living = not (look.unseen or look.lethal)
        hidden = catalogue.masks.get((locus.key, look.key), frozenset()) if living else frozenset()
        if EVERYTHING in hidden:
            found.append(say("{look}: every other gene", look=look.name))
        elif hidden:
            names = ", ".join(sorted(catalogue.genes[key].name for key in hidden if key in catalogue.genes))
            found.append(say("{look}: one dose of {genes}", look=look.name, genes=names))
    return tuple(found)


def _cautions(catalogue: Catalogue, gene: Gene) -> tuple[CautionOf, ...]:
    found = [CautionOf("", caution) for caution in gene.cautions]
    for pair, cautions in catalogue.pair_cautions.items():
        if gene.key in pair:
            other = pair[1] if pair[0] == gene.key else pair[0]
            about = "2" if pair[0] == pair[1] else catalogue.genes[other].name
            found += [CautionOf(about, caution, other) for caution in cautions]
    return tuple(found)
