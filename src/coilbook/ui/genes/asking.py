"""What the genes screen asks for, form by form, and the act each ends in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coilbook.operations import catalogue as acts
from coilbook.reads.genes import CatalogueBook, CatalogueRow, EntryKind
from coilbook.records.message import Refusal, say
from coilbook.ui.genes import forms
from coilbook.ui.genes.gene_form import GeneForm
from coilbook.ui.genes.more_forms import CautionForm, ComplexForm, HidesForm

if TYPE_CHECKING:
    from coilbook.ui.screens.genes import GenesScreen


class Asking:
    """The forms of one screen, for the entry in its focus."""

    def __init__(self, screen: GenesScreen) -> None:
        self._screen = screen

    def gene(self) -> None:
        """Ask for a gene the catalogue lacks."""
        if self._screen.book is None:
            return
        form = GeneForm(self._screen.desk, self._screen.book)

        def save() -> None:
            said = form.read()
            if said is not None:
                key = " ".join(said.name.casefold().split())
                arguments = {"name": said.name, "inheritance": said.inheritance, "more": said.fields}
                arguments["allele_of"] = said.allele_of or ""
                self._screen.run(acts.add_gene, (EntryKind.GENE, key), **arguments)

        self._screen.show_form(form, save)

    def correction(self) -> None:
        """Ask what is otherwise with the entry in focus."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None or row.kind is EntryKind.LEFT_OUT:
            return
        if row.kind is EntryKind.COMBINATION:
            self._combination(row)
            return
        if row.kind is EntryKind.COMPLEX:
            self.complex()
            return
        form = GeneForm(self._screen.desk, book, book.catalogue.genes[row.key])

        def save() -> None:
            said = form.read()
            if said is not None:
                self._screen.run(acts.correct_gene, None, gene=row.key, changes=said.fields, allele_of=said.allele_of)

        self._screen.show_form(form, save)

    def complex(self) -> None:
        """Ask what is otherwise with the complex in focus, or with that of the gene in focus."""
        row, book, key = self._screen.row, self._screen.book, self._screen.complex_key()
        if row is None or book is None or key is None:
            return
        form = ComplexForm(self._screen.desk, book, book.catalogue.complexes[key])

        def save() -> None:
            changes = form.read()
            if changes is not None:
                self._screen.run(acts.correct_complex, None, complex_key=key, changes=changes)

        self._screen.show_form(form, save)

    def hides(self) -> None:
        """Ask what the gene in focus hides of others."""
        row, book = self._of_gene()
        if row is None or book is None:
            return
        form = HidesForm(self._screen.desk, book, book.catalogue.genes[row.key])

        def save() -> None:
            fields = form.read()
            if fields is not None:
                self._screen.run(acts.correct_gene, None, gene=row.key, changes=fields)

        self._screen.show_form(form, save)

    def caution(self) -> None:
        """Ask what is to be minded of the gene in focus."""
        row, book = self._of_gene()
        if row is None or book is None:
            return
        form = CautionForm(self._screen.desk, book, row)

        def save() -> None:
            said = form.read()
            if said is not None:
                self._screen.run(acts.keep_caution, None, gene=row.key, **said)

        self._screen.show_form(form, save)

    def _of_gene(self) -> tuple[CatalogueRow | None, CatalogueBook | None]:
        """The gene in focus; nothing for a line, of which only its gene can be spoken, and that is said."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None or row.kind is not EntryKind.LINE:
            return row, book
        gene = book.catalogue.genes[book.catalogue.genes[row.key].line_of].name
        text = "{line} is a line: say it of {gene}."
        self._screen.desk.notices.refuse(Refusal(say(text, line=row.name, gene=gene)))
        return None, None

    def name(self) -> None:
        """Ask for another name."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None:
            return
        form = forms.name_form(self._screen.desk, book, row)

        def save() -> None:
            name = form.typed("name")
            if row.kind is EntryKind.COMBINATION:
                more = {"parts": row.parts, "aliases": row.aliases, "combination": row.key}
                self._screen.run(acts.name_combination, None, name=name, **more)
            elif row.kind is EntryKind.COMPLEX:
                self._screen.run(acts.correct_complex, None, complex_key=row.key, changes={"name": name})
            else:
                self._screen.run(acts.rename_gene, None, gene=row.key, name=name)

        self._screen.show_form(form, save)

    def merge(self) -> None:
        """Ask what the gene or line in focus is the same as."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None:
            return
        form = forms.merge_form(self._screen.desk, book, row)

        def save() -> None:
            try:
                into = form.gene("into")
            except Refusal as error:
                form.complain(error, "into")
                return
            line = bool(book.catalogue.genes[into].line_of)
            wanted = (EntryKind.LINE if line else EntryKind.GENE, into)
            self._screen.run(acts.merge_genes, wanted, gene=row.key, into=into)

        self._screen.show_form(form, save)

    def line(self) -> None:
        """Ask for the keeper's word for a line of the gene in focus."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None:
            return
        form = forms.line_form(self._screen.desk, book, row)

        def save() -> None:
            words = form.typed("words")
            wanted = (EntryKind.LINE, f"{row.key} ({words.casefold()})")
            self._screen.run(acts.add_line, wanted, gene=row.key, words=words)

        self._screen.show_form(form, save)

    def combination(self) -> None:
        """Ask for a name for several genes together."""
        self._combination(None)

    def _combination(self, row: CatalogueRow | None) -> None:
        if self._screen.book is None:
            return
        form = forms.combination_form(self._screen.desk, self._screen.book, row)

        def save() -> None:
            name, key = form.typed("name"), row.key if row is not None else ""
            wanted = (EntryKind.COMBINATION, key or name.casefold())
            aliases = [alias.casefold() for alias in form.several("aliases")]
            more = {"parts": form.typed("parts"), "aliases": aliases, "combination": key}
            self._screen.run(acts.name_combination, wanted, name=name, **more)

        self._screen.show_form(form, save)

    def pair(self) -> None:
        """Ask what the gene in focus looks like with another allele of its locus."""
        row, book = self._screen.row, self._screen.book
        if row is None or book is None:
            return
        if len(book.catalogue.locus_of(row.key).alleles) < 3:
            self._screen.desk.notices.refuse(
                Refusal(say("{gene} shares its locus with no other gene here.", gene=row.name))
            )
            return
        form = forms.pair_form(self._screen.desk, book, row)

        def save() -> None:
            how = form.chosen("how")
            more: dict[str, object] = {name.value: how == name for name in (forms.Doubles.UNSEEN, forms.Doubles.LETHAL)}
            try:
                more["hides"] = forms.hidden_typed(form, "hides")
            except Refusal as error:
                form.complain(error, "hides")
                return
            self._screen.run(
                acts.name_pair, None, first=row.key, second=form.chosen("other"), name=form.typed("name"), more=more
            )

        self._screen.show_form(form, save)
