"""Where everything of the columns stands: rows aligned across the pairings, so that eyes compare sideways."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFontMetrics

from coilbook.reads.outlook import LookRow, PairingOdds
from coilbook.ui.outlook.sorts import FactKey, PieceKind
from coilbook.ui.outlook.words import FactRow
from coilbook.ui.theme import BODY, SMALL, TITLE, Theme
from coilbook.wording.language import translated

#: px at 100 percent
GAP, LEAST_WIDTH, WIDE = 24, 214, 360
NUMBER_WIDTH, NAMES_WIDTH, PICTURE_HEIGHT = 92, 118, 72
LOOK_HEIGHT, INSIDE_HEIGHT, HEAD_HEIGHT, FACT_HEIGHT = 28, 22, 24, 28
#: lines of what the two look like; the whole of it stands in the margin
MOST_ABOUT = 4
#: looks of a narrow column that all stand there; of more only those looked for do
MOST_NARROW = 6
#: more for a look with a line of what it carries
CARRIED_HEIGHT = 15


@dataclass(frozen=True, eq=False)
class Shown:
    """One column's content: `looks` with how deep each stands (0, or 1 for one inside); `more` groups not listed."""

    odds: PairingOdds
    looked_for: str
    number: str
    sentence: str
    looks: tuple[tuple[LookRow, int], ...]
    more: int
    more_share: float
    facts: tuple[FactRow, ...]


@dataclass(frozen=True, eq=False)
class Piece:
    """A part of the columns at its place. `row` counts the looks or facts of its column."""

    kind: PieceKind
    column: int
    row: int
    box: QRect
    content: object = None

    @property
    def focusable(self) -> bool:
        """Whether the focus can stand on it."""
        return self.kind not in (PieceKind.PICTURE, PieceKind.LOOKS_HEAD)

    @property
    def name(self) -> tuple[PieceKind, int, int]:
        """What stays the same when the columns are laid out again."""
        return (self.kind, self.column, self.row)


