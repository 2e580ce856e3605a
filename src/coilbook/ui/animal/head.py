"""Head of an animal's page: id in large type, sex and how sure, look, where from, and what it is when not here."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from coilbook.reads.animal_rows import AnimalPage
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.health_margin import HEALTH_LINES, health_lines
from coilbook.ui.animal.words import origin_line, sex_line, sex_typed, status_line
from coilbook.ui.commands import Command
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.text import ElidedLabel
from coilbook.ui.theme import ID, TITLE, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

if TYPE_CHECKING:
    from coilbook.reads.genetics_rows import GeneticsPart


class AnimalHead(QWidget):
    """Who it is, at a glance; id, sex and genetics are corrected where they stand."""

    def __init__(self, theme: Theme, card: Command, log: Command) -> None:
        super().__init__()
        self.keeper_id = EditInPlace(theme, translated("Id"), bare=True, size=ID, bold=True)
        self.keeper_id.least_width = 200
        self.sex = EditInPlace(theme, translated("Sex"), bare=True, size=TITLE)
        self.sure = ElidedLabel(theme, token="second")
        self.genetics = EditInPlace(theme, translated("Genetics"), bare=True, bold=True)
        self.genetics.field_width = 560
        self.status = ElidedLabel(theme, bold=True)
        #: a line for each treatment or quarantine that goes on
        self.health = [ElidedLabel(theme, bold=True) for _ in range(HEALTH_LINES)]
        self.origin = ElidedLabel(theme, token="second")
        self.card, self.log = QuietButton.of(theme, card), PrimaryButton(theme, log.words, "Enter")
        self.log.clicked.connect(log.run)
        self.card.setEnabled(True)
        first = QHBoxLayout()
        first.setSpacing(theme.px(8))
        first.addWidget(self.keeper_id, 0, Qt.AlignmentFlag.AlignBottom)
        first.addWidget(self.sex, 0, Qt.AlignmentFlag.AlignBottom)
        # on the line the large letters stand on, not at the bottom of their box
        raised = QVBoxLayout()
        raised.setContentsMargins(0, 0, 0, theme.px(6))
        raised.addStretch(1)
        raised.addWidget(self.sure)
        first.addLayout(raised)
        first.addStretch(1)
        first.addSpacing(theme.px(8))
        first.addWidget(self.card, 0, Qt.AlignmentFlag.AlignTop)
        first.addWidget(self.log, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(first)
        column.addWidget(self.status)
        for line in self.health:
            column.addWidget(line)
        column.addWidget(self.genetics)
        column.addWidget(self.origin)

    def show_genetics(self, part: GeneticsPart) -> None:
        """What the evidence says in place of the label, where it says something else; the label is what F2 corrects."""
        self.genetics.show_value(part.head, part.label, hint=translated("genetics not entered"))

    def show_page(self, page: AnimalPage, today: dt.date, style: Style) -> None:
        """Show an animal as it stands today."""
        who = page.who
        self.keeper_id.show_value(who.keeper_id)
        sign = style.sex_sign(who.sex, who.sex_percent)
        self.sex.show_value(
            " ".join(part for part in sign if part), sex_typed(page), hint=translated("F probed, M? 80%")
        )
        self.sure.set_text(sex_line(page))
        self.genetics.show_value(who.genetics, hint=translated("genetics not entered"))
        status = status_line(page, style)
        self.status.set_text(status)
        self.status.setVisible(bool(status))
        told = health_lines(page, today, style)
        for number, line in enumerate(self.health):
            words, due = told[number] if number < len(told) else ("", False)
            line.set_text(words, token="clay" if due else "ink")
            line.setVisible(bool(words))
        self.origin.set_text(origin_line(page, style))
