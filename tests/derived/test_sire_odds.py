"""Who sired a clutch, before and after what hatched, through a real laying and hatching; worked out by Mendel's law."""

from __future__ import annotations

from io import BytesIO

import pypdfium2
import pytest

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.hatching import NewHatchling, make_hatchlings
from coilbook.printing.clutch_sheet import clutch_sheet_pdf
from coilbook.reads.clutch_sheet import clutch_sheet
from coilbook.reads.egg_boxes import clutches
from coilbook.reads.sire_odds import SireOdds, doubtful_clutches, sire_odds
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import ClutchId, EggId
from coilbook.storage.collection import Collection
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.derived.family import Family
from tests.operations.conftest import Clock


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def clutch(family: Family, clock: Clock, *looks: str, each_own: bool = False, **sires: int) -> SireOdds | None:
    """A clutch of F-1 by these sires ("M_1": percent) of which young of these looks are out."""
    shares = {family.ids[name.replace("_", "-")]: percent for name, percent in sires.items()}
    eggs = read_egg_line(" ".join(["80"] * len(looks)))
    lay_clutch(family.book, laying=Laying(dam=family.ids["F-1"], eggs=eggs, sires=shares, each_own=each_own))
    clock.pass_(days=58)
    young = [NewHatchling(egg=EggId(number), genetics=look) for number, look in enumerate(looks, 1)]
    make_hatchlings(family.book, young=young, at=clock.now)
    return sire_odds(family.book, [ClutchId(1)]).get(ClutchId(1))


def said(odds: SireOdds) -> list[str]:
    return [render(step.told) for step in odds.steps]


def test_a_look_both_can_give_moves_the_odds_and_one_that_would_settle_them_is_named(
    family: Family, clock: Clock
) -> None:
    """Of a Pastel dam a normal look comes 1 in 2 by a normal male and 1 in 4 by a Pastel one: 50 : 50 becomes 2 : 1."""
    family.add("F-1", "Pastel")
    family.add("M-1", "normal")
    family.add("M-2", "Pastel")
    odds = clutch(family, clock, "normal", "", M_1=50, M_2=50)
    assert odds is not None and odds.sires == ("M-1", "M-2") and odds.young == 2
    assert odds.before == odds.start == (0.5, 0.5)
    assert odds.now == pytest.approx((2 / 3, 1 / 3), abs=1e-12)
    assert [step.after for step in odds.steps] == [pytest.approx((2 / 3, 1 / 3), abs=1e-12)]
    assert [render(one) for one in odds.would] == ["Super Pastel would mean M-2"]


def test_each_gene_is_a_step_and_the_last_step_is_now(family: Family, clock: Clock) -> None:
    """Pastel alone leaves 2 : 1 for M-1, and an Enchi, which M-2 alone can give, settles it against that."""
    family.add("F-1", "Pastel")
    family.add("M-1", "normal")
    family.add("M-2", "Pastel Enchi")
    odds = clutch(family, clock, "normal", "Enchi", M_1=92, M_2=8)
    assert odds is not None and odds.before == pytest.approx((0.92, 0.08))
    assert odds.now == pytest.approx((0, 1), abs=1e-12)
    assert odds.steps[-1].after == odds.now and odds.would == ()
    # two without Pastel come 1 in 4 by M-1 and 1 in 16 by M-2
    assert odds.steps[0].after == pytest.approx((0.92 * 4 / (0.92 * 4 + 0.08), 0.08 / (0.92 * 4 + 0.08)))
    assert said(odds) == ["no Pastel: C26-01-1, C26-01-2", "no Enchi: C26-01-1; Enchi: C26-01-2"]


def test_without_a_doubt_without_young_or_with_a_sire_for_each_egg_there_is_nothing_to_weigh(
    family: Family, clock: Clock
) -> None:
    family.add("F-1", "Pastel")
    family.add("M-1", "normal")
    family.add("M-2", "Pastel")
    assert doubtful_clutches(family.book, [ClutchId(1)]) == ()
    assert clutch(family, clock, "Pastel", "Pastel", each_own=True, M_1=50, M_2=50) is None


def test_a_male_not_on_record_may_be_the_sire(family: Family, clock: Clock) -> None:
    """M-1 at 60%: a Clown young of a Clown dam needs a sire that carries it, which M-1 is taken not to."""
    family.add("F-1", "Clown")
    family.add("M-1", "normal")
    odds = clutch(family, clock, "Clown", M_1=60)
    assert odds is not None and odds.sires == ("M-1", "") and odds.before == pytest.approx((0.6, 0.4))
    assert odds.now[0] < 0.6 and sum(odds.now) == pytest.approx(1)


def test_the_printed_sheet_tells_who_sired_it_before_and_now(family: Family, clock: Clock) -> None:
    family.add("F-1", "Pastel")
    family.add("M-1", "normal")
    family.add("M-2", "Pastel")
    odds = clutch(family, clock, "normal", "", M_1=50, M_2=50)
    (its,) = clutches(family.book, [ClutchId(1)])
    sheet = clutch_sheet(family.book, its, None, None, clock.now.date(), odds=odds)
    pages = pypdfium2.PdfDocument(BytesIO(clutch_sheet_pdf(sheet, Style())))
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages)
    pages.close()
    assert "M-1: 67% by what hatched, 50% at laying" in text and "M-2: 33% by what hatched" in text
    assert "no Pastel: C26-01-1" in text
    without = clutch_sheet(family.book, its, None, None, clock.now.date())
    assert not any(render(name) == "Sire now" for name, _ in without.facts)
