"""The good and the bad sound of a scan, behind a protocol; without a sound device the bell of the desktop."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtWidgets import QApplication


class Sounds(Protocol):
    """Two sounds that differ in number, not only in pitch: one for good, two for bad."""

    def good(self) -> None:
        """A scan was understood."""

    def bad(self) -> None:
        """A scan was not understood."""


class Silence:
    """No sound, by choice or for want of a device."""

    def good(self) -> None:
        """Nothing."""

    def bad(self) -> None:
        """Nothing."""


class Bell:
    """The bell of the desktop: once, or twice with a gap."""

    GAP_MS = 180

    def good(self) -> None:
        """One stroke."""
        QApplication.beep()

    def bad(self) -> None:
        """Two strokes."""
        from PySide6.QtCore import QTimer

        QApplication.beep()
        QTimer.singleShot(self.GAP_MS, QApplication.beep)
