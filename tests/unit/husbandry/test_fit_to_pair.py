"""From which weight an animal is paired: the keeper's word for the species kept, else what its own species asks."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.husbandry.fit_to_pair import Breeder, Floors, against_pairing
from coilbook.husbandry.profile import Profile, shipped_profile
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex

BALL, CORN = shipped_profile("ball_python"), shipped_profile("corn_snake")
TODAY = dt.date(2026, 2, 22)


def said(sex: Sex, grams: int, profile: Profile, settings: Settings) -> list[str]:
    """What stands against an animal of this weight."""
    animal = Breeder(sex, 10 * grams, TODAY, None, retired=False)
    return [str(why) for why in against_pairing(animal, Floors.of(settings, profile, TODAY))]


@pytest.mark.parametrize(
    ("sex", "profile", "least"),
    [(Sex.FEMALE, BALL, 1500), (Sex.MALE, BALL, 500), (Sex.FEMALE, CORN, 250), (Sex.MALE, CORN, 150)],
)
def test_each_species_has_its_own_weights(sex: Sex, profile: Profile, least: int) -> None:
    """1,500 and 500 g of ball pythons are common practice; those of corn snakes are from memory, as their file says."""
    mark = "common practice" if profile is BALL else "from memory"
    assert said(sex, least, profile, Settings()) == []
    (light,) = said(sex, least - 1, profile, Settings())
    assert "they breed from" in light and f"({mark})" in light


def test_what_the_keeper_sets_counts_for_the_species_kept_and_for_no_other() -> None:
    settings = Settings(species="ball_python", female_floor_g=1700)
    (light,) = said(Sex.FEMALE, 1699, BALL, settings)
    assert "below your floor of" in light and said(Sex.FEMALE, 1700, BALL, settings) == []
    assert said(Sex.FEMALE, 300, CORN, settings) == [], "a corn snake is no light ball python"
    assert said(Sex.MALE, 500, BALL, settings) == []


def test_an_animal_of_no_known_sex_or_weight_is_not_called_light() -> None:
    assert said(Sex.UNSEXED, 20, BALL, Settings()) == [] == said(Sex.MALE, 0, BALL, Settings())
