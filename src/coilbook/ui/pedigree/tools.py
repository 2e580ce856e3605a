"""Head and tools of the pedigree screen: its title, the way back, how much of the family, and the gene."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from coilbook.ui.animal.choice_strip import ChoiceStrip, Option
from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.folding_row import FoldingRow
from coilbook.ui.parts.text import PageHead
from coilbook.ui.pedigree.commands import KIND_KEYS, KIND_WORDS
from coilbook.ui.pedigree.heads import generations_words, sentence, title
from coilbook.ui.pedigree.making import Kind, Made, Wanted
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated


class PedigreeTools(QWidget):
    """Stands over the tree; the buttons are those of the screen's commands."""

    #: a `Kind` was chosen
    kind_chosen = Signal(object)
    #: one generation more was asked for
    more_wanted = Signal()
    #: a gene was chosen in the row of genes, by its key
    gene_chosen = Signal(str)
    #: the row of genes was closed
    genes_closed = Signal()

    def __init__(self, theme: Theme, commands: Mapping[str, Command]) -> None:
        super().__init__()
        self._theme = theme
        self.head = PageHead(translated("Pedigree"))
        self.back = QuietButton.of(theme, commands["back"])
        self.share = QuietButton.of(theme, commands["share"])
        self.share.set_words(translated("Save as picture"))
        self.print = PrimaryButton.of(theme, commands["print"])
        self.print.set_words(translated("Print"))
        self.kinds = ChoiceStrip(theme, [Option(translated(KIND_WORDS[k]), k, KIND_KEYS[k]) for k in Kind], Kind.MAP)
        self.generations = QuietButton(theme, "", "[ ]")
        self.gene = QuietButton.of(theme, commands["gene"])
        self.paper = QuietButton.of(theme, commands["paper"])
        #: the row of genes while it is open
        self.genes: ChoiceStrip | None = None
        self.kinds.chosen.connect(self.kind_chosen)
        self.generations.clicked.connect(self.more_wanted)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(theme.px(8))
        for button in (self.back, self.share, self.print):
            self.head.buttons.addWidget(button)
        of_tree = QWidget()
        row = QHBoxLayout(of_tree)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(8))
        for button in (self.generations, self.gene, self.paper):
            row.addWidget(button)
        self._row = FoldingRow(self.kinds, of_tree, lambda: self.kinds.sizeHint().width(), theme.px(8))
        self._column.addWidget(self.head)
        self._column.addWidget(self._row)

    def show_tree(self, made: Made, before: Wanted | None, *, on_paper: bool) -> None:
        """What is shown now; `before` is where the way back leads."""
        wanted, some = made.wanted, bool(made.scene.keys or made.too_large)
        self.head.title.setText(title(made))
        self.head.say(sentence(made))
        self.kinds.choose(wanted.kind)
        self.kinds.setVisible(some)
        for button, usable in (
            (self.share, bool(made.scene.keys)),
            (self.print, made.of_animal is not None),
            (self.back, before is not None),
            (self.gene, bool(made.genes)),
            (self.paper, bool(wanted.gene)),
        ):
            button.setVisible(usable)
            button.setEnabled(usable)
        self.generations.setVisible(some and wanted.kind is not Kind.MAP)
        self.generations.set_words(generations_words(wanted))
        gene = gene_name(made)
        self.gene.set_words(translated("gene {name}").format(name=gene) if gene else translated("Choose a gene"))
        self.paper.set_words(translated("on paper") if on_paper else translated("with evidence"))
        if before is not None:
            name = made.book.lines.names.get(before.animal or 0, "")
            whole = before.kind is Kind.MAP or not name
            said = translated("back to the whole family") if whole else translated("back to {animal}")
            self.back.set_words(said.format(animal=name))
        self._row.fit()
        self.head.first.fit()

    def ask_gene(self, made: Made) -> None:
        """Open the row of genes."""
        options = [Option(translated("none"), "")] + [Option(gene.name, gene.key) for gene in made.genes]
        strip = ChoiceStrip(self._theme, options, made.wanted.gene)
        strip.setAccessibleName(translated("Gene"))
        strip.chosen.connect(lambda gene: self.gene_chosen.emit(str(gene)))
        strip.taken.connect(lambda _gene: self.close_genes())
        self.genes = strip
        self._column.addWidget(strip)
        strip.setFocus()

    def close_genes(self) -> None:
        """Close the row of genes."""
        if self.genes is not None:
            self._column.removeWidget(self.genes)
            self.genes.deleteLater()
            self.genes = None
            self.genes_closed.emit()


def gene_name(made: Made) -> str:
    """The word of the chosen gene; empty when there is none."""
    return next((one.name for one in made.genes if one.key == made.wanted.gene), "")
