"""Head of the curve: its name, what its shapes mean, and what moves it."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QWidget

from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated

_SHAPES = (
    ("taken", "taken"),
    ("refused", "refused"),
    ("pending", "left in"),
    ("doubted", "in doubt"),
    ("shed", "shed"),
)


class ChartHead(QWidget):
    """One line above the curve."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(4))
        row.addWidget(label(translated("Weight and meals"), "strong"))
        row.addStretch(1)
        keys = ElidedLabel(theme, token="second", size=SMALL)
        keys.set_text(translated("Ctrl + wheel zooms, Ctrl P prints"))
        for shape, word in _SHAPES:
            row.addWidget(ShapeMark(theme, shape))
            row.addWidget(label(translated(word), "small"))
            row.addSpacing(theme.px(6))
        row.addWidget(keys)
