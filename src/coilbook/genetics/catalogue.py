"""The catalogue of a species as the program sees it: loci, genes, lines, combinations, each with its source.

`catalogue_text` reads it from the shipped TOML and the keeper's own entries; nothing here reads a file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from coilbook.genetics.locus import Locus, SexSystem


class Grade(StrEnum):
    """How well a statement of the catalogue is founded."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    KEEPER = "keeper"


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a statement comes from. `citation` is required where `grade` is published, and only there."""

    grade: Grade
    citation: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """A welfare caution on a gene or a pair of genes, in one neutral sentence, with its own provenance."""

    text: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Gene:
    """One mutant allele as the trade names it: `key` is the allele key in `locus`.

    `aliases` are other spellings and short forms, lower case. `line_of` names the gene this one is a line of: a
    lineage kept apart that may be another locus ("axanthic" -> its lines). `needs_line`: the bare word asks "which
    line?". `unsure_complex`: that it is allelic to the others of its locus is not sure. `gene` is the molecular gene
    where published (free text). `hides`: keys of genes whose single dose cannot be told apart in an animal showing
    this one.
    """

    key: str
    name: str
    locus: str
    provenance: Provenance
    aliases: tuple[str, ...] = ()
    description: str = ""
    gene: str = ""
    complex_name: str = ""
    unsure_complex: bool = False
    needs_line: bool = False
    line_of: str = ""
    hides: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    invented: bool = False
    own: bool = False


@dataclass(frozen=True, slots=True)
class Combination:
    """A trade name for several genes together: `parts` are (gene key, doses shown: 1 or 2)."""

    key: str
    name: str
    parts: tuple[tuple[str, int], ...]
    provenance: Provenance
    aliases: tuple[str, ...] = ()
    own: bool = False


@dataclass(frozen=True, slots=True)
class Conflict:
    """The keeper's entry and the shipped one of the same key differ; the keeper's stands."""

    key: str
    what: str
    shipped: str
    own: str


@dataclass(frozen=True)
class Catalogue:
    """All genetics of one species. Genes by key; loci by key; a gene is one allele of its locus."""

    species: str
    name: str
    system: SexSystem
    loci: Mapping[str, Locus]
    genes: Mapping[str, Gene]
    combinations: Mapping[str, Combination] = field(default_factory=dict)
    #: cautions on two genes together, by the pair of gene keys in alphabetical order (twice the same: two doses)
    pair_cautions: Mapping[tuple[str, str], tuple[Caution, ...]] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()

    def locus_of(self, gene: str) -> Locus:
        """The locus of a gene key. Raises KeyError."""
        return self.loci[self.genes[gene].locus]

    def allele_of(self, gene: str) -> int:
        """The index of a gene's allele in its locus. Raises KeyError."""
        return self.locus_of(gene).allele_index(gene)