class Columns:
    """All pieces for a page `width` wide, in the order down each column."""

    def __init__(self, theme: Theme, shown: Sequence[Shown], width: int) -> None:
        self._theme, self._shown = theme, shown
        gap = theme.px(GAP)
        least = theme.px(LEAST_WIDTH)
        self.each = max(least, (width - gap * (len(shown) - 1)) // max(len(shown), 1))
        self.width = self.each * len(shown) + gap * (len(shown) - 1)
        self.wide = self.each >= theme.px(WIDE)
        self.pieces: list[Piece] = []
        self._bottom = theme.px(4)
        self._title()
        self._number()
        self._looks()
        self._facts()
        self.height = self._bottom + theme.px(8)

    # --- sections, each as high as its highest column ---------------------------------------------------------
    def _title(self) -> None:
        theme = self._theme
        title = QFontMetrics(theme.font(TITLE, bold=True)).height()
        lines = QFontMetrics(theme.font(BODY)).height() * MOST_ABOUT
        about = [
            title + theme.px(6) + min(self._text_height(about_words(s.odds), self.each), lines) for s in self._shown
        ]
        self._row(PieceKind.TITLE, max(about, default=0) + theme.px(6), lambda s: s.odds)

    def _number(self) -> None:
        theme = self._theme
        heights = []
        for shown in self._shown:
            if shown.odds.refused is not None:
                continue
            beside = self.each - (theme.px(NUMBER_WIDTH) if self.wide else 0)
            text = self._text_height(shown.sentence, beside)
            heights.append(max(text, theme.px(36)) if self.wide else theme.px(36) + text)
        refused = [s.sentence for s in self._shown if s.odds.refused is not None]
        heights += [self._text_height(sentence, self.each - theme.px(30)) + theme.px(8) for sentence in refused]
        height = max(heights, default=0) + theme.px(10)
        for number, shown in enumerate(self._shown):
            kind = PieceKind.REFUSED if shown.odds.refused is not None else PieceKind.NUMBER
            self._put(kind, number, 0, height, shown)
        self._bottom += height
        pictured = [s.odds.wish is not None and bool(s.odds.wish.cells) for s in self._shown]
        if any(pictured):
            for number, shown in enumerate(self._shown):
                if pictured[number]:
                    self._put(PieceKind.PICTURE, number, 0, theme.px(PICTURE_HEIGHT), shown)
            self._bottom += theme.px(PICTURE_HEIGHT + 12)

    def _looks(self) -> None:
        theme, top = self._theme, self._bottom
        ends = [top]
        for number, shown in enumerate(self._shown):
            if shown.odds.outlook is None:
                continue
            self._bottom = top
            self._put(PieceKind.LOOKS_HEAD, number, 0, theme.px(HEAD_HEIGHT), shown)
            self._bottom += theme.px(HEAD_HEIGHT)
            for row, (look, depth) in enumerate(self._listed(shown)):
                kind = PieceKind.INSIDE if depth else PieceKind.LOOK
                height = theme.px(INSIDE_HEIGHT if depth else LOOK_HEIGHT)
                height += theme.px(CARRIED_HEIGHT) if (look.carried or not self.wide) and not depth else 0
                self._put(kind, number, row, height, look)
                self._bottom += height
            if shown.more:
                self._put(PieceKind.MORE, number, 0, theme.px(LOOK_HEIGHT), shown)
                self._bottom += theme.px(LOOK_HEIGHT)
            ends.append(self._bottom)
        self._bottom = max(ends) + theme.px(12)

    def _listed(self, shown: Shown) -> Sequence[tuple[LookRow, int]]:
        """In a narrow column many looks fold to what is looked for, where something is; the head says so."""
        if not folded(shown, wide=self.wide):
            return shown.looks
        kept, keep = [], False
        for look, depth in shown.looks:
            keep = look.wanted if depth == 0 else keep
            if keep:
                kept.append((look, depth))
        return kept

    def _facts(self) -> None:
        """Facts of one kind stand on one line across, whatever each pairing has."""
        keys = list(dict.fromkeys((fact.key, at) for s in self._shown for at, fact in _numbered(s.facts)))
        order = {key: number for number, key in enumerate(_merged([[f.key for f in s.facts] for s in self._shown]))}
        keys.sort(key=lambda key: (order[key[0]], key[1]))
        for row, key in enumerate(keys):
            here = [
                (number, fact)
                for number, shown in enumerate(self._shown)
                for at, fact in _numbered(shown.facts)
                if (fact.key, at) == key
            ]
            height = max(self._fact_height(fact) for _, fact in here)
            for number, fact in here:
                self._put(PieceKind.FACT, number, row, height, fact)
            self._bottom += height

    def _fact_height(self, fact: FactRow) -> int:
        theme = self._theme
        mark = theme.px(20) if fact.needs_you else 0
        if self.wide:
            text = self._text_height(fact.value, self.each - theme.px(NAMES_WIDTH) - mark - theme.px(8))
            return max(text + theme.px(10), theme.px(FACT_HEIGHT))
        name = QFontMetrics(theme.font(SMALL)).height()
        return name + self._text_height(fact.value, self.each - mark - theme.px(8)) + theme.px(12)

    # --- putting ----------------------------------------------------------------------------------------------
    def _row(self, kind: PieceKind, height: int, content: Callable[[Shown], object]) -> None:
        for number, shown in enumerate(self._shown):
            self._put(kind, number, 0, height, content(shown))
        self._bottom += height

    def _put(self, kind: PieceKind, column: int, row: int, height: int, content: object) -> None:
        left = column * (self.each + self._theme.px(GAP))
        self.pieces.append(Piece(kind, column, row, QRect(left, self._bottom, self.each, height), content))

    def _text_height(self, text: str, width: int) -> int:
        metrics = QFontMetrics(self._theme.font(BODY))
        flags = Qt.AlignmentFlag.AlignLeft.value | Qt.TextFlag.TextWordWrap.value
        return metrics.boundingRect(QRect(0, 0, max(width, 40), 10_000), flags, text).height()

    def column_of(self, number: int) -> list[Piece]:
        """The pieces of a column the focus can stand on, from the top."""
        return [piece for piece in self.pieces if piece.column == number and piece.focusable]


def folded(shown: Shown, *, wide: bool) -> bool:
    """Whether a column shows only what is looked for of its looks."""
    many = sum(not depth for _, depth in shown.looks) > MOST_NARROW
    return not wide and many and any(look.wanted for look, _ in shown.looks)


def about_words(odds: PairingOdds) -> str:
    """The looks of the two, as they are entered."""
    unknown = translated("no genes written")
    sires = "; ".join(sire.genetics or unknown for sire, _ in odds.sires)
    return f"{odds.dam.genetics or unknown}  \u00d7  {sires}"


def _numbered(facts: Sequence[FactRow]) -> list[tuple[int, FactRow]]:
    """Facts with how many of their kind came before."""
    seen: dict[object, int] = {}
    numbered = []
    for fact in facts:
        seen[fact.key] = seen.get(fact.key, -1) + 1
        numbered.append((seen[fact.key], fact))
    return numbered


def _merged(lists: Sequence[Sequence[FactKey]]) -> list[FactKey]:
    """One order that keeps the order of each list, as far as they agree."""
    merged: list[FactKey] = []
    for one in lists:
        at = 0
        for item in one:
            if item in merged:
                at = merged.index(item) + 1
            else:
                merged.insert(at, item)
                at += 1
    return merged
