"""The cage card: id first, then sex, what she is, when she hatched, what she eats, and at most two flags."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.labels.content import CageCard, Flag, sex_mark
from coilbook.labels.layout import Box, Canvas, Draft, LabelLayout, symbol_places
from coilbook.labels.type_fit import Fitted, Weight, cap_mm, fit, points_for_cap, width_mm
from coilbook.records.message import say

#: the id is read at one metre in a dim room: never under 6 mm without a word of warning (`common practice`)
LEAST_ID_CAP_MM = 6.0
_SIDE_MM = 3.3
_TOP_MM = 3.6
_FOOT_MM = 3.2
_GAP_MM = 1.4
_BAR_PAD_MM = 1.6
_WIDE_MM = 98.0


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
    meta_top = _write_meta(draft, card, foot_width, bars_top)
    end = min(second.y - 0.4, meta_top - _GAP_MM)
    _write_look(draft, card, Box(_SIDE_MM, head_end + 0.6, canvas.width - 2 * _SIDE_MM, end - head_end - 0.6))
    return draft.done()


def _write_head(draft: Draft, card: CageCard, first: Box) -> float:
    """Id, sex and the code in letters; returns how far down they reach in mm."""
    wide = draft.canvas.width >= _WIDE_MM
    id_cap, sex_cap = (10.5, 9.0) if wide else (9.0, 7.6)
    mark = sex_mark(card.sex, unsure=card.sex_unsure)
    right = draft.canvas.width - _SIDE_MM
    sex_points = points_for_cap(sex_cap)
    sex_x = right - width_mm(mark, sex_points, Weight.SEMIBOLD)
    left = first.right + 0.6
    fitted = _fit_id(card.animal, sex_x - 2.5 - left, id_cap)
    draft.put(fitted, left, _TOP_MM, weight=Weight.SEMIBOLD)
    draft.note_missing(card.animal, Weight.SEMIBOLD)
    if not fitted.whole:
        draft.problems.append(say("{animal}: the id does not fit on this card.", animal=card.animal))
    elif cap_mm(fitted.points) < LEAST_ID_CAP_MM - 1e-6:
        draft.problems.append(
            say(
                "{animal}: the id is so long that it stands only {high} mm high; 6 mm reads at one metre.",
                animal=card.animal,
                high=f"{cap_mm(fitted.points):.1f}",
            )
        )
    draft.put_right(
        mark, right, _TOP_MM + max(sex_cap, cap_mm(fitted.points)), points=sex_points, weight=Weight.SEMIBOLD
    )
    below = _TOP_MM + fitted.height_mm
    code_top = _TOP_MM + id_cap + 2.0
    if len(fitted.lines) == 1:
        draft.write(card.code.shown, Box(left, code_top, 30, 4), points=8)
        return code_top + 2.5
    draft.put_right(card.code.shown, right, code_top + 2.1, points=8, weight=Weight.REGULAR)
    return max(below, code_top + 2.5)


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
        top = foot - height + 1.2
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


def _write_meta(draft: Draft, card: CageCard, width: float, bars_top: float) -> float:
    """Hatch year and prey above the flags, on one line if they go; returns their top in mm."""
    points = 11.0
    gap = 5.0 if card.hatched and card.prey else 0.0
    first = width_mm(card.hatched, points, Weight.REGULAR)
    line = fit("Hg", width, 9, points=points, weight=Weight.REGULAR).height_mm
    if first + gap + width_mm(card.prey, points, Weight.REGULAR) <= width:
        top = bars_top - _GAP_MM - line
        draft.write(card.hatched, Box(_SIDE_MM, top, width, 5), points=points)
        draft.write(card.prey, Box(_SIDE_MM + first + gap, top, width - first - gap, 5), points=points)
        return top
    points = 9.0
    year = fit(card.hatched, width, 4, points=points, weight=Weight.REGULAR)
    prey = fit(card.prey, width, 8, points=points, weight=Weight.REGULAR)
    split = 1.1 if card.hatched else 0.0
    top = bars_top - _GAP_MM - year.height_mm - split - prey.height_mm
    if not card.flags:
        top = min(top + 9.0, bars_top - _GAP_MM - line)
    draft.write(card.hatched, Box(_SIDE_MM, top, width, 4), points=points)
    draft.write(card.prey, Box(_SIDE_MM, top + year.height_mm + split, width, 8), points=points)
    return top


def _write_look(draft: Draft, card: CageCard, box: Box) -> None:
    """What is seen and certain in bold, what is in doubt as a sentence under it."""
    doubt = fit(card.doubt, box.width, box.height * 0.6, points=10, weight=Weight.REGULAR)
    kept = doubt.height_mm + 1.2 if doubt.lines else 0.0
    look = Box(box.x, box.y, box.width, box.height - kept)
    written = draft.write(card.genetics, look, points=16, weight=Weight.SEMIBOLD)
    under = box.y + (written.height_mm + 1.2 if written.lines else 0.0)
    draft.write(card.doubt, Box(box.x, under, box.width, box.height * 0.6), points=10)
