"""Every table of a collection, as peewee models without a database bound to them.

Record tables (`RECORD_TABLES`) are journaled by triggers and hold only integers and text, because SQLite's JSON rounds
floats and refuses BLOBs. The tables outside the journal are in `book_tables`.
"""

from __future__ import annotations

from peewee import Check, ForeignKeyField, IntegerField, Model, TextField

from coilbook.records import vocabulary as v
from coilbook.records.season_vocabulary import PreLay
from coilbook.records.when import UNDATED
from coilbook.storage.animal_tables import Animal as Animal
from coilbook.storage.animal_tables import Person as Person
from coilbook.storage.animal_tables import Place as Place
from coilbook.storage.animal_tables import Sire as Sire
from coilbook.storage.book_tables import (
    ActRow,
    AnimalNow,
    ChangeRow,
    Code,
    CodeCounter,
    CurrentAct,
    DerivedState,
    Restored,
)
from coilbook.storage.columns import Base, choice, listed, one_of, to_row
from coilbook.storage.egg_tables import EGG_TABLES, Egg, EggBox, EggDone
from coilbook.storage.health_tables import HEALTH_TABLES
from coilbook.storage.season_tables import SEASON_TABLES


class Acquisition(Base):
    animal = to_row(Animal)
    date = TextField(null=True)
    date_precision = TextField(null=True, constraints=[one_of("date_precision", v.Precision)])
    how = choice("how", v.Origin, v.Origin.BOUGHT)
    person = to_row(Person, null=True)
    price_minor = IntegerField(null=True)
    currency = TextField(default="")
    country = TextField(default="")
    papers = TextField(default="")
    feeding_claim = TextField(default="")
    quarantine_from = TextField(null=True)
    note = TextField(default="")


class Claim(Base):
    """Genetics as a seller or a sheet wrote it, verbatim; never overwritten by what the keeper believes."""

    animal = to_row(Animal)
    text = TextField()
    source = TextField(default="")
    said_on = TextField(null=True)


class Tag(Base):
    animal = to_row(Animal)
    word = TextField(index=True)


class Move(Base):
    animal = to_row(Animal)
    at = TextField()
    from_place = to_row(Place, null=True, backref="left_moves")
    to_place = to_row(Place, null=True, backref="moves")
    reason = choice("reason", v.MoveReason, v.MoveReason.UNSAID)
    return_by = TextField(null=True)
    note = TextField(default="")


class Feeding(Base):
    """One offer (or the decision not to offer): pending until it is closed."""

    animal = to_row(Animal, index=False)
    at = TextField()
    result = choice("result", v.FeedingResult, v.FeedingResult.PENDING)
    reason = TextField(default="", constraints=[Check("reason = '' OR " + listed("reason", v.RefusalReason))])
    prey = TextField(default="")
    prey_state = choice("prey_state", v.PreyState, v.PreyState.FROZEN_THAWED)
    prey_dg = IntegerField(null=True)
    pieces = IntegerField(default=1, constraints=[Check("pieces > 0")])
    closed_at = TextField(null=True)
    note = TextField(default="")

    class Meta:
        # with the result in it, what a feeding does to a summary is answered by the index alone
        indexes = ((("animal", "at", "result"), False),)


class Regurgitation(Base):
    """Found later, linked to the taken meal that then no longer counts as kept."""

    animal = to_row(Animal)
    at = TextField()
    feeding = to_row(Feeding, null=True)
    note = TextField(default="")


#: of a weight: which day it was weighed on is on record; nothing is counted from the moment of one where it is not
ON_A_DAY = f"note <> '{UNDATED}'"


class Weight(Base):
    """`mass_dg` in tenths of a gram; `typed` is what was entered; a doubted reading stays but drives nothing."""

    animal = to_row(Animal, index=False)
    at = TextField()
    mass_dg = IntegerField(constraints=[Check("mass_dg > 0")])
    typed = TextField(default="")
    tag = choice("tag", v.WeightTag, v.WeightTag.UNSAID)
    doubted = IntegerField(default=0)
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class Shed(Base):
    animal = to_row(Animal, index=False)
    at = TextField()
    kind = choice("kind", v.ShedKind, v.ShedKind.COMPLETE)
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class ShedMark(Base):
    """What a shed of a female in season was, as the keeper answered; a shed without a mark was not asked about."""

    shed = to_row(Shed, index=False)
    was = choice("was", PreLay, PreLay.UNSURE)

    class Meta:
        indexes = ((("shed",), True),)


class SignSeen(Base):
    animal = to_row(Animal, index=False)
    at = TextField()
    sign = choice("sign", v.Sign, v.Sign.STOOL)
    note = TextField(default="")

    class Meta:
        indexes = ((("animal", "at"), False),)


class Cleaning(Base):
    """A tub cleaned; `animal` is who lived there then, so that her timeline tells it."""

    place = to_row(Place)
    animal = to_row(Animal, null=True)
    at = TextField()
    extent = choice("extent", v.CleaningExtent, v.CleaningExtent.SPOT)
    product = TextField(default="")
    note = TextField(default="")


class Note(Base):
    animal = to_row(Animal, null=True)
    place = to_row(Place, null=True)
    at = TextField()
    text = TextField()


