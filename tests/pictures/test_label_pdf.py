"""Labels read back from the PDF: every stock and printer, spoiled in every way; positions measured."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter

from coilbook.labels.lay_out import canvas_for, lay_out
from coilbook.labels.stock import Printer, Stock, StockForm, place_labels, shipped_stock, shipped_stocks
from coilbook.printing.offset_sheet import TEST_TEXTS, offset_test_pdf
from coilbook.printing.sheets import LabelRun, label_pdf, write_pdf
from coilbook.records.message import Refusal, StorageTrouble
from coilbook.scanning.pictures import texts_in_array
from tests.pictures import decode_table
from tests.pictures.label_samples import (
    MM_PER_INCH,
    Sample,
    all_pages,
    as_array,
    cage_cards,
    contents_for,
    page_picture,
    roll_sample,
    slot_labels,
)

PREFIXES = ("", "HTTPS://WREN.EXAMPLE/", "HTTPS://WREN.EXAMPLE/BOOK/2026/CODES/")
PRINTED = [stock for stock in shipped_stocks() if contents_for(stock)]
ROLLS = [stock for stock in PRINTED if stock.form is StockForm.ROLL]


def roll_samples(dpi: int) -> list[Sample]:
    return [
        roll_sample(stock, content, dpi, prefix)
        for stock in ROLLS
        for content in contents_for(stock)
        for prefix in PREFIXES
    ]


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("stock", PRINTED, ids=lambda s: s.key)
def test_every_label_is_read_back(stock: Stock, dpi: int) -> None:
    """Both symbols of each label, not only one of them."""
    contents = contents_for(stock)
    for prefix in PREFIXES:
        printed = label_pdf(LabelRun(contents, stock, Printer(dpi=dpi), first=stock.per_page - 1, prefix=prefix))
        assert printed is not None
        found = []
        for page in all_pages(printed.pdf, dpi):
            for half in (_upper_left_gone(page, stock), page):
                found += texts_in_array(as_array(half))
        assert set(found) == {prefix + content.code.text for content in contents}


def _upper_left_gone(page: Image.Image, stock: Stock) -> Image.Image:
    """On a roll the first symbol is painted over, so that the second one has to be read by itself."""
    if stock.form is StockForm.SHEET:
        return page
    spoiled = page.copy()
    spoiled.paste(255, (0, 0, page.width // 2, page.height // 2))
    return spoiled


@pytest.mark.parametrize("dpi", [203, 300])
def test_each_of_the_two_symbols_reads_alone(dpi: int) -> None:
    for sample in roll_samples(dpi):
        for placed in sample.layout.symbols:
            box = placed.quiet
            dots = sample.dots_per_mm
            cut = sample.picture.crop(
                (int(box.x * dots), int(box.y * dots), round(box.right * dots), round(box.bottom * dots))
            )
            assert decode_table.codes_of(texts_in_array(as_array(cut))) == {sample.code}


@pytest.mark.parametrize("dpi", [203, 300])
def test_modules_of_a_roll_are_whole_dots(dpi: int) -> None:
    """Rendered at the printer's own dots a symbol has no grey: every edge falls between two dots."""
    for sample in roll_samples(dpi):
        pixels = as_array(sample.picture)
        for placed in sample.layout.symbols:
            dots = sample.dots_per_mm
            left, top = round(placed.x * dots), round(placed.y * dots)
            side = round(placed.symbol.modules * placed.module * dots)
            # two of 255 steps: the page is a thousandth of a point short of its whole dots
            inside = pixels[top : top + side, left : left + side]
            assert ((inside <= 2) | (inside >= 253)).all()
            assert side % placed.symbol.modules == 0


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("share", [0.25, 0.42])
def test_blurred_labels_are_read(dpi: int, share: float) -> None:
    """The blur's sigma is a share of a module: 0.42 of four dots are 1.7 dots."""
    for sample in roll_samples(dpi):
        sigma = share * sample.layout.symbols[0].module * sample.dots_per_mm
        blurred = sample.picture.filter(ImageFilter.GaussianBlur(sigma))
        assert decode_table.codes_of(texts_in_array(as_array(blurred))) == {sample.code}


