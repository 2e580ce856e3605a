"""What stands on a label, where, and that nothing is ever cut silently."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from coilbook.labels.code import LONGEST_PAYLOAD, LabelCode
from coilbook.labels.content import CageCard, Flag, LabelContent, SlotLabel, sex_mark
from coilbook.labels.lay_out import canvas_for, lay_out
from coilbook.labels.layout import Box, LabelLayout, TextLine
from coilbook.labels.slot_label import LEAST_SLOT_CAP_MM
from coilbook.labels.stock import LabelKind, Printer, Stock, shipped_stock, shipped_stocks
from coilbook.labels.symbol import LEAST_ALONE, LEAST_TWICE, merge_runs, symbol
from coilbook.labels.type_fit import CAP_SHARE, LEAST_POINTS, Weight, cap_mm, fit, font_path, width_mm
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import CodeKind, Sex

CARD_CODE = LabelCode(CodeKind.ANIMAL, "FKT38")
SLOT_CODE = LabelCode(CodeKind.SLOT, "2Q6X8")
PREFIX = "HTTPS://WREN.EXAMPLE/BOOK/2026/"
CARD_STOCKS = [stock for stock in shipped_stocks() if stock.suits(LabelKind.CAGE_CARD)]
SLOT_STOCKS = [stock for stock in shipped_stocks() if stock.suits(LabelKind.SLOT)]

# long texts have to be asked for: a plain text strategy seldom makes one that fills a label
words = st.one_of(
    st.text(st.sampled_from("abcdefghij  EFM-/0123456789♀×"), max_size=120),
    st.builds(
        lambda word, count: (word * count).strip(),
        st.sampled_from(["Pastel Enchi het clown ", "frozen-thawed ", "66% het ", "W"]),
        st.integers(1, 12),
    ),
)
ids = st.one_of(st.text("F-0123WXabc", min_size=1, max_size=26), st.just("WREN-2024-CLUTCH-014-07"))
flags = st.lists(st.builds(Flag, st.text("QTMEDICAL", min_size=1, max_size=14), words), max_size=2).map(tuple)
cards = st.builds(
    CageCard,
    code=st.just(CARD_CODE),
    animal=ids,
    sex=st.sampled_from(list(Sex)),
    sex_unsure=st.booleans(),
    genetics=words,
    doubt=words,
    hatched=words.map(lambda text: text[:30]),
    prey=words,
    flags=flags,
    name=words.map(lambda text: text[:24]),
)
slots = st.builds(
    SlotLabel,
    code=st.just(SLOT_CODE),
    rack=st.text("R12abc ", min_size=1, max_size=9),
    slot=st.text("A10xyz", min_size=1, max_size=9),
)


def ink(line: TextLine) -> Box:
    """Where a line's capitals stand, in mm."""
    high = cap_mm(line.points)
    return Box(line.x, line.baseline - high, width_mm(line.text, line.points, line.weight), high)


def apart(one: Box, two: Box, slack: float = 0.02) -> bool:
    return (
        one.right <= two.x + slack
        or two.right <= one.x + slack
        or one.bottom <= two.y + slack
        or two.bottom <= one.y + slack
    )


def assert_sound(layout: LabelLayout) -> None:
    """Inside the label, clear of the codes' quiet zones, no text on another, none under 7 pt."""
    page = Box(0, 0, layout.width, layout.height)
    for line in layout.lines:
        box = ink(line)
        assert line.points >= LEAST_POINTS
        assert box.x >= 0 and box.y >= 0 and box.right <= page.right + 0.02 and box.bottom <= page.bottom
        assert all(apart(box, placed.quiet) for placed in layout.symbols), line
    for bar in layout.bars:
        assert bar.right <= page.right and bar.bottom <= page.bottom
        assert all(apart(bar, placed.quiet) for placed in layout.symbols)
    for number, line in enumerate(layout.lines):
        assert all(apart(ink(line), ink(other)) for other in layout.lines[number + 1 :]), line
        inside = [bar for bar in layout.bars if not apart(ink(line), bar)]
        assert bool(inside) == line.white, line
        for bar in inside:
            assert bar.x < line.x and ink(line).right < bar.right and line.baseline < bar.bottom
    for placed in layout.symbols:
        assert placed.quiet.x >= 0 and placed.quiet.y >= 0
        assert placed.quiet.right <= page.right and placed.quiet.bottom <= page.bottom


