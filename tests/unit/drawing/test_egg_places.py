"""Eggs as they lie at first: inside the box, each in a place of its own."""

from __future__ import annotations

from itertools import combinations

import pytest

from coilbook.drawing.egg_places import first_places


@pytest.mark.parametrize("count", range(1, 21))
def test_no_egg_hides_another_and_none_lies_outside(count: int) -> None:
    """Thousandths: an egg of a large pile is drawn some 160 wide and 180 high."""
    places = first_places(count)
    assert len(places) == count and all(80 <= x <= 920 and 200 <= y <= 800 for x, y in places)
    for (x, y), (other_x, other_y) in combinations(places, 2):
        assert abs(x - other_x) >= 160 or abs(y - other_y) >= 180, ((x, y), (other_x, other_y))