@pytest.mark.parametrize("dpi", [203, 300])
def test_noisy_labels_are_read(dpi: int) -> None:
    """A camera has several frames: each label is read in one of three, and all but 1 in 20 in the first."""
    samples, missed = roll_samples(dpi), 0
    for number, sample in enumerate(samples):
        pixels = as_array(sample.picture).astype(float)
        for frame in range(3):
            rng = np.random.default_rng([dpi, number, frame])
            noisy = np.clip(pixels * 0.7 + 30 + rng.normal(0, 30, pixels.shape), 0, 255).astype(np.uint8)
            if decode_table.codes_of(texts_in_array(noisy)) == {sample.code}:
                missed += frame > 0
                break
        else:
            raise AssertionError(f"{sample.code.text} was read in none of three frames")
    assert missed <= len(samples) / 20


@pytest.mark.parametrize("dpi", [203, 300])
def test_turned_labels_are_read(dpi: int) -> None:
    rng = np.random.default_rng(dpi + 1)
    for sample in roll_samples(dpi):
        angle = float(rng.uniform(0, 360))
        turned = sample.picture.rotate(angle, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=90)
        assert decode_table.codes_of(texts_in_array(as_array(turned))) == {sample.code}


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("prefix", PREFIXES[:2])
def test_a_stain_of_a_tenth_leaves_two_symbol_labels_readable(dpi: int, prefix: str) -> None:
    """300 stains a case, anywhere on either symbol: at least 99% read, none read as another code."""
    result = decode_table.tally(decode_table.two_symbol_samples(dpi, prefix), 0.10, 300, seed=dpi)
    assert result.rate >= 0.99
    assert result.wrong == 0
    assert result.hit_tried > 50, "the stains really fell on finder squares too"


@pytest.mark.parametrize("dpi", [203, 300])
def test_a_single_symbol_never_reads_as_another_code(dpi: int) -> None:
    """The rate is published by the table; here only that a stain can hide a code but not change it."""
    result = decode_table.tally(decode_table.one_symbol_samples(dpi), 0.10, 150, seed=dpi)
    assert result.wrong == 0
    assert 0.4 < result.rate < 1.0


@pytest.mark.parametrize("offset", [(0.0, 0.0), (0.4, -0.2)])
@pytest.mark.parametrize("key", ["a4-cards-85x54", "a4-2x4-99x68", "letter-2x5-102x51", "a4-3x8-64x34", "a4-3x7-64x38"])
def test_positions_are_true_within_a_tenth_of_a_millimetre(key: str, offset: tuple[float, float]) -> None:
    """Measured on the page as rendered at 508 dpi (20 dots a mm): where each first symbol's dark begins."""
    stock = shipped_stock(key)
    printer = Printer(offset_right=offset[0], offset_down=offset[1])
    contents = (contents_for(stock) * stock.per_page)[: stock.per_page]
    printed = label_pdf(LabelRun(contents, stock, printer))
    assert printed is not None
    dots = 20.0
    pixels = as_array(page_picture(printed.pdf, round(dots * MM_PER_INCH)))
    assert abs(pixels.shape[0] - stock.page_height * dots) <= 1
    assert abs(pixels.shape[1] - stock.page_width * dots) <= 1
    for place, content in zip(place_labels(len(contents), stock), contents):
        placed = lay_out(content, canvas_for(stock, printer)).symbols[0]
        should_x, should_y = place.x + placed.x + offset[0], place.y + placed.y + offset[1]
        size = placed.module * 7
        left, top = round((should_x - 1) * dots), round((should_y - 1) * dots)
        finder = pixels[top : top + round((size + 1) * dots), left : left + round((size + 1) * dots)] < 128
        is_x = left / dots + np.flatnonzero(finder.any(axis=0))[0] / dots
        is_y = top / dots + np.flatnonzero(finder.any(axis=1))[0] / dots
        assert abs(is_x - should_x) < 0.1
        assert abs(is_y - should_y) < 0.1


