"""Writing many rows in one act: ids given beforehand, progress told, and a way to stop that leaves nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from coilbook.records.message import WorkStopped, say
from coilbook.storage.act import ActInHand
from coilbook.storage.columns import Base
from coilbook.storage.tables import table_name

#: told (done, total)
Progress = Callable[[int, int], None]
#: asked between rows; True ends the act and takes it back whole
Cancel = Callable[[], bool]

ROWS_BETWEEN_LOOKS = 250


class Stopped(WorkStopped):
    """The keeper ended the work; nothing of it was written."""

    def __init__(self) -> None:
        super().__init__(say("Stopped. Nothing was written."))


class Tally:
    """Counts rows of a long act, tells how far it is and looks whether to stop."""

    def __init__(self, total: int, progress: Progress | None, cancelled: Cancel | None) -> None:
        self._total = total
        self._progress = progress
        self._cancelled = cancelled
        self._done = 0

    def counted(self, rows: Iterable[Sequence[Any]]) -> Iterator[Sequence[Any]]:
        """The rows, one by one, counted on the way."""
        for row in rows:
            yield row
            self._done += 1
            if self._done % ROWS_BETWEEN_LOOKS == 0:
                self.look()

    def look(self) -> None:
        """Tell the progress, and raise `Stopped` when the keeper wants to stop."""
        if self._cancelled is not None and self._cancelled():
            raise Stopped
        if self._progress is not None:
            self._progress(min(self._done, self._total), self._total)


def next_id(act: ActInHand, model: type[Base]) -> int:
    """The first row id this table has never given, counting those that were undone."""
    rows = act.rows("SELECT seq FROM sqlite_sequence WHERE name = ?", (table_name(model),))
    return int(rows[0][0]) + 1 if rows else 1
