"""Mass balance at laying, and the water of a box by weight."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.husbandry.egg_box import BoxNow, LookAtBox, loss_rate, top_up, water_balance
from coilbook.husbandry.mass_balance import Balance, Laying, Weighed, mass_balance
from coilbook.husbandry.profile import shipped_profile
from coilbook.records.egg_vocabulary import Medium
from coilbook.wording.texts import render

BALL = shipped_profile("ball_python")
LAID = dt.date(2026, 3, 31)
SCENARIO = Laying(LAID, Weighed(dt.date(2026, 3, 22), 19850), Weighed(LAID, 13900), 5660, 0, laid=8, scanned=8)


# --- mass balance -----------------------------------------------------------------------------------------------


def test_scenario_of_a_balance() -> None:
    """1,985 g less 566 g of eggs leaves 1,419 g expected, 0 to 3% of 1,985 g lost beside; she weighs 1,390 g: fine."""
    balance = mass_balance(SCENARIO, BALL)
    assert balance.expected_dg == (13594, 14190)
    assert (balance.verdict, balance.off_dg) == (Balance.AS_EXPECTED, 0)
    assert balance.of_before == pytest.approx(566 / 1985)
    assert balance.of_after == pytest.approx(566 / 1390)
    assert "1,985 g before less 566 g of eggs" in render(balance.told[0])


def test_two_definitions_of_relative_clutch_mass() -> None:
    """0.32 of the mass before is 0.47 of the mass after (Ellis & Chappell 1987; 0.32 / 0.68, computed)."""
    laying = replace(SCENARIO, before=Weighed(LAID, 10000), after=Weighed(LAID, 6800), clutch_dg=3200)
    balance = mass_balance(laying, BALL)
    assert balance.of_before == pytest.approx(0.32)
    assert balance.of_after == pytest.approx(0.4706, abs=1e-4)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"before": None}, "not weighed before"),
        ({"before": Weighed(dt.date(2026, 3, 16), 19850)}, "15 days before laying"),
        ({"after": None}, "not weighed within 3 days after"),
        ({"after": Weighed(dt.date(2026, 4, 9), 13900)}, "not weighed within 3 days after"),
        ({"ate": True}, "took a meal"),
        ({"clutch_dg": None}, "clutch was not weighed"),
        ({"unweighed": 1}, "1 egg or slug was not weighed"),
    ],
)
def test_not_computable_says_why(change: dict[str, object], words: str) -> None:
    balance = mass_balance(replace(SCENARIO, **change), BALL)  # type: ignore[arg-type]
    assert balance.verdict is Balance.NOT_COMPUTABLE
    assert (balance.expected_dg, balance.off_dg, balance.of_before) == (None, None, None)
    assert words in " ".join(str(m) for m in balance.told)


@pytest.mark.parametrize(
    ("after", "laid", "scanned", "verdict"),
    [
        (15700, 6, 8, Balance.ASK_A_VET),
        (15700, 6, None, Balance.ASK_A_VET),
        (15700, 8, 8, Balance.HEAVIER),
        (14800, 8, 8, Balance.HEAVIER),
        (14300, 8, 8, Balance.AS_EXPECTED),
        (12900, 8, 8, Balance.LIGHTER),
    ],
)
def test_retained_eggs_ask_for_a_vet_and_small_differences_do_not(
    after: int, laid: int, scanned: int | None, verdict: Balance
) -> None:
    balance = mass_balance(replace(SCENARIO, after=Weighed(LAID, after), laid=laid, scanned=scanned), BALL)
    assert balance.verdict is verdict
    told = " ".join(str(m) for m in balance.told)
    assert ("no diagnosis" in told) == (verdict is Balance.ASK_A_VET)


# --- water ------------------------------------------------------------------------------------------------------


def test_gravimetric_check() -> None:
    """Dry 500 g + water 500 g + eggs 480 g + box 320 g; now 1,771 g, eggs 492 g: 29 g lost, 459 g of water left,
    41 g restore the medium, 29 g the total (computed in the handbook)."""
    box = BoxNow(Medium.VERMICULITE, 18000, 17710, eggs_dg=(4800, 4920), water_dg=5000)
    balance = water_balance(box)
    assert (balance.lost_dg, balance.total_dg, balance.medium_dg, balance.medium_now_dg) == (290, 290, 410, 4590)


def test_scenario_of_a_removed_egg() -> None:
    """1,864 g set up, an egg of 82 g taken out, now 1,768 g: 14 g to pour, not 96."""
    balance = water_balance(BoxNow(Medium.VERMICULITE, 18640, 17680, taken_out_dg=820))
    assert (balance.lost_dg, balance.total_dg, balance.medium_dg) == (140, 140, None)
    told = " ".join(str(m) for m in balance.told)
    assert "not weighed apart" in told
    poured = top_up(balance, LookAtBox(30, drips=False, dents=False, days_to_hatch=25), BALL)
    assert poured.pour_dg == 140
    assert render(poured.told[0]) == "Pour 14 g at the wall, never on the eggs, at the temperature of the box."


def test_water_poured_before_is_not_poured_again() -> None:
    """20 g lost and made good, then 9 g more: 29 g lost in all, 9 g to pour."""
    balance = water_balance(BoxNow(Medium.VERMICULITE, 18000, 17910, added_dg=200))
    assert (balance.lost_dg, balance.total_dg) == (290, 90)


@given(st.integers(0, 500), st.integers(0, 500), st.integers(0, 900), st.integers(-150, 150))
def test_pouring_restores(evaporated: int, added: int, taken: int, gained: int) -> None:
    """Simulated box: after pouring the total is what it was less what was taken out; the medium's water likewise."""
    set_up, water = 18000, 5000
    now = set_up - evaporated + added - taken
    balance = water_balance(BoxNow(Medium.VERMICULITE, set_up, now, added, taken, (4800, 4800 + gained), water))
    assert balance.lost_dg == evaporated
    assert balance.total_dg is not None and balance.medium_now_dg is not None and balance.medium_dg is not None
    if evaporated >= added:
        assert now + balance.total_dg == set_up - taken
    assert balance.medium_now_dg == water - evaporated - gained + added
    assert balance.medium_now_dg + balance.medium_dg == max(water, balance.medium_now_dg)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"medium": Medium.GRID}, "need no ratio"),
        ({"lid_alike": False}, "not computable"),
        ({"taken_out_dg": None}, "not weighed"),
    ],
)
def test_what_cannot_be_computed(change: dict[str, object], words: str) -> None:
    balance = water_balance(replace(BoxNow(Medium.VERMICULITE, 18640, 17680), **change))  # type: ignore[arg-type]
    assert (balance.lost_dg, balance.total_dg) == (None, None)
    assert words in str(balance.told[0])
    assert top_up(balance, LookAtBox(30, False, False, 25), BALL).pour_dg == 0


