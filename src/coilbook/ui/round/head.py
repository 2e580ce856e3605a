"""The head of the round: how far it is, what is still on the tray, and the two buttons of the whole rack."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from coilbook.reads.round import RoundState
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.round import telling
from coilbook.ui.round.keys import Key
from coilbook.ui.round.rack_counts import Mode
from coilbook.ui.round.walk import Walk
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated, translated_plural

_VIEWS = {Mode.CLOSE: "Morning close", Mode.DUE: "Due only", Mode.ALL: "Everybody"}


class RoundHead(QWidget):
    """One line over the strip."""

    def __init__(self, theme: Theme, press: Callable[[str], None]) -> None:
        super().__init__()
        self.sentence = ElidedLabel(theme, token="second")
        self.sentence.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.view = QuietButton(theme, translated("Due only"), Key.VIEW)
        self.all = QuietButton(theme, translated("All offered"), Key.ALL)
        self.view.clicked.connect(lambda: press(Key.VIEW))
        self.all.clicked.connect(lambda: press(Key.ALL))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(16))
        row.addWidget(label(translated("Round"), "title"))
        row.addWidget(self.sentence, 1)
        for button in (self.view, self.all):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            row.addWidget(button)

    def show_walk(self, walk: Walk) -> None:
        """Say where the walk is."""
        self.sentence.set_text("   ".join(_sentences(walk)))
        rack, waiting = walk.rack, len(walk.waiting())
        words = "{rack}: {n} more taken" if walk.mode is Mode.CLOSE else "{rack} all offered: {n}"
        name = (rack.label if rack else "") or translated("No slot")
        self.all.set_words(translated(words).format(rack=name, n=waiting))
        self.all.setEnabled(waiting > 0)
        self.view.set_words(translated(_VIEWS[walk.mode]))
        self.all.setVisible(bool(walk.racks))
        self.view.setVisible(bool(walk.racks))


def _sentences(walk: Walk) -> list[str]:
    if not walk.total():
        return []
    number = min(walk.number(), walk.total())
    over = walk.finished and walk.mode is not Mode.ALL and not walk.is_guest
    parts = [] if over else [translated("Tub {n} of {total}.").format(n=number, total=walk.total())]
    done = walk.results()
    if walk.mode is Mode.CLOSE:
        return [*parts, translated_plural("{n} closed.", "{n} closed.", sum(done.values()))]
    parts.append(f"{telling.counts_words(done)}.")
    tray = telling.tray_words(walk.prey((RoundState.TODO,), held=False))
    if tray:
        parts.append(translated("Still on the tray: {what}.").format(what=tray))
    return parts