@given(st.sampled_from(CARD_STOCKS), st.sampled_from([203, 300]), st.sampled_from(["", PREFIX]), cards)
def test_any_cage_card_is_sound_and_cuts_nothing_silently(stock: Stock, dpi: int, prefix: str, card: CageCard) -> None:
    layout = lay_out(card, canvas_for(stock, Printer(dpi=dpi), prefix))
    assert_sound(layout)
    printed = "".join(line.text for line in layout.lines).replace(" ", "")
    wanted = [card.animal, card.genetics, card.doubt, card.hatched, card.prey]
    wanted += [text for flag in card.flags for text in (flag.word, flag.detail)]
    whole = all("".join(text.split()) in printed for text in wanted)
    assert whole or layout.problems
    assert CARD_CODE.shown in [line.text for line in layout.lines]
    assert sex_mark(card.sex, unsure=card.sex_unsure) in [line.text for line in layout.lines]
    assert len(layout.bars) == len(card.flags)


@given(st.sampled_from(SLOT_STOCKS), st.sampled_from([203, 300]), st.sampled_from(["", PREFIX]), slots)
def test_any_slot_label_is_sound(stock: Stock, dpi: int, prefix: str, label: SlotLabel) -> None:
    layout = lay_out(label, canvas_for(stock, Printer(dpi=dpi), prefix))
    assert_sound(layout)
    high = min(cap_mm(line.points) for line in layout.lines if line.text != SLOT_CODE.shown)
    assert high >= LEAST_SLOT_CAP_MM - 1e-6 or layout.problems


@pytest.mark.parametrize("stock", CARD_STOCKS, ids=lambda s: s.key)
def test_the_usual_id_is_at_least_six_millimetres_high(stock: Stock) -> None:
    layout = lay_out(CageCard(CARD_CODE, "C26-10-4", Sex.MALE), canvas_for(stock, Printer()))
    high = next(cap_mm(line.points) for line in layout.lines if line.text == "C26-10-4")
    assert high >= 6.0
    assert not layout.problems


@pytest.mark.parametrize("stock", CARD_STOCKS, ids=lambda s: s.key)
@pytest.mark.parametrize("dpi", [203, 300])
def test_what_it_is_called_takes_no_room_from_anything_else(stock: Stock, dpi: int) -> None:
    canvas = canvas_for(stock, Printer(dpi=dpi))
    for animal in ("F-014", "WREN-2024-CLUTCH-014-07"):
        nameless = CageCard(CARD_CODE, animal, Sex.FEMALE, genetics="Pastel Enchi het clown", prey="medium rat")
        bare = lay_out(nameless, canvas)
        called = lay_out(replace(nameless, name="Sorrel"), canvas)
        assert_sound(called)
        assert [line.text for line in called.lines if line not in bare.lines] == ["Sorrel"]
        assert [line for line in called.lines if line.text != "Sorrel"] == list(bare.lines)
        # what has no room, repeats the id or cannot be printed is left out, not cut
        for name in ("Sorrel of the long and winding meadows by the river under the hill", animal.lower(), "蛇"):
            assert lay_out(replace(nameless, name=name), canvas) == bare


@pytest.mark.parametrize("stock", SLOT_STOCKS, ids=lambda s: s.key)
@pytest.mark.parametrize("names", [("R2", "A3"), ("R12", "A10"), ("Q1", "C24")])
@pytest.mark.parametrize("prefix", ["", PREFIX])
def test_the_usual_slot_is_at_least_ten_millimetres_high(stock: Stock, names: tuple[str, str], prefix: str) -> None:
    layout = lay_out(SlotLabel(SLOT_CODE, *names), canvas_for(stock, Printer(dpi=203), prefix))
    for name in names:
        high = next(cap_mm(line.points) for line in layout.lines if line.text == name)
        assert high >= LEAST_SLOT_CAP_MM - 1e-6


@pytest.mark.parametrize("stock", CARD_STOCKS + SLOT_STOCKS, ids=lambda s: s.key)
def test_the_symbol_stands_twice_in_opposite_corners(stock: Stock) -> None:
    content: LabelContent = (
        CageCard(CARD_CODE, "F-014", Sex.FEMALE) if stock in CARD_STOCKS else SlotLabel(SLOT_CODE, "R2", "A3")
    )
    layout = lay_out(content, canvas_for(stock, Printer(dpi=203)))
    first, second = layout.symbols
    assert first.symbol == second.symbol
    assert first.quiet.x < 2 and first.quiet.y < 2
    assert second.quiet.right > layout.width - 2 and second.quiet.bottom > layout.height - 2
    assert apart(first.quiet, second.quiet)


def test_a_cage_card_has_no_place_for_price_buyer_or_address() -> None:
    names = {field.name for field in fields(CageCard)}
    assert names == {
        "code", "animal", "sex", "sex_unsure", "genetics", "doubt", "hatched", "prey", "flags", "name",
    }  # fmt: skip


