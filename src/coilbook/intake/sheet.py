"""A foreign sheet as read, before anyone knows what it means: rows of texts, in the order of the file.

Every cell is a text. A date cell of a workbook arrives as ISO 8601 (``2021-03-04``), so it is never ambiguous
later; a number arrives in its shortest form, or as its number format shows it (``1.0`` in a column of sexes).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coilbook.records.message import CoilbookError, Message, say

#: told (done, total); the total is 0 where it is not known beforehand
Progress = Callable[[int, int], None]
#: asked between rows; True ends the work with `Cancelled`
Cancel = Callable[[], bool]

#: how many rows pass between two looks at `Cancel` and two calls of `Progress`
ROWS_BETWEEN_LOOKS = 250
#: rows with something in them that one file may hold; a collection of 100,000 animals fits
MOST_ROWS = 250_000
#: cells one tab may have, gaps included: a few cells far apart must not fill the memory
MOST_CELLS = 30_000_000
#: filled columns one sheet may have: three years of daily columns fit
MOST_COLUMNS = 1_200


class Cancelled(CoilbookError):
    """The keeper ended the work; nothing was kept of it."""

    def __init__(self) -> None:
        super().__init__(say("Stopped. Nothing was imported."))


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the file: its `number` as the spreadsheet shows it (1 = first) and its cells.

    `fill` is the background colour of the first filled cell as six hex digits, empty for none or white;
    `spread` is True when that cell is merged across columns.
    """

    number: int
    cells: tuple[str, ...]
    fill: str = ""
    spread: bool = False

    @property
    def filled(self) -> int:
        """How many cells have something in them."""
        return sum(1 for cell in self.cells if cell)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One tab of a workbook, or a whole text file; `sayings` are what the keeper should know about the reading."""

    name: str
    rows: tuple[Row, ...]
    sayings: tuple[Message, ...] = ()

    @property
    def width(self) -> int:
        """Number of columns of the widest row."""
        return max((len(row.cells) for row in self.rows), default=0)


def column_letter(index: int) -> str:
    """The letters a spreadsheet shows over column `index`, counted from 0.

    >>> column_letter(0), column_letter(27)
    ('A', 'AB')
    """
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


class Pace:
    """Looks at `cancelled` and tells `progress` now and then, so that the work neither blocks nor chatters."""

    def __init__(self, progress: Progress | None, cancelled: Cancel | None, total: int = 0) -> None:
        self._progress = progress
        self._cancelled = cancelled
        self.total = total
        self._count = 0

    def step(self, done: int | None = None) -> None:
        """One more row done; `done` overrides the count told to `progress` (bytes instead of rows)."""
        self._count += 1
        if self._count % ROWS_BETWEEN_LOOKS == 0:
            self.look(self._count if done is None else done)

    def look(self, done: int) -> None:
        """Tell `progress` and end with `Cancelled` when asked to."""
        if self._cancelled is not None and self._cancelled():
            raise Cancelled
        if self._progress is not None:
            self._progress(done, self.total)
