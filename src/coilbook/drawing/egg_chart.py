"""A small chart of one quantity over time with its limits: box weight or temperature, as plain numbers to paint.

x and y of the series are in their own units (days, tenths of a gram, tenths of a degree); the picture is in whatever
unit its `Area` is in, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coilbook.drawing.weight_chart import mass_ticks

Point = tuple[float, float]
#: air above and below what is drawn, as a share of it
_AIR = 0.08


@dataclass(frozen=True, slots=True)
class Limit:
    """A level with its word; `alarm` a limit, otherwise only where something aims at."""

    value: float
    word: str
    alarm: bool = True


@dataclass(frozen=True, slots=True)
class Course:
    """What there is to draw. `runs` are joined points, a gap lies between two runs; `aim` steps; `band` is meant.

    `notes` are words beside a point. `span` is the time shown; `least_span` how much of the quantity at least.
    """

    runs: tuple[tuple[Point, ...], ...]
    span: tuple[float, float]
    least_span: float
    dots: bool = True
    aim: tuple[Point, ...] = ()
    band: tuple[float, float] | None = None
    limits: tuple[Limit, ...] = ()
    gaps: tuple[tuple[float, float], ...] = ()
    notes: tuple[tuple[Point, str], ...] = ()

    @property
    def empty(self) -> bool:
        """True without a point."""
        return not any(self.runs)


@dataclass(frozen=True, slots=True)
class Area:
    """Where the picture lies, and how many labels each axis has room for."""

    left: float
    top: float
    width: float
    height: float
    most_x: int = 5
    most_y: int = 5


@dataclass(frozen=True, slots=True)
class Drawn:
    """The picture: polylines, dots, levels, ticks, each where it stands."""

    runs: tuple[tuple[Point, ...], ...]
    dots: tuple[Point, ...]
    aim: tuple[Point, ...]
    band: tuple[float, float] | None
    limits: tuple[tuple[float, Limit], ...]
    gaps: tuple[tuple[float, float], ...]
    notes: tuple[tuple[Point, str], ...]
    x_ticks: tuple[tuple[float, float], ...]
    y_ticks: tuple[tuple[float, float], ...]


def draw(course: Course, area: Area, *, unit: float = 10.0) -> Drawn:
    """Lay a course out; `unit` is one unit of the y axis's labels (10 tenths)."""
    low, high = _range(course)
    first, last = course.span
    across = _scale(first, max(last, first + 1e-6), area.left, area.left + area.width)
    down = _scale(low, high, area.top + area.height, area.top)

    def at(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((across(x), down(y)) for x, y in points)

    runs = tuple(at(run) for run in course.runs)
    return Drawn(
        runs=runs,
        dots=tuple(point for run in runs for point in run) if course.dots else (),
        aim=at(_steps(course.aim, last)),
        band=None if course.band is None else (down(course.band[1]), down(course.band[0])),
        limits=tuple((down(limit.value), limit) for limit in course.limits if low <= limit.value <= high),
        gaps=tuple((across(a), across(b)) for a, b in course.gaps),
        notes=tuple(((across(x), down(y)), word) for (x, y), word in course.notes),
        x_ticks=tuple((across(t), t) for t in mass_ticks(first, last, 1.0, area.most_x)),
        y_ticks=tuple((down(t), t) for t in mass_ticks(low, high, unit, area.most_y)),
    )


def _range(course: Course) -> tuple[float, float]:
    values = [y for run in course.runs for _, y in run] + [y for _, y in course.aim]
    values += [limit.value for limit in course.limits]
    values += list(course.band or ())
    low, high = (min(values), max(values)) if values else (0.0, course.least_span)
    if high - low < course.least_span:
        middle = (high + low) / 2
        low, high = middle - course.least_span / 2, middle + course.least_span / 2
    air = (high - low) * _AIR
    return low - air, high + air


def _scale(start: float, end: float, to_start: float, to_end: float) -> Callable[[float], float]:
    return lambda value: to_start + (value - start) / (end - start) * (to_end - to_start)


def _steps(points: tuple[Point, ...], last: float) -> tuple[Point, ...]:
    """A level holds until the next point, and the last one to the end of the time shown."""
    found: list[Point] = []
    for index, (x, y) in enumerate(points):
        if found:
            found.append((x, found[-1][1]))
        found.append((x, y))
        if index == len(points) - 1:
            found.append((last, y))
    return tuple(found)
