"""What stands against pairing an animal by weight, age and retirement: one rule before a stay and for the ranking.

A weight below the keeper's floor counts however old it is. One that is enough counts for `WEIGHED_DAYS`; an animal that
was not weighed since is judged by its age.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from coilbook.husbandry.figures import Figure, FigureKey
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex

#: a weight older than this says little of an animal about to be paired (common practice: weigh monthly in season)
WEIGHED_DAYS = 60
#: days of a month, for how old an animal is
_MONTH_DAYS = 30.44


@dataclass(frozen=True, slots=True)
class Floors:
    """What an animal must be to be paired: the keeper's weights in grams, and the least age in months (a figure)."""

    today: dt.date
    weights_g: Mapping[Sex, int]
    months: Mapping[Sex, Figure]

    @classmethod
    def of(cls, settings: Settings, profile: Profile, today: dt.date) -> Floors:
        """The keeper's floors of weight, and the species' least ages (its profile says where they come from)."""
        return cls(
            today,
            {Sex.FEMALE: settings.female_floor_g, Sex.MALE: settings.male_floor_g},
            {Sex.FEMALE: profile[FigureKey.FEMALE_BREEDING_MONTHS], Sex.MALE: profile[FigureKey.MALE_BREEDING_MONTHS]},
        )


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
    floor_dg = 10 * floors.weights_g.get(animal.sex, 0)
    if 0 < animal.weight_dg < floor_dg:
        told.append(say("{mass}, below your floor of {floor}", mass=Mass(animal.weight_dg), floor=Mass(floor_dg)))
    elif not animal.weighed_lately(floors.today):
        told += _too_young(animal, floors)
    return told


def _too_young(animal: Breeder, floors: Floors) -> list[Message]:
    figure = floors.months.get(animal.sex)
    if figure is None or animal.hatched is None:
        return []
    months = (floors.today - animal.hatched).days / _MONTH_DAYS
    least = figure.low if figure.low is not None else figure.value
    if months >= least:
        return []
    words = "{n} month old and not weighed lately; they breed from {least} months ({source})"
    several = "{n} months old and not weighed lately; they breed from {least} months ({source})"
    return [say(words, several, n=int(months), least=f"{least:g}", source=str(figure.provenance))]
