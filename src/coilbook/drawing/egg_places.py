"""Where eggs lie in a box before a keeper says otherwise: rows of a pile, in thousandths of the box."""

from __future__ import annotations

from math import ceil

#: eggs side by side before another row is begun
_A_ROW = 3
#: a row in the middle of a pile is shifted by half an egg
_EDGE, _SPAN = 160, 680


def first_places(count: int, taken: int = 0) -> tuple[tuple[int, int], ...]:
    """(x, y) for `count` eggs after `taken` that lie there already, in thousandths from the top left of the box.

    >>> first_places(4)
    ((160, 200), (500, 200), (840, 200), (330, 500))
    """
    whole = count + taken
    rows = max(3, ceil(whole / _A_ROW))
    step_y = 600 // max(rows - 1, 1)
    places = []
    for index in range(taken, whole):
        row, column = divmod(index, _A_ROW)
        in_row = min(_A_ROW, whole - row * _A_ROW)
        step = _SPAN // (_A_ROW - 1)
        # a row that is not full lies in the gaps of the one above
        shift = (step // 2) if in_row < _A_ROW and in_row < whole else 0
        x = _EDGE + shift + column * step
        places.append((min(x, 1000 - _EDGE // 2), 200 + row * step_y))
    return tuple(places)
