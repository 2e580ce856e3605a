"""Where eggs lie in a box before a keeper says otherwise: rows of a pile, in thousandths of the box."""

from __future__ import annotations

from math import ceil

#: up to how many eggs, how many lie side by side before another row is begun: so many that no egg hides the next
_A_ROW = ((9, 3), (16, 4), (40, 5))
#: a row in the middle of a pile is shifted by half an egg
_EDGE, _SPAN = 160, 680


def first_places(count: int, taken: int = 0) -> tuple[tuple[int, int], ...]:
    """(x, y) for `count` eggs after `taken` that lie there already, in thousandths from the top left of the box.

    A large pile lies closer, four or five in a row.

    >>> first_places(4)
    ((160, 200), (500, 200), (840, 200), (330, 500))
    """
    whole = count + taken
    a_row = next((wide for most, wide in _A_ROW if whole <= most), _A_ROW[-1][1])
    rows = max(3, ceil(whole / a_row))
    step_y = 600 // max(rows - 1, 1)
    places = []
    for index in range(taken, whole):
        row, column = divmod(index, a_row)
        in_row = min(a_row, whole - row * a_row)
        step = _SPAN // (a_row - 1)
        # a row that is not full lies in the gaps of the one above
        shift = (step // 2) if in_row < a_row and in_row < whole else 0
        x = _EDGE + shift + column * step
        places.append((min(x, 1000 - _EDGE // 2), 200 + row * step_y))
    return tuple(places)
