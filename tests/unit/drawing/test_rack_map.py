"""The map of a room against a slow second way that places every slot one after another."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from coilbook.drawing.rack_map import Measures, RackIn, RackMap, lay_out
from coilbook.records.ids import PlaceId

M = Measures()
Boxes = dict[PlaceId, tuple[int, int, int]]

names = st.sampled_from(["A1", "A2", "A3", "B1", "B-2", "1", "top", "C1"])
racks_in = st.lists(st.lists(names, max_size=9), max_size=5)
widths = st.integers(60, 800)


def made(racks: list[list[str]]) -> tuple[list[RackIn], list[list[tuple[PlaceId, str]]]]:
    number, found, plain = 1_000, [], []
    for at, slots in enumerate(racks, 1):
        its = [(PlaceId(number + n), name) for n, name in enumerate(slots)]
        number += len(slots)
        found.append(RackIn.of(PlaceId(at), its))
        plain.append(its)
    return found, plain


def slowly(plain: list[list[tuple[PlaceId, str]]], width: int) -> tuple[Boxes, Boxes, int]:
    """Heads and slots as (x, y, line), and the height."""
    fit = max((width + M.gap) // (M.width + M.gap), 1)
    heads: Boxes = {}
    boxes: Boxes = {}
    y = line = 0
    for at, slots in enumerate(plain, 1):
        heads[PlaceId(at)] = (0, y, -1)
        y += M.head
        column, letters = 0, None
        for slot, name in slots:
            its = name[0] if name in ("A1", "A2", "A3", "B1", "B-2", "C1") else ""
            if letters is not None and (its != letters or column == fit):
                y, line, column = y + M.height + M.gap, line + 1, 0
            letters = its
            boxes[slot] = (column * (M.width + M.gap), y, line)
            column += 1
        if slots:
            y, line = y + M.height + M.gap, line + 1
        y += M.between
    return heads, boxes, y


def neighbour(boxes: Boxes, place: PlaceId, across: int, down: int) -> PlaceId:
    order = list(boxes)
    if across:
        return order[min(max(order.index(place) + across, 0), len(order) - 1)]
    x, _, line = boxes[place]
    there = [slot for slot in order if boxes[slot][2] == line + down]
    return min(there, key=lambda slot: abs(boxes[slot][0] - x)) if there else place


def all_boxes(found: RackMap) -> tuple[Boxes, Boxes]:
    heads, slots = found.between(0, found.height)
    return {b.id: (b.x, b.y, -1) for b in heads}, {b.id: (b.x, b.y, 0) for b in slots}


@given(racks_in, widths)
def test_every_slot_stands_where_the_slow_way_puts_it(racks: list[list[str]], width: int) -> None:
    rows, plain = made(racks)
    found, (heads, boxes, height) = lay_out(rows, width), slowly(plain, width)
    assert found.height == height
    told_heads, told = all_boxes(found)
    assert told_heads == heads and {s: b[:2] for s, b in told.items()} == {s: b[:2] for s, b in boxes.items()}
    for place, (x, y, _) in {**heads, **boxes}.items():
        box = found.box_of(place)
        assert box is not None and (box.x, box.y) == (x, y)
        assert found.at(x + 1, y + 1) == place
    assert found.at(-5, 1) is None and found.at(1, height + 1) is None and found.box_of(PlaceId(9)) is None


@given(racks_in, widths)
def test_a_step_leads_where_the_slow_way_leads(racks: list[list[str]], width: int) -> None:
    rows, plain = made(racks)
    found, (_, boxes, _) = lay_out(rows, width), slowly(plain, width)
    for place in boxes:
        for across, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            assert found.neighbour(place, across, down) == neighbour(boxes, place, across, down)
    first = next(iter(boxes), PlaceId(1))
    assert found.neighbour(PlaceId(1), 1, 0) == first


@given(racks_in, widths, st.integers(0, 600), st.integers(1, 200))
def test_a_stretch_has_all_that_reaches_into_it(racks: list[list[str]], width: int, top: int, high: int) -> None:
    rows, plain = made(racks)
    heads, boxes, _ = slowly(plain, width)
    there_heads, there = lay_out(rows, width).between(top, top + high)
    told = {box.id for box in (*there_heads, *there)}
    for place, (_, y, _) in {**heads, **boxes}.items():
        if y < top + high and y + M.head > top:
            assert place in told
