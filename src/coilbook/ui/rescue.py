"""When a collection cannot be opened: what is wrong in one sentence, and its backups to choose from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout

from coilbook.records.backups import Backup
from coilbook.records.message import StorageTrouble
from coilbook.ui.models.backups_table import BackupsTable
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.table import TableView
from coilbook.ui.parts.text import label
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render


class RescueWindow(QDialog):
    """Shown instead of the window; `chosen` is the backup to restore, None to leave everything as it is."""

    def __init__(
        self, theme: Theme, trouble: StorageTrouble, backups: Sequence[Backup], zone: dt.tzinfo | None
    ) -> None:
        super().__init__()
        self.chosen: Backup | None = None
        self.setObjectName("page")
        self.setWindowTitle("Coilbook")
        self.resize(theme.px(880), theme.px(520))
        self._model = BackupsTable(zone)
        self._model.show(backups, Style())
        self.table = TableView(theme, translated("Backups"))
        self.table.setModel(self._model)
        self.table.setCurrentIndex(self._model.index(0, 0))
        for column, width in enumerate((200, 160, 88, 88, 96, 180)):
            self.table.setColumnWidth(column, theme.px(width))
        self.restore = PrimaryButton(theme, translated("Restore this one and open"), "Enter")
        self.leave = QuietButton(theme, translated("Leave everything as it is"), "Esc")
        self.restore.clicked.connect(self._take)
        self.leave.clicked.connect(self.reject)
        self.table.opened.connect(self._take)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(*(theme.px(24),) * 4)
        outer.setSpacing(theme.px(12))
        outer.addWidget(label(render(trouble.message), "title", wrap=True))
        said = translated("These backups were opened and found whole. The present file is kept aside, not deleted.")
        outer.addWidget(label(said, "second", wrap=True))
        outer.addWidget(self.table, 1)
        row = QHBoxLayout()
        row.setSpacing(theme.px(8))
        row.addWidget(self.restore)
        row.addWidget(self.leave)
        row.addStretch(1)
        outer.addLayout(row)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take(self) -> None:
        self.chosen = self._model.row_at(self.table.current_row())
        self.accept()
