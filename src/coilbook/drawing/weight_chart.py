"""Weight and meals of one animal on one axis of time, as plain numbers that a screen and a paper paint alike.

Time is in days (an ordinal with its fraction of a day), mass in tenths of a gram, the picture in whatever unit its
`Frame` is in, x to the right and y down. Nothing is told by colour alone: a taken meal is a filled square, a refused
one a hollow diamond, one still in a half disc; a doubted weight is a hollow ring, dashed, off the line.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

#: time in sight at first: two seasons, so that one can be held against the other
RECENT_DAYS = 740.0
#: least stretch of time that can be shown, and the air left and right of what is recorded
SHORTEST_DAYS = 7.0
AIR = 0.02
#: how much room mass gets above the highest and under the lowest weight
HEADROOM = 0.08
#: no less than this much mass is shown, in tenths of a gram, so that a few grams never look like a cliff
LEAST_SPAN_DG = 400


class MealMark(StrEnum):
    """The shape of a meal in its row."""

    TAKEN = "taken"
    TAKEN_LATE = "taken_late"
    REFUSED = "refused"
    STRUCK = "struck"
    PENDING = "pending"
    NOT_OFFERED = "not_offered"
    BACK = "back"


@dataclass(frozen=True, slots=True)
class WeightPoint:
    at: float
    mass_dg: int
    doubted: bool = False


@dataclass(frozen=True, slots=True)
class MealPoint:
    at: float
    mark: MealMark


@dataclass(frozen=True, slots=True)
class Series:
    """What there is to draw, oldest first; `today` is None for an animal that is gone."""

    weights: tuple[WeightPoint, ...]
    meals: tuple[MealPoint, ...]
    sheds: tuple[float, ...]
    today: float | None

    @property
    def empty(self) -> bool:
        """True when nothing at all was recorded."""
        return not (self.weights or self.meals or self.sheds)


@dataclass(frozen=True, slots=True)
class View:
    """The stretch of time in sight, in days."""

    first: float
    last: float

    @property
    def days(self) -> float:
        """How much time is in sight."""
        return self.last - self.first

    def zoomed(self, factor: float, around: float) -> View:
        """Nearer (`factor` below 1) or farther, the time `around` staying where it is."""
        span = min(max(self.days * factor, SHORTEST_DAYS), 40_000.0)
        share = (around - self.first) / self.days if self.days else 0.5
        first = around - share * span
        return View(first, first + span)

    def dragged(self, days: float) -> View:
        """Moved by `days`, later when positive."""
        return View(self.first + days, self.last + days)

    def within(self, whole: View) -> View:
        """Moved back, and narrowed if need be, so that it lies inside the whole."""
        if self.days >= whole.days:
            return whole
        if self.first < whole.first:
            return View(whole.first, whole.first + self.days)
        if self.last > whole.last:
            return View(whole.last - self.days, whole.last)
        return self


def whole_view(series: Series) -> View:
    """Everything from the first entry to today, with air on both sides."""
    times = [w.at for w in series.weights] + [m.at for m in series.meals] + list(series.sheds)
    times += [series.today] if series.today is not None else []
    first, last = min(times, default=1.0), max(times, default=1.0)
    if last - first < SHORTEST_DAYS:
        first = last - SHORTEST_DAYS
    air = (last - first) * AIR
    return View(first - air, last + air)


def recent_view(whole: View) -> View:
    """The newest part of a long life."""
    return View(max(whole.first, whole.last - RECENT_DAYS), whole.last)


@dataclass(frozen=True, slots=True)
class Frame:
    """Room for a picture: the plot's own box and the height of the row of meals under it."""

    left: float
    top: float
    width: float
    height: float
    meals_height: float
    #: least room between two labels along the time axis
    label_width: float

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Lower edge of the weights."""
        return self.top + self.height

    @property
    def meals_y(self) -> float:
        """Middle of the row of meals."""
        return self.bottom + self.meals_height / 2

    @property
    def axis_y(self) -> float:
        """The time axis, under the meals."""
        return self.bottom + self.meals_height


@dataclass(frozen=True, slots=True)
class Dot:
    """A weight in the picture; `index` is its place in the series."""

    x: float
    y: float
    index: int
    doubted: bool
    last: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A meal or a shed in its row."""

    x: float
    y: float
    name: str


@dataclass(frozen=True, slots=True)
class MassTick:
    y: float
    mass_dg: float


@dataclass(frozen=True, slots=True)
class TimeTick:
    """A day on the time axis; `unit` says how it is written: year, month or day."""

    x: float
    day: dt.date
    unit: str


@dataclass(frozen=True, slots=True)
class Layout:
    """A chart ready to paint. Lines are runs of points; what lies outside the view is left out or cut by the frame."""

    frame: Frame
    view: View
    line: tuple[tuple[float, float], ...]
    dots: tuple[Dot, ...]
    meals: tuple[Mark, ...]
    sheds: tuple[Mark, ...]
    mass_ticks: tuple[MassTick, ...]
    time_ticks: tuple[TimeTick, ...]
    today_x: float | None

    def mark_room(self, marks: Sequence[Mark]) -> float:
        """Room that each mark of a row has for itself."""
        return self.frame.width / max(len(marks), 1)

    def day_at(self, x: float) -> float:
        """The time under a place of the picture."""
        return self.view.first + (x - self.frame.left) / self.frame.width * self.view.days

    def nearest(self, x: float, y: float) -> Dot | None:
        """The weight nearest to a place; None when there is none in sight."""
        return min(self.dots, key=lambda d: (d.x - x) ** 2 + (d.y - y) ** 2, default=None)


