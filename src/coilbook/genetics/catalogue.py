"""The catalogue of a species as the program sees it: loci, genes, lines, combinations, each with its source.

`catalogue_text` reads it from the shipped TOML and the keeper's own entries; nothing here reads a file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from coilbook.genetics.locus import Inheritance, Locus, Look, SexSystem, simple_locus

#: in a list of what a look hides: every other gene
EVERYTHING = "*"


class Grade(StrEnum):
    """How well a statement of the catalogue is founded."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    KEEPER = "keeper"


class Evidence(StrEnum):
    """How much stands behind a welfare caution."""

    PUBLISHED = "A"
    MANY_KEEPERS = "B"
    RUMOUR = "C"


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a statement comes from. `citation` is required where `grade` is published, and only there."""

    grade: Grade
    citation: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """A welfare caution on a gene or a pair of genes, in one neutral sentence, with its own provenance."""

    text: str
    evidence: Evidence
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Gene:
    """One mutant allele as the trade names it: `key` is the allele key in `locus`.

    `aliases` are other spellings and short forms, lower case. `line_of` names the gene this one is a line of: a
    lineage kept apart that may be another locus ("axanthic" -> its lines), `line` the keeper's words for it, verbatim.
    `needs_line`: the bare word asks "which line?". `unsure_complex`: that it is allelic to the others of its locus is
    not sure. `gene` is the molecular gene where published (free text). `hides`: keys of genes whose single dose cannot
    be told apart in an animal showing this one (EVERYTHING: any other gene), `hides_source` where that comes
    from.
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
    line: str = ""
    hides: tuple[str, ...] = ()
    hides_source: Provenance | None = None
    cautions: tuple[Caution, ...] = ()
    own: bool = False


@dataclass(frozen=True, slots=True)
class Complex:
    """A locus that several genes share, as the trade names it: `key` is that of the locus.

    `provenance` says where it comes from that its genes belong together.
    """

    key: str
    name: str
    provenance: Provenance
    description: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True)
class Combination:
    """A trade name for several genes together: `parts` are (gene key, doses shown: 1 or 2; a recessive shows with 2).

    Two alleles of one recessive complex, such as candy with toffee, stand with dose 1 each.
    """

    key: str
    name: str
    parts: tuple[tuple[str, int], ...]
    provenance: Provenance
    aliases: tuple[str, ...] = ()
    own: bool = False


@dataclass(frozen=True, slots=True)
class Conflict:
    """The keeper's entry and the shipped one of the same key differ; the keeper's stands.

    `kind` is that of the entry as its key begins ("gene", "complex", "pair"); of one that is left out `key` is all of
    the entry's key and `kind` is "".
    """

    key: str
    what: str
    shipped: str
    own: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class LineWord:
    """A keeper's word for a line of the gene `of`, verbatim ("line B"); two spellings in different case are one."""

    of: str
    words: str

    @property
    def key(self) -> str:
        """The gene key of this line.

        >>> LineWord("axanthic", "Line B").key
        'axanthic (line b)'
        """
        return f"{self.of} ({' '.join(self.words.casefold().split())})"


@dataclass(frozen=True, eq=False)
class Catalogue:
    """All genetics of one species. Genes by key; loci by key; a gene is one allele of its locus.

    Compared by identity, so that what is computed from it can be kept with it.
    """

    species: str
    name: str
    system: SexSystem
    loci: Mapping[str, Locus]
    genes: Mapping[str, Gene]
    combinations: Mapping[str, Combination] = field(default_factory=dict)
    #: trade names of one look that several pairs of alleles have, case folded, with those pairs
    shared_names: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    #: cautions on two genes together, by the pair of gene keys in alphabetical order (twice the same: two doses)
    pair_cautions: Mapping[tuple[str, str], tuple[Caution, ...]] = field(default_factory=dict)
    #: what an animal with a look hides, by (locus key, look key): gene keys, or EVERYTHING
    masks: Mapping[tuple[str, str], frozenset[str]] = field(default_factory=dict)
    #: where a look of two alleles comes from, by the pair of gene keys in alphabetical order
    pair_sources: Mapping[tuple[str, str], Provenance] = field(default_factory=dict)
    #: the loci that several genes may share, by locus key; one may stand without a gene
    complexes: Mapping[str, Complex] = field(default_factory=dict)
    #: gene keys of entries the keeper put into another, and what they are now
    merged: Mapping[str, str] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()

    def locus_of(self, gene: str) -> Locus:
        """The locus of a gene key. Raises KeyError."""
        return self.loci[self.genes[gene].locus]

    def allele_of(self, gene: str) -> int:
        """The index of a gene's allele in its locus. Raises KeyError."""
        return self.locus_of(gene).allele_index(gene)

    def inheritance_of(self, gene: str) -> Inheritance:
        """How a gene behaves against the wild type. Raises KeyError."""
        return self.locus_of(gene).inheritance(self.allele_of(gene))

    def is_recessive(self, gene: str) -> bool:
        """True where one copy does not show. Raises KeyError."""
        return self.inheritance_of(gene) is Inheritance.RECESSIVE

    def look_of(self, first: str, second: str) -> Look:
        """The look of two genes of one locus together (twice the same: two doses). Raises KeyError, ValueError."""
        locus = self.locus_of(first)
        return locus.look(locus.allele_index(first), locus.allele_index(second))

    def current(self, gene: str) -> str:
        """The key under which a gene stands today, after the keeper's merges."""
        seen = {gene}
        while (following := self.merged.get(gene)) is not None and following not in seen:
            gene = following
            seen.add(gene)
        return gene

    def members_of(self, complex_key: str) -> tuple[Gene, ...]:
        """The genes of a complex, in the order of its locus; none of one that stands empty."""
        return tuple(self.genes[key] for key in self.loci[complex_key].alleles[1:]) if complex_key in self.loci else ()

    def lines_of(self, gene: str) -> tuple[Gene, ...]:
        """The keeper's lines of a gene, in the order they were added."""
        return tuple(line for line in self.genes.values() if line.line_of == gene)

    def with_lines(self, lines: Iterable[LineWord]) -> Catalogue:
        """This catalogue with those lines added that it lacks; each is a locus of its own like the gene it is of."""
        genes, loci = dict(self.genes), dict(self.loci)
        for line in lines:
            if line.key not in genes and line.of in self.genes:
                base = self.genes[line.of]
                genes[line.key] = line_gene(base, line)
                how, name = self.inheritance_of(base.key), genes[line.key].name
                two = name if how is Inheritance.RECESSIVE else f"Super {name}"
                loci[line.key] = simple_locus(line.key, how, one=name, two=two)
        return self if len(genes) == len(self.genes) else replace(self, genes=genes, loci=loci)


def line_gene(base: Gene, line: LineWord) -> Gene:
    """The gene entry of a keeper's line."""
    return Gene(
        key=line.key,
        name=f"{base.name} ({' '.join(line.words.split())})",
        locus=line.key,
        provenance=Provenance(Grade.KEEPER),
        line_of=base.key,
        line=" ".join(line.words.split()),
        hides=base.hides,
        own=True,
    )
