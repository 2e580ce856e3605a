"""The end of a round: what was written, counted; what goes into the bin; what comes next."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from coilbook.reads.round import RoundState
from coilbook.records.vocabulary import FeedingResult
from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.shapes import RESULT_SHAPES, ShapeMark
from coilbook.ui.parts.text import label
from coilbook.ui.round.rack_counts import Mode
from coilbook.ui.round.telling import tray_words
from coilbook.ui.round.walk import Walk
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

_ROWS = (
    FeedingResult.PENDING,
    FeedingResult.TAKEN,
    FeedingResult.TAKEN_LATE,
    FeedingResult.REFUSED,
    FeedingResult.STRUCK,
    FeedingResult.NOT_OFFERED,
)


class Finished(QWidget):
    """Counts by result, then two sentences, then the ways on."""

    def __init__(self, theme: Theme, steps: tuple[Command, ...]) -> None:
        super().__init__()
        self._theme = theme
        column = QVBoxLayout(self)
        column.setContentsMargins(0, theme.px(24), 0, 0)
        column.setSpacing(theme.px(8))
        self.title = label("", "title")
        column.addWidget(self.title)
        self.rows: dict[FeedingResult, tuple[QWidget, ...]] = {}
        grid = QGridLayout()
        grid.setContentsMargins(0, theme.px(12), 0, theme.px(12))
        grid.setHorizontalSpacing(theme.px(12))
        grid.setVerticalSpacing(theme.px(10))
        for number, result in enumerate(_ROWS):
            cells = ShapeMark(theme, RESULT_SHAPES[result]), label("", "title"), label(words(result))
            for place, cell in enumerate(cells):
                grid.addWidget(cell, number, place)
            self.rows[result] = cells
        grid.setColumnStretch(2, 1)
        column.addLayout(grid)
        self.back, self.later = label("", "", wrap=True), label("", "second", wrap=True)
        column.addWidget(self.back)
        column.addWidget(self.later)
        row = QHBoxLayout()
        row.setContentsMargins(0, theme.px(16), 0, 0)
        row.setSpacing(theme.px(8))
        for number, step in enumerate(steps):
            row.addWidget((PrimaryButton if number == 0 else QuietButton).of(theme, step))
        row.addStretch(1)
        column.addLayout(row)
        column.addStretch(1)

    def show_walk(self, walk: Walk) -> None:
        """Count the walk that is over."""
        close = walk.mode is Mode.CLOSE
        self.title.setText(translated("The close is done") if close else translated("The round is done"))
        results = walk.results()
        for result, cells in self.rows.items():
            count = results[RoundState(result.value)]
            for cell in cells:
                cell.setVisible(count > 0)
            number = cells[1]
            number.setText(str(count))  # type: ignore[attr-defined]
        self.back.setText(_back_words(walk))
        self.back.setVisible(bool(self.back.text()))
        left = results[RoundState.PENDING]
        later = translated_plural("{n} offer is looked at tomorrow.", "{n} offers are looked at tomorrow.", left)
        self.later.setText(later if left else "")


def _back_words(walk: Walk) -> str:
    sentences = []
    refused = walk.prey((RoundState.REFUSED, RoundState.STRUCK))
    if refused:
        what = tray_words(refused)
        sentences.append(
            translated("Into the bin: {what}. Thawed prey is not frozen again (common practice).").format(what=what)
        )
    kept = walk.prey((RoundState.NOT_OFFERED,), held=False)
    if kept:
        sentences.append(translated("Left on the tray: {what}.").format(what=tray_words(kept)))
    return " ".join(sentences)
