"""Taking everything out of a layout before it is filled anew."""

from __future__ import annotations

from PySide6.QtWidgets import QLayout


def empty(layout: QLayout) -> None:
    """Take out every widget, of the layouts inside too; hidden at once, since Qt deletes later and paints till then."""
    while (item := layout.takeAt(0)) is not None:
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
        elif inner is not None:
            empty(inner)
            inner.deleteLater()
