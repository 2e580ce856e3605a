"""Record tables of clutches, eggs, their boxes and incubators, hatching, and what is still in doubt.

`_dg` are tenths of a gram, `_tenths` tenths of a degree Celsius, `_mm` whole millimetres. A yes or no that was not
looked at is null, which differs from 0: looked, and it was not so.
"""

from __future__ import annotations

from peewee import Check, IntegerField, TextField

from coilbook.records import egg_vocabulary as e
from coilbook.records import vocabulary as v
from coilbook.storage.animal_tables import Animal
from coilbook.storage.columns import Base, choice, to_row


def _seen(column: str) -> IntegerField:
    """1 seen, 0 looked and not seen, null not looked at."""
    return IntegerField(null=True, constraints=[Check(f"{column} IN (0, 1)")])


def _mass(column: str) -> IntegerField:
    return IntegerField(null=True, constraints=[Check(f"{column} IS NULL OR {column} > 0")])


class Incubator(Base):
    """`shelves` holds the names of the shelves from the top, one a line; `per_shelf` boxes stand on each."""

    name = TextField(unique=True)
    set_tenths = IntegerField(null=True)
    shelves = TextField(default="")
    per_shelf = IntegerField(default=3, constraints=[Check("per_shelf BETWEEN 1 AND 12")])
    note = TextField(default="")


class IncubatorReading(Base):
    """One reading by a person, with the least and most since the one before; `typed` is what was entered.

    `note` says what was noticed or done then ("power was out; lids left on").
    """

    incubator = to_row(Incubator, index=False)
    at = TextField()
    tenths = IntegerField()
    least_tenths = IntegerField(null=True)
    most_tenths = IntegerField(null=True)
    humidity = IntegerField(null=True, constraints=[Check("humidity IS NULL OR humidity BETWEEN 0 AND 100")])
    shelf = IntegerField(null=True)
    source = choice("source", e.ReadingSource, e.ReadingSource.PROBE)
    typed = TextField(default="")
    note = TextField(default="")

    class Meta:
        indexes = ((("incubator", "at"), False),)


class LoggerDay(Base):
    """What a logger wrote on one day, as pairs "minute of the day:tenths" in order of time, between commas.

    A row for each reading would take 200,000 rows a year, each with its row in the journal.
    """

    incubator = to_row(Incubator)
    day = TextField()
    readings = TextField()

    class Meta:
        indexes = ((("incubator", "day"), True),)


class EggBox(Base):
    """One box from its setting up to its emptying; `start_dg` is the total then, with or without the lid."""

    label = TextField(index=True)
    incubator = to_row(Incubator, null=True)
    shelf = IntegerField(null=True)
    spot = IntegerField(null=True)
    set_up = TextField()
    medium = choice("medium", e.Medium, e.Medium.VERMICULITE)
    dry_dg = _mass("dry_dg")
    water_dg = _mass("water_dg")
    start_dg = _mass("start_dg")
    lid = choice("lid", e.Lid, e.Lid.WITH)
    emptied = TextField(null=True)
    note = TextField(default="")


class Clutch(Base):
    """What one female laid; `laid` is the first day it can have been, give or take `laid_doubt_days`.

    `dam` is null for eggs found and not seen laid. `each_own`: every egg may have its own sire of the list.
    """

    label = TextField(index=True)
    dam = to_row(Animal, null=True)
    laid = TextField()
    laid_precision = choice("laid_precision", v.Precision, v.Precision.DAY)
    laid_doubt_days = IntegerField(default=0, constraints=[Check("laid_doubt_days >= 0")])
    mass_dg = _mass("mass_dg")
    mass_kind = choice("mass_kind", e.ClutchMass, e.ClutchMass.EGGS)
    maternal = IntegerField(default=0)
    each_own = IntegerField(default=0)
    note = TextField(default="")


class ClutchSire(Base):
    """A male that may have sired the clutch, with his weight in percent; no row at all is a sire not known."""

    clutch = to_row(Clutch)
    sire = to_row(Animal)
    percent = IntegerField(default=100, constraints=[Check("percent BETWEEN 1 AND 100")])

    class Meta:
        indexes = ((("clutch", "sire"), True),)


