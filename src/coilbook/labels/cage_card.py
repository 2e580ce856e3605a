"""The cage card: id first, then sex, what she is, when she hatched, what she eats, and at most two flags.

What she is called stands beside the code where there is room; it takes none from anything else.
"""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.labels.content import CageCard, Flag, sex_mark
from coilbook.labels.layout import Box, Canvas, Draft, LabelLayout, symbol_places
from coilbook.labels.type_fit import LEAST_POINTS, Fitted, Weight, cap_mm, fit, missing_signs, points_for_cap, width_mm
from coilbook.records.message import say

#: the id is read at one metre in a dim room: never under 6 mm without a word of warning (`common practice`)
LEAST_ID_CAP_MM = 6.0
_SIDE_MM = 3.3
_TOP_MM = 3.6
_FOOT_MM = 3.2
_GAP_MM = 1.4
#: light kept above the look when there is room to spare
_AIR_MM = 2.6
_BAR_PAD_MM = 1.6
#: two lines of 7 pt, which the look and its doubt keep however much stands under them
_LEAST_LOOK_MM = 6.6
#: hatch year and prey under each other at 9 pt
_TWO_LINES_MM = 7.0
_WIDE_MM = 98.0
_CODE_POINTS = 8.0
_NAME_GAP_MM = 3.0


@dataclass(frozen=True, slots=True)
class _Bar:
    """One flag with its words fitted, before it has a place."""

    flag: Flag
    width: float
    word: Fitted
    detail: Fitted

    @property
    def height(self) -> float:
        """Room for both texts and the black around them, in mm."""
        inner = self.word.height_mm + (self.detail.height_mm + 0.5 if self.detail.lines else 0.4)
        return inner + 1.7


def lay_out_cage_card(card: CageCard, canvas: Canvas) -> LabelLayout:
    """Lay the card out; what does not fit is named in the layout's problems."""
    draft = Draft(canvas, card.animal, symbol_places(canvas, card.code))
    first, second = draft.symbols[0].quiet, draft.symbols[-1].quiet
    head_end = max(first.bottom, _write_head(draft, card, first))
    foot_width = second.x - 0.5 - _SIDE_MM
    bars_top = _write_flags(draft, card.flags, foot_width)
    foot_top = head_end + _LEAST_LOOK_MM + _GAP_MM
    foot = Box(_SIDE_MM, foot_top, foot_width, bars_top - _GAP_MM - foot_top)
    meta_top = _write_meta(draft, card, foot)
    end = min(second.y - 0.4, meta_top - _GAP_MM)
    _write_look(draft, card, Box(_SIDE_MM, head_end + 0.6, canvas.width - 2 * _SIDE_MM, end - head_end - 0.6))
    return draft.done()


def _write_head(draft: Draft, card: CageCard, first: Box) -> float:
    """Id, sex and the code in letters; returns how far down they reach in mm."""
    wide = draft.canvas.width >= _WIDE_MM
    id_cap = 10.5 if wide else 9.0
    mark = sex_mark(card.sex, unsure=card.sex_unsure)
    left, right = first.right + 0.6, draft.canvas.width - _SIDE_MM
    for sex_cap in (9.0 if wide else 7.6, LEAST_ID_CAP_MM):
        # a long id first takes room from the sex, and goes on a second line only after that
        sex_points = points_for_cap(sex_cap)
        sex_x = right - width_mm(mark, sex_points, Weight.SEMIBOLD)
        fitted = _fit_id(card.animal, sex_x - 2.5 - left, id_cap)
        if len(fitted.lines) == 1:
            break
    draft.put(fitted, left, _TOP_MM, weight=Weight.SEMIBOLD)
    _note_id(draft, card.animal, fitted)
    sex_baseline = _TOP_MM + max(sex_cap, cap_mm(fitted.points))
    draft.put_right(mark, right, sex_baseline, points=sex_points, weight=Weight.SEMIBOLD)
    code_top = _TOP_MM + (id_cap + 2.0 if len(fitted.lines) == 1 else fitted.height_mm + 0.4)
    draft.write(card.code.shown, Box(left, code_top, 30, 4), points=_CODE_POINTS)
    _write_name(draft, card, left, right, code_top)
    return code_top + 2.5


def _write_name(draft: Draft, card: CageCard, left: float, right: float, top: float) -> None:
    """What it is called, on the line of the code and whole, or not at all: the id says who it is."""
    name = " ".join(card.name.split())
    if not name or name.casefold() == card.animal.casefold() or missing_signs(name):
        return
    start = left + width_mm(card.code.shown, _CODE_POINTS, Weight.REGULAR) + _NAME_GAP_MM
    for points in (10.0, 9.0, 8.0, LEAST_POINTS):
        if start + width_mm(name, points, Weight.REGULAR) <= right:
            # the capitals of both stand on one line
            baseline = top + cap_mm(_CODE_POINTS)
            draft.put(Fitted((name,), points, True), start, baseline - cap_mm(points), weight=Weight.REGULAR)
            return


def _note_id(draft: Draft, animal: str, fitted: Fitted) -> None:
    """Say what is wrong with the id as it will be printed."""
    draft.note_missing(animal, Weight.SEMIBOLD)
    if not fitted.whole:
        draft.problems.append(say("{animal}: the id does not fit on this card.", animal=animal))
    elif cap_mm(fitted.points) < LEAST_ID_CAP_MM - 1e-6:
        draft.problems.append(
            say(
                "{animal}: the id is so long that it stands only {high} mm high; 6 mm reads at one metre.",
                animal=animal,
                high=f"{cap_mm(fitted.points):.1f}",
            )
        )


