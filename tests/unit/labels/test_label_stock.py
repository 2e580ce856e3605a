"""Stock: every shipped entry adds up, positions, first free position, printers, whole dots."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.labels.layout import CODE_ROOM_MM, whole_dot_module
from coilbook.labels.stock import (
    LabelKind,
    Printer,
    Stock,
    StockForm,
    check_printer,
    dot_mm,
    margin_warning,
    page_size,
    pages_needed,
    place_labels,
    read_stocks,
    shipped_stock,
    shipped_stocks,
)
from coilbook.records.message import Refusal, StorageTrouble

# columns, rows, width, height, step across, step down, left, top, page: generic sheet sizes (`common practice`)
SHEETS = {
    "a4-3x7-64x38": (3, 7, 63.5, 38.1, 66.0, 38.1, 7.25, 15.15),
    "a4-3x8-64x34": (3, 8, 63.5, 33.9, 66.0, 33.9, 7.25, 12.9),
    "a4-2x7-99x38": (2, 7, 99.1, 38.1, 101.6, 38.1, 4.65, 15.15),
    "a4-2x4-99x68": (2, 4, 99.1, 67.7, 101.6, 67.7, 4.65, 13.1),
    "a4-4x10-49x25": (4, 10, 48.5, 25.4, 48.5, 25.4, 8.0, 21.5),
    "a4-5x13-38x21": (5, 13, 38.1, 21.2, 40.6, 21.2, 4.75, 10.7),
    "a4-cards-85x54": (2, 5, 85.0, 54.0, 95.0, 54.0, 15.0, 13.5),
    "letter-3x10-67x25": (3, 10, 66.675, 25.4, 69.85, 25.4, 4.7625, 12.7),
}
sheets = [stock for stock in shipped_stocks() if stock.form is StockForm.SHEET]
rolls = [stock for stock in shipped_stocks() if stock.form is StockForm.ROLL]


@pytest.mark.parametrize("key", SHEETS)
def test_sheets_have_the_published_geometry(key: str) -> None:
    s = shipped_stock(key)
    figures = (
        s.columns, s.rows, s.label_width, s.label_height, s.column_step, s.row_step, s.left, s.top,
    )  # fmt: skip
    assert figures == SHEETS[key]


@pytest.mark.parametrize("stock", sheets, ids=lambda s: s.key)
def test_a_sheet_is_centred_on_its_page(stock: Stock) -> None:
    """The edges are derived by centring; a slip in any figure of an entry shows here."""
    right, bottom = stock.corner_of(stock.per_page - 1)
    assert stock.page_width - right - stock.label_width == pytest.approx(stock.left, abs=0.06)
    assert stock.page_height - bottom - stock.label_height == pytest.approx(stock.top, abs=0.06)


def test_keys_are_unique_and_every_entry_tells_its_provenance() -> None:
    keys = [stock.key for stock in shipped_stocks()]
    assert len(keys) == len(set(keys))
    assert all(stock.provenance.strip() for stock in shipped_stocks())


def test_every_kind_has_stock_and_every_stock_a_kind_but_those_for_plain_use() -> None:
    for kind in LabelKind:
        assert any(stock.suits(kind) for stock in shipped_stocks()), kind
    for size in ("57x32", "62x29"):
        assert shipped_stock(f"roll-{size}").suits(LabelKind.SLOT)
    for key in ("a4-cards-85x54", "letter-cards-85x54", "roll-102x51", "roll-85x54"):
        assert shipped_stock(key).suits(LabelKind.CAGE_CARD)
    assert not shipped_stock("roll-57x32").suits(LabelKind.CAGE_CARD)


@given(st.sampled_from(sheets), st.integers(0, 200), st.data())
def test_positions_follow_each_other_from_the_first_free_one(stock: Stock, count: int, data: st.DataObject) -> None:
    first = data.draw(st.integers(0, stock.per_page - 1))
    places = list(place_labels(count, stock, first))
    assert [p.page * stock.per_page + p.position for p in places] == list(range(first, first + count))
    assert (places[-1].page + 1 if places else 0) == pages_needed(count, stock, first)
    for p in places:
        assert (p.x, p.y) == stock.corner_of(p.position)


def test_a_first_position_off_the_sheet_is_refused() -> None:
    with pytest.raises(Refusal, match="10 positions"):
        list(place_labels(1, shipped_stock("a4-cards-85x54"), 10))


@pytest.mark.parametrize("stock", rolls, ids=lambda s: s.key)
@pytest.mark.parametrize("dpi", [203, 300])
def test_a_roll_is_a_whole_number_of_dots(stock: Stock, dpi: int) -> None:
    for side, nominal in zip(page_size(stock, Printer(dpi=dpi)), (stock.page_width, stock.page_height)):
        dots = side / dot_mm(dpi)
        assert dots == pytest.approx(round(dots), abs=1e-6)
        assert 0 <= nominal - side < dot_mm(dpi)


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("modules", [21, 25, 29])
def test_modules_are_whole_dots_and_at_least_half_a_millimetre(dpi: int, modules: int) -> None:
    module = whole_dot_module(modules + 8, dpi, CODE_ROOM_MM)
    dots = module / dot_mm(dpi)
    assert dots == pytest.approx(round(dots))
    assert module >= 0.5
    assert module * (modules + 8) <= CODE_ROOM_MM


def test_a_printer_with_other_dots_is_refused() -> None:
    with pytest.raises(Refusal, match="203 / 300 dpi, not for 180"):
        check_printer(shipped_stock("roll-57x32"), Printer(dpi=180))
    check_printer(shipped_stock("a4-cards-85x54"), Printer(dpi=180))


def test_a_printer_of_impossible_measures_is_refused() -> None:
    with pytest.raises(Refusal, match="at most 10 mm"):
        Printer(offset_right=40)
    with pytest.raises(Refusal, match="between 0 and 25"):
        Printer(margin=-1)


def test_labels_in_the_printers_white_edge_are_told() -> None:
    stock = shipped_stock("a4-2x7-99x38")
    assert margin_warning(stock, Printer(margin=4.5)) is None
    told = margin_warning(stock, Printer(margin=4.5, offset_right=-0.4))
    assert told is not None
    assert "4.2 mm" in str(told)


def test_an_entry_that_does_not_add_up_is_named() -> None:
    entry = (
        '[[stock]]\nkey="odd"\nname="Odd"\nform="sheet"\npage=[210,297]\nlabel=[110,50]\ngrid=[2,2]\n'
        'step=[100,50]\nfirst=[0,0]\nprovenance="invented"\n'
    )
    with pytest.raises(StorageTrouble, match="'odd' does not add up"):
        read_stocks(entry)
