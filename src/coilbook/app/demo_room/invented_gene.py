"""A sex-linked gene of the demo's own: invented, marked as such, with a male whose young show what he carries it on.

The gene is the keeper's own entry, as any keeper may make one. His young came with him, on paper: sons with it and
daughters without, so that he is most likely a maker of males; then a clutch of his is laid here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from coilbook.app.demo_room.cast import Creature
from coilbook.app.demo_room.deeds import Book
from coilbook.app.demo_room.eggs import Doing
from coilbook.app.demo_room.recipe import Line, Recipe
from coilbook.genetics.catalogue import Grade
from coilbook.genetics.locus import Inheritance
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.catalogue import add_gene
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Origin, Sex, SexBasis, Status
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

_SEXES = {"M": Sex.MALE, "F": Sex.FEMALE}


def invented_gene(recipe: Recipe, creatures: Sequence[Creature], book: Book) -> Iterator[Doing]:
    """The gene, the male with his young of elsewhere, and a clutch of his that its dam keeps, each on its evening."""
    line = recipe.lines["invented"]
    dam = next(AnimalId(book.animal(c)) for c in creatures if c.keeper_id == line["dam"])
    place = PlaceId(book.places[line["place"]])
    steps: tuple[tuple[dt.date, Callable[[Collection], object]], ...] = (
        (line["came"], partial(_gene, line)),
        (line["came"], partial(_animals, line, place)),
        (line["laid"], partial(_laid, line, dam)),
    )
    for minute, (day, do) in enumerate(steps):
        yield Doing(dt.datetime.combine(day, dt.time(20, 30 + minute)), recipe.lines["keeper"], _done(do))


def _done(do: Callable[[Collection], object]) -> Callable[[Collection], None]:
    def done(collection: Collection) -> None:
        do(collection)

    return done


def _gene(line: Line, collection: Collection) -> None:
    linkage = {"recombination": line["recombination"], "provenance": Grade.KEEPER.value}
    more: dict[str, object] = {"description": line["description"], "linkage": linkage}
    add_gene(collection, name=line["name"], inheritance=Inheritance.INCOMPLETE_DOMINANT, more=more)


def _animals(line: Line, place: PlaceId, collection: Collection) -> None:
    """The male in his slot, a female of elsewhere, and their young: on paper, nobody of them is here."""
    male = AnimalDetails(keeper_id=line["id"], sex=Sex.MALE, sex_percent=100, sex_basis=SexBasis.PROBED,
                         genetics=line["name"], hatched=PartialDate(line["hatched"]), origin=Origin.BOUGHT)  # fmt: skip
    sire = add_animal(collection, details=male, place=place, weight=Mass(10 * line["g"])).value
    away = AnimalDetails(keeper_id=line["mate"], sex=Sex.FEMALE, genetics="normal", status=Status.OUTSIDE)
    dam = add_animal(collection, details=away).value
    for number, text in enumerate(line["young"], 1):
        looks, _, sex = text.partition(":")
        young = AnimalDetails(
            keeper_id=f"{line['mate']}-{number}", sex=_SEXES[sex], sex_percent=100, sex_basis=SexBasis.POPPED,
            genetics=looks, hatched=PartialDate(line["young_hatched"]), status=Status.OUTSIDE, dam_id=dam,
        )  # fmt: skip
        add_animal(collection, details=young, sires={sire: 100})


def _male(line: Line, collection: Collection) -> AnimalId:
    ((row,),) = collection.read("SELECT id FROM animal WHERE keeper_id = ?", (line["id"],))
    return AnimalId(row)


def _laid(line: Line, dam: AnimalId, collection: Collection) -> None:
    laying = Laying(dam=dam, eggs=read_egg_line(line["eggs"]), laid=PartialDate(line["laid"]), label=line["clutch"],
                    sires={_male(line, collection): 100}, maternal=True)  # fmt: skip
    lay_clutch(collection, laying=laying)