def _fit_id(text: str, width: float, most_cap: float) -> Fitted:
    """One line as large as it goes down to 6 mm, then two lines, then smaller."""
    whole = " ".join(text.split())
    natural = width_mm(whole, 1.0, Weight.SEMIBOLD)
    cap = min(most_cap, cap_mm(width / natural)) if natural else most_cap
    if cap >= LEAST_ID_CAP_MM:
        return Fitted((whole,), points_for_cap(cap), True)
    two_lines = LEAST_ID_CAP_MM * 2.95
    return fit(whole, width, two_lines, points=points_for_cap(LEAST_ID_CAP_MM), weight=Weight.SEMIBOLD)


def _write_flags(draft: Draft, flags: tuple[Flag, ...], width: float) -> float:
    """Black bars along the foot; returns the top of the bars (or of the place kept for them) in mm."""
    foot = draft.canvas.height - _FOOT_MM
    if not flags:
        return foot - 9.0
    bars = [_fit_bar(flag, room) for flag, room in zip(flags, _share(flags, width), strict=True)]
    height = max(bar.height for bar in bars)
    x = _SIDE_MM
    for bar in bars:
        draft.bars.append(Box(x, foot - height, bar.width, height))
        inner = bar.width - 2 * _BAR_PAD_MM
        top = foot - height + (height - bar.height) / 2 + 1.2
        word = Box(x + _BAR_PAD_MM, top, inner, 5)
        draft.write(bar.flag.word, word, points=10, weight=Weight.SEMIBOLD, white=True)
        detail = Box(word.x, top + bar.word.height_mm + 0.5, inner, 5.6)
        draft.write(bar.flag.detail, detail, points=8, white=True)
        x += bar.width + 1.5
    return foot - height


def _natural_width(flag: Flag) -> float:
    words = width_mm(flag.word, 10, Weight.SEMIBOLD), width_mm(flag.detail, 8, Weight.REGULAR)
    return max(20.0, max(words) + 2 * _BAR_PAD_MM + 0.2)


def _share(flags: tuple[Flag, ...], width: float) -> list[float]:
    """Widths in mm: each what it needs; where that is too much, the longer one gives way."""
    wanted = [_natural_width(flag) for flag in flags]
    if len(flags) == 1:
        return [min(wanted[0], width)]
    room = width - 1.5
    if sum(wanted) <= room:
        return wanted
    shorter = min(min(wanted), room / 2)
    return [shorter if want == min(wanted) and wanted[0] != wanted[1] else room - shorter for want in wanted]


def _fit_bar(flag: Flag, width: float) -> _Bar:
    inner = width - 2 * _BAR_PAD_MM
    word = fit(flag.word, inner, 5, points=10, weight=Weight.SEMIBOLD)
    return _Bar(flag, width, word, fit(flag.detail, inner, 5.6, points=8, weight=Weight.REGULAR))


def _write_meta(draft: Draft, card: CageCard, foot: Box) -> float:
    """Hatch year and prey above the flags, on one line if they go; returns their top in mm.

    `foot` reaches from the least room the look needs down to the flags.
    """
    gap = 5.0 if card.hatched and card.prey else 0.0
    line_top = foot.bottom - cap_mm(11.0) - 1.0
    for points in (11.0, 10.0, 9.0):
        first = width_mm(card.hatched, points, Weight.REGULAR)
        if first + gap + width_mm(card.prey, points, Weight.REGULAR) <= foot.width:
            draft.write(card.hatched, Box(foot.x, line_top, foot.width, 5), points=points)
            rest = Box(foot.x + first + gap, line_top, foot.width - first - gap, 5)
            draft.write(card.prey, rest, points=points)
            return line_top
    if card.hatched and width_mm(card.prey, 9, Weight.REGULAR) <= foot.width and foot.height >= _TWO_LINES_MM:
        top = line_top if not card.flags else foot.bottom - _TWO_LINES_MM
        draft.write(card.hatched, Box(foot.x, top, foot.width, 4), points=9)
        draft.write(card.prey, Box(foot.x, top + 3.8, foot.width, 4), points=9)
        return top
    both = " · ".join(text for text in (card.hatched, card.prey) if text)
    fitted = fit(both, foot.width, foot.height, points=9, weight=Weight.REGULAR)
    top = line_top if not card.flags else min(line_top, foot.bottom - fitted.height_mm)
    draft.write(both, Box(foot.x, top, foot.width, foot.height), points=9)
    return top


def _write_look(draft: Draft, card: CageCard, box: Box) -> None:
    """What is seen and certain in bold, what is in doubt as a sentence under it."""
    doubt = fit(card.doubt, box.width, box.height * 0.6, points=10, weight=Weight.REGULAR)
    kept = doubt.height_mm + 1.2 if doubt.lines else 0.0
    room = box.height - kept
    look = fit(card.genetics, box.width, room, points=16, weight=Weight.SEMIBOLD)
    used = look.height_mm + kept
    top = box.y + max(0.0, min(_AIR_MM, (box.height - used) / 2))
    draft.write(card.genetics, Box(box.x, top, box.width, room), points=16, weight=Weight.SEMIBOLD)
    under = top + (look.height_mm + 1.2 if look.lines else 0.0)
    draft.write(card.doubt, Box(box.x, under, box.width, box.height * 0.6), points=10)
