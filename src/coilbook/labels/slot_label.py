"""The slot label on the rack: rack and slot in letters to read across the room, the code in two corners."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from coilbook.labels.content import SlotLabel
from coilbook.labels.layout import (
    CODE_ROOM_MM,
    Box,
    Canvas,
    Draft,
    LabelLayout,
    PlacedSymbol,
    symbol_places,
)
from coilbook.labels.type_fit import Weight, cap_mm, points_for_cap, width_mm
from coilbook.records.message import say

#: rack and slot are read across the room (`common practice`)
LEAST_SLOT_CAP_MM = 10.0
_MOST_CAP_MM = 11.0
_SIDE_MM = 2.5
_EDGE_MM = 0.9
_CODE_POINTS = 7.0
_CODE_GAP_MM = 1.5
#: squares tried for the code, widest first: a smaller one is taken only where the words need the room
_ROOMS_MM = (CODE_ROOM_MM, 16.8, 15.0)


#: a module under half a millimetre is taken only where nothing else leaves the name its 10 mm
_LEAST_MODULE_MM = 0.5


class _CodeAt(Enum):
    """Where the code stands in letters; the slot's name is its id in letters, so it may also be left out."""

    BESIDE_RACK = 0
    BESIDE_SLOT = 1
    UNDER_RACK = 2
    NOWHERE = 3


@dataclass(frozen=True, slots=True)
class _Plan:
    """One way to fill the label: symbols, a box for each word, where the code stands in letters."""

    symbols: tuple[PlacedSymbol, ...]
    rack: Box
    slot: Box
    code_at: _CodeAt
    cap: float


def lay_out_slot_label(label: SlotLabel, canvas: Canvas) -> LabelLayout:
    """Lay the label out; names too long for 10 mm are named in the problems."""
    plan = _best_plan(label, canvas)
    draft = Draft(canvas, f"{label.rack}-{label.slot}", plan.symbols)
    points = points_for_cap(plan.cap)
    for word, box in ((label.rack, plan.rack), (label.slot, plan.slot)):
        draft.write(word, box, points=points, weight=Weight.SEMIBOLD)
    _write_code(draft, label, plan)
    if plan.cap < LEAST_SLOT_CAP_MM - 1e-6:
        draft.problems.append(
            say(
                "{place}: the name is so long that it stands only {high} mm high; 10 mm reads across the room.",
                place=draft.name,
                high=f"{plan.cap:.1f}",
            )
        )
    return draft.done()


def _best_plan(label: SlotLabel, canvas: Canvas) -> _Plan:
    """The first plan with 10 mm and a good module, else one with 10 mm, else the one with the largest words."""
    plans = [
        _plan(label, canvas, symbol_places(canvas, label.code, room=room), code_at)
        for room in _ROOMS_MM
        for code_at in _CodeAt
    ]
    high = [plan for plan in plans if plan.cap >= LEAST_SLOT_CAP_MM]
    for plan in high:
        if plan.symbols[0].module >= _LEAST_MODULE_MM:
            return plan
    return high[0] if high else max(plans, key=lambda plan: plan.cap)


def _plan(label: SlotLabel, canvas: Canvas, symbols: tuple[PlacedSymbol, ...], at: _CodeAt) -> _Plan:
    first, second = symbols[0].quiet, symbols[-1].quiet
    rack_left = first.right + 0.4
    rack = Box(rack_left, _EDGE_MM, canvas.width - _SIDE_MM - rack_left, second.y - 0.2 - _EDGE_MM)
    slot_top = first.bottom + 0.2
    slot = Box(_SIDE_MM, slot_top, second.x - 0.4 - _SIDE_MM, canvas.height - _EDGE_MM - slot_top)
    code = width_mm(label.code.shown, _CODE_POINTS, Weight.REGULAR) + _CODE_GAP_MM
    caps = [_MOST_CAP_MM]
    for number, (word, box) in enumerate(((label.rack, rack), (label.slot, slot))):
        width = box.width - (code if at.value == number else 0)
        under = at is _CodeAt.UNDER_RACK and number == 0
        height = box.height - (cap_mm(_CODE_POINTS) + 0.7 if under else 0)
        natural = width_mm(word, 1.0, Weight.SEMIBOLD) or 1.0
        caps += [height, cap_mm(max(width, 1.0) / natural) - 0.01]
    cap = max(min(caps), cap_mm(_CODE_POINTS))
    spare = 0.0 if at is _CodeAt.UNDER_RACK else (rack.height - cap) / 2
    rack = Box(rack.x, rack.y + spare, rack.width, cap * 1.4)
    slot = Box(slot.x, canvas.height - _EDGE_MM - cap - max(0.0, spare), slot.width, cap * 1.4)
    return _Plan(symbols, rack, slot, at, cap)


def _write_code(draft: Draft, label: SlotLabel, plan: _Plan) -> None:
    if plan.code_at is _CodeAt.NOWHERE:
        return
    if plan.code_at is _CodeAt.UNDER_RACK:
        under = plan.rack.y + plan.cap + 0.7
        draft.write(label.code.shown, Box(plan.rack.x, under, plan.rack.width, 3), points=_CODE_POINTS)
        return
    at_rack = plan.code_at is _CodeAt.BESIDE_RACK
    box = plan.rack if at_rack else plan.slot
    baseline = box.y + (cap_mm(_CODE_POINTS) if at_rack else plan.cap)
    draft.put_right(label.code.shown, box.right, baseline, points=_CODE_POINTS, weight=Weight.REGULAR)
