"""Everything the catalogue says of one gene, beside its row: alleles, masking, cautions, lines, what was shipped."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.genetics.catalogue import EVERYTHING, Catalogue, Caution, Gene, Provenance
from coilbook.genetics.own_differences import Difference, differences
from coilbook.reads.genes import CatalogueBook, CatalogueRow
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
    complex_source: Provenance | None
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
        catalogue.complex_sources.get(gene.locus),
        _hides(catalogue, gene),
        tuple(other.name for other in catalogue.genes.values() if gene.key in other.hides),
        _cautions(catalogue, gene),
        tuple(line.name for line in catalogue.lines_of(gene.key)),
        tuple(one.name for one in catalogue.combinations.values() if gene.key in dict(one.parts)),
        tuple(d for entry in book.own if entry.key in row.own for d in differences(book.shipped, entry)),
        tuple(old for old in catalogue.merged if catalogue.current(old) == gene.key),
    )


def _together(catalogue: Catalogue, gene: Gene) -> tuple[Together, ...]:
    found = []
    for other in catalogue.locus_of(gene.key).alleles[1:]:
        if other != gene.key:
            look = catalogue.look_of(gene.key, other)
            said = say("{look}", look=look.name) if look.key else say("does not show")
            if look.lethal:
                said = say("{look}, does not hatch", look=look.name)
            elif look.unseen:
                said = say("{look}, not seen", look=look.name)
            pair = (min(gene.key, other), max(gene.key, other))
            found.append(Together(catalogue.genes[other].name, said, catalogue.pair_sources.get(pair)))
    return tuple(found)


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
