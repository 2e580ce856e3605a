"""One season of one animal as a line on an axis of days, in plain numbers that any painter paints alike.

Days are ordinal numbers; day n takes n to n + 1, so that a stay covers its last day too. x is in pixels from the left
of the axis. Nothing is told by colour alone: a stay is a block with a diamond in it (filled: a lock, half: likely,
hollow: courting only), an ovulation a triangle (dashed when inferred), a pre-lay shed an upright box, a laying an
egg, windows are bands with a hatching of their own and their likely days solid.

Laws: nothing lies outside the axis; no two texts of a line overlap, the earlier one stays; a block is never narrower
than `LEAST`, so that a stay of a day can be seen in a view of a year.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

#: least width of a block and of a band, px at 100 percent
LEAST = 9.0
#: air between two texts, px
_AIR = 4.0
#: nearest and farthest zoom, px a day
NEAREST, FARTHEST = 24.0, 0.4

Measure = Callable[[str], float]


@dataclass(frozen=True, slots=True)
class Scale:
    """The stretch of time in sight: `first` the ordinal at x = 0, `a_day` px for a day, `width` px in all."""

    first: float
    a_day: float
    width: float

    def x(self, day: float) -> float:
        """Where a moment lies."""
        return (day - self.first) * self.a_day

    def day(self, x: float) -> float:
        """The moment at a place."""
        return self.first + x / self.a_day

    @property
    def last(self) -> float:
        return self.first + self.width / self.a_day

    def zoomed(self, factor: float, around: float) -> Scale:
        """Nearer (`factor` over 1) or farther, the moment `around` staying where it is."""
        a_day = min(max(self.a_day * factor, FARTHEST), NEAREST)
        x = self.x(around)
        return replace(self, a_day=a_day, first=around - x / a_day)

    def moved(self, days: float) -> Scale:
        """Later by some days, or earlier."""
        return replace(self, first=self.first + days)


def fitted(first: dt.date, last: dt.date, width: float) -> Scale:
    """The scale that shows two days and everything between them."""
    days = (last - first).days + 1
    return Scale(first.toordinal(), max(width, 1.0) / days, max(width, 1.0))


@dataclass(frozen=True, slots=True)
class Block:
    """Days together: `seen` the best that was seen ("lock", "likely", "courting", ""), `open` while it lasts."""

    first: float
    last: float
    seen: str = ""
    label: str = ""
    open: bool = False
    planned: bool = False


@dataclass(frozen=True, slots=True)
class Point:
    """Something on one day, by the name of its shape."""

    day: float
    shape: str


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch between two events: "building", "gravid" or "eggs"."""

    first: float
    last: float
    kind: str


@dataclass(frozen=True, slots=True)
class Band:
    """A window of whole days (`last` inclusive) with its likely days, of an event by its code."""

    event: str
    first: float
    last: float
    likely_first: float
    likely_last: float
    late: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """A few letters on the line from a day on: a follicle's size, how a season ended."""

    day: float
    text: str
    middle: bool = True


