"""A family picture made ready for painting: cards and lines in arrays, so that what is in sight is found at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QLineF, QRectF

from coilbook.drawing.family import Certainty, FamilyPicture
from coilbook.drawing.pedigree_layout import CardSize, LoopMark, PedigreeLayout, Word

Numbers = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Window:
    """The part of the picture in sight, in the picture's pixels."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True)
class Lines:
    """Straight lines of one certainty: both ends of each, and the same for the painter."""

    ends: Numbers
    drawn: Sequence[QLineF]

    @classmethod
    def of(cls, ends: Iterable[tuple[float, float, float, float]]) -> Lines:
        """Lines from the left or upper end to the other."""
        rows = list(ends)
        return cls(np.array(rows, float).reshape(-1, 4), [QLineF(*row) for row in rows])

    def within(self, window: Window) -> Sequence[QLineF]:
        """The lines any part of which is in sight."""
        x0, y0, x1, y1 = self.ends.T
        seen = (x0 <= window.right) & (x1 >= window.left) & (y0 <= window.bottom) & (y1 >= window.top)
        found = np.flatnonzero(seen)
        return self.drawn if len(found) == len(self.drawn) else [self.drawn[n] for n in found.tolist()]


class Scene:
    """Cards, lines and marks of one or more layouts, each set at its place. Sizes in pixels at reading size."""

    def __init__(
        self,
        placed: Sequence[tuple[PedigreeLayout, int, int]],
        size: CardSize,
        pictures: Sequence[FamilyPicture],
    ) -> None:
        cards = [replace(card, x=card.x + x, y=card.y + y) for layout, x, y in placed for card in layout.cards]
        self.size = size
        self.keys = [card.key for card in cards]
        self.at = {key: number for number, key in enumerate(self.keys)}
        self.boxes = np.array([(c.x, c.y, c.width, c.height) for c in cards], float).reshape(-1, 4)
        self.rects = [QRectF(c.x, c.y, c.width, c.height) for c in cards]
        self.unknown = {key: parent for picture in pictures for key, parent in picture.unknown.items()}
        #: where the lines lead from a card: to its parents at the right, to its young at the left
        self.parents: dict[int, list[int]] = {}
        self.young: dict[int, list[int]] = {}
        for picture, mating in ((one, mating) for one in pictures for mating in one.matings):
            young = [key for head in mating.young for key in picture.together(head)]
            for key in young:
                self.parents.setdefault(key, []).extend(parent for parent, _ in mating.parents)
            for parent, _ in mating.parents:
                self.young.setdefault(parent, []).extend(young)
        self.words = [Word(w.x + x, w.y + y, w.percent) for layout, x, y in placed for w in layout.words]
        self.loops = [replace(m, x=m.x + x, y=m.y + y) for layout, x, y in placed for m in layout.loops]
        self.columns = [x + left for layout, x, _ in placed[:1] for left in layout.column_x]
        self.width = max((x + layout.width for layout, x, _ in placed), default=0)
        self.height = max((y + layout.height for layout, _, y in placed), default=0)
        self.orders = [layout.order for layout, _, _ in placed]
        self.lines = {sure: Lines.of(_ends(placed, sure)) for sure in Certainty}
        self.animals = [key for key in self.keys if key > 0]

    def within(self, window: Window) -> Places:
        """Numbers of the cards any part of which is in sight."""
        x, y, width, height = self.boxes.T
        seen = (x <= window.right) & (x + width >= window.left) & (y <= window.bottom) & (y + height >= window.top)
        return np.flatnonzero(seen)

    def rect(self, key: int) -> QRectF | None:
        """Where a card stands; None when it is not here."""
        number = self.at.get(key)
        return None if number is None else self.rects[number]

    def key_at(self, x: float, y: float, reach: float = 0) -> int | None:
        """The card at a spot, `reach` pixels around it counting too."""
        found = self.within(Window(x - reach, y - reach, x + reach, y + reach))
        return self.keys[int(found[0])] if len(found) else None

    def beside(self, key: int, down: int) -> int | None:
        """The next card in the same column, down (1) or up (-1)."""
        number = self.at.get(key)
        if number is None:
            return None
        same = np.flatnonzero(self.boxes[:, 0] == self.boxes[number, 0])
        ordered = same[np.argsort(self.boxes[same, 1])]
        place = int(np.flatnonzero(ordered == number)[0]) + down
        return self.keys[int(ordered[place])] if 0 <= place < len(ordered) else None

    def along(self, key: int, right: bool) -> int | None:
        """The nearest card a line leads to, to the right or to the left."""
        here = self.rect(key)
        there = (self.parents if right else self.young).get(key, [])
        if here is None or not there:
            return None
        return min(there, key=lambda other: abs(self.rects[self.at[other]].y() - here.y()))

    def loop_of(self, key: int) -> LoopMark | None:
        """The mark of the loop that ends at a card."""
        return next((mark for mark in self.loops if mark.key == key), None)


def _ends(
    placed: Sequence[tuple[PedigreeLayout, int, int]], sure: Certainty
) -> Iterable[tuple[float, float, float, float]]:
    for layout, x, y in placed:
        for wire in layout.wires:
            if wire.certainty is sure:
                (x0, y0), (x1, y1) = wire.points
                yield min(x0, x1) + x, min(y0, y1) + y, max(x0, x1) + x, max(y0, y1) + y
