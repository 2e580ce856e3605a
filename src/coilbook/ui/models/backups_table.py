"""The backups of a collection as rows of a table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from coilbook.records.backups import Backup
from coilbook.ui.parts.table import CellRole
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

Index = QModelIndex | QPersistentModelIndex
COLUMNS = ("Made", "Why", "Animals", "Photos", "Size", "Opened and found whole")
NUMBERS = (2, 3, 4)


class BackupsTable(QAbstractTableModel):
    """Newest first."""

    def __init__(self, zone: dt.tzinfo | None) -> None:
        super().__init__()
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

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return translated(COLUMNS[section])
        if role == Qt.ItemDataRole.TextAlignmentRole and section in NUMBERS:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        backup, column = self._rows[index.row()], index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return self._text(backup, column)
        if role == CellRole.SHAPE and column == 5:
            return "triangle" if backup.photos_missing else "tick"
        if role == CellRole.TOKEN:
            return "ink" if column in (0, 5) else "second"
        if role == Qt.ItemDataRole.TextAlignmentRole and column in NUMBERS:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

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
