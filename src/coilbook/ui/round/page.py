"""The page of the walk: the animal at hand, results, signs, weight; shown for where the walk is."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from coilbook.reads.round import RoundAnimal, RoundState
from coilbook.ui.desk import Desk
from coilbook.ui.round import telling
from coilbook.ui.round.at_hand import AtHand, AtHandView
from coilbook.ui.round.keys import Key, ResultKey
from coilbook.ui.round.panels import Answer, Below, ResultRow
from coilbook.ui.round.walk import Walk
from coilbook.ui.round.weigh_panel import WeighPanel
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated

#: a question that stands: its sentence and its answers
Question = tuple[str, tuple[Answer, ...]]


class WalkPage(QWidget):
    """Lays the parts out and shows them; what keys do is the screen's."""

    def __init__(self, desk: Desk, theme: Theme, walk: Walk) -> None:
        super().__init__()
        self._desk, self._walk = desk, walk
        self.view, self.results = AtHandView(desk, theme), ResultRow(theme)
        self.below, self.weight = Below(theme), WeighPanel(theme)
        px = theme.px
        left = QVBoxLayout()
        left.setSpacing(px(8))
        left.addWidget(self.view, 1)
        left.addWidget(self.results)
        left.addWidget(self.below)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, px(8), 0, 0)
        row.setSpacing(px(24))
        row.addLayout(left, 1)
        row.addWidget(self.weight)

    def show_animal(self) -> None:
        """Show who is at hand, and whose weight the next digit begins."""
        walk, tub = self._walk, self._walk.tub
        if tub is None:
            return
        animal = walk.animal
        self.view.show_at_hand(AtHand(walk.shown(tub), animal, walk.then(), walk.time, walk.must_separate))
        last = telling.last_weight_words(animal, walk.time, self._desk.style) if animal else ""
        ident, keeper_id = (animal.id, animal.keeper_id) if animal else (None, "")
        self.weight.show_animal(ident, keeper_id, last, self._desk.settings.mass_unit)

    def show_keys(self, question: Question | None, why: ResultKey | None, seen: tuple[object, ...]) -> None:
        """Show what can be pressed: a question closes the results, a shared slot wants them separated first."""
        walk, animal = self._walk, self._walk.animal
        state = walk.state_of(animal) if animal is not None else RoundState.NOT_DUE
        may = animal is not None and not walk.must_separate and question is None
        self.results.offer(state is RoundState.OPEN, may, state is RoundState.PENDING)
        self.weight.lock(question is not None)
        if question is not None:
            self.below.ask(*question)
        elif walk.must_separate:
            self.below.ask(*self._separated_first())
        elif why is not None and animal is not None:
            self.below.ask_why(_why_words(why, animal), animal.rest_from is not None)
        elif animal is not None:
            self.below.show_signs(animal.sex, animal.blue_at is not None, seen)

    def _separated_first(self) -> Question:
        tub = self._walk.tub
        count = len(tub.animals) if tub is not None else 0
        sentence = translated("Separated first? {n} are in this slot.").format(n=count)
        return sentence, (Answer(Key.SEPARATED, translated("They are separated"), lambda: None),)


def _why_words(result: ResultKey, animal: RoundAnimal) -> str:
    words = "{animal} refused: why?" if result.key == "R" else "{animal} was not offered: why?"
    return translated(words).format(animal=animal.keeper_id)