class Egg(Base):
    """One egg, slugs too; its number is for ever. (x, y) is where it lies, in thousandths of the box.

    `up_mark` is 1 when its top was marked, so that a turned egg is found out; 0 when it was not, null not said.
    """

    clutch = to_row(Clutch)
    number = IntegerField(constraints=[Check("number > 0")])
    box = to_row(EggBox, null=True)
    x = IntegerField(null=True, constraints=[Check("x IS NULL OR x BETWEEN 0 AND 1000")])
    y = IntegerField(null=True, constraints=[Check("y IS NULL OR y BETWEEN 0 AND 1000")])
    mass_dg = _mass("mass_dg")
    length_mm = _mass("length_mm")
    width_mm = _mass("width_mm")
    twin_suspected = IntegerField(default=0)
    stuck = IntegerField(default=0)
    up_mark = _seen("up_mark")
    note = TextField(default="")

    class Meta:
        indexes = ((("clutch", "number"), True),)


class BoxLook(Base):
    """A look at a box: fine at a glance, or weighed; an off smell belongs to the box until it is traced."""

    box = to_row(EggBox, index=False)
    at = TextField()
    fine = IntegerField(default=0)
    total_dg = _mass("total_dg")
    lid = choice("lid", e.Lid, e.Lid.WITH)
    eggs_dg = _mass("eggs_dg")
    drops_under_lid = _seen("drops_under_lid")
    smell = _seen("smell")
    note = TextField(default="")

    class Meta:
        indexes = ((("box", "at"), False),)


class BoxWater(Base):
    """Water poured into a box, at its wall."""

    box = to_row(EggBox, index=False)
    at = TextField()
    added_dg = IntegerField(constraints=[Check("added_dg > 0")])
    note = TextField(default="")

    class Meta:
        indexes = ((("box", "at"), False),)


class EggLook(Base):
    """One look at one egg; the verdicts of all looks are its history, and none is ever written over."""

    egg = to_row(Egg, index=False)
    at = TextField()
    verdict = choice("verdict", e.Verdict, e.Verdict.UNSAID)
    veins = choice("veins", e.Veins, e.Veins.UNSAID)
    dents = choice("dents", e.Dents, e.Dents.UNSAID)
    thin_shell = _seen("thin_shell")
    wet = _seen("wet")
    mould = _seen("mould")
    turned = _seen("turned")
    mass_dg = _mass("mass_dg")
    note = TextField(default="")

    class Meta:
        indexes = ((("egg", "at"), False),)


class EggDone(Base):
    """Something done to an egg, or to a whole box; `came_of_it` is what the next look found.

    `away_dg` is what the box lost with it, such as the egg that was taken out.
    """

    egg = to_row(Egg, null=True)
    box = to_row(EggBox, null=True)
    at = TextField()
    what = choice("what", e.EggDeed, e.EggDeed.OTHER)
    how = TextField(default="")
    why = TextField(default="")
    away_dg = _mass("away_dg")
    came_of_it = choice("came_of_it", e.Outcome, e.Outcome.UNSAID)
    seen_at = TextField(null=True)
    note = TextField(default="")


class Hatching(Base):
    """A step of hatching, exactly at `at`, or seen then and not at the look before (`not_yet_at`).

    `twin` is a or b of one egg that held two, else empty.
    """

    egg = to_row(Egg)
    twin = TextField(default="", constraints=[Check("twin IN ('', 'a', 'b')")])
    event = choice("event", e.HatchEvent, e.HatchEvent.PIP)
    at = TextField()
    not_yet_at = TextField(null=True)
    assisted = IntegerField(default=0)
    note = TextField(default="")

    class Meta:
        indexes = ((("egg", "twin", "event"), True),)


class Hatchling(Base):
    """Which egg an animal came out of, and how it was then."""

    animal = to_row(Animal, unique=True)
    egg = to_row(Egg)
    twin = TextField(default="", constraints=[Check("twin IN ('', 'a', 'b')")])
    navel = choice("navel", e.Navel, e.Navel.UNSAID)
    defects = TextField(default="")
    note = TextField(default="")

    class Meta:
        indexes = ((("egg", "twin"), True),)


class Doubt(Base):
    """A question that stands open: what it could be, what would settle it, when to look again."""

    kind = choice("kind", e.DoubtKind, e.DoubtKind.OTHER)
    clutch = to_row(Clutch, null=True)
    egg = to_row(Egg, null=True)
    box = to_row(EggBox, null=True)
    animal = to_row(Animal, null=True)
    asked_on = TextField()
    question = TextField()
    candidates = TextField(default="")
    settles_by = TextField(default="")
    look_again = TextField(null=True)
    settled_on = TextField(null=True, constraints=[Check("(settled_on IS NULL) = (answer = '')")])
    settled_by = TextField(default="")
    answer = TextField(default="")


EGG_TABLES: tuple[type[Base], ...] = (
    Incubator, IncubatorReading, LoggerDay, EggBox, Clutch, ClutchSire, Egg, BoxLook, BoxWater, EggLook, EggDone,
    Hatching, Hatchling, Doubt,
)  # fmt: skip
