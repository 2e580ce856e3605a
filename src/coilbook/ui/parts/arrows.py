"""Where an arrow key leads in a picture of places: columns to the right and rows down."""

from __future__ import annotations

from PySide6.QtCore import Qt

STEPS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
