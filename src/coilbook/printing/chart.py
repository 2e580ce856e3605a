"""The curve of weight and meals on paper: the same geometry as on the screen, in millimetres, black on white."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coilbook.drawing.weight_chart import Dot, Frame, Layout, Mark, Series, lay_out, recent_view, whole_view
from coilbook.printing.draw_label import PT_PER_MM, Pen
from coilbook.printing.paper import BOLD_FACE, FACE
from coilbook.records.quantities import GRAMS_PER_OUNCE, MassUnit
from coilbook.wording.chart_words import mass_label, time_label
from coilbook.wording.language import translated
from coilbook.wording.style import Style

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_TEXT_PT = 7.5
#: half the side of a mark where there is room, in mm
_MARK = 0.9
#: least room between the line of today and a number, in mm
_CLEAR = 1.0


def draw_chart(pen: Pen, series: Series, style: Style, box: tuple[float, float, float, float]) -> Layout:
    """Draw the newest part of a series into a box (left, top, width, height in mm); returns where everything stands."""
    left, top, width, height = box
    frame = Frame(left + 13, top + 3, width - 13 - 18, height - 3 - 6 - 6, 6, 15)
    unit = GRAMS_PER_OUNCE if style.settings.mass_unit in (MassUnit.OUNCE, MassUnit.POUND_OUNCE) else 1
    layout = lay_out(series, recent_view(whole_view(series)), frame, float(unit) * 10, least_gap=7)
    canvas = pen.canvas
    canvas.saveState()
    _axes(pen, canvas, layout, style)
    _line(pen, canvas, layout)
    for dot in layout.dots:
        if dot.doubted or dot.last or len(layout.dots) < frame.width / 2:
            _dot(pen, canvas, dot)
    for row in (layout.meals, layout.sheds):
        side = min(_MARK, layout.mark_room(row) * 0.38)
        for mark in row:
            _mark(pen, canvas, mark, side)
    _newest(pen, canvas, layout, series, style)
    canvas.restoreState()
    return layout


def _axes(pen: Pen, canvas: Canvas, layout: Layout, style: Style) -> None:
    frame = layout.frame
    canvas.setFont(FACE, _TEXT_PT)
    canvas.setFillGray(0)
    canvas.setLineWidth(0.1 * PT_PER_MM)
    for tick in layout.mass_ticks:
        canvas.setStrokeGray(0.75)
        canvas.line(*pen.point(frame.left, tick.y), *pen.point(frame.right, tick.y))
        x, y = pen.point(frame.left - 1.5, tick.y + 0.9)
        canvas.drawRightString(x, y, mass_label(tick.mass_dg, style))
    canvas.drawRightString(*pen.point(frame.left - 1.5, frame.meals_y + 0.9), translated("meals"))
    canvas.setStrokeGray(0)
    for time in layout.time_ticks:
        canvas.line(*pen.point(time.x, frame.axis_y), *pen.point(time.x, frame.axis_y + 1))
        canvas.drawCentredString(*pen.point(time.x, frame.axis_y + 4), time_label(time.day, time.unit, style))
    if layout.today_x is not None:
        canvas.setLineWidth(0.3 * PT_PER_MM)
        canvas.line(*pen.point(layout.today_x, frame.top), *pen.point(layout.today_x, frame.axis_y + 1))


def _line(pen: Pen, canvas: Canvas, layout: Layout) -> None:
    if len(layout.line) < 2:
        return
    path = canvas.beginPath()
    path.moveTo(*pen.point(*layout.line[0]))
    for point in layout.line[1:]:
        path.lineTo(*pen.point(*point))
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.35 * PT_PER_MM)
    canvas.setLineJoin(1)
    canvas.drawPath(path, stroke=1, fill=0)


def _dot(pen: Pen, canvas: Canvas, dot: Dot) -> None:
    x, y = pen.point(dot.x, dot.y)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.25 * PT_PER_MM)
    if dot.doubted:
        canvas.setDash(1.2, 1)
        canvas.circle(x, y, 1.1 * PT_PER_MM, stroke=1, fill=0)
        canvas.setDash()
        return
    canvas.setFillGray(0 if dot.last else 1)
    canvas.circle(x, y, (0.9 if dot.last else 0.7) * PT_PER_MM, stroke=1, fill=1)


def _mark(pen: Pen, canvas: Canvas, mark: Mark, half: float) -> None:
    side = half * PT_PER_MM
    x, y = pen.point(mark.x, mark.y)
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(0.25 * PT_PER_MM)
    if mark.name in ("refused", "struck"):
        path = canvas.beginPath()
        path.moveTo(x, y + side * 1.2)
        for dx, dy in ((1.2, 0), (0, -1.2), (-1.2, 0)):
            path.lineTo(x + dx * side, y + dy * side)
        path.close()
        canvas.drawPath(path, stroke=1, fill=0)
        if mark.name == "struck":
            canvas.line(x - side, y, x + side, y)
    elif mark.name == "not_offered":
        canvas.line(x - side * 0.7, y, x + side * 0.7, y)
    elif mark.name == "pending":
        canvas.circle(x, y, side, stroke=1, fill=0)
        canvas.wedge(x - side, y - side, x + side, y + side, -90, 180, stroke=0, fill=1)
    elif mark.name == "shed":
        wave = canvas.beginPath()
        wave.moveTo(x - side * 1.4, y)
        wave.curveTo(x - side * 0.5, y + side * 1.8, x + side * 0.5, y - side * 1.8, x + side * 1.4, y)
        canvas.drawPath(wave, stroke=1, fill=0)
    else:
        canvas.rect(x - side, y - side, side * 2, side * 2, stroke=1, fill=mark.name == "taken")
        if mark.name == "taken_late":
            canvas.rect(x - side, y - side, side * 2, side, stroke=0, fill=1)
        elif mark.name == "back":
            canvas.line(x - side, y - side, x + side, y + side)


def _newest(pen: Pen, canvas: Canvas, layout: Layout, series: Series, style: Style) -> None:
    last = next((d for d in layout.dots if d.last), None)
    if last is None:
        return
    text, size = style.mass(series.weights[last.index].mass_dg), _TEXT_PT + 1
    left = beside_today(last.x + 2.5, canvas.stringWidth(text, BOLD_FACE, size) / PT_PER_MM, layout.today_x)
    canvas.setFillGray(0)
    canvas.setFont(BOLD_FACE, size)
    canvas.drawString(*pen.point(left, last.y + 1), text)


def beside_today(left: float, width: float, today_x: float | None) -> float:
    """Where a text of this width begins so that the line of today does not cross it, all in mm.

    >>> beside_today(50, 12, 55), beside_today(50, 12, 90), beside_today(50, 12, None)
    (56.0, 50, 50)
    """
    crossed = today_x is not None and left - _CLEAR < today_x < left + width + _CLEAR
    return today_x + _CLEAR if crossed and today_x is not None else left