def test_two_clutches_share_the_total_only() -> None:
    balance = water_balance(BoxNow(Medium.VERMICULITE, 18640, 18500, clutches=2))
    assert balance.total_dg == 140
    assert "loss of each is not computable" in str(balance.told[1])


def test_a_box_that_got_heavier_is_questioned() -> None:
    balance = water_balance(BoxNow(Medium.VERMICULITE, 18000, 18300))
    assert balance.total_dg == 0
    assert "heavier than it can be" in str(balance.told[0])


@pytest.mark.parametrize(
    ("look", "pours", "words"),
    [
        (LookAtBox(30, True, False, 25), False, "runs down"),
        (LookAtBox(50, False, False, 6), False, "Within 10 days"),
        (LookAtBox(38, False, True, 8), True, "too dry until shown otherwise"),
        (LookAtBox(47, False, True, 12), True, "usual late"),
        (LookAtBox(20, False, False, None), True, "Pour"),
    ],
)
def test_reasons_not_to_pour(look: LookAtBox, pours: bool, words: str) -> None:
    poured = top_up(water_balance(BoxNow(Medium.VERMICULITE, 18640, 18500)), look, BALL)
    assert (poured.pour_dg > 0) == pours
    assert words in " ".join(str(m) for m in poured.told)


def test_dents_between_early_and_late_say_neither() -> None:
    """Before day 40 too dry, from day 45 on usual; in between neither is claimed."""
    look = LookAtBox(42, drips=False, dents=True, days_to_hatch=15)
    assert len(top_up(water_balance(BoxNow(Medium.VERMICULITE, 18640, 18500)), look, BALL).told) == 1


def test_loss_a_day_and_next_refill() -> None:
    """0.7 g a day from 217 g of water: a tenth of it, 21.7 g, is gone on day 31."""
    rate = loss_rate(((0, 0), (20, 140)), 2170, BALL)
    assert rate is not None
    assert rate.per_day_dg == pytest.approx(7)
    assert rate.refill_day == 31
    assert "0.7 g a day" in str(rate.told[0])
    # day 31 is in the last ten days before a window that opens on day 40, and not before one of day 42
    late = loss_rate(((0, 0), (20, 140)), 2170, BALL, hatch_day=40)
    assert late is not None and late.refill_day is None and "No refill is due" in str(late.told[-1])
    early = loss_rate(((0, 0), (20, 140)), 2170, BALL, hatch_day=42)
    assert early is not None and early.refill_day == 31
    assert loss_rate(((0, 0), (2, 14)), 2170, BALL) is None, "two days tell nothing of a gram a day"