@dataclass(frozen=True, slots=True)
class Story:
    """Everything on one line, each in order of time."""

    blocks: tuple[Block, ...] = ()
    points: tuple[Point, ...] = ()
    spans: tuple[Span, ...] = ()
    bands: tuple[Band, ...] = ()
    words: tuple[Word, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    x: float
    width: float
    block: Block


@dataclass(frozen=True, slots=True)
class PlacedText:
    """A text from `x` to `x + width`; `above` the line, beside a block, or on it."""

    x: float
    width: float
    text: str
    above: bool


@dataclass(frozen=True, slots=True)
class PlacedBand:
    x: float
    width: float
    likely_x: float
    likely_width: float
    band: Band


@dataclass(frozen=True, slots=True)
class Line:
    """A story laid out on a scale."""

    blocks: tuple[PlacedBlock, ...] = ()
    points: tuple[tuple[float, str], ...] = ()
    spans: tuple[tuple[float, float, str], ...] = ()
    bands: tuple[PlacedBand, ...] = ()
    texts: tuple[PlacedText, ...] = field(default=())


def lay_out(story: Story, scale: Scale, measure: Measure, least: float = LEAST) -> Line:
    """Place a story; `measure` gives the width of a text in px, `least` the narrowest block."""
    blocks = _blocks(story.blocks, scale, least)
    points = tuple((scale.x(p.day + 0.5), p.shape) for p in story.points)
    return Line(
        blocks,
        tuple((x, shape) for x, shape in points if 0 <= x <= scale.width),
        _spans(story.spans, scale),
        _bands(story.bands, scale, least),
        (*_labels(blocks, scale, measure), *_words(story, blocks, scale, measure)),
    )


def _blocks(blocks: Sequence[Block], scale: Scale, least: float) -> tuple[PlacedBlock, ...]:
    placed = []
    for block in blocks:
        left, right = scale.x(block.first), scale.x(block.last + 1)
        if right - left < least:
            middle = (left + right) / 2
            left, right = middle - least / 2, middle + least / 2
        if right > 0 and left < scale.width:
            left, right = max(left, 0.0), min(right, scale.width)
            placed.append(PlacedBlock(left, right - left, block))
    return tuple(placed)


def _spans(spans: Sequence[Span], scale: Scale) -> tuple[tuple[float, float, str], ...]:
    placed = []
    for span in spans:
        left, right = max(scale.x(span.first + 0.5), 0.0), min(scale.x(span.last + 0.5), scale.width)
        if right > left:
            placed.append((left, right, span.kind))
    return tuple(placed)


def _bands(bands: Sequence[Band], scale: Scale, least: float) -> tuple[PlacedBand, ...]:
    placed = []
    for band in bands:
        left, right = scale.x(band.first), max(scale.x(band.last + 1), scale.x(band.first) + least)
        inner, outer = scale.x(band.likely_first), scale.x(band.likely_last + 1)
        left, right = max(left, 0.0), min(right, scale.width)
        if right <= left:
            continue
        inner, outer = min(max(inner, left), right), min(max(outer, left), right)
        placed.append(PlacedBand(left, right - left, inner, max(outer - inner, 0.0), band))
    return tuple(placed)


def _labels(blocks: Sequence[PlacedBlock], scale: Scale, measure: Measure) -> tuple[PlacedText, ...]:
    """The label above the first block of each run of the same label, where there is room."""
    placed: list[PlacedText] = []
    before = ""
    for block in blocks:
        label = block.block.label
        if label == before or not label:
            continue
        width = measure(label)
        # beginning a little left of its block, as far as the axis allows
        x = min(max(block.x - _AIR, 0.0), max(scale.width - width, 0.0))
        if placed and x < placed[-1].x + placed[-1].width + _AIR:
            continue
        before = label
        placed.append(PlacedText(x, width, label, above=True))
    return tuple(placed)


def _words(story: Story, blocks: Sequence[PlacedBlock], scale: Scale, measure: Measure) -> tuple[PlacedText, ...]:
    """Words on the line, aside of blocks and marks they would lie on; left out where there is no room."""
    taken = [(b.x, b.x + b.width) for b in blocks]
    taken += [(x - 6, x + 6) for x in (scale.x(p.day + 0.5) for p in story.points)]
    placed: list[PlacedText] = []
    for word in story.words:
        width = measure(word.text)
        x = scale.x(word.day + 0.5) - (width / 2 if word.middle else 0)
        for begin, end in sorted(taken):
            if x < end + _AIR and x + width + _AIR > begin:
                # to the side on which less has to be moved
                x = begin - width - _AIR if x + width / 2 < (begin + end) / 2 else end + _AIR
        free = all(x + width + 1 <= begin or x >= end + 1 for begin, end in taken)
        if free and x >= 0 and x + width <= scale.width:
            taken.append((x, x + width))
            placed.append(PlacedText(x, width, word.text, above=False))
    return tuple(placed)


@dataclass(frozen=True, slots=True)
class Tick:
    """The first day of a month; `year` when the year stands with it, `named` when there is room for its name."""

    x: float
    day: dt.date
    year: bool
    named: bool


def months(scale: Scale, least: float = 44.0) -> tuple[Tick, ...]:
    """The months in sight; names are left out where they would come closer than `least` px."""
    first = dt.date.fromordinal(max(1, int(scale.first))).replace(day=1)
    found: list[Tick] = []
    last_named = float("-inf")
    day = first
    while day.toordinal() < scale.last:
        x = scale.x(day.toordinal())
        if x >= 0:
            named = x - last_named >= least
            last_named = x if named else last_named
            found.append(Tick(x, day, (not found) or day.month == 1, named))
        day = dt.date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return tuple(found)
