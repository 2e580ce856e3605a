"""Egg box, lid and cup: what stands on each, laid out in the areas of `box_areas`."""

from __future__ import annotations

from coilbook.labels.box_areas import egg_box_areas, small_areas
from coilbook.labels.content import CupLabel, EggBoxLabel, EggBoxLid
from coilbook.labels.layout import Box, Canvas, Draft, LabelLayout
from coilbook.labels.type_fit import Weight, cap_mm, fit, points_for_cap, width_mm
from coilbook.records.message import say

#: the number of a clutch is read beside an open incubator: 6 mm high at least (`common practice`)
_CLUTCH_CAP_MM, _BOX_CAP_MM, _NAME_CAP_MM = 8.0, 6.0, 4.4
_GAP_MM = 2.5


def lay_out_egg_box(content: EggBoxLabel, canvas: Canvas) -> LabelLayout:
    """The side of a box; what does not fit is named in the layout's problems."""
    areas = egg_box_areas(canvas, content.code)
    draft = Draft(canvas, content.box, areas.symbols)
    _large(draft, content.clutch, areas.clutch, _CLUTCH_CAP_MM)
    box_points = _fitting(content.box, areas.box.width, _BOX_CAP_MM)
    baseline = areas.clutch.y + max(cap_mm(box_points), _CLUTCH_CAP_MM)
    draft.put_right(content.box, areas.box.right, baseline, points=box_points, weight=Weight.SEMIBOLD)
    draft.write(content.parents, areas.parents, points=10, weight=Weight.SEMIBOLD)
    words = max((width_mm(word, 9, Weight.REGULAR) for word, _ in content.rows), default=0.0) + _GAP_MM
    for number, ((word, value), row) in enumerate(zip(content.rows, areas.rows)):
        draft.write(word, Box(row.x, row.y, words, row.height), points=9)
        weight = Weight.SEMIBOLD if number < 3 else Weight.REGULAR
        draft.write(value, Box(row.x + words, row.y, row.width - words, row.height), points=10, weight=weight)
    _start(draft, content, areas.start)
    return draft.done()


def _start(draft: Draft, content: EggBoxLabel, frame: Box) -> None:
    """The weight at setting up in a frame, the code in letters at its end."""
    code_width = width_mm(content.code.shown, 8, Weight.REGULAR) + 1.6
    if content.start:
        draft.frames.append(frame)
        inner = Box(frame.x + 1.6, frame.y + 1.7, frame.width - code_width - 2.4, frame.height - 1.7)
        draft.write(content.start, inner, points=11, weight=Weight.SEMIBOLD)
    baseline = frame.y + frame.height / 2 + cap_mm(8) / 2
    right = frame.right - (1.6 if content.start else 0)
    draft.put_right(content.code.shown, right, baseline, points=8, weight=Weight.REGULAR)


def lay_out_lid(content: EggBoxLid, canvas: Canvas) -> LabelLayout:
    """The lid: the box's name large, its clutch under it."""
    areas = small_areas(canvas, content.code, 1)
    draft = Draft(canvas, content.box, areas.symbols)
    _large(draft, content.box, areas.name, areas.name.height)
    draft.write(content.clutch, areas.rows[0], points=11, weight=Weight.SEMIBOLD)
    draft.write(say_lid(content), areas.code, points=8)
    return draft.done()


def say_lid(content: EggBoxLid) -> str:
    """The code in letters with the word that tells a lid from its box."""
    return f"{content.code.shown} lid"


def lay_out_cup(content: CupLabel, canvas: Canvas) -> LabelLayout:
    """A cup: clutch and egg large, look, sex and weight, day of hatching."""
    areas = small_areas(canvas, content.code, 3)
    draft = Draft(canvas, content.name, areas.symbols)
    _large(draft, content.name, areas.name, _NAME_CAP_MM)
    for text, row, weight in zip(
        (content.look, content.about, content.hatched), areas.rows, (Weight.SEMIBOLD, Weight.REGULAR, Weight.REGULAR)
    ):
        draft.write(text, row, points=9, weight=weight)
    draft.write(content.code.shown, areas.code, points=7)
    return draft.done()


def _fitting(text: str, width: float, most_cap: float) -> float:
    """Points at which a text stands on one line, at most `most_cap` mm high."""
    natural = width_mm(text, 1.0, Weight.SEMIBOLD) or 1.0
    return points_for_cap(min(most_cap, cap_mm(width / natural)))


def _large(draft: Draft, text: str, box: Box, most_cap: float) -> None:
    points = max(_fitting(text, box.width, most_cap), 7.0)
    fitted = fit(text, box.width, max(box.height, cap_mm(points) * 1.5), points=points, weight=Weight.SEMIBOLD)
    draft.put(fitted, box.x, box.y, weight=Weight.SEMIBOLD)
    draft.note_missing(text, Weight.SEMIBOLD)
    if not fitted.whole:
        draft.problems.append(say("{label}: '{text}' does not fit, even at 7 pt.", label=draft.name, text=text))
