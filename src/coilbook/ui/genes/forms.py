"""The calm forms of the genes screen: a gene, a name, a line, a combination, two alleles together."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QCompleter, QLineEdit

from coilbook.genetics.catalogue import EVERYTHING, Catalogue, Grade
from coilbook.reads.genes import CatalogueBook, CatalogueRow, EntryKind, gene_typed
from coilbook.records.message import Refusal, say
from coilbook.ui.desk import Desk
from coilbook.ui.parts.fields import SentenceEdit
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.wording.language import translated

#: how the keeper writes that a look hides every other gene
EVERY = translated("everything")


class Doubles(StrEnum):
    """What is known of two doses, or of two alleles together."""

    SEEN = "seen"
    UNSEEN = "unseen"
    LETHAL = "lethal"


DOUBLES = {
    Doubles.SEEN: translated("seen"),
    Doubles.UNSEEN: translated("not seen"),
    Doubles.LETHAL: translated("do not hatch"),
}


class CatalogueForm(InlineForm):
    """A form over the catalogue; a complaint stands at its field, and what was typed stays."""

    def __init__(self, desk: Desk, book: CatalogueBook, title: str, save_words: str, columns: int = 2) -> None:
        super().__init__(desk.theme, title, save_words, columns)
        self._desk, self.book = desk, book

    def line(
        self, name: str, head: str, text: str = "", hint: str = "", *, span: int = 1, gene: bool = False
    ) -> QLineEdit:
        """Add a line; one that asks for a `gene` completes its name."""
        editor = self.add(name, head, QLineEdit(), hint=hint, span=span).editor
        editor.setText(text)
        editor.setCursorPosition(0)
        if gene:
            names = sorted(one.name for one in self.book.catalogue.genes.values())
            completer = QCompleter(names, editor)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
            editor.setCompleter(completer)
        return editor

    def sentence(self, name: str, head: str, text: str = "", hint: str = "", *, span: int = 1) -> SentenceEdit:
        """Add a field for a long sentence."""
        return self.add(name, head, SentenceEdit(text), hint=hint, span=span).editor

    def choice(self, name: str, head: str, words: Iterable[tuple[StrEnum, str]], chosen: StrEnum) -> QComboBox:
        """Add a choice of one of several."""
        combo = self.add(name, head, QComboBox()).editor
        for value, text in words:
            combo.addItem(text, value.value)
        combo.setCurrentIndex(max(combo.findData(chosen.value), 0))
        return combo

    def typed(self, name: str) -> str:
        """What stands in a line or a sentence, on one line."""
        editor = self.rows[name].editor
        return " ".join(editor.text().split()) if isinstance(editor, QLineEdit | SentenceEdit) else ""

    def chosen(self, name: str) -> str:
        """The value of a choice."""
        editor = self.rows[name].editor
        return str(editor.currentData()) if isinstance(editor, QComboBox) else ""

    def several(self, name: str) -> list[str]:
        """What stands in a line, parted by commas."""
        return [part.strip() for part in self.typed(name).split(",") if part.strip()]

    def set_line(self, name: str, text: str) -> None:
        """Put a text into a line, its beginning in sight."""
        editor = self.rows[name].editor
        if isinstance(editor, QLineEdit):
            editor.setText(text)
            editor.setCursorPosition(0)
        elif isinstance(editor, SentenceEdit):
            editor.set_text(text)

    def gene(self, name: str) -> str:
        """The key of the gene typed in a line; Refusal where there is none."""
        return self.gene_of(self.typed(name))

    def gene_of(self, words: str) -> str:
        """The key of a gene by any of its names; Refusal where there is none."""
        return gene_typed(self.book.catalogue, words)

    def complain(self, error: Refusal, field: str = "") -> None:
        """Say what is wrong, at a field where it is one."""
        self.refuse(self._desk.render(error.message), field)


def name_form(desk: Desk, book: CatalogueBook, row: CatalogueRow) -> CatalogueForm:
    """Another name."""
    # nobody writes the name of a complex on a card: there is nothing to stay readable
    plain = translated("Another name for {name}")
    kept = translated("Another name for {name}; the name it has stays readable")
    title = (plain if row.kind is EntryKind.COMPLEX else kept).format(name=row.name)
    form = CatalogueForm(desk, book, title, translated("Rename"))
    form.line("name", translated("Name"), row.name).selectAll()
    return form


def merge_form(desk: Desk, book: CatalogueBook, row: CatalogueRow) -> CatalogueForm:
    """What it is merged into."""
    title = translated("{name} is the same as another: it becomes a spelling of that one").format(name=row.name)
    form = CatalogueForm(desk, book, title, translated("Merge"))
    form.line("into", translated("The other"), "", translated("a gene or a line, by any of its names"), gene=True)
    return form


def line_form(desk: Desk, book: CatalogueBook, row: CatalogueRow) -> CatalogueForm:
    """A word for a line of a gene."""
    title = translated("A line of {gene}: another locus until you know better").format(gene=row.name)
    form = CatalogueForm(desk, book, title, translated("Add the line"))
    form.line("words", translated("Your word for it"), "", translated("as you write it, like Line B"))
    return form


def combination_form(desk: Desk, book: CatalogueBook, row: CatalogueRow | None) -> CatalogueForm:
    """A new combination name, or what one says."""
    title = translated("Correct {name}").format(name=row.name) if row is not None else translated("Name a combination")
    form = CatalogueForm(desk, book, title, translated("Save") if row is not None else translated("Add"), columns=3)
    form.line("name", translated("Name"), row.name if row is not None else "")
    parts = row.parts if row is not None else ""
    form.line("parts", translated("Made of"), parts, translated("as on a card: super Pastel Clown"))
    spellings = ", ".join(row.aliases) if row is not None else ""
    form.line("aliases", translated("Also written"), spellings, translated("with commas between"))
    return form


def pair_form(desk: Desk, book: CatalogueBook, row: CatalogueRow) -> CatalogueForm:
    """What two alleles look like together."""
    title = translated("{gene} with another allele of its locus").format(gene=row.name)
    form = CatalogueForm(desk, book, title, translated("Save"), columns=3)
    catalogue = book.catalogue
    others = [catalogue.genes[key] for key in catalogue.locus_of(row.key).alleles[1:] if key != row.key]
    combo = form.add("other", translated("The other allele"), QComboBox()).editor
    for gene in others:
        combo.addItem(gene.name, gene.key)
    form.line("name", translated("Name of the look"), "", translated("as on a card"))
    how = form.choice("how", translated("Together"), DOUBLES.items(), Doubles.SEEN)
    hint = translated("besides what each hides: genes with commas between, or everything")
    form.line("hides", translated("Hides"), "", hint, span=3)

    def fill() -> None:
        # what is known of the two together stands in the fields: saving says no less than before
        one, other = catalogue.genes[row.key], catalogue.genes[str(combo.currentData())]
        look = catalogue.look_of(one.key, other.key)
        doubles = Doubles.LETHAL if look.lethal else Doubles.UNSEEN if look.unseen else Doubles.SEEN
        how.setCurrentIndex(how.findData(doubles.value))
        named = bool(look.key) and look.name not in (f"{one.name} {other.name}", f"{other.name} {one.name}")
        form.set_line("name", look.name if named else "")
        masked = catalogue.masks.get((one.locus, look.key), frozenset()) - {*one.hides, *other.hides}
        form.set_line("hides", hidden_words(catalogue, tuple(sorted(masked))) if look.key else "")

    combo.currentIndexChanged.connect(lambda _index: fill())
    fill()
    return form


def linkage_typed(text: str) -> dict[str, object]:
    """The field of a locus that says how often a meiosis carries it over, 0 to 50 percent; nothing says not at all.

    Raises Refusal for what is no such number.
    """
    plain = text.removesuffix("%").strip().replace(",", ".")
    if not plain:
        return {"linkage": {}}
    try:
        percent = float(plain)
    except ValueError:
        percent = -1
    if not 0 <= percent <= 50:
        raise Refusal(say("Recombination is a percentage from 0 to 50."))
    return {"linkage": {"recombination": percent / 100, "provenance": Grade.KEEPER.value}}


def source_typed(form: CatalogueForm) -> dict[str, object]:
    """Where an entry comes from, out of the fields `source` and `citation`. Raises Refusal where they do not agree."""
    grade, citation = Grade(form.chosen("source")), form.typed("citation")
    if (grade is Grade.PUBLISHED) != bool(citation):
        raise Refusal(say("'Published' goes with a citation, and only that."))
    return {"provenance": grade.value, "citation": citation}


def hidden_typed(form: CatalogueForm, name: str) -> list[str]:
    """The genes typed in a line of what is hidden, with commas between. Raises Refusal for what is no gene."""
    typed = form.several(name)
    if [word.casefold() for word in typed] in ([EVERY.casefold()], [EVERYTHING]):
        return [EVERYTHING]
    return list(dict.fromkeys(form.gene_of(word) for word in typed))


def hidden_words(catalogue: Catalogue, genes: tuple[str, ...]) -> str:
    """What is hidden as a line shows it."""
    if EVERYTHING in genes:
        return EVERY
    return ", ".join(catalogue.genes[key].name for key in genes if key in catalogue.genes)