class Photo(Base):
    """A picture file named by its SHA-256 in the folder `photos`: of an animal, of an egg, or of an egg box."""

    animal = to_row(Animal, null=True)
    egg = to_row(Egg, null=True)
    box = to_row(EggBox, null=True)
    #: what was done to the egg or box after the picture was taken
    before = to_row(EggDone, null=True)
    at = TextField()
    sha256 = TextField(index=True)
    ending = TextField()
    angle = choice("angle", v.PhotoAngle, v.PhotoAngle.UNSAID)
    caption = TextField(default="")
    original_name = TextField(default="")


class Departure(Base):
    """A turn in an animal's status: sold, died, loaned, lost, returned."""

    animal = to_row(Animal)
    at = TextField()
    kind = choice("kind", v.DepartureKind, v.DepartureKind.SOLD)
    status_before = choice("status_before", v.Status, v.Status.HERE)
    person = to_row(Person, null=True)
    price_minor = IntegerField(null=True)
    currency = TextField(default="")
    reason = TextField(default="")
    note = TextField(default="")


class LabelPrint(Base):
    """That a label was printed, so that a reprint is known for one."""

    code = TextField()
    animal = to_row(Animal, null=True)
    place = to_row(Place, null=True)
    at = TextField()
    stock = TextField()


class Finding(Base):
    """Something found out about an animal's genetics at one locus; never overwritten, only corrected by a later row.

    `locus` and `gene` are keys of the catalogue. A row is in force while no other names it in `corrects`.

    * SEEN: she has one of the looks in `looks` (a JSON list of keys, "" the wild look); `ppm` how sure (600,000: 60:40)
    * NOT_SEEN: she has none of the looks in `looks`; `ppm` how sure
    * TEST: a test counted `copies` of `gene`; `ppm` how often such a test is wrong
    * PROVEN: young that are not on record have shown that she carries `gene`
    * ASSUMED: the chance `ppm` taken for a founder to carry `gene` where nothing else is known
    * CARD: her card says at most `ppm` of `gene`
    * RETRACTED: the row it corrects is taken back, `note` says why
    """

    animal = to_row(Animal, index=False)
    at = TextField()
    kind = choice("kind", v.FindingKind, v.FindingKind.SEEN)
    locus = TextField()
    gene = TextField(default="")
    looks = TextField(default="[]")
    copies = IntegerField(null=True, constraints=[Check("copies IS NULL OR copies BETWEEN 0 AND 2")])
    ppm = IntegerField(default=1_000_000, constraints=[Check("ppm BETWEEN 0 AND 1000000")])
    person = to_row(Person, null=True)
    source = TextField(default="")
    note = TextField(default="")
    corrects = ForeignKeyField("self", null=True, on_delete="RESTRICT")

    class Meta:
        indexes = ((("animal", "locus"), False),)


class OwnGene(Base):
    """An entry of the keeper's own catalogue, which stands over the shipped one of the same kind and key."""

    species = TextField(default="ball_python")
    kind = choice("kind", v.OwnKind, v.OwnKind.GENE)
    key = TextField()
    body = TextField(default="")

    class Meta:
        indexes = ((("species", "kind", "key"), True),)


class Setting(Base):
    name = TextField(unique=True)
    value = TextField()


class SavedView(Base):
    name = TextField(unique=True)
    query = TextField(default="")
    columns = TextField(default="")
    sort = TextField(default="")


class ImportBatch(Base):
    """One accepted import; the original file lies byte for byte in `imports` under its SHA-256."""

    file_name = TextField()
    sha256 = TextField()
    at = TextField()
    rows = IntegerField(default=0)
    report = TextField(default="{}")


class ImportAnswer(Base):
    """An answer given once for a kind of column, remembered for the next sheet."""

    fingerprint = TextField(unique=True)
    answer = TextField()


RECORD_TABLES: tuple[type[Base], ...] = (
    Person, Place, Animal, Sire, Acquisition, Claim, Tag, Move, Feeding, Regurgitation, Weight, Shed, SignSeen,
    Cleaning, Note, Departure, LabelPrint, Finding, OwnGene, Setting, SavedView, ImportBatch, ImportAnswer,
    *EGG_TABLES, Photo, ShedMark, *SEASON_TABLES, *HEALTH_TABLES,
)  # fmt: skip


BOOK_TABLES: tuple[type[Model], ...] = (ActRow, ChangeRow, CurrentAct, Code, CodeCounter, Restored)
DERIVED_TABLES: tuple[type[Model], ...] = (AnimalNow, DerivedState)
ALL_TABLES: tuple[type[Model], ...] = RECORD_TABLES + BOOK_TABLES + DERIVED_TABLES


def table_name(model: type[Model]) -> str:
    """Name of a model's table."""
    return str(model._meta.table_name)


def column_names(model: type[Model]) -> tuple[str, ...]:
    """Columns of a model's table in order."""
    return tuple(f.column_name for f in model._meta.sorted_fields)


RECORDS_BY_NAME: dict[str, type[Base]] = {table_name(m): m for m in RECORD_TABLES}


def references() -> list[tuple[str, str, str]]:
    """(table, column, table pointed at) of every reference between record tables.

    The cover photo is one too, though no foreign key: two tables that name each other could not be written in order.
    """
    keys = [
        (table_name(child), str(field.column_name), table_name(field.rel_model))
        for child in RECORD_TABLES
        for field in child._meta.refs
    ]
    return [*keys, ("animal", "cover_photo", "photo")]