def lay_out(series: Series, view: View, frame: Frame, tick_dg: float = 10.0, *, least_gap: float = 19.0) -> Layout:
    """Where everything stands.

    `tick_dg` is the unit of the mass axis in tenths of a gram (a gram is 10), `least_gap` the least room between two
    of its lines.
    """
    low, high = mass_range(series.weights, view)

    def x(at: float) -> float:
        return frame.left + (at - view.first) / view.days * frame.width

    def y(mass: float) -> float:
        return frame.bottom - (mass - low) / (high - low) * frame.height

    counting = [w for w in series.weights if not w.doubted]
    newest = max((i for i, w in enumerate(series.weights) if not w.doubted), default=-1)
    dots = [
        Dot(x(w.at), y(min(max(w.mass_dg, low), high)), i, w.doubted, i == newest)
        for i, w in enumerate(series.weights)
        if view.first <= w.at <= view.last
    ]
    meals = [Mark(x(m.at), frame.meals_y, m.mark.value) for m in series.meals if view.first <= m.at <= view.last]
    sheds = [Mark(x(at), frame.top, "shed") for at in series.sheds if view.first <= at <= view.last]
    return Layout(
        frame,
        view,
        tuple((x(w.at), y(w.mass_dg)) for w in _in_sight(counting, view)),
        tuple(dots),
        tuple(meals),
        tuple(sheds),
        tuple(MassTick(y(m), m) for m in mass_ticks(low, high, tick_dg, most=max(int(frame.height / least_gap), 2))),
        time_ticks(view, frame, x),
        x(series.today) if series.today is not None and view.first <= series.today <= view.last else None,
    )


def _in_sight(points: Sequence[WeightPoint], view: View) -> list[WeightPoint]:
    """The points in sight and one more at each side, cut where the view ends, so that the line reaches the edge."""
    inside = [i for i, p in enumerate(points) if view.first <= p.at <= view.last]
    if not inside:
        before = [p for p in points if p.at < view.first]
        after = [p for p in points if p.at > view.last]
        pair = [*before[-1:], *after[:1]]
        return [_cut(pair[0], pair[1], at) for at in (view.first, view.last)] if len(pair) == 2 else []
    found = [points[i] for i in inside]
    if inside[0] > 0:
        found.insert(0, _cut(points[inside[0] - 1], found[0], view.first))
    if inside[-1] < len(points) - 1:
        found.append(_cut(found[-1], points[inside[-1] + 1], view.last))
    return found


def _cut(one: WeightPoint, other: WeightPoint, at: float) -> WeightPoint:
    share = (at - one.at) / (other.at - one.at) if other.at != one.at else 0.0
    return replace(one, at=at, mass_dg=round(one.mass_dg + share * (other.mass_dg - one.mass_dg)))


def mass_range(weights: Sequence[WeightPoint], view: View) -> tuple[float, float]:
    """Lowest and highest mass of the picture, in tenths of a gram; doubted readings do not stretch it.

    A doubted reading outside is held at the edge of the picture; with no weight that counts, all of them set it.
    """
    counting = [w for w in weights if not w.doubted] or list(weights)
    shown = [float(w.mass_dg) for w in _in_sight(counting, view)]
    if not shown:
        return 0.0, 10_000.0
    low, high = min(shown), max(shown)
    if high - low < LEAST_SPAN_DG:
        middle = (high + low) / 2
        low, high = middle - LEAST_SPAN_DG / 2, middle + LEAST_SPAN_DG / 2
    room = (high - low) * HEADROOM
    return max(low - room, 0.0), high + room


def mass_ticks(low: float, high: float, unit_dg: float, most: int) -> list[float]:
    """Round values of the keeper's unit between two masses: 1, 2 or 5 times a power of ten of it, at most `most`."""
    power = -3
    while True:
        for lead in (1, 2, 5):
            step = lead * 10.0**power * unit_dg
            first = -(-low // step)
            count = int(high // step - first) + 1
            if count <= most:
                return [(first + i) * step for i in range(max(count, 0))]
        power += 1


#: where a time in days stands in the picture
Place = Callable[[float], float]
#: steps along the time axis, from fine to coarse
_DAY_STEPS = (1, 2, 7, 14)
_MONTH_STEPS = (1, 2, 3, 6)
_YEAR_STEPS = (1, 2, 5, 10, 20, 50)


def time_ticks(view: View, frame: Frame, place: Place) -> tuple[TimeTick, ...]:
    """Days along the axis, far enough apart for their labels; a year is written where one begins."""
    first, last = dt.date.fromordinal(max(int(view.first), 1)), dt.date.fromordinal(max(int(view.last), 1))
    per_day = frame.width / view.days
    for step in _DAY_STEPS:
        if per_day * step >= frame.label_width:
            start = first.toordinal() - first.toordinal() % step
            days = [dt.date.fromordinal(n) for n in range(max(start, 1), last.toordinal() + 1, step)]
            return _ticks(days, view, "day", place)
    step = next((s for s in _MONTH_STEPS if per_day * 30.4 * s >= frame.label_width), 0)
    if step:
        months = range(first.year * 12, last.year * 12 + 12, step)
        days = [dt.date(n // 12, n % 12 + 1, 1) for n in months]
        return _ticks(days, view, "month", place)
    years = next((s for s in _YEAR_STEPS if per_day * 365 * s >= frame.label_width), _YEAR_STEPS[-1])
    days = [dt.date(y, 1, 1) for y in range(first.year - first.year % years, last.year + 1, years) if y > 0]
    return _ticks(days, view, "year", place)


def _ticks(days: Sequence[dt.date], view: View, unit: str, place: Place) -> tuple[TimeTick, ...]:
    inside = [d for d in days if view.first <= d.toordinal() <= view.last]
    return tuple(
        TimeTick(place(float(d.toordinal())), d, "year" if unit != "day" and d.month == 1 else unit) for d in inside
    )
