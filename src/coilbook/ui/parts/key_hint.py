"""What keys do now, in one line: as many keys as there is room for, none of them cut in half."""

from __future__ import annotations

import html

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy

from coilbook.ui.theme import BODY, Theme

#: between two keys and what they do, as written and as shown
_GAP, _SHOWN_GAP = "  ", "\u00a0\u00a0\u00a0"


class KeyHint(QLabel):
    """Keys between backticks are bold, two spaces part them; the last ones go first. The accessible name has all."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._hint = theme, ""
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        theme.changed.connect(self._show)

    def say(self, hint: str) -> None:
        """Show another hint."""
        self._hint = hint
        self.setAccessibleName(hint.replace("`", ""))
        self._show()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show()

    def shown(self) -> str:
        """The part of the hint there is room for, as it was said."""
        parts = self._hint.split(_GAP)
        while len(parts) > 1 and self._wide(_GAP.join(parts)) > self.width():
            parts.pop()
        whole = _GAP.join(parts)
        return whole if self._wide(whole) <= self.width() else ""

    def _wide(self, hint: str) -> int:
        plain, bold = (QFontMetrics(self._theme.font(BODY, bold=heavy)) for heavy in (False, True))
        pieces = hint.replace(_GAP, _SHOWN_GAP).split("`")
        return sum((bold if n % 2 else plain).horizontalAdvance(piece) for n, piece in enumerate(pieces)) + 2

    def _show(self) -> None:
        parts = html.escape(self.shown()).replace(_GAP, _SHOWN_GAP).split("`")
        words = "".join(f"<b>{part}</b>" if number % 2 else part for number, part in enumerate(parts))
        self.setText(f'<span style="color:{self._theme.tokens.second}">{words}</span>' if words else "")
