"""What the plan of an import must know of a collection: its animals, places, units, and answers given before."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.genetics_catalogues import catalogues_of
from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.intake.genetics_cells import GeneticsCells
from coilbook.intake.planned import Known, KnownAnimal, KnownPlace
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Precision, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_texts


def known_for_import(collection: Collection) -> Known:
    """The collection as `intake.plan.propose` wants it; today is the keeper's own day."""
    settings = Settings.from_stored(dict(collection.read("SELECT name, value FROM setting")))
    return Known(
        today=collection.clock().date(),
        animals=_animals(collection),
        places=_places(collection),
        currency=settings.currency,
        date_order=settings.date_order,
        mass_unit=settings.mass_unit,
    )


def remembered_answers(collection: Collection) -> dict[str, str]:
    """Answers given at earlier imports, by the key of their question."""
    return {str(k): str(a) for k, a in collection.read("SELECT fingerprint, answer FROM import_answer ORDER BY id")}


def genetics_for_import(collection: Collection | None) -> GeneticsCells:
    """What reads the genetics cells of a sheet: the shipped catalogue, and the keeper's own entries over it."""
    species = Settings().species
    if collection is None:
        return GeneticsCells(read_catalogue(shipped_texts()[species]))
    return GeneticsCells(catalogues_of(collection)[species])


def _animals(collection: Collection) -> tuple[KnownAnimal, ...]:
    rows = collection.read(
        "SELECT id, keeper_id, name, sex, hatched, hatched_precision, genetics FROM animal ORDER BY id"
    )
    # looked up in a table: asking the enum itself costs four times as much, 200,000 times in a large collection
    sexes, precisions = {sex.value: sex for sex in Sex}, {p.value: p for p in Precision}
    return tuple(
        KnownAnimal(
            AnimalId(i),
            keeper_id,
            name,
            sexes[sex],
            PartialDate(dt.date.fromisoformat(first), precisions[precision or "day"]) if first else None,
            genetics,
        )
        for i, keeper_id, name, sex, first, precision, genetics in rows
    )


def _places(collection: Collection) -> tuple[KnownPlace, ...]:
    """Racks and slots with the names above them; rooms are known by their racks."""
    rows = collection.read("SELECT id, kind, name, parent_id FROM place ORDER BY id")
    names = {row: (str(name), parent) for row, _, name, parent in rows}
    found: list[KnownPlace] = []
    for row, kind, name, parent in rows:
        above, over = names.get(parent, ("", None))
        if kind == "rack":
            found.append(KnownPlace(PlaceId(row), above, name))
        elif kind == "slot":
            found.append(KnownPlace(PlaceId(row), names.get(over, ("", None))[0], above, name))
    return tuple(found)
