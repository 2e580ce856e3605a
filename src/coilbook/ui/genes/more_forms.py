"""Forms beside that of a gene: what its looks hide of other genes, what is to be minded of it, and its complex."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QWidget

from coilbook.genetics.catalogue import Caution, Complex, Evidence, Gene, Grade, Provenance
from coilbook.reads.gene_page import CautionOf, gene_page
from coilbook.reads.genes import CatalogueBook, CatalogueRow
from coilbook.records.message import Refusal, say
from coilbook.ui.desk import Desk
from coilbook.ui.genes.forms import CatalogueForm, hidden_typed, hidden_words, linkage_typed, source_typed
from coilbook.ui.genes.words import EVIDENCE, GRADES, caution_heading
from coilbook.wording.language import translated

_WITHOUT_PAPER = {grade: word for grade, word in GRADES.items() if grade is not Grade.PUBLISHED}
#: what a new caution is about
_ALONE, _DOUBLE, _WITH = "alone", "double", "with"


class HidesForm(CatalogueForm):
    """What an animal that shows the gene hides of other genes, so that "not seen" says nothing of them."""

    def __init__(self, desk: Desk, book: CatalogueBook, gene: Gene) -> None:
        title = translated("What {name} hides: what of other genes cannot be told in an animal that shows it")
        super().__init__(desk, book, title.format(name=gene.name), translated("Save"), columns=2)
        catalogue = book.catalogue
        self._recessive = catalogue.is_recessive(gene.key)
        double = catalogue.masks.get((gene.locus, catalogue.look_of(gene.key, gene.key).key), frozenset())
        hint = translated("genes with commas between, or everything")
        head = translated("Hides where it shows") if self._recessive else translated("One dose hides one dose of")
        self.line("hides", head, hidden_words(catalogue, gene.hides), hint, span=2)
        if not self._recessive:
            two = tuple(sorted(double - set(gene.hides)))
            self.line("two_hides", translated("Two doses hide besides"), hidden_words(catalogue, two), hint, span=2)
        source = gene.hides_source.grade if gene.hides_source is not None else Grade.KEEPER
        self.choice("source", translated("Source"), _WITHOUT_PAPER.items(), source)
        self._before = {name: self.typed(name) or self.chosen(name) for name in self.rows}

    def _changed(self, name: str) -> bool:
        return name in self.rows and (self.typed(name) or self.chosen(name)) != self._before[name]

    def read(self) -> dict[str, object] | None:
        """The fields of the gene that say it otherwise than before, or None after a complaint at its line."""
        self.accept()
        fields: dict[str, object] = {}
        for name in ("hides", "two_hides"):
            if self._changed(name):
                try:
                    fields[name] = hidden_typed(self, name)
                except Refusal as error:
                    self.complain(error, name)
                    return None
        if fields or self._changed("source"):
            fields["hides_provenance"] = self.chosen("source")
        return fields


class ComplexForm(CatalogueForm):
    """What is said of a locus that several genes share; which genes do is said of each of them."""

    def __init__(self, desk: Desk, book: CatalogueBook, one: Complex) -> None:
        title = translated("Correct the {complex}; which genes share it is said of each gene (Allele of)")
        super().__init__(desk, book, title.format(complex=one.name), translated("Save"), columns=4)
        self.line("name", translated("Name"), one.name)
        grades = GRADES.items()
        self.choice("source", translated("That they share it"), grades, one.provenance.grade)
        self.sentence("citation", translated("Citation"), one.provenance.citation, translated("if published"), span=2)
        locus = book.catalogue.loci.get(one.key)
        linkage = locus.linkage if locus is not None else None
        recombination = f"{100 * linkage.recombination:g}" if linkage is not None else ""
        self.line("linkage", translated("Recombination %"), recombination, translated("if sex-linked"))
        self.sentence("description", translated("What is known of it"), one.description, span=3)
        self._before = {name: self.typed(name) or self.chosen(name) for name in self.rows}

    def _changed(self, name: str) -> bool:
        return (self.typed(name) or self.chosen(name)) != self._before[name]

    def read(self) -> dict[str, object] | None:
        """The fields of `own_entries.CORRECTABLE_COMPLEX` that differ from before; None after a complaint."""
        self.accept()
        fields: dict[str, object] = {name: self.typed(name) for name in ("name", "description") if self._changed(name)}
        field = "linkage"
        try:
            if self._changed("linkage"):
                fields |= linkage_typed(self.typed("linkage"))
            field = "citation"
            if self._changed("source") or self._changed("citation"):
                fields |= source_typed(self)
        except Refusal as error:
            self.complain(error, field)
            return None
        return fields


class CautionForm(CatalogueForm):
    """One caution of a gene, alone, of two doses, or with another gene: those there are can be said otherwise."""

    def __init__(self, desk: Desk, book: CatalogueBook, row: CatalogueRow) -> None:
        title = translated("A caution about {name}, in one plain sentence").format(name=row.name)
        super().__init__(desk, book, title, translated("Save"), columns=3)
        page = gene_page(book, row)
        self._gene = row.key
        self._there: tuple[CautionOf, ...] = page.cautions if page is not None else ()
        which: QComboBox = self.add("which", translated("Which"), QComboBox()).editor
        for number, one in enumerate(self._there):
            which.addItem(caution_heading(one.about), number)
        which.addItem(translated("a new one: of the gene"), _ALONE)
        which.addItem(translated("a new one: of two doses"), _DOUBLE)
        which.addItem(translated("a new one: with another gene"), _WITH)
        self.line("with", translated("Together with"), "", translated("a gene"), gene=True)
        self.choice("evidence", translated("Evidence"), EVIDENCE.items(), Evidence.RUMOUR)
        self.sentence("text", translated("Caution"), "", translated("empty takes it out"), span=3)
        self.choice("source", translated("Source"), GRADES.items(), Grade.KEEPER)
        self.sentence("citation", translated("Citation"), "", translated("if published"), span=2)
        which.currentIndexChanged.connect(lambda _index: self._fill())
        self._fill()

    @property
    def _chosen(self) -> CautionOf | None:
        which = self._which.currentData()
        return self._there[which] if isinstance(which, int) else None

    @property
    def _which(self) -> QComboBox:
        return self._combo("which")

    def _combo(self, name: str) -> QComboBox:
        editor: QWidget = self.rows[name].editor
        if not isinstance(editor, QComboBox):
            raise TypeError(f"{name} is no choice")
        return editor

    def _fill(self) -> None:
        """The fields say what the caution chosen says; a new one begins empty."""
        one = self._chosen
        caution = one.caution if one is not None else Caution("", Evidence.RUMOUR, Provenance(Grade.KEEPER))
        self.set_line("text", caution.text)
        self.set_line("citation", caution.provenance.citation)
        self.set_line("with", one.about if one is not None and one.about not in ("", "2") else "")
        for name, value in (("evidence", caution.evidence.value), ("source", caution.provenance.grade.value)):
            combo = self._combo(name)
            combo.setCurrentIndex(combo.findData(value))
        self.rows["with"].setEnabled(self._which.currentData() == _WITH)

    def read(self) -> dict[str, object] | None:
        """What `operations.catalogue.keep_caution` is to be told, or None after a complaint at its field."""
        self.accept()
        one, which = self._chosen, self._which.currentData()
        grade, citation = Grade(self.chosen("source")), self.typed("citation")
        text = self.typed("text")
        field = "citation"
        try:
            if text and (grade is Grade.PUBLISHED) != bool(citation):
                raise Refusal(say("'Published' goes with a citation, and only that."))
            field = "with"
            other = one.other if one is not None else self._gene if which == _DOUBLE else None
            if which == _WITH:
                other = self.gene("with")
        except Refusal as error:
            self.complain(error, field)
            return None
        caution = Caution(text, Evidence(self.chosen("evidence")), Provenance(grade, citation))
        return {"caution": caution, "other": other, "before": one.caution.text if one is not None else ""}
