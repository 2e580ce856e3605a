"""What stands against pairing an animal by weight, age and retirement: one rule before a stay and for the ranking.

A weight below the floor (the keeper's, else the species') counts however old it is. One that is enough counts for
`WEIGHED_DAYS`; an animal that was not weighed since is judged by its age.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from coilbook.husbandry.figures import Figure, FigureKey, Mark, Provenance
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex

#: a weight older than this says little of an animal about to be paired (common practice: weigh monthly in season)
WEIGHED_DAYS = 60
_WEIGHTS = {Sex.FEMALE: FigureKey.FEMALE_BREEDING_MASS_G, Sex.MALE: FigureKey.MALE_BREEDING_MASS_G}
#: days of a month, for how old an animal is
_MONTH_DAYS = 30.44


@dataclass(frozen=True, slots=True)
class WeightFloor:
    """The least weight an animal is paired with, tenths of a gram; `source` None where the keeper set it."""

    mass_dg: int
    source: Provenance | None

    def against(self, mass_dg: int) -> Message | None:
        """The half sentence on a weight below it; None for one that is enough, or none (0)."""
        if not 0 < mass_dg < self.mass_dg:
            return None
        mass, floor = Mass(mass_dg), Mass(self.mass_dg)
        if self.source is None:
            return say("{mass}, below your floor of {floor}", mass=mass, floor=floor)
        return say("{mass}; they breed from {floor} ({source})", mass=mass, floor=floor, source=str(self.source))


@dataclass(frozen=True, slots=True)
class Floors:
    """What an animal must be to be paired: its least weight, and its least age in months (a figure of the species)."""

    today: dt.date
    weights: Mapping[Sex, WeightFloor]
    months: Mapping[Sex, Figure]

    @classmethod
    def of(cls, settings: Settings, profile: Profile, today: dt.date) -> Floors:
        """The keeper's own number of the animal's species, else what he set for the one this collection keeps, else
        the shipped number."""
        own = {Sex.FEMALE: settings.female_floor_g, Sex.MALE: settings.male_floor_g}
        weights = {}
        for sex, key in _WEIGHTS.items():
            figure = profile[key]
            his = figure.provenance.mark is Mark.KEEPERS_OWN
            kept = own[sex] if profile.key == settings.species and not his else 0
            source = None if his or kept else figure.provenance
            weights[sex] = WeightFloor(10 * kept or round(10 * least_of(figure)), source)
        return cls(
            today,
            weights,
            {Sex.FEMALE: profile[FigureKey.FEMALE_BREEDING_MONTHS], Sex.MALE: profile[FigureKey.MALE_BREEDING_MONTHS]},
        )


def least_of(figure: Figure) -> float:
    """The lower end of a figure that is a range, else the figure itself."""
    return figure.low if figure.low is not None else figure.value


@dataclass(frozen=True, slots=True)
class Breeder:
    """An animal as it is judged: the newest weight that is not doubted (0 for none, tenths of a gram) and its day."""

    sex: Sex
    weight_dg: int
    weighed: dt.date | None
    hatched: dt.date | None
    retired: bool

    def weighed_lately(self, today: dt.date) -> bool:
        """Whether the weight still says how heavy the animal is."""
        return self.weighed is not None and (today - self.weighed).days <= WEIGHED_DAYS


def against_pairing(animal: Breeder, floors: Floors) -> list[Message]:
    """Everything that stands against it, in half sentences, the weightiest first; nothing where nothing does."""
    told = [say("retired from breeding")] if animal.retired else []
    floor = floors.weights.get(animal.sex)
    light = floor.against(animal.weight_dg) if floor is not None else None
    if light is not None:
        told.append(light)
    elif not animal.weighed_lately(floors.today):
        told += _too_young(animal, floors)
    return told


def _too_young(animal: Breeder, floors: Floors) -> list[Message]:
    figure = floors.months.get(animal.sex)
    if figure is None or animal.hatched is None:
        return []
    months = (floors.today - animal.hatched).days / _MONTH_DAYS
    least = least_of(figure)
    if months >= least:
        return []
    words = "{n} month old and not weighed lately; they breed from {least} months ({source})"
    several = "{n} months old and not weighed lately; they breed from {least} months ({source})"
    return [say(words, several, n=int(months), least=f"{least:g}", source=str(figure.provenance))]
