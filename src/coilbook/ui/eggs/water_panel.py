"""The water of the box in focus: one number to pour over the sum it comes from, and how fast the box dries."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from coilbook.reads.box_water import Taken, WaterView
from coilbook.reads.egg_rows import BoxNowRow
from coilbook.records.egg_vocabulary import Medium
from coilbook.ui.desk import Desk
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.emptying import empty
from coilbook.ui.parts.text import label
from coilbook.wording.language import translated
from coilbook.wording.texts import words


class WaterPanel(QWidget):
    """Says what to pour; `poured` when the keeper did."""

    poured = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(desk.theme.px(6))
        column.addWidget(label(translated("Water").upper(), "head"))
        self.verdict = label("", "verdict", wrap=True)
        column.addWidget(self.verdict)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(desk.theme.px(8))
        self._grid.setVerticalSpacing(desk.theme.px(4))
        column.addLayout(self._grid)
        self._note = label("", "small", wrap=True)
        column.addWidget(self._note)
        self.button = QuietButton(desk.theme, translated("Poured"), "W")
        self.button.clicked.connect(self.poured)
        column.addWidget(self.button)
        column.addStretch(1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.MinimumExpanding)

    def show_water(self, box: BoxNowRow | None, water: WaterView | None) -> None:
        """Show what the last weighing of a box says."""
        empty(self._grid)
        pour = water.pour_dg if water is not None else 0
        self.button.setVisible(bool(pour))
        style = self._desk.style
        if pour:
            self.button.set_words(translated("Poured {mass}").format(mass=style.mass(pour)))
        self.verdict.setText(self._verdict(box, water))
        if box is None or water is None:
            self._note.setText(_none_yet(box))
            return
        lines = [(translated("Set up, {lid}").format(lid=words(box.lid)), style.mass(water.start_dg))]
        lines += [(translated("Water added"), style.mass(water.added_dg))] if water.added_dg else []
        for taken in water.taken:
            sign = "+" if taken.came else "\u2212"
            mass = sign + style.mass(taken.mass_dg) if taken.mass_dg is not None else translated("not weighed")
            lines.append((_left(taken), mass))
        lines.append((translated("Now"), "\u2212" + style.mass(water.now_dg)))
        for row, (name, value) in enumerate(lines):
            self._line(row, name, value, "second")
        lost = water.balance.lost_dg
        text = style.mass(lost) if lost is not None else translated("not known")
        self._line(len(lines), translated("Lost as water"), text, "strong")
        self._note.setText(" ".join(self._notes(water)))

    def _line(self, row: int, name: str, value: str, role: str) -> None:
        self._grid.addWidget(label(name, role), row, 0)
        at_right = label(value, role if role == "strong" else "")
        at_right.setAlignment(Qt.AlignmentFlag.AlignRight)
        self._grid.addWidget(at_right, row, 1)

    def _verdict(self, box: BoxNowRow | None, water: WaterView | None) -> str:
        if box is not None and box.medium is Medium.GRID:
            return translated("No ratio")
        if water is None:
            return translated("Not weighed")
        if water.pour_dg:
            return translated("Pour {mass}").format(mass=self._desk.style.mass(water.pour_dg))
        return translated("Nothing to pour") if water.balance.lost_dg is not None else translated("Not computable")

    def _notes(self, water: WaterView) -> list[str]:
        if water.poured_since_dg:
            poured = self._desk.style.mass(water.poured_since_dg)
            return [translated("{mass} poured since; weigh again at the next look.").format(mass=poured)]
        told = water.rate.told if water.rate is not None else ()
        notes = [self._desk.render(message) for message in told]
        if not water.pour_dg:
            notes = [self._desk.render(message) for message in water.top_up.told[-1:]] + notes
        return notes


def _left(taken: Taken) -> str:
    if taken.number is None:
        return translated("Taken out")
    words_of = "Egg {n} hatched" if taken.hatched else "Egg {n} moved in" if taken.came else "Egg {n} taken out"
    return translated(words_of).format(n=taken.number)


def _none_yet(box: BoxNowRow | None) -> str:
    if box is None:
        return ""
    if box.start_dg is None:
        return translated("The box was not weighed when it was set up.")
    return translated("L weighs it: the loss is then known.")
