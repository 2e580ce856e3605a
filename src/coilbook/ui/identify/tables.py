"""The two tables of identification: the genes its parents may have given, and what it can be."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QBrush, QFontMetrics, QKeyEvent, QPainter, QPen, QResizeEvent

from coilbook.genetics.hatchling_card import settled
from coilbook.reads.identify import Identity, Trait
from coilbook.ui.identify.words import doses_words, said_words, shown_chance
from coilbook.ui.parts.table import CellLook, Index, ReadyRows, RowPainter, TableView
from coilbook.ui.theme import BODY, Theme
from coilbook.wording.chances import percent
from coilbook.wording.language import translated

#: widths in px at 100 percent
CANDIDATE_WIDTHS = (44, 360, 92)
#: shares of the width that the columns of the genes take; the bar has the rest
TRAIT_SHARES = (0.19, 0.24, 0.15, 0.22)
BAR_COLUMN, BAR = 4, 120


class TraitsModel(ReadyRows):
    """One row a gene."""

    def __init__(self) -> None:
        super().__init__(
            (
                translated("Gene"),
                translated("From its parents"),
                translated("You say"),
                translated("Both together"),
                translated("Shows"),
            )
        )
        self.traits: tuple[Trait, ...] = ()

    def show_identity(self, identity: Identity, typing: str, at: int) -> None:
        """Show the traits; `typing` is a percentage half typed in row `at`."""
        self.traits = identity.traits
        faulty = set(identity.faults)
        rows = []
        for number, trait in enumerate(identity.traits):
            said = f"{typing}%" if typing and number == at else said_words(trait)
            both = "" if identity.suspects else doses_words(trait, trait.doubt.both)
            rows.append(
                (
                    CellLook(trait.name, bold=True, shape="triangle" if trait.locus in faulty else ""),
                    CellLook(doses_words(trait, trait.doubt.parents), token="second"),
                    CellLook(said, bold=trait.said is not None, token="ink" if trait.said else "second"),
                    CellLook(both),
                    CellLook("" if identity.suspects else percent(shown_chance(trait, trait.doubt.both)), right=True),
                )
            )
        self.show_rows(rows)


class CandidatesModel(ReadyRows):
    """One row a genotype."""

    def __init__(self) -> None:
        super().__init__(("", translated("It can be"), translated("Chance")), numbers=(2,))

    def show_identity(self, identity: Identity) -> None:
        """Show the candidates, likeliest first."""
        sex = {None: "", "male": translated(", male"), "female": translated(", female")}
        rows = [
            (
                CellLook(str(number + 1), token="second", right=True),
                CellLook(name + sex[candidate.sex.value if candidate.sex else None], bold=number == 0),
                CellLook(percent(candidate.chance), bold=number == 0, right=True),
            )
            for number, (name, candidate) in enumerate(identity.candidates)
        ]
        if identity.rest > 1e-9:
            rows.append(
                (
                    CellLook(""),
                    CellLook(translated("anything else"), token="second"),
                    CellLook(percent(identity.rest), right=True),
                )
            )
        self.show_rows(rows)


class TraitsTable(TableView):
    """The genes; letters and digits say what is seen of the one in focus."""

    #: a key that says something of the row in focus
    said = Signal(object)

    def __init__(self, theme: Theme, model: TraitsModel) -> None:
        super().__init__(theme, translated("Genes its parents may have given"))
        self.setModel(model)
        self.setItemDelegate(TraitPainter(theme, self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for column, share in enumerate(TRAIT_SHARES):
            self.setColumnWidth(column, round(self.viewport().width() * share))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        keys = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Backspace, Qt.Key.Key_Delete, Qt.Key.Key_Escape)
        if plain and (event.text().upper() in tuple("YNSU0123456789") or event.key() in keys):
            self.said.emit(event)
            if event.isAccepted():
                return
        super().keyPressEvent(event)


class TraitPainter(RowPainter):
    """The last column is a bar: outline 0 to 100%, filled as far as both together say, hatched while in doubt."""

    def paint_content(self, painter: QPainter, box: QRect, index: Index, in_focus: bool) -> None:
        model = index.model()
        if index.column() != BAR_COLUMN or not isinstance(model, TraitsModel):
            super().paint_content(painter, box, index, in_focus)
            return
        trait, px = model.traits[index.row()], self.theme.px
        text = model.look(index.row(), BAR_COLUMN).text or ""
        if not text:
            return
        words = QFontMetrics(self.theme.font(BODY)).horizontalAdvance("100.0%")
        room = max(px(24), min(px(BAR), box.width() - words - px(10)))
        whole = QRect(box.left(), box.center().y() - px(4), room, px(8))
        chance = shown_chance(trait, trait.doubt.both)
        filled = QRect(whole.left(), whole.top(), round(whole.width() * chance), whole.height())
        accent = self.theme.colour("accent")
        painter.fillRect(filled, accent if settled(trait.doubt) else QBrush(accent, Qt.BrushStyle.BDiagPattern))
        if filled.width() and not settled(trait.doubt):
            painter.fillRect(QRect(filled.right(), filled.top(), max(px(1), 1), filled.height()), accent)
        painter.setPen(QPen(self.theme.colour("second"), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(whole.adjusted(0, 0, -1, -1))
        painter.fillRect(
            QRect(
                whole.left() + round(whole.width() * shown_chance(trait, trait.doubt.parents)) - 1,
                whole.top() - px(4),
                2,
                px(16),
            ),
            self.theme.colour("ink"),
        )
        rest = box.adjusted(room + px(10), 0, 0, 0)
        self.paint_words(painter, rest, CellLook(text))