def test_positions_before_the_first_free_one_stay_empty() -> None:
    stock = shipped_stock("a4-cards-85x54")
    printed = label_pdf(LabelRun(cage_cards(), stock, first=3))
    assert printed is not None
    pixels = as_array(page_picture(printed.pdf, 100))
    _, y = stock.corner_of(3)
    above = int(y / MM_PER_INCH * 100)
    assert (pixels[: above + 100, : pixels.shape[1] // 2] == 255).all()
    assert (pixels[above:, pixels.shape[1] // 2 :] < 128).any()


def test_letters_are_embedded_and_can_be_read_back_as_text() -> None:
    printed = label_pdf(LabelRun(cage_cards(), shipped_stock("a4-cards-85x54")))
    assert printed is not None
    document = pypdfium2.PdfDocument(BytesIO(printed.pdf))
    text = document[0].get_textpage().get_text_range()
    document.close()
    for word in ("F-014", "♀ F", "♂ M", "GRAVID", "hatched 2021", cage_cards()[0].code.shown):
        assert word in text
    assert b"/FontFile2" in printed.pdf
    assert b"/Subtype /Image" not in printed.pdf


def test_what_does_not_fit_is_reported_by_animal() -> None:
    printed = label_pdf(LabelRun(cage_cards(), shipped_stock("a4-cards-85x54")))
    assert printed is not None
    assert printed.problems
    assert all("WREN-2024-CLUTCH-014-07" in str(problem) for problem in printed.problems)


def test_a_run_over_many_pages_tells_its_progress_and_can_be_cancelled() -> None:
    cards = cage_cards() * 12
    told: list[tuple[int, int]] = []
    run = LabelRun(cards, shipped_stock("a4-cards-85x54"), first=9)
    printed = label_pdf(run, progress=lambda done, total: told.append((done, total)))
    assert printed is not None
    assert printed.pages == 6
    assert len(all_pages(printed.pdf, 20)) == 6
    assert told[0] == (0, 48) and told[-1] == (48, 48) and told == sorted(told)
    assert label_pdf(run, cancelled=lambda: len(told) > 0) is None


def test_stock_without_room_for_the_content_is_refused() -> None:
    with pytest.raises(Refusal, match="no room"):
        label_pdf(LabelRun(cage_cards(), shipped_stock("roll-57x32"), Printer(dpi=203)))
    with pytest.raises(Refusal, match="203 / 300"):
        label_pdf(LabelRun(slot_labels(), shipped_stock("roll-57x32"), Printer(dpi=600)))


def test_the_same_run_gives_the_same_bytes() -> None:
    run = LabelRun(cage_cards(), shipped_stock("a4-cards-85x54"))
    one, two = label_pdf(run), label_pdf(run)
    assert one is not None and two is not None
    assert one.pdf == two.pdf


@pytest.mark.parametrize(
    ("key", "dpi"), [("a4-3x7-64x38", 300), ("roll-50x25", 203), ("roll-50x25", 300), ("roll-102x51", 203)]
)
def test_the_test_sheet_has_three_readable_sizes_and_true_scales(key: str, dpi: int) -> None:
    stock = shipped_stock(key)
    printed = offset_test_pdf(stock, Printer(dpi=dpi, offset_right=3.0))
    pages = all_pages(printed.pdf, dpi)
    assert len(pages) == printed.pages
    found = [text for page in pages for text in texts_in_array(as_array(page))]
    assert sorted(found) == list(TEST_TEXTS)
    assert not decode_table.codes_of(tuple(found)), "a test symbol is never taken for a label"
    fine = as_array(page_picture(printed.pdf, 1016))
    _assert_scale_is_centred(fine.T if fine.shape[0] > fine.shape[1] else fine)


def _assert_scale_is_centred(pixels: np.ndarray) -> None:
    """The longest thin line of the outer strip across the page's longer side lies centred on it."""
    middle = pixels.shape[1] / 2
    strip = pixels[:, int(middle - 260) : int(middle + 260)] < 160
    runs = strip[: pixels.shape[0] // 2].sum(axis=1)
    row = int(np.flatnonzero((runs > 300) & (runs < 500))[0])
    dark = np.flatnonzero(strip[row])
    assert abs((dark[0] + dark[-1] + 1) / 2 - strip.shape[1] / 2) <= 0.1 * 40


def test_a_pdf_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "cards.pdf"
    write_pdf(b"%PDF-1", target)
    assert target.read_bytes() == b"%PDF-1"
    assert list(tmp_path.iterdir()) == [target]
    with pytest.raises(StorageTrouble, match="could not be written"):
        write_pdf(b"%PDF-1", tmp_path / "gone" / "cards.pdf")
