"""Words on the page: labels by role, one that elides, and the id of an animal with its sex."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from coilbook.ui.parts.folding_row import FoldingRow
from coilbook.ui.theme import BODY, ID, TITLE, Theme

#: letters from which a word may break inside
LONG_WORD = 24
#: letters of a title that are seen before its buttons move under it
TITLE_KEPT = 20
#: breaks a line without being seen (ZERO WIDTH SPACE)
_BREAK = "\u200b"


def label(text: str = "", role: str = "", *, wrap: bool = False, plain: bool = True) -> QLabel:
    """A label; `role` is one of title, verdict, id, strong, second, small, head, clay, moss, link."""
    made = _Wrapped(text) if wrap and plain else QLabel(text)
    if plain:
        made.setTextFormat(Qt.TextFormat.PlainText)
    if role:
        made.setProperty("role", role)
    made.setWordWrap(wrap)
    if wrap:
        made.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    return made


class _Wrapped(QLabel):
    """Words in several lines; one too long for a line, as an id of sixty letters is, breaks inside."""

    def __init__(self, text: str) -> None:
        super().__init__(_breaking(text))

    def setText(self, text: str) -> None:
        super().setText(_breaking(text))

    def text(self) -> str:
        return super().text().replace(_BREAK, "")


def _breaking(text: str) -> str:
    """The text with a place to break after each letter of its long words."""
    if len(text) <= LONG_WORD:
        return text
    return " ".join(_BREAK.join(word) if len(word) > LONG_WORD else word for word in text.split(" "))


def set_role(widget: QWidget, role: str) -> None:
    """Give a label another role and have it drawn so."""
    if widget.property("role") != role:
        widget.setProperty("role", role)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


class ElidedLabel(QWidget):
    """One line that ends in "…" where there is no room; the whole of it is its tooltip and accessible name."""

    def __init__(self, theme: Theme, *, token: str = "ink", bold: bool = False, size: int = BODY) -> None:
        super().__init__()
        self._theme, self._token, self._bold, self._size = theme, token, bold, size
        self._text = ""
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        theme.changed.connect(self.updateGeometry)

    def text(self) -> str:
        """The whole text."""
        return self._text

    def set_text(self, text: str, *, token: str | None = None, bold: bool | None = None) -> None:
        """Show another text, in another token or weight when given."""
        self._text = text
        self._token = token if token is not None else self._token
        self._bold = bold if bold is not None else self._bold
        self.setAccessibleName(text)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        metrics = _metrics(self._theme, self._size, self._bold)
        return QSize(metrics.horizontalAdvance(self._text) + 1, metrics.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        metrics = _metrics(self._theme, self._size, self._bold)
        shown = metrics.elidedText(self._text, Qt.TextElideMode.ElideRight, self.width())
        self.setToolTip(self._text if shown != self._text else "")
        with QPainter(self) as painter:
            painter.setFont(self._theme.font(self._size, bold=self._bold))
            painter.setPen(self._theme.colour(self._token))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)


def _metrics(theme: Theme, size: int, bold: bool) -> QFontMetrics:
    return QFontMetrics(theme.font(size, bold=bold))


class IdLabel(QWidget):
    """An animal's id, bold, with the sign and letter of its sex on the same base line; size 13, 20 or 28."""

    def __init__(self, theme: Theme, size: int = BODY) -> None:
        super().__init__()
        self._theme, self._size = theme, size
        self._id, self._sex = "", ("", "")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_animal(self, id_text: str, sex: tuple[str, str] = ("", "")) -> None:
        """Show an id; `sex` is sign and letter as `Style.sex_sign` gives them."""
        self._id, self._sex = id_text, sex
        self.setAccessibleName(f"{id_text} {sex[1]}".strip())
        self.updateGeometry()
        self.update()

    def _pieces(self, size: int) -> list[tuple[str, int, bool]]:
        """Text, size and weight of what stands on the base line, left to right."""
        sign, letter = self._sex
        small = {ID: TITLE, TITLE: TITLE}.get(size, BODY)
        pieces = [(self._id, size, True), (sign, round(small * 1.2), small > BODY), (letter, small, small > BODY)]
        return [piece for piece in pieces if piece[0]]

    def _width(self, size: int) -> int:
        gap = self._theme.px(6)
        return sum(
            _metrics(self._theme, px, bold).horizontalAdvance(text) + gap for text, px, bold in self._pieces(size)
        )

    def _fitting(self) -> int:
        """The largest size at which all of it has room; the sex is never what is cut off."""
        steps = [size for size in (ID, TITLE, BODY) if size <= self._size]
        return next((size for size in steps if self._width(size) <= self.width() + self._theme.px(6)), BODY)

    def sizeHint(self) -> QSize:
        return QSize(self._width(self._size), _metrics(self._theme, self._size, True).height())

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(40), self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        whole = _metrics(self._theme, self._size, True)
        base = (self.height() + whole.ascent() - whole.descent()) // 2
        left = 0
        with QPainter(self) as painter:
            painter.setPen(self._theme.colour("ink"))
            fitting = self._fitting()
            over = max(self._width(fitting) - self._theme.px(6) - self.width(), 0)
            for text, size, bold in self._pieces(fitting):
                metrics = _metrics(self._theme, size, bold)
                if over and text == self._id:
                    room = metrics.horizontalAdvance(text) - over
                    text = metrics.elidedText(text, Qt.TextElideMode.ElideMiddle, max(room, 0))
                painter.setFont(self._theme.font(size, bold=bold))
                painter.drawText(left, base, text)
                left += metrics.horizontalAdvance(text) + self._theme.px(6)


