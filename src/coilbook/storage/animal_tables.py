"""The records everything else refers to: people, places, animals and their possible sires."""

from __future__ import annotations

from peewee import Check, ForeignKeyField, IntegerField, TextField

from coilbook.records import vocabulary as v
from coilbook.storage.columns import Base, choice, one_of, to_row

#: ids of the places of quarantine for an IN of any query: those marked, and all that lies in them
PLACES_APART = """(WITH RECURSIVE apart(id) AS (SELECT id FROM place WHERE quarantine
    UNION SELECT q.id FROM place q JOIN apart ON q.parent_id = apart.id) SELECT id FROM apart)"""
#: the same of the one place `p` of a query, found upwards from it: 0, 1, or null where there is none
PLACE_IS_APART = """(WITH RECURSIVE above(id, parent_id, apart) AS (
    SELECT id, parent_id, quarantine FROM place WHERE id = p.id
    UNION SELECT q.id, q.parent_id, q.quarantine FROM above JOIN place q ON q.id = above.parent_id)
    SELECT max(apart) FROM above)"""


class Person(Base):
    name = TextField()
    role = choice("role", v.PersonRole, v.PersonRole.OTHER)
    contact = TextField(default="")
    note = TextField(default="")
    active = IntegerField(default=1)


class Place(Base):
    """A room, a rack in it or a slot in a rack; `label` is what is printed (R2, R2-A3), unique among present places."""

    kind = choice("kind", v.PlaceKind, v.PlaceKind.SLOT)
    parent = ForeignKeyField("self", null=True, on_delete="RESTRICT")
    name = TextField()
    label = TextField(unique=True)
    walk = IntegerField(default=0)
    quarantine = IntegerField(default=0)
    note = TextField(default="")


class Animal(Base):
    """One animal, ours or outside; `keeper_id` is as the keeper typed it and never rewritten by a sex call."""

    keeper_id = TextField(index=True)
    name = TextField(default="")
    species = TextField(default="ball_python")
    sex = choice("sex", v.Sex, v.Sex.UNSEXED)
    sex_percent = IntegerField(default=100, constraints=[Check("sex_percent BETWEEN 50 AND 100")])
    sex_basis = choice("sex_basis", v.SexBasis, v.SexBasis.UNKNOWN)
    genetics = TextField(default="")
    hatched = TextField(null=True)
    hatched_precision = TextField(null=True, constraints=[one_of("hatched_precision", v.Precision)])
    origin = choice("origin", v.Origin, v.Origin.UNKNOWN)
    status = choice("status", v.Status, v.Status.HERE)
    dam = ForeignKeyField("self", null=True, on_delete="RESTRICT")
    place = to_row(Place, null=True)
    microchip = TextField(default="")
    temperament = TextField(default="")
    holdback = TextField(default="")
    retired = IntegerField(default=0)
    breeder_male_only = IntegerField(default=0)
    interval_days = IntegerField(null=True, constraints=[Check("interval_days IS NULL OR interval_days > 0")])
    prey_kind = TextField(default="")
    prey_state = choice("prey_state", v.PreyState, v.PreyState.FROZEN_THAWED)
    feeding_note = TextField(default="")
    cover_photo = IntegerField(null=True)


class Sire(Base):
    """A possible sire of an animal with its weight in percent; one row of 100 is a known sire.

    A litter (`derived.litters` says who is one) is by one of the sires, unless `each_own` says that every egg may have
    its own.
    """

    animal = to_row(Animal, backref="sires")
    sire = to_row(Animal, backref="sired")
    percent = IntegerField(default=100, constraints=[Check("percent BETWEEN 1 AND 100")])
    each_own = IntegerField(default=0)
