"""Record tables of the season: planned pairings, stays, what was seen of females, cooling, and forecasts as made.

`at` is a moment or a day; `_tenths` of a follicle are tenths of a millimetre, of a night tenths of a degree Celsius.
The stage of a female is in no table: it is derived from these (`husbandry.season_stage`).
"""

from __future__ import annotations

from peewee import Check, IntegerField, TextField

from coilbook.records import season_vocabulary as s
from coilbook.storage.animal_tables import Animal, Place
from coilbook.storage.columns import Base, choice, to_row


class PairingPlan(Base):
    """A male meant for a female; `backup` when he cannot. `day` when it is meant for, null for some time."""

    female = to_row(Animal, backref="plans")
    male = to_row(Animal, backref="planned_for")
    backup = to_row(Animal, null=True, backref="backup_for")
    made_on = TextField()
    day = TextField(null=True)
    target = TextField(default="")
    reason = TextField(default="")
    state = choice("state", s.PlanState, s.PlanState.OPEN)
    note = TextField(default="")


class Stay(Base):
    """A male with a female; `until` null while he is. `in_spite` why it went on against what was said before."""

    female = to_row(Animal, index=False, backref="stays")
    male = to_row(Animal, index=False, backref="stays_of_his")
    place = to_row(Place, null=True)
    at = TextField()
    until = TextField(null=True, constraints=[Check("until IS NULL OR until >= at")])
    in_spite = TextField(default="")
    note = TextField(default="")

    class Meta:
        indexes = ((("female", "at"), False), (("male", "at"), False))


class LockSeen(Base):
    """What was seen of a pair during a stay; several a stay."""

    stay = to_row(Stay)
    at = TextField()
    certainty = choice("certainty", s.LockCertainty, s.LockCertainty.LOCK)
    note = TextField(default="")


class Follicle(Base):
    """Largest follicle: a size by ultrasound or a grade 1 to 5 by feel, never both, never averaged together."""

    animal = to_row(Animal, index=False)
    at = TextField()
    method = choice("method", s.FollicleMethod, s.FollicleMethod.ULTRASOUND)
    mm_tenths = IntegerField(null=True, constraints=[Check("(mm_tenths IS NULL) = (method = 'palpation')")])
    grade = IntegerField(null=True, constraints=[Check("(grade IS NULL) = (method = 'ultrasound')")])
    count_left = IntegerField(null=True)
    count_right = IntegerField(null=True)
    typed = TextField(default="")
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class Ovulation(Base):
    """An ovulation with how it is known; `doubt_days` as the keeper said, null for what the certainty brings."""

    animal = to_row(Animal, index=False)
    at = TextField()
    certainty = choice("certainty", s.OvulationCertainty, s.OvulationCertainty.SEEN)
    doubt_days = IntegerField(null=True, constraints=[Check("doubt_days IS NULL OR doubt_days >= 0")])
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class RackCooling(Base):
    """A rack or room cooled at night from `since` until `until` (null while it lasts)."""

    place = to_row(Place)
    since = TextField()
    until = TextField(null=True, constraints=[Check("until IS NULL OR until >= since")])
    night_tenths = IntegerField(null=True)
    note = TextField(default="")


class SeasonOutcome(Base):
    """A season that brings no eggs: resorbed, did not take, or skipped."""

    animal = to_row(Animal)
    at = TextField()
    outcome = choice("outcome", s.SeasonEnd, s.SeasonEnd.DID_NOT_TAKE)
    note = TextField(default="")


class ForecastMade(Base):
    """A forecast as it was made when the event it counts from was entered; the scorecard holds it to its word.

    `season` the first day of the female's season, "/2" behind it for her second clutch in it; `event` and the
    `anchor` it is counted from are codes of `husbandry.figures.Event` (of an ovulation: `OvulationCue`). First and last
    day of the 50, 80 and 95% windows, and what each holds in millionths.
    """

    animal = to_row(Animal, index=False)
    season = TextField()
    event = TextField()
    anchor = TextField()
    made_on = TextField()
    first_50 = TextField()
    last_50 = TextField()
    ppm_50 = IntegerField()
    first_80 = TextField()
    last_80 = TextField()
    ppm_80 = IntegerField()
    first_95 = TextField()
    last_95 = TextField()
    ppm_95 = IntegerField()

    class Meta:
        indexes = ((("animal", "season", "event"), False),)


SEASON_TABLES: tuple[type[Base], ...] = (
    PairingPlan, Stay, LockSeen, Follicle, Ovulation, RackCooling, SeasonOutcome, ForecastMade,
)  # fmt: skip
