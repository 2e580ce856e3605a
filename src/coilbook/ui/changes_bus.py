"""One signal that carries what changed and who began it."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from coilbook.records.changes import Changes


class ChangesBus(QObject):
    """Everything that shows records listens here; nobody else is told who changed what."""

    #: Changes, and the object that began the act (None: undo, another program)
    changed = Signal(object, object)

    def publish(self, changes: Changes, origin: object | None = None) -> None:
        """Tell everyone, on the UI thread."""
        self.changed.emit(changes, origin)
