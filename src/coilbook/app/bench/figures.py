"""One line of the benchmark: what was measured, the goal, the figure; and how figures are made from many times."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

#: repaints before any is counted
WARM_UP = 3


@dataclass(frozen=True, slots=True)
class Line:
    """A figure in `unit` beside its goal; a missing goal is printed for information, a missing figure says why."""

    what: str
    goal: float | None
    figure: float | None
    unit: str = "ms"
    note: str = ""

    @property
    def verdict(self) -> str:
        """In words whether the goal is met."""
        if self.figure is None:
            return "not measured"
        if self.goal is None:
            return ""
        return "met" if self.figure < self.goal else "MISSED"


def p95(values: Iterable[float]) -> float:
    """The value that 95 of 100 do not pass (nearest rank)."""
    ordered = sorted(values)
    return ordered[max(0, -(-len(ordered) * 95 // 100) - 1)]


def median(values: Iterable[float]) -> float:
    """The value in the middle (the lower of two)."""
    ordered = sorted(values)
    return ordered[(len(ordered) - 1) // 2]


def milliseconds(work: Callable[[], object]) -> float:
    """How long one call takes."""
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1000


def each_ms(calls: Iterable[Callable[[], object]]) -> list[float]:
    """How long each of several calls takes."""
    return [milliseconds(call) for call in calls]


def repaints_ms(view: QWidget, times: int, turned: Callable[[random.Random], object]) -> list[float]:
    """Times of whole repaints of a widget into a picture of its size, each after `turned` (not counted)."""
    from PySide6.QtCore import QPoint
    from PySide6.QtGui import QImage, QPainter

    image, chance = QImage(view.size(), QImage.Format.Format_RGB32), random.Random(8)
    found = []
    for turn in range(-WARM_UP, times):
        turned(chance)
        began = time.perf_counter()
        with QPainter(image) as painter:
            view.render(painter, QPoint())
        if turn >= 0:
            found.append((time.perf_counter() - began) * 1000)
    return found


def table(title: str, lines: Sequence[Line]) -> str:
    """The lines as text: what, goal, figure, verdict, note."""
    rows = [("", "goal", "figure", "", "")]
    for line in lines:
        goal = "" if line.goal is None else f"{line.goal:,g} {line.unit}"
        figure = "-" if line.figure is None else f"{line.figure:,.1f} {line.unit}"
        rows.append((line.what, goal, figure, line.verdict, line.note))
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    written = [title, "=" * len(title)]
    for what, goal, figure, verdict, note in rows:
        cells = (what.ljust(widths[0]), goal.rjust(widths[1]), figure.rjust(widths[2]), verdict.ljust(widths[3]))
        written.append("  ".join((*cells, note)).rstrip())
    return "\n".join(written)
