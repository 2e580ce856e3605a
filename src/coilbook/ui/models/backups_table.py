"""The backups of a collection as rows of a table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from coilbook.records.backups import Backup
from coilbook.ui.parts.table import CellLook, LooksModel
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

COLUMNS = ("Made", "Why", "Animals", "Photos", "Size", "Opened and found whole")
NUMBERS = (2, 3, 4)
WHOLE = 5


class BackupsTable(LooksModel):
    """Newest first."""

    def __init__(self, zone: dt.tzinfo | None) -> None:
        super().__init__([translated(head) for head in COLUMNS], NUMBERS)
        self._zone = zone
        self._rows: Sequence[Backup] = ()
        self._style = Style()

    def show(self, backups: Sequence[Backup], style: Style) -> None:
        """Show these."""
        self.beginResetModel()
        self._rows, self._style = backups, style
        self.endResetModel()

    def row_at(self, number: int) -> Backup | None:
        """The backup in a row."""
        return self._rows[number] if 0 <= number < len(self._rows) else None

    def made(self, backup: Backup) -> str:
        """When a backup was made, on the keeper's clock."""
        when = backup.made_at.astimezone(self._zone)
        return f"{self._style.date(when.date(), weekday=True)}, {self._style.time(when)}"

    def row_total(self) -> int:
        return len(self._rows)

    def look(self, row: int, column: int) -> CellLook:
        backup = self._rows[row]
        shape = ("triangle" if backup.photos_missing else "tick") if column == WHOLE else ""
        token = "ink" if column in (0, WHOLE) else "second"
        return CellLook(self._text(backup, column), token=token, shape=shape, right=column in NUMBERS)

    def _text(self, backup: Backup, column: int) -> str:
        if column == 0:
            return self.made(backup)
        if column == 1:
            return words(backup.reason)
        if column == 2:
            return self._style.number(backup.counts.get("animal", 0))
        if column == 3:
            return self._style.number(backup.photos)
        if column == 4:
            return f"{backup.bytes / 1_000_000:,.1f} MB"
        if backup.photos_missing:
            return translated("yes; {n} photos were missing").format(n=backup.photos_missing)
        return translated("yes")
