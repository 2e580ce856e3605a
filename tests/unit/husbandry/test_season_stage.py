"""The stage of a season from events, and the fast before laying."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.pre_lay_fast import Offer, PastFast, Weight, past_fasts, pre_lay_fast
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.season_stage import (
    FollicleSeen,
    LockSeen,
    SeasonEvents,
    StaySeen,
    season_stage,
)
from coilbook.husbandry.stage_notes import stage_notes
from coilbook.records.season_vocabulary import FollicleMethod, LockCertainty, OvulationCertainty, SeasonStage
from coilbook.records.vocabulary import FeedingResult
from coilbook.wording.texts import render

BALL = shipped_profile("ball_python")
D = dt.date
TODAY = D(2026, 3, 22)
STAY = StaySeen("M-03", D(2026, 1, 20), D(2026, 1, 23))
PAIRED = SeasonEvents(
    stays=(STAY, replace(STAY, first=D(2026, 2, 10), last=D(2026, 2, 12))),
    locks=(LockSeen(D(2026, 2, 11), LockCertainty.LOCK),),
)
SCANNED = replace(PAIRED, follicles=(FollicleSeen(D(2026, 2, 5), FollicleMethod.ULTRASOUND, mm=32),))
OVULATED = replace(SCANNED, ovulation=KnownDay.on(D(2026, 2, 12)))
SHED = replace(OVULATED, shed=KnownDay.on(D(2026, 3, 3)))
LAID = replace(SHED, laid=KnownDay.on(D(2026, 3, 20)), start_dg=21400, weight_dg=13900)


@pytest.mark.parametrize(
    ("events", "stage"),
    [
        (SeasonEvents(), SeasonStage.RESTING),
        (SeasonEvents(cooled_since=D(2025, 11, 1)), SeasonStage.COOLED),
        (PAIRED, SeasonStage.PAIRING),
        (SCANNED, SeasonStage.BUILDING),
        (OVULATED, SeasonStage.GRAVID),
        (SHED, SeasonStage.PRE_LAY),
        (replace(SHED, shed_is_sure=False), SeasonStage.GRAVID),
        (LAID, SeasonStage.RECOVERING),
        (replace(LAID, weight_dg=20500), SeasonStage.RESTING),
        (replace(LAID, on_eggs=True), SeasonStage.BROODING),
        (replace(LAID, on_eggs=True, off_eggs=D(2026, 3, 21)), SeasonStage.RECOVERING),
        (replace(OVULATED, over=D(2026, 3, 20)), SeasonStage.RESTING),
    ],
)
def test_each_stage_has_its_reasons(events: SeasonEvents, stage: SeasonStage) -> None:
    found = season_stage(events, TODAY, BALL)
    assert found.stage is stage
    assert found.reasons
    assert all(render(reason) for reason in found.reasons)


def test_old_stays_and_small_follicles_do_not_count() -> None:
    later = TODAY + dt.timedelta(days=60)
    assert season_stage(PAIRED, later, BALL).stage is SeasonStage.RESTING
    small = replace(PAIRED, follicles=(FollicleSeen(D(2026, 2, 5), FollicleMethod.ULTRASOUND, mm=11),))
    assert season_stage(small, TODAY, BALL).stage is SeasonStage.PAIRING


def test_felt_and_scanned_are_told_apart() -> None:
    both = replace(
        SCANNED, follicles=(*SCANNED.follicles, FollicleSeen(D(2026, 3, 1), FollicleMethod.PALPATION, grade=4))
    )
    told = " ".join(str(r) for r in season_stage(both, TODAY, BALL).reasons)
    assert "32 mm" in told and "grade 4 of 5" in told
    assert "published: Evaluation of the follicular cycle" in told


def test_an_unsure_ovulation_and_an_unrecorded_weight_say_so() -> None:
    unsure = replace(OVULATED, ovulation_certainty=OvulationCertainty.UNSURE)
    assert "can have been a meal" in str(season_stage(unsure, TODAY, BALL).reasons[1])
    assert "not known" in str(season_stage(replace(LAID, weight_dg=None), TODAY, BALL).reasons[-1])


@pytest.mark.parametrize(("events", "longest"), [(OVULATED, 68), (SHED, 40)])
def test_long_overdue_is_asked_about(events: SeasonEvents, longest: int) -> None:
    known = events.shed or events.ovulation
    assert known is not None
    for days, asked in ((longest, False), (longest + 1, True)):
        found = season_stage(events, known.earliest + dt.timedelta(days=days), BALL)
        assert any(f"the {longest} days that are claimed" in str(r) for r in found.reasons) == asked


def test_every_stage_says_what_goes_wrong_and_when_to_call_a_vet() -> None:
    for stage in SeasonStage:
        notes = stage_notes(stage)
        assert notes[-1].vet and len(notes) > 1
        assert all(render(note.told) and note.mark for note in notes)
    eggs_inside = (SeasonStage.GRAVID, SeasonStage.PRE_LAY, SeasonStage.BROODING, SeasonStage.RECOVERING)
    assert all(any("straining" in str(n.told) for n in stage_notes(stage)) for stage in eggs_inside)


def test_tolerance_comes_with_the_stage() -> None:
    gravid, resting = season_stage(OVULATED, TODAY, BALL), season_stage(SeasonEvents(), TODAY, BALL)
    assert gravid.tolerance is not None and (gravid.tolerance.look, gravid.tolerance.alarm) == (0.08, 0.12)
    assert resting.tolerance is None


def test_a_laying_not_known_to_the_day_says_so() -> None:
    month = SeasonEvents(laid=KnownDay(D(2026, 3, 1), D(2026, 3, 31)))
    told = render(season_stage(month, D(2026, 4, 10), BALL).reasons[0])
    assert told == "Laid about 16 Mar 2026, day 25 give or take 15 (day of laying is day 0)."
    week = SeasonEvents(laid=KnownDay.on(D(2026, 3, 16), 4))
    assert "day 25 give or take 4" in render(season_stage(week, D(2026, 4, 10), BALL).reasons[0])


# --- the fast ---------------------------------------------------------------------------------------------------

REFUSED = [Offer(D(2026, 2, n), FeedingResult.REFUSED) for n in (13, 20, 27)]
OFFERS = [Offer(D(2026, 2, 6), FeedingResult.TAKEN), *REFUSED, Offer(D(2026, 3, 6), FeedingResult.STRUCK),
          Offer(D(2026, 3, 13), FeedingResult.REFUSED), Offer(D(2026, 3, 20), FeedingResult.NOT_OFFERED)]  # fmt: skip
WEIGHTS = [Weight(D(2026, 2, 5), 21400), Weight(TODAY, 19850)]
LAYING = Window(0.8, D(2026, 3, 27), D(2026, 4, 4), 0.88)


def test_scenario_of_an_expected_fast() -> None:
    """2,140 g, then 1,985 g gravid: -7.2% is expected; would alarm at 1,883 g."""
    fast = pre_lay_fast(OFFERS, WEIGHTS, season_stage(SHED, TODAY, BALL), LAYING, (), TODAY, BALL)
    assert (fast.days, fast.refused, fast.not_offered, fast.permille) == (44, 5, 9, -72)
    assert fast.alarm_dg == 18832
    told = " ".join(render(m) for m in fast.told)
    assert "44 days since the last meal, close to laying." in told
    assert "-7.2% since 5 Feb 2026: expected in this stage. Would alarm at 1,883.2 g." in told
    assert fast.ends == (D(2026, 3, 29), D(2026, 4, 11))


@pytest.mark.parametrize(("mass", "words"), [(19500, "look at her"), (18500, "ask a vet")])
def test_too_much_lost_is_told(mass: int, words: str) -> None:
    weights = [WEIGHTS[0], Weight(TODAY, mass)]
    fast = pre_lay_fast(OFFERS, weights, season_stage(SHED, TODAY, BALL), LAYING, (), TODAY, BALL)
    assert any(words in str(m) for m in fast.told)


def test_one_weight_from_before_the_fast_says_nothing_of_it() -> None:
    fast = pre_lay_fast(OFFERS, WEIGHTS[:1], season_stage(SHED, TODAY, BALL), LAYING, (), TODAY, BALL)
    assert fast.permille is None
    assert "Not weighed since 5 Feb 2026: what the fast costs her is not known." in [render(m) for m in fast.told]


def test_nothing_on_record_is_not_a_fast_of_nought_days() -> None:
    fast = pre_lay_fast([], [], season_stage(SHED, TODAY, BALL), None, (), TODAY, BALL)
    assert (fast.days, fast.not_offered, fast.permille, fast.ends) == (None, None, None, None)
    told = " ".join(str(m) for m in fast.told)
    assert "No meal of hers is on record" in told and "Not weighed" in told


def test_past_fasts_around_earlier_layings() -> None:
    offers = [Offer(D(2024, 12, 1), FeedingResult.TAKEN), Offer(D(2025, 2, 1), FeedingResult.REFUSED),
              Offer(D(2025, 4, 10), FeedingResult.TAKEN_LATE), *OFFERS]  # fmt: skip
    weights = [Weight(D(2024, 11, 30), 20000), Weight(D(2025, 3, 20), 18600), *WEIGHTS]
    past = past_fasts(offers, weights, [D(2025, 4, 2)])
    assert past == (PastFast(D(2025, 4, 2), D(2024, 12, 1), D(2025, 4, 10), -70),)
    fast = pre_lay_fast(offers, weights, season_stage(SHED, TODAY, BALL), LAYING, past, TODAY, BALL)
    assert "Her own fast before: 130 d." in [str(m) for m in fast.told]
    assert past_fasts([], weights, [D(2025, 4, 2)]) == ()
