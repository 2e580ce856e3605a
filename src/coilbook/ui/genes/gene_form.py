"""The form of a gene: what is entered of a new one, and what is said otherwise of one there is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from coilbook.genetics.catalogue import Gene, Grade
from coilbook.genetics.locus import Inheritance
from coilbook.reads.genes import CatalogueBook
from coilbook.records.message import Refusal
from coilbook.ui.desk import Desk
from coilbook.ui.genes.forms import DOUBLES, CatalogueForm, Doubles, linkage_typed, source_typed
from coilbook.ui.genes.words import GRADES, INHERITANCE
from coilbook.wording.language import translated


class Sureness(StrEnum):
    """Whether it is sure that a gene shares its locus with the others of its complex."""

    SURE = "sure"
    UNSURE = "unsure"


SURENESS = {Sureness.SURE: translated("sure"), Sureness.UNSURE: translated("not sure")}


@dataclass(frozen=True, slots=True)
class GeneSaid:
    """What the form says of a gene. `fields` are those of `genetics.own_entries.CORRECTABLE` that differ from before.

    `allele_of`: the key of a gene whose locus it shares, "" for none, None where that was not touched.
    """

    name: str
    inheritance: Inheritance
    fields: Mapping[str, object]
    allele_of: str | None


class GeneForm(CatalogueForm):
    """Of a new gene, or of the gene or line given; of a line only what is its own."""

    def __init__(self, desk: Desk, book: CatalogueBook, gene: Gene | None = None) -> None:
        title = translated("Correct {name}").format(name=gene.name) if gene is not None else translated("Add a gene")
        super().__init__(
            desk, book, title, translated("Save") if gene is not None else translated("Add the gene"), columns=4
        )
        self._gene = gene
        self._is_line = gene is not None and bool(gene.line_of)
        if gene is None:
            self.line("name", translated("Name"), "", translated("as on a card"))
        if not self._is_line:
            self._inherited()
        spellings = ", ".join(gene.aliases) if gene is not None else ""
        self.line("aliases", translated("Also written"), spellings, translated("with commas between"))
        description = gene.description if gene is not None else ""
        self.sentence("description", translated("What it looks like"), description, span=2)
        if not self._is_line:
            source = gene.provenance if gene is not None else None
            grade = source.grade if source is not None else Grade.KEEPER
            self.choice("source", translated("Source"), GRADES.items(), grade)
            citation = source.citation if source is not None else ""
            self.sentence("citation", translated("Citation"), citation, translated("if published"))
            molecular = gene.gene if gene is not None else ""
            self.line("gene", translated("Molecular gene"), molecular, translated("if published"))
            unsure = Sureness.UNSURE if gene is not None and gene.unsure_complex else Sureness.SURE
            self.choice("unsure", translated("Shares its locus"), SURENESS.items(), unsure)
        self._before = {name: self._value(name) for name in self.rows}

    def _inherited(self) -> None:
        catalogue, gene = self.book.catalogue, self._gene
        how = catalogue.inheritance_of(gene.key) if gene is not None else Inheritance.RECESSIVE
        self.choice("inheritance", translated("Inheritance"), INHERITANCE.items(), how)
        doubles, two, others, recombination = Doubles.SEEN, "", [], ""
        if gene is not None:
            locus = catalogue.locus_of(gene.key)
            look = catalogue.look_of(gene.key, gene.key)
            doubles = Doubles.LETHAL if look.lethal else Doubles.UNSEEN if look.unseen else Doubles.SEEN
            two = look.name if look.name not in (gene.name, f"Super {gene.name}") else ""
            others = [catalogue.genes[key].name for key in locus.alleles[1:] if key != gene.key]
            recombination = f"{100 * locus.linkage.recombination:g}" if locus.linkage is not None else ""
        self.choice("doubles", translated("Two doses"), DOUBLES.items(), doubles)
        self.line("two", translated("Name of two doses"), two, translated("if another"))
        self.line(
            "allele_of", translated("Allele of"), others[0] if others else "", translated("a gene, or none"), gene=True
        )
        self.line("linkage", translated("Recombination %"), recombination, translated("if sex-linked"))

    def _value(self, name: str) -> str:
        return self.chosen(name) or self.typed(name)

    def read(self) -> GeneSaid | None:
        """What the form says, or None after a complaint at its field."""
        self.accept()
        field = ""
        try:
            field = "linkage"
            fields = self._linkage()
            field = "allele_of"
            allele_of = self._allele_of()
            field = "citation"
            fields |= self._source()
        except Refusal as error:
            self.complain(error, field)
            return None
        if self._changed("aliases"):
            fields["aliases"] = [alias.casefold() for alias in self.several("aliases")]
        for name in ("description", "two", "gene"):
            if self._changed(name):
                fields[name] = self.typed(name)
        if self._changed("doubles"):
            fields["two_unseen"] = self.chosen("doubles") == Doubles.UNSEEN
            fields["two_lethal"] = self.chosen("doubles") == Doubles.LETHAL
        if self._changed("unsure"):
            fields["unsure_complex"] = self.chosen("unsure") == Sureness.UNSURE
        inheritance = Inheritance.RECESSIVE if self._is_line else Inheritance(self.chosen("inheritance"))
        if self._gene is not None and self._changed("inheritance"):
            fields["inheritance"] = inheritance.value
        name = self._gene.name if self._gene is not None else self.typed("name")
        return GeneSaid(name, inheritance, fields, allele_of)

    def _changed(self, name: str) -> bool:
        return name in self.rows and self._value(name) != self._before[name]

    def _linkage(self) -> dict[str, object]:
        return linkage_typed(self.typed("linkage")) if self._changed("linkage") else {}

    def _allele_of(self) -> str | None:
        if not self._changed("allele_of"):
            return None
        return self.gene("allele_of") if self.typed("allele_of") else ""

    def _source(self) -> dict[str, object]:
        return source_typed(self) if self._changed("source") or self._changed("citation") else {}
