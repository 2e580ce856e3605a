"""Widths of the bundled letters, and fitting a text into a box without ever cutting it silently.

Widths come from the font files themselves, letter by letter without kerning, so that the window and the PDF
break a line at the same place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Any

from coilbook.wording.resources import resource_path

POINT_MM = 25.4 / 72
#: no text on a label is smaller
LEAST_POINTS = 7.0
#: height of a capital as a share of the size; read from the bundled fonts, held by a test
CAP_SHARE = 2048 / 2816
#: from one baseline to the next, as a share of the size
LEADING = 1.18
ELLIPSIS = "…"
_STEPS = (48.0, 40.0, 34.0, 30.0, 26.0, 22.0, 20.0, 18.0, 16.0, 14.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0, 7.0)
_UNITS = 2816
#: size at which two signs are compared by their pixels
_LOOK_PIXELS = 48


class Weight(StrEnum):
    """The bundled weights, by the end of their file name."""

    REGULAR = "Regular"
    SEMIBOLD = "SemiBold"


def font_path(weight: Weight) -> str:
    """Path of the font file of a weight."""
    return str(resource_path("fonts", f"CoilbookSans-{weight.value}.ttf"))


@lru_cache(maxsize=4)
def _face(weight: Weight, size: int = _UNITS) -> Any:
    from PIL import ImageFont

    return ImageFont.truetype(font_path(weight), size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def _advance(letter: str, weight: Weight) -> float:
    return float(_face(weight).getlength(letter)) / _UNITS


@lru_cache(maxsize=65536)
def _natural(text: str, weight: Weight) -> float:
    return sum(_advance(letter, weight) for letter in text)


def width_mm(text: str, points: float, weight: Weight) -> float:
    """Width of `text` at a size in points, in mm."""
    return _natural(text, weight) * points * POINT_MM


@lru_cache(maxsize=4096)
def _has(letter: str, weight: Weight) -> bool:
    if letter.isspace():
        return True
    return bool(bytes(_face(weight, _LOOK_PIXELS).getmask(letter)) != _blank(weight))


@lru_cache(maxsize=2)
def _blank(weight: Weight) -> bytes:
    """How the font draws a sign that it does not have (U+FFFF is never a letter)."""
    return bytes(_face(weight, _LOOK_PIXELS).getmask("\uffff"))


def missing_signs(text: str, weight: Weight = Weight.REGULAR) -> str:
    """The signs of `text` that the bundled letters lack, each once."""
    return "".join(dict.fromkeys(letter for letter in text if not _has(letter, weight)))


def points_for_cap(cap_mm: float) -> float:
    """Size in points whose capitals are `cap_mm` high."""
    return cap_mm / CAP_SHARE / POINT_MM


def cap_mm(points: float) -> float:
    """Height in mm of the capitals at a size in points."""
    return points * POINT_MM * CAP_SHARE


@dataclass(frozen=True, slots=True)
class Fitted:
    """A text broken into lines at one size; `whole` is False when it had to be shortened with an ellipsis."""

    lines: tuple[str, ...]
    points: float
    whole: bool

    @property
    def height_mm(self) -> float:
        """From the top of the first line's capitals to the last baseline plus room for its descenders."""
        if not self.lines:
            return 0.0
        size = self.points * POINT_MM
        return size * (CAP_SHARE + LEADING * (len(self.lines) - 1) + 0.22)


def fit(text: str, width: float, height: float, *, points: float, weight: Weight) -> Fitted:
    """Break `text` into a box of `width` x `height` mm, at most `points` large.

    One line first, then more lines at the same size as the height allows, then smaller by steps down to 7 pt;
    what is still too long ends in an ellipsis and says so by `whole`.
    """
    words = _pieces(text)
    if not words:
        return Fitted((), points, True)
    sizes = [points, *(step for step in _STEPS if LEAST_POINTS <= step < points)]
    for size in sizes:
        lines = _break(words, width, size, weight, hard=size == sizes[-1])
        if lines is not None and Fitted(lines, size, True).height_mm <= height + 1e-6:
            return Fitted(lines, size, True)
    return _shortened(words, width, height, sizes[-1], weight)


def _pieces(text: str) -> list[str]:
    """Words with the blank before them; a hyphen or a slash may also end a line."""
    packed = " ".join(text.split())
    return [piece for piece in re.findall(r" ?[^ \-/]*[\-/]?", packed) if piece]


def _break(pieces: list[str], width: float, points: float, weight: Weight, *, hard: bool) -> tuple[str, ...] | None:
    """Lines no wider than `width`; None when one piece is wider, unless `hard` breaks it between letters."""
    lines: list[str] = []
    line = ""
    for piece in pieces:
        longer = line + piece if line else piece.lstrip()
        if width_mm(longer, points, weight) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        line = piece.lstrip()
        while line and width_mm(line, points, weight) > width:
            if not hard:
                return None
            cut = _letters_that_fit(line, width, points, weight)
            lines.append(line[:cut])
            line = line[cut:]
    if line:
        lines.append(line)
    return tuple(lines)


def _letters_that_fit(text: str, width: float, points: float, weight: Weight) -> int:
    count = len(text)
    while count > 1 and width_mm(text[:count], points, weight) > width:
        count -= 1
    return count


def _shortened(pieces: list[str], width: float, height: float, points: float, weight: Weight) -> Fitted:
    """As many lines as fit, the last one ending in an ellipsis."""
    lines = list(_break(pieces, width, points, weight, hard=True) or ())
    while len(lines) > 1 and Fitted(tuple(lines), points, False).height_mm > height:
        lines.pop()
    last = lines[-1]
    while last and width_mm(last + ELLIPSIS, points, weight) > width:
        last = last[:-1]
    lines[-1] = last.rstrip() + ELLIPSIS
    return Fitted(tuple(lines), points, False)
