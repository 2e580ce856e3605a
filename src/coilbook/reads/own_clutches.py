"""How many good eggs and how many hatched of the keeper's own clutches; and what that makes of the next one."""

from __future__ import annotations

import weakref
from dataclasses import dataclass

from coilbook.genetics.outlook_clutch import ClutchLaw, HatchRate
from coilbook.husbandry.hatch_result import HatchResult, hatch_result
from coilbook.husbandry.profile import profile_of
from coilbook.reads.egg_boxes import clutches
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.storage.collection import Collection

#: clutches of a collection it takes to count as much as what is usual for the species; and of one female, to count as
#: much as those of the collection (from memory)
WORTH = 4.0


@dataclass(frozen=True, slots=True)
class OwnClutches:
    """Finished clutches as (good eggs, hatched), by dam; one with an egg still to come or in doubt is left out."""

    by_dam: dict[AnimalId | None, tuple[tuple[int, int], ...]]

    def of(self, dam: AnimalId) -> tuple[tuple[int, int], ...]:
        """Those of one female."""
        return self.by_dam.get(dam, ())

    def of_others(self, dam: AnimalId) -> tuple[tuple[int, int], ...]:
        """Those of all others."""
        return tuple(one for whose, each in self.by_dam.items() if whose != dam for one in each)


@dataclass(frozen=True, slots=True)
class NextClutch:
    """What is expected of a female's next clutch, and how many clutches of others and of hers it rests on."""

    law: ClutchLaw
    others: int = 0
    hers: int = 0


def own_clutches(collection: Collection) -> OwnClutches:
    """Every finished clutch of the book; read again only once something was written."""
    newest = collection.read_one("SELECT coalesce(max(id), 0), count(*) FROM act") or (0, 0)
    kept = _KEPT.get(collection)
    if kept is None or kept[0] != newest:
        kept = _KEPT[collection] = (newest, _read(collection))
    return kept[1]


_KEPT: weakref.WeakKeyDictionary[Collection, tuple[object, OwnClutches]] = weakref.WeakKeyDictionary()


def _read(collection: Collection) -> OwnClutches:
    ids = [ClutchId(int(row)) for (row,) in collection.read("SELECT id FROM clutch ORDER BY id")]
    found: dict[AnimalId | None, list[tuple[int, int]]] = {}
    for clutch in clutches(collection, ids):
        result = hatch_result([egg.story for egg in clutch.eggs])
        if _finished(result):
            whose = clutch.dam.id if clutch.dam is not None else None
            found.setdefault(whose, []).append((result.ever_good, result.hatched))
    return OwnClutches({whose: tuple(each) for whose, each in found.items()})


def _finished(result: HatchResult) -> bool:
    return bool(result.laid) and not result.still_open and not result.unresolved


def next_clutch(own: OwnClutches, dam: AnimalId, scientific_name: str) -> NextClutch:
    """Species, then the collection, then this female: each step outranks the one before as its clutches grow."""
    others, hers = own.of_others(dam), own.of(dam)
    law = usual_clutch(scientific_name)
    for clutches_of in (others, hers):
        if clutches_of:
            law = law.after(clutches_of, weight=WORTH)
    return NextClutch(law, len(others), len(hers))


def usual_clutch(scientific_name: str) -> ClutchLaw:
    """The clutch before the keeper has any of his own, from the profile of the species, which says where it is from."""
    profile = profile_of(scientific_name)
    return ClutchLaw(profile.good_eggs.chances, HatchRate(profile.hatch_rate.mean, profile.hatch_rate.strength))
