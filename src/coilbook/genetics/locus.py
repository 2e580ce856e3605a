"""What a locus is: its alleles, what each pair of alleles looks like, and how it sits on the sex chromosomes.

The ways of inheritance the trade names (recessive, incomplete dominant, dominant, allelic series) are read from the
table of looks, never stored beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from coilbook.records.vocabulary import Sex

#: the key of the wild-type allele of every locus; always the allele with index 0
WILD = "+"


class SexSystem(StrEnum):
    """Which sex carries two different sex chromosomes."""

    #: males XY, females XX: pythons (Gamble et al. 2017, Curr. Biol. 27)
    XY = "XY"
    #: females ZW, males ZZ: colubrids
    ZW = "ZW"

    @property
    def heterogametic(self) -> Sex:
        """The sex with two different sex chromosomes."""
        return Sex.MALE if self is SexSystem.XY else Sex.FEMALE


class Inheritance(StrEnum):
    """The trade's word for a table of looks."""

    RECESSIVE = "recessive"
    INCOMPLETE_DOMINANT = "incomplete dominant"
    DOMINANT = "dominant"


@dataclass(frozen=True, slots=True)
class Linkage:
    """A locus on the sex chromosomes.

    `recombination` is the chance (0 to 1/2) that a meiosis of the heterogametic sex carries the allele over between the
    sex-determining region and this locus. `hemizygous`: the smaller chromosome (Y or W) has no copy of the locus at
    all; `recombination` is then 0.
    """

    recombination: float
    hemizygous: bool = False

    def __post_init__(self) -> None:
        if not 0 <= self.recombination <= 0.5 or (self.hemizygous and self.recombination):
            raise ValueError(f"a recombination fraction lies from 0 to 1/2, not {self.recombination}")


@dataclass(frozen=True, slots=True)
class Look:
    """What a genotype looks like. `key` "" is the wild look; two genotypes with one look cannot be told apart.

    `lethal`: no animal with this look hatches. `unseen`: keepers have not seen it, which is not the same.
    """

    key: str
    name: str
    lethal: bool = False
    unseen: bool = False


@dataclass(frozen=True, slots=True)
class Locus:
    """`looks[table[i][j]]` is the look of an animal with alleles `i` and `j`; the table is symmetrical.

    `alleles[0]` is the wild type, `looks[0]` the wild look. `alone[i]` is the look of a hemizygous animal with the
    single allele `i` (default: that of two copies). At most 8 alleles.
    """

    key: str
    alleles: tuple[str, ...]
    looks: tuple[Look, ...]
    table: tuple[tuple[int, ...], ...]
    linkage: Linkage | None = None
    alone: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        size = len(self.alleles)
        if not 2 <= size <= 8 or len(set(self.alleles)) != size or self.alleles[0] != WILD:
            raise ValueError(f"{self.key}: 2 to 8 different alleles, the wild type first")
        if len(self.table) != size or any(len(row) != size for row in self.table):
            raise ValueError(f"{self.key}: the table of looks is not {size} by {size}")
        if any(self.table[i][j] != self.table[j][i] for i in range(size) for j in range(i)):
            raise ValueError(f"{self.key}: the table of looks is not symmetrical")
        if self.table[0][0] != 0 or self.looks[0].key:
            raise ValueError(f"{self.key}: two wild alleles must have the wild look")

    def look(self, first: int, second: int) -> Look:
        """The look of the genotype with these two alleles (indexes)."""
        return self.looks[self.table[first][second]]

    def single_look(self, allele: int) -> Look:
        """The look of a hemizygous animal whose one copy is `allele`."""
        return self.looks[self.alone[allele] if self.alone else self.table[allele][allele]]

    def allele_index(self, key: str) -> int:
        """The index of an allele key. Raises ValueError for one this locus does not have."""
        return self.alleles.index(key)

    def inheritance(self, allele: int) -> Inheritance:
        """How `allele` (index, not 0) behaves against the wild type, read from the table of looks.

        DOMINANT says that one dose shows and nobody has seen two doses look otherwise: where the look of two doses is
        unseen or lethal, whether it is incomplete dominant is not known (`two_known`).
        """
        one, two = self.table[0][allele], self.table[allele][allele]
        if one == 0:
            return Inheritance.RECESSIVE
        return Inheritance.DOMINANT if one == two or not self.two_known(allele) else Inheritance.INCOMPLETE_DOMINANT

    def two_known(self, allele: int) -> bool:
        """Whether what two doses of `allele` look like has been seen on a living animal."""
        look = self.look(allele, allele)
        return not (look.unseen or look.lethal)


def simple_locus(
    key: str,
    inheritance: Inheritance,
    *,
    one: str = "",
    two: str = "",
    lethal_double: bool = False,
    linkage: Linkage | None = None,
) -> Locus:
    """A locus with one mutant allele named `key`; `one` and `two` name the looks of one and two doses."""
    wild = Look("", "normal")
    single, double = Look(key, one or key), Look(f"super {key}", two or f"super {key}", lethal=lethal_double)
    match inheritance:
        case Inheritance.RECESSIVE:
            shown = Look(key, two or key, lethal=lethal_double)
            return Locus(key, (WILD, key), (wild, shown), ((0, 0), (0, 1)), linkage)
        case Inheritance.DOMINANT:
            return Locus(key, (WILD, key), (wild, single), ((0, 1), (1, 1)), linkage)
        case Inheritance.INCOMPLETE_DOMINANT:
            return Locus(key, (WILD, key), (wild, single, double), ((0, 1), (1, 2)), linkage)


def series_locus(
    key: str, alleles: tuple[str, ...], looks: tuple[Look, ...], pairs: Mapping[tuple[str, str], str]
) -> Locus:
    """An allelic series: `pairs` gives the look key of every unordered pair that does not have the wild look."""
    names = (WILD, *alleles)
    by_key = {look.key: index for index, look in enumerate(looks)}
    rows = [
        tuple(by_key[pairs.get((first, second), pairs.get((second, first), ""))] for second in names) for first in names
    ]
    return Locus(key, names, looks, tuple(rows))
