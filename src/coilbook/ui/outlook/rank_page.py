"""The ranking: every mate of one animal by the chance of the look, those left out below with why."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.reads.outlook_ranking import LeftOut, Ranked, RankedMate
from coilbook.records.vocabulary import Status
from coilbook.ui.margin_content import Fact, MarginContent
from coilbook.ui.parts.table import CellLook, LooksModel, TableView
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.chances import one_in, percent
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render

#: shares of the width: rank, mate, genetics, one or more, each, can give it, inbred; the rest is where, or why not
SHARES = (0.05, 0.16, 0.25, 0.085, 0.08, 0.1, 0.125)
#: in a row of one left out, why takes the room of what stands from here on
WHY = 4


class RankModel(LooksModel):
    """Ranked mates, then those left out."""

    def __init__(self, style: Style) -> None:
        heads = (
            "",
            translated("Mate"),
            translated("Genetics"),
            translated("1+ of {n}"),
            translated("Each"),
            translated("Can give it"),
            translated("Inbred at least"),
            translated("Where, or why not"),
        )
        super().__init__(heads, numbers=range(3, 7))
        self.style = style
        self.ranked: Ranked | None = None

    def show(self, ranked: Ranked | None) -> None:
        """Another ranking."""
        self.beginResetModel()
        self.ranked = ranked
        self.endResetModel()

    def entry(self, row: int) -> RankedMate | LeftOut | None:
        """What stands in a row."""
        if self.ranked is None or row < 0:
            return None
        whole: tuple[RankedMate | LeftOut, ...] = (*self.ranked.mates, *self.ranked.left_out)
        return whole[row] if row < len(whole) else None

    def row_total(self) -> int:
        return len(self.ranked.mates) + len(self.ranked.left_out) if self.ranked is not None else 0

    def head(self, column: int) -> str:
        return super().head(column).format(n=self.ranked.hatchlings if self.ranked is not None else 6)

    def look(self, row: int, column: int) -> CellLook:
        entry = self.entry(row)
        if entry is None:
            return CellLook("")
        mate = entry.mate
        left = isinstance(entry, LeftOut)
        token = "second" if left else "ink"
        if column == 0:
            return CellLook("", shape="not_offered") if left else CellLook(str(row + 1), token="second", right=True)
        if column == 1:
            sign = " ".join(part for part in self.style.sex_sign(mate.sex, mate.sex_percent) if part)
            return CellLook(mate.keeper_id, bold=not left, token=token, after=sign)
        if column == 2:
            return CellLook(mate.genetics or translated("no genes written"), token=token)
        if column == 3:
            chance = entry.at_least_one
            return CellLook("" if chance is None else percent(chance), bold=not left, token=token, right=True)
        if isinstance(entry, LeftOut):
            return CellLook(render(entry.why, self.style) if column == WHY else "", token="second")
        return self._number(entry, column)

    def _number(self, entry: RankedMate, column: int) -> CellLook:
        if column == 7:
            weight = self.style.mass(entry.mate.weight_dg) if entry.mate.weight_dg else ""
            return CellLook(entry.mate.place, token="second", after=weight)
        chance = (entry.each, entry.carries, entry.inbreeding)[column - 4]
        return CellLook(percent(chance), right=True)


class RankTable(TableView):
    """Columns that share the room there is, so that why stands on the page at every width."""

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for column, share in enumerate(SHARES):
            self.setColumnWidth(column, round(self.viewport().width() * share))


class RankPage(QWidget):
    """The table and the sentence over it."""

    walked = Signal()
    #: a mate to put beside the others
    chosen = Signal(object)

    def __init__(self, theme: Theme, style: Style) -> None:
        super().__init__()
        self.sentence = label("", "second", wrap=True)
        self.model = RankModel(style)
        self.table = RankTable(theme, translated("Mates by the chance of the look"))
        self.table.setModel(self.model)
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.setSpacing(theme.px(8))
        column_box.addWidget(self.sentence)
        column_box.addWidget(self.table, 1)
        self.table.walked.connect(self.walked)
        self.table.opened.connect(lambda index: self.chosen.emit(self.model.entry(index.row())))
        self.setFocusProxy(self.table)

    def show_ranked(self, ranked: Ranked, looked_for: str) -> None:
        """Show a ranking with the best in focus."""
        self.model.show(ranked)
        mates = translated_plural("{n} mate", "{n} mates", len(ranked.mates))
        out = translated_plural("{n} left out", "{n} left out", len(ranked.left_out))
        self.sentence.setText(
            translated("{animal}: {mates} by the chance of at least one {look} of {n}; {out}, below with why").format(
                animal=ranked.of.keeper_id, mates=mates, look=looked_for, n=ranked.hatchlings, out=out
            )
        )
        if ranked.mates and not any(mate.at_least_one for mate in ranked.mates):
            said = translated("{sentence}. None of them can give it.")
            self.sentence.setText(said.format(sentence=self.sentence.text()))
        if ranked.not_now is not None:
            why = render(ranked.not_now, self.model.style)
            said = translated("{sentence}. {animal} itself: {why}.")
            self.sentence.setText(said.format(sentence=self.sentence.text(), animal=ranked.of.keeper_id, why=why))
        if ranked.by_gene:
            said = translated("{sentence}. {words}")
            self.sentence.setText(said.format(sentence=self.sentence.text().rstrip("."), words=render(SIRES_BY_GENE)))
        self.table.clearSpans()
        for row in range(len(ranked.mates), self.model.rowCount()):
            self.table.setSpan(row, WHY, 1, self.model.columnCount() - WHY)
        if self.model.rowCount():
            self.table.setCurrentIndex(self.model.index(0, 3))

    @property
    def entry(self) -> RankedMate | LeftOut | None:
        """The mate in focus."""
        return self.model.entry(self.table.current_row())

    def margin(self, style: Style) -> MarginContent:
        """Why the mate in focus stands where it does."""
        entry, ranked = self.entry, self.model.ranked
        heading = translated("Why, for the mate in focus")
        if entry is None or ranked is None:
            return MarginContent(heading=heading, verdict=translated("Nobody to rank"))
        mate = entry.mate
        about = ", ".join(part for part in (mate.genetics or translated("no genes written"), mate.place) if part)
        sign = style.sex_sign(mate.sex, mate.sex_percent)
        if isinstance(entry, LeftOut):
            would = () if entry.at_least_one is None else (Fact(translated("Would be"), percent(entry.at_least_one)),)
            reason = render(entry.why, style)
            return MarginContent(
                heading, mate.keeper_id, sign, about, translated("Left out: {why}").format(why=reason), facts=would
            )
        coins = 1 - (1 - entry.each) ** ranked.hatchlings
        why = translated("The pair is looked at together: what is known of one parent may hang on the other.")
        if coins - entry.at_least_one > 0.001:
            why += " " + translated("Taking each hatchling as a fresh chance would give {naive}.").format(
                naive=percent(coins)
            )
        facts: tuple[Fact, ...] = (
            Fact(translated("The pair can give it"), percent(entry.carries)),
            Fact(translated("Each hatchling"), f"{percent(entry.each)}, {one_in(entry.each)}"),
            Fact(translated("Young inbred at least"), percent(entry.inbreeding)),
        )
        if mate.status is Status.HERE:
            weight = style.mass(mate.weight_dg) if mate.weight_dg else translated("not weighed")
            facts = (
                *facts,
                Fact(translated("Place"), mate.place or translated("none")),
                Fact(translated("Weight"), weight),
            )
        return MarginContent(heading, mate.keeper_id, sign, about, percent(entry.at_least_one), why=why, facts=facts)