@pytest.mark.parametrize("text", ["450 €", "$300 Pastel", "EUR 120", "wren@wren.example", "www.wren.example"])
def test_a_text_that_looks_like_a_price_or_an_address_is_refused(text: str) -> None:
    for where in ("genetics", "doubt", "hatched", "prey"):
        with pytest.raises(Refusal, match="F-014"):
            CageCard(CARD_CODE, "F-014", Sex.FEMALE, **{where: text})
    with pytest.raises(Refusal, match="F-014"):
        CageCard(CARD_CODE, "F-014", Sex.FEMALE, flags=(Flag("RESERVED", text),))


def test_three_flags_are_refused_and_a_slots_code_never_stands_on_a_card() -> None:
    with pytest.raises(Refusal, match="room for two flags, not 3"):
        CageCard(CARD_CODE, "F-014", Sex.FEMALE, flags=(Flag("A"), Flag("B"), Flag("C")))
    with pytest.raises(ValueError, match="kind S"):
        CageCard(SLOT_CODE, "F-014", Sex.FEMALE)
    with pytest.raises(ValueError, match="kind A"):
        SlotLabel(CARD_CODE, "R2", "A3")


def test_a_sign_the_letters_lack_is_told() -> None:
    card = CageCard(CARD_CODE, "F-014", Sex.FEMALE, genetics="Pastel 蛇")
    problems = lay_out(card, canvas_for(shipped_stock("roll-85x54"), Printer(dpi=203))).problems
    assert ["蛇" in str(problem) for problem in problems] == [True]


def test_text_goes_to_a_second_line_before_it_gets_smaller() -> None:
    one = fit("Pastel Enchi", 79, 14, points=16, weight=Weight.SEMIBOLD)
    two = fit("Pastel Enchi Yellow Belly het clown", 79, 14, points=16, weight=Weight.SEMIBOLD)
    many = fit("Pastel Enchi " * 9, 79, 14, points=16, weight=Weight.SEMIBOLD)
    assert (len(one.lines), one.points) == (1, 16)
    assert (len(two.lines), two.points) == (2, 16)
    assert many.points < 16 and many.whole
    cut = fit("Pastel Enchi " * 40, 79, 14, points=16, weight=Weight.SEMIBOLD)
    assert not cut.whole and cut.lines[-1].endswith("…") and cut.points == LEAST_POINTS


@given(words, st.floats(3, 90), st.floats(2, 20), st.sampled_from(list(Weight)))
def test_fitted_lines_are_never_wider_than_their_box(text: str, width: float, height: float, weight: Weight) -> None:
    fitted = fit(text, width, height, points=16, weight=weight)
    for line in fitted.lines:
        assert width_mm(line, fitted.points, weight) <= width + 1e-6
    if fitted.whole:
        assert "".join(fitted.lines).replace(" ", "") == "".join(text.split())


@pytest.mark.parametrize("weight", list(Weight))
def test_capitals_are_as_high_as_the_layout_believes(weight: Weight) -> None:
    """Read from the font by FreeType: the height of H at 2816 units."""
    box = ImageFont.truetype(font_path(weight), 2816).getbbox("H", anchor="ls")
    assert -box[1] / 2816 == pytest.approx(CAP_SHARE, abs=0.002)


@pytest.mark.parametrize(("length", "modules"), [(7, 25), (29, 25), (30, 29), (LONGEST_PAYLOAD, 29)])
def test_symbols_have_the_modules_of_the_standards_capacity_table(length: int, modules: int) -> None:
    """ISO/IEC 18004, alphanumeric mode at level Q: 29 characters in 25 modules, 47 in 29 (`from memory`)."""
    assert symbol("A" * length, LEAST_TWICE).modules == modules
    assert symbol("A" * length, LEAST_ALONE).modules == 29


def test_a_payload_past_29_modules_is_refused() -> None:
    with pytest.raises(Refusal, match="33 modules"):
        symbol("A" * (LONGEST_PAYLOAD + 1))


@given(st.lists(st.lists(st.booleans(), min_size=9, max_size=9), min_size=1, max_size=9))
def test_merged_runs_cover_exactly_the_dark_modules_once(matrix: list[list[bool]]) -> None:
    covered: dict[tuple[int, int], int] = {}
    for run in merge_runs(matrix):
        for y in range(run.y, run.y + run.height):
            for x in range(run.x, run.x + run.width):
                covered[x, y] = covered.get((x, y), 0) + 1
    dark = {(x, y) for y, row in enumerate(matrix) for x, value in enumerate(row) if value}
    assert covered == dict.fromkeys(dark, 1)
