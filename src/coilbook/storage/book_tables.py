"""Tables outside the journal: the journal itself, the register of printed codes, and what is derived from the records.

Codes stay out on purpose: a code once issued is never issued again, even when the act that issued it is undone.
"""

from __future__ import annotations

from peewee import SQL, Check, IntegerField, Model, TextField

from coilbook.records import vocabulary as v
from coilbook.storage.columns import Base, choice


class ActRow(Base):
    """One act: what, when (UTC), at which device, who, and whether it takes another back."""

    kind = TextField()
    at = TextField()
    device = TextField(default="")
    person = IntegerField(null=True)
    person_name = TextField(default="")
    detail = TextField(default="")
    undoes = IntegerField(null=True, index=True)
    #: further acts taken back with it, as ids between commas; `undoes` is the oldest of them
    undoes_also = TextField(default="")
    #: rows changed, written once at the end of the act
    size = IntegerField(default=0)
    #: 0 while an undo of this act is in force
    in_force = IntegerField(default=1)

    class Meta:
        table_name = "act"


class ChangeRow(Base):
    """One row touched by an act: `op` I, U or D, and the row as JSON before it (none for an insert).

    What stood after is the `before` of the row's next change, or the row itself: nothing is kept twice.
    """

    act = IntegerField(index=True)
    tbl = TextField()
    row = IntegerField()
    op = TextField(constraints=[Check("op IN ('I', 'U', 'D')")])
    animal = IntegerField(null=True)
    before = TextField(null=True)

    class Meta:
        table_name = "change"
        indexes = ((("tbl", "row"), False), (("animal", "act"), False))


class CurrentAct(Model):
    """The act being written: one row inside the act's own transaction, none outside it."""

    act = IntegerField()

    class Meta:
        table_name = "current_act"
        primary_key = False


class Code(Base):
    """Every printed code ever issued; `target` is a row id of the table its kind names."""

    body = TextField(unique=True)
    kind = choice("kind", v.CodeKind, v.CodeKind.ANIMAL)
    target = IntegerField()
    issued_at = TextField()

    class Meta:
        indexes = ((("kind", "target"), False),)


class CodeCounter(Base):
    """How far each kind of code has been counted; never goes back, gaps are signs never issued."""

    kind = TextField(unique=True)
    last = IntegerField(default=0)


class Restored(Base):
    """An act that put a backup in the place of everything, and the backup made just before: what Undo brings back."""

    act = IntegerField(unique=True)
    came_from = TextField()
    before = TextField()


class AnimalNow(Model):
    """Derived: what lists and rounds need of an animal today; thrown away and rebuilt at will."""

    animal = IntegerField(primary_key=True)
    weight_dg = IntegerField(null=True)
    weight_at = TextField(null=True)
    #: the last weights as "ordinal:decigrams" pairs, oldest first, for the small curve in a row
    curve = TextField(constraints=[SQL("DEFAULT ''")])
    taken_at = TextField(null=True)
    offered_at = TextField(null=True)
    offered_result = TextField(null=True)
    refused_since = IntegerField(constraints=[SQL("DEFAULT 0")])
    pending = IntegerField(constraints=[SQL("DEFAULT 0")])
    next_due = TextField(null=True, index=True)
    shed_at = TextField(null=True)
    blue_at = TextField(null=True)
    #: everything the filter looks through, lower case
    search = TextField(constraints=[SQL("DEFAULT ''")])

    class Meta:
        table_name = "animal_now"
        strict_tables = True


class DerivedState(Model):
    """How far the derived tables have been brought: a name and its value."""

    name = TextField(primary_key=True)
    value = TextField()

    class Meta:
        table_name = "derived_state"
        strict_tables = True
