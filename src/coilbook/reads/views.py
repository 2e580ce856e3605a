"""Filters kept under a name."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class View:
    """A line of the filter with the layout of the list it was kept with (the screen's own text)."""

    name: str
    query: str
    layout: str


def saved_views(collection: Collection) -> list[View]:
    """The views, by name."""
    rows = collection.read("SELECT name, query, columns FROM saved_view ORDER BY name COLLATE NOCASE")
    return [View(str(name), str(query), str(layout)) for name, query, layout in rows]
