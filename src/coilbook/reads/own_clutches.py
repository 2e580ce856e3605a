"""How many good eggs and how many hatched of the keeper's own clutches; and what that makes of the next one."""

from __future__ import annotations

import weakref
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from coilbook.derived.season_profile import source_known, source_now, species_with_numbers
from coilbook.genetics.outlook_clutch import ClutchLaw, HatchRate
from coilbook.husbandry.hatch_result import HatchResult, hatch_result
from coilbook.husbandry.profile import Profile, profile_of
from coilbook.reads.egg_boxes import clutches
from coilbook.records.ids import AnimalId, ClutchId
from coilbook.storage.collection import Collection

#: clutches of a collection it takes to count as much as what is usual for the species; and of one female, to count as
#: much as those of the collection (from memory)
WORTH = 4.0


class OwnClutch(NamedTuple):
    """A finished clutch: its good eggs, how many of them hatched, and whose they were (the males in percent)."""

    good: int
    hatched: int
    dam: AnimalId | None
    sires: tuple[tuple[AnimalId, int], ...]
    #: scientific name, as catalogues have it
    species: str


#: the share of a clutch's fertile eggs whose genotype can hatch
CanHatch = Callable[[OwnClutch], float]


@dataclass(frozen=True, slots=True)
class OwnClutches:
    """Finished clutches by dam; one with an egg still to come or in doubt is left out."""

    by_dam: dict[AnimalId | None, tuple[OwnClutch, ...]]
    #: profiles with the keeper's own numbers in them, by scientific name; shipped ones are not here
    profiles: Mapping[str, Profile] = field(default_factory=dict)

    def of(self, dam: AnimalId) -> tuple[OwnClutch, ...]:
        """Those of one female."""
        return self.by_dam.get(dam, ())

    def of_others(self, dam: AnimalId, species: str) -> tuple[OwnClutch, ...]:
        """Those of all others of a species."""
        return tuple(one for whose, each in self.by_dam.items() if whose != dam for one in each
                     if one.species == species)  # fmt: skip


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
    species = _species(collection)
    found: dict[AnimalId | None, list[OwnClutch]] = {}
    for clutch in clutches(collection, species):
        result = hatch_result([egg.story for egg in clutch.eggs])
        if _finished(result):
            whose = clutch.dam.id if clutch.dam is not None else None
            sires = tuple((sire.id, sire.percent) for sire in clutch.sires)
            one = OwnClutch(result.ever_good, result.hatched, whose, sires, species[clutch.id])
            found.setdefault(whose, []).append(one)
    return OwnClutches({whose: tuple(each) for whose, each in found.items()}, _own_profiles(collection))


def _own_profiles(collection: Collection) -> dict[str, Profile]:
    sources = [source_known(collection.read, species) for species in species_with_numbers(collection.read)]
    return {source.profile.scientific_name: source.profile for source in sources if source is not None}


def _species(collection: Collection) -> dict[ClutchId, str]:
    """The scientific name of every clutch: of its dam, else of a sire, else what this collection keeps."""
    kept = source_now(collection.read).species
    rows = collection.read(
        "SELECT c.id, coalesce(d.species, (SELECT a.species FROM clutch_sire s JOIN animal a ON a.id = s.sire_id"
        " WHERE s.clutch_id = c.id ORDER BY s.id LIMIT 1), ?) FROM clutch c LEFT JOIN animal d ON d.id = c.dam_id"
        " ORDER BY c.id",
        (kept,),
    )
    names = {key: source_known(collection.read, key) for key in {str(species) for _, species in rows}}
    sources = {key: source.profile.scientific_name if source is not None else key for key, source in names.items()}
    return {ClutchId(int(clutch)): sources[str(species)] for clutch, species in rows}


def _finished(result: HatchResult) -> bool:
    return bool(result.laid) and not result.still_open and not result.unresolved


def _all_can(_clutch: OwnClutch) -> float:
    return 1.0


def next_clutch(own: OwnClutches, dam: AnimalId, scientific_name: str, can_hatch: CanHatch = _all_can) -> NextClutch:
    """Species, then the collection, then this female: each step outranks the one before as its clutches grow.

    `can_hatch`: eggs whose genotype cannot hatch are no failure of the hatch rate, in which they are not counted.
    """
    others, hers = own.of_others(dam, scientific_name), own.of(dam)
    law = usual_clutch(scientific_name, own.profiles)
    for clutches_of in (others, hers):
        if clutches_of:
            counted = [(one.good, one.hatched) for one in clutches_of]
            law = law.after(counted, weight=WORTH, able=[one.good * can_hatch(one) for one in clutches_of])
    return NextClutch(law, len(others), len(hers))


def usual_clutch(scientific_name: str, own: Mapping[str, Profile] = MappingProxyType({})) -> ClutchLaw:
    """The clutch before the keeper has any of his own, from the profile of the species, which says where it is from.

    `own`: profiles with the keeper's own numbers, by scientific name.
    """
    profile = own.get(scientific_name) or profile_of(scientific_name)
    return ClutchLaw(profile.good_eggs.chances, HatchRate(profile.hatch_rate.mean, profile.hatch_rate.strength))
