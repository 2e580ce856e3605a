"""Species profiles: figures as the sources give them, distributions that add up, a keeper's own number."""

from __future__ import annotations

import pytest

from coilbook.husbandry.figures import FigureKey, Interval, Mark
from coilbook.husbandry.profile import Profile, Shape, profile_of, read_profile, shipped_profile
from coilbook.records.message import StorageTrouble
from coilbook.wording.resources import resource_path

BALL, CORN = shipped_profile("ball_python"), shipped_profile("corn_snake")


@pytest.mark.parametrize(
    ("key", "value", "source"),
    [
        (FigureKey.RELATIVE_CLUTCH_MASS, 0.32, "Ellis & Chappell 1987"),
        (FigureKey.FOLLICLE_DOMINANT_MM, 20, "26(3-4):108"),
    ],
)
def test_published_figures(key: FigureKey, value: float, source: str) -> None:
    figure = BALL[key]
    assert figure.value == value
    assert figure.provenance.mark is Mark.PUBLISHED
    assert source in str(figure.provenance)


def test_intervals_span_what_is_claimed() -> None:
    """The claimed ranges are common practice; the profile's middle 95% roughly fills them and never half of them."""
    for profile in (BALL, CORN):
        for interval in profile.intervals.values():
            sd = (interval.collection**2 + interval.female**2 + interval.season**2) ** 0.5
            low, high = interval.claimed
            width = 4 * sd if interval.shape is Shape.NORMAL else interval.middle * 4 * sd
            assert 0.5 < width / (high - low) < 2


def test_pre_lay_interval_and_warmth_are_data_of_the_species() -> None:
    assert BALL.intervals[Interval.SHED_TO_LAYING].middle == 30
    assert CORN.intervals[Interval.SHED_TO_LAYING].middle == 10.5
    assert BALL.incubation.hot_above is None
    assert (CORN.incubation.hot_above, CORN.incubation.hot_q10) == (30, 1.385)


def test_by_scientific_name_as_catalogues_have_it() -> None:
    assert profile_of("Pantherophis guttatus") is CORN
    with pytest.raises(StorageTrouble):
        profile_of("Python nobody")


@pytest.mark.parametrize(("profile", "least", "most"), [(BALL, 5, 8), (CORN, 10, 30)], ids=["ball", "corn"])
def test_good_eggs_are_no_more_than_a_clutch_is_claimed_to_hold(profile: Profile, least: float, most: float) -> None:
    """Captive ball pythons lay 6 to 8 eggs, slugs among them, corn snakes 10 to 30 (common practice)."""
    good = profile.good_eggs.chances
    assert sum(good.values()) == pytest.approx(1)
    assert least <= sum(n * p for n, p in good.items()) <= most
    assert 0.5 < profile.hatch_rate.mean < 1 and profile.hatch_rate.provenance.mark is Mark.FROM_MEMORY


def test_a_keepers_own_number_says_so() -> None:
    own = BALL.with_own(FigureKey.FEMALE_BREEDING_MASS_G, 1700)
    assert own.value(FigureKey.FEMALE_BREEDING_MASS_G) == 1700
    assert own[FigureKey.FEMALE_BREEDING_MASS_G].provenance.mark is Mark.KEEPERS_OWN
    assert BALL.value(FigureKey.FEMALE_BREEDING_MASS_G) == 1500
    sooner = BALL.with_own_days(Interval.SHED_TO_LAYING, 27).intervals[Interval.SHED_TO_LAYING]
    assert (sooner.middle, sooner.middle_provenance.mark) == (27, Mark.KEEPERS_OWN)


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ("days = 30\n", "days = 50\n"),
        ("[figure.lost_at_laying_share]", "[figure.lost_share]"),
        ('\nmark = "published"', '\nmark = "well known"'),
        ('citation = "ellis_1987"', 'citation = "nobody"'),
        ("value = 85", "value = [85"),
        ("0.26, 0.20", "0.26, 0.30"),
    ],
)
def test_a_damaged_profile_is_told(good: str, bad: str) -> None:
    text = resource_path("profiles", "ball_python.toml").read_text(encoding="utf-8")
    assert good in text
    with pytest.raises(StorageTrouble):
        read_profile(text.replace(good, bad, 1))
