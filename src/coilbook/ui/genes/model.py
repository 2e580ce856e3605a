"""The rows of the genes screen, ready to be painted, and the filter of the line over them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from coilbook.reads.genes import CatalogueRow, EntryKind
from coilbook.records.message import Message
from coilbook.ui.genes.words import KINDS, row_source, searched
from coilbook.ui.parts.table import CellLook, LooksModel
from coilbook.ui.screen import TermSpan
from coilbook.wording.language import translated

HEADS = (
    translated("Word"),
    translated("Kind"),
    translated("Inheritance, or made of"),
    translated("One dose"),
    translated("Two doses"),
    translated("Complex, or line of"),
    translated("Source"),
    translated("Carry (may)"),
)
#: widths in px at 100 percent; the third column has the rest
WIDTHS = (190, 96, 150, 108, 145, 128, 128, 88)
STRETCHED = 2
#: what the first column keeps where there is no room for more
LEAST_NAME = 132
NUMBERS = (7,)
#: what a narrow table can do without, first to go first; the margin says it all
SPARED = (3, 5, 1)


class GenesModel(LooksModel):
    """Conflicts first, then genes, lines and combinations by name."""

    def __init__(self, render: Callable[[Message], str]) -> None:
        super().__init__(HEADS, NUMBERS)
        self._render = render
        self._all: list[tuple[CatalogueRow, tuple[CellLook, ...], str]] = []
        self._shown: list[tuple[CatalogueRow, tuple[CellLook, ...], str]] = []
        self._terms: tuple[str, ...] = ()

    def show_rows(self, rows: Sequence[CatalogueRow]) -> None:
        """Show other rows, under the filter there is."""
        self._all = []
        for row in rows:
            looks = self._looks(row)
            self._all.append((row, looks, searched(row, tuple(look.text or "" for look in looks))))
        self.filter(" ".join(self._terms))

    def filter(self, text: str) -> None:
        """Show the rows in which every word of `text` is found."""
        self.beginResetModel()
        self._terms = tuple(text.casefold().split())
        self._shown = [one for one in self._all if all(term in one[2] for term in self._terms)]
        self.endResetModel()

    def terms(self, text: str) -> tuple[TermSpan, ...]:
        """Which words of a filter are found in any row."""
        spans, at = [], 0
        for term in text.split():
            at = text.index(term, at)
            found = any(term.casefold() in words for _, _, words in self._all)
            spans.append(TermSpan(at, len(term), found))
            at += len(term)
        return tuple(spans)

    def row_at(self, number: int) -> CatalogueRow | None:
        """What stands in a row."""
        return self._shown[number][0] if 0 <= number < len(self._shown) else None

    def number_of(self, kind: EntryKind, key: str) -> int:
        """The row an entry stands in, -1 when it is not shown."""
        return next((n for n, (row, _, _) in enumerate(self._shown) if (row.kind, row.key) == (kind, key)), -1)

    @property
    def filtered(self) -> bool:
        """Whether a filter is on."""
        return bool(self._terms)

    def row_total(self) -> int:
        return len(self._shown)

    def look(self, row: int, column: int) -> CellLook:
        return self._shown[row][1][column]

    def _looks(self, row: CatalogueRow) -> tuple[CellLook, ...]:
        conflict = translated("conflict") if row.conflicts else ""
        grade = row_source(row)
        own = bool(row.own)
        return (
            CellLook(
                row.name,
                bold=own or bool(conflict),
                token="clay" if conflict else "ink",
                shape="triangle" if conflict else "",
            ),
            CellLook(KINDS[row.kind], token="second"),
            CellLook(row.parts or self._inheritance(row)),
            CellLook(self._said(row.one), token="second"),
            CellLook(self._said(row.two)),
            CellLook(row.group.removesuffix(translated(" complex")), token="second"),
            CellLook(conflict, bold=True, token="clay")
            if conflict
            else CellLook(translated("yours") if own else grade, bold=own, token="ink" if own else "second"),
            CellLook(_counted(row), right=True),
        )

    def _inheritance(self, row: CatalogueRow) -> str:
        """What is said of two doses stands in a column of its own, and in full in the margin."""
        return self._said(row.inheritance).partition(";")[0]

    def _said(self, message: Message | None) -> str:
        return self._render(message) if message is not None else ""


def _counted(row: CatalogueRow) -> str:
    """How many surely carry it, and in brackets how many may; "about" where some of that rests on inexact odds."""
    about = "\u2248" if row.by_gene or row.drawn else ""
    return f"{row.carry} ({about}{row.may})" if row.may else str(row.carry or "")