class _OneLine(QLabel):
    """Words of a head: they end in "…" rather than take room from the margin beside the page, or cut a button off;
    the whole of it is their tooltip."""

    def __init__(self, text: str, role: str) -> None:
        super().__init__(text)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("role", role)

    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        shown = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        self.setToolTip(self.text() if shown != self.text() else "")
        with QPainter(self) as painter:
            painter.setPen(self.palette().color(self.foregroundRole()))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)


class PageHead(QWidget):
    """Head of a page: title, one sentence of what is on it, actions at the right, or under the title in large type."""

    def __init__(self, title: str) -> None:
        super().__init__()
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(4)
        sentence = QHBoxLayout()
        sentence.setSpacing(8)
        self.title, self._strong, self._rest = _OneLine(title, "title"), label("", "strong"), _OneLine("", "second")
        self._strong.hide()
        sentence.addWidget(self._strong)
        sentence.addWidget(self._rest, 1)
        actions = QWidget()
        self.buttons = QHBoxLayout(actions)
        self.buttons.setContentsMargins(0, 0, 0, 0)
        self.buttons.setSpacing(8)
        self.first = FoldingRow(self.title, actions, self._title_needs)
        outer.addWidget(self.first)
        # on a line of its own: beside the buttons it would lose its end on a narrow page
        outer.addLayout(sentence)

    def _title_needs(self) -> int:
        """A long title, of an id of sixty letters, rather ends in dots than moves the buttons down."""
        words = self.title.fontMetrics()
        return min(words.horizontalAdvance(self.title.text()), words.averageCharWidth() * TITLE_KEPT)

    def say(self, rest: str, strong: str = "") -> None:
        """The sentence under the title; `strong` stands before it in bold."""
        self._strong.setText(strong)
        self._strong.setVisible(bool(strong))
        self._rest.setText(rest)
        self.first.fit()


class SectionHead(QWidget):
    """Head of a part of a page: its name, and a note at the right."""

    def __init__(self, words: str, note: str = "") -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(label(words, "strong"))
        row.addStretch(1)
        self.note = label(note, "small")
        row.addWidget(self.note)
