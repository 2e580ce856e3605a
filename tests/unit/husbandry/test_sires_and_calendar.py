"""Odds of sires before anything hatched, and expected events as a calendar another library reads."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.calendar_text import CalendarEntry, calendar_text, expected_entry
from coilbook.husbandry.figures import Event, Interval
from coilbook.husbandry.forecast import SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import shipped_profile
from coilbook.husbandry.sire_prior import StayWithLocks, rule_told, sire_prior
from coilbook.records.season_vocabulary import LockCertainty
from coilbook.wording.style import Style
from coilbook.wording.texts import render

BALL = shipped_profile("ball_python")
D = dt.date
OVULATED, SEASON = KnownDay.on(D(2026, 2, 12)), D(2025, 9, 1)
LOCKED = StayWithLocks("M-03", D(2026, 2, 1), D(2026, 2, 3), ((D(2026, 2, 2), LockCertainty.LOCK),))
SEEN_COURTING = StayWithLocks("M-07", D(2026, 1, 10), D(2026, 1, 12), ((D(2026, 1, 11), LockCertainty.COURTING),))
LAST_YEAR = StayWithLocks("M-15", D(2025, 2, 1), D(2025, 2, 3), ((D(2025, 2, 2), LockCertainty.LOCK),))


def test_a_seen_lock_weighs_more_and_stored_sperm_little() -> None:
    shares = sire_prior([LAST_YEAR, SEEN_COURTING, LOCKED], OVULATED, SEASON, BALL)
    assert [s.male for s in shares] == ["M-03", "M-07", "M-15", ""]
    assert sum(s.share for s in shares) == pytest.approx(1)
    # by the rule: 3 days + 10 = 13; 3 days + 1 = 4; 0.3; 0.1
    assert [s.share for s in shares] == pytest.approx([13 / 17.4, 4 / 17.4, 0.3 / 17.4, 0.1 / 17.4])
    assert (shares[2].stored, shares[0].stored) == (True, False)
    assert all(render(m) for s in shares for m in (*s.because, *rule_told()))


def test_what_came_after_ovulation_or_long_before_counts_little_or_nothing() -> None:
    after = replace(LOCKED, male="M-09", first=D(2026, 2, 14), last=D(2026, 2, 16), locks=())
    long_before = StayWithLocks("M-11", D(2025, 9, 10), D(2025, 9, 12))
    shares = {s.male: s.share for s in sire_prior([LOCKED, after, long_before], OVULATED, SEASON, BALL)}
    assert "M-09" not in shares
    assert shares["M-11"] == pytest.approx(0.3 / 13.4)


def test_nobody_this_season_leaves_stored_sperm_and_the_unknown() -> None:
    shares = sire_prior([LAST_YEAR], OVULATED, SEASON, BALL)
    assert [(s.male, round(s.share, 2)) for s in shares] == [("M-15", 0.75), ("", 0.25)]
    old = replace(LAST_YEAR, first=D(2020, 2, 1), last=D(2020, 2, 3))
    assert [s.male for s in sire_prior([old], OVULATED, SEASON, BALL)] == [""]


def test_a_stay_shortly_before_counts_alike_wherever_the_season_begins() -> None:
    """In June with her, ovulated in August: an ordinary stay, though a season that begins in August lies between."""
    june = StayWithLocks("M-03", D(2026, 6, 10), D(2026, 6, 12), ((D(2026, 6, 11), LockCertainty.LOCK),))
    august = KnownDay.on(D(2026, 8, 5))
    across = sire_prior([june], august, D(2026, 8, 1), BALL)
    assert across == sire_prior([june], august, D(2026, 1, 1), BALL)
    assert not across[0].stored and across[0].share == pytest.approx(13 / 13.1)
    # 120 days before ovulation it is one still, a day earlier it is of the season before
    last = {120: D(2026, 4, 7), 121: D(2026, 4, 6)}
    shares = {n: sire_prior([StayWithLocks("M-05", day, day)], august, D(2026, 8, 1), BALL) for n, day in last.items()}
    assert [shares[n][0].stored for n in (120, 121)] == [False, True]
    # one that goes on since is with her
    assert not sire_prior([StayWithLocks("M-05", D(2026, 3, 1), None)], august, D(2026, 8, 1), BALL)[0].stored


def test_a_male_of_both_seasons_is_a_candidate_once() -> None:
    earlier = replace(LAST_YEAR, male="M-03")
    shares = sire_prior([earlier, LOCKED], OVULATED, SEASON, BALL)
    assert [s.male for s in shares] == ["M-03", ""]
    assert not shares[0].stored


def test_a_day_of_ovulation_that_is_not_known_rules_nobody_out() -> None:
    """Reckoned 12 February, give or take 8 days: who came two days later is a candidate, by the chance of each day."""
    after = StayWithLocks("M-09", D(2026, 2, 14), D(2026, 2, 18))
    doubt = KnownDay.on(D(2026, 2, 12), 8)
    shares = {s.male: s for s in sire_prior([after], doubt, SEASON, BALL)}
    # by hand: points = sum over days d from 14 February on of P(d) x min(d - 13, 5); P of a bell of 8 / 1.645 days
    bell = NormalDist(D(2026, 2, 12).toordinal(), 8 / 1.645)
    points = sum(
        (bell.cdf(day + 0.5) - bell.cdf(day - 0.5)) * min(day - D(2026, 2, 13).toordinal(), 5)
        for day in range(D(2026, 2, 14).toordinal(), D(2026, 3, 12).toordinal())
    )
    assert shares["M-09"].share == pytest.approx(points / (points + 0.1), abs=0.005)
    assert "which is not known to the day" in render(shares["M-09"].because[0])
    assert [s.male for s in sire_prior([after], OVULATED, SEASON, BALL)] == [""]


# --- calendar ---------------------------------------------------------------------------------------------------

STAMP = dt.datetime(2026, 3, 22, 8, 30, tzinfo=dt.UTC)
LAYING = CalendarEntry(
    "laying-C17", "F-014: laying; 80% window", "holds 88%, 24 to 32 days, from the shed\nonce \\ more",
    D(2026, 3, 27), D(2026, 4, 4), sequence=2, remind_days=1,
)  # fmt: skip


def test_another_library_reads_the_same() -> None:
    text = calendar_text([LAYING, replace(LAYING, key="pip-C17", remind_days=None)], "north", STAMP)
    calendar = Calendar.from_ical(text)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    first, second = calendar.walk("VEVENT")
    assert (str(first["UID"]), str(second["UID"])) == ("laying-C17@north.coilbook", "pip-C17@north.coilbook")
    assert (first.decoded("DTSTART"), first.decoded("DTEND")) == (D(2026, 3, 27), D(2026, 4, 5))
    assert first.decoded("DTSTAMP") == STAMP
    assert (str(first["SUMMARY"]), str(first["DESCRIPTION"])) == (LAYING.title, LAYING.detail)
    assert first["SEQUENCE"] == 2
    (alarm,) = first.walk("VALARM")
    assert alarm.decoded("TRIGGER") == dt.timedelta(days=-1)
    assert not second.walk("VALARM")


def test_the_identifier_stays_when_the_window_moves() -> None:
    moved = replace(LAYING, first=D(2026, 3, 29), sequence=3)
    uids = [Calendar.from_ical(calendar_text([e], "north", STAMP)).walk("VEVENT")[0]["UID"] for e in (LAYING, moved)]
    assert uids[0] == uids[1]


@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=200))
def test_any_title_survives_folding(title: str) -> None:
    text = calendar_text([replace(LAYING, title=title)], "north", STAMP)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    (event,) = Calendar.from_ical(text).walk("VEVENT")
    assert str(event["SUMMARY"]) == title


def test_a_forecast_as_an_entry() -> None:
    season = SeasonSoFar({Event.SHED: KnownDay.on(D(2026, 3, 3))})
    past = [PastInterval(Interval.SHED_TO_LAYING, "F-014", days) for days in (27, 28)]
    today = D(2026, 3, 5)
    (laying,) = forecasts(BALL, season, past, today, "F-014", Event.LAYING)
    entry = expected_entry(laying, "F-014", "2026-F-014", Style())
    assert entry is not None
    assert (entry.key, entry.title) == ("laying-2026-F-014", "F-014: laying")
    assert (entry.first, entry.last) == (D(2026, 3, 27), D(2026, 4, 4))
    assert "these days hold 88%" in entry.detail
    assert "From pre-lay shed to laying: 28 days, 2.0 sooner than the species' 30, from 2 of her own." in entry.detail
    (late,) = forecasts(BALL, season, past, D(2026, 12, 1), "F-014", Event.LAYING)
    assert expected_entry(late, "F-014", "2026-F-014", Style()) is None


def test_two_of_one_key_or_an_end_before_the_start_are_refused() -> None:
    with pytest.raises(ValueError):
        calendar_text([LAYING, LAYING], "north", STAMP)
    with pytest.raises(ValueError):
        calendar_text([replace(LAYING, last=D(2026, 3, 1))], "north", STAMP)
