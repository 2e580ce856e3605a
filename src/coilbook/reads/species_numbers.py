"""The numbers of a species for the screen where a keeper sets his own, and the profile a screen counts with."""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.derived.season_profile import ProfileSource, profile_now, source_known, source_now
from coilbook.husbandry.figures import Provenance
from coilbook.husbandry.number_words import NUMBER_NAMES
from coilbook.husbandry.own_numbers import NUMBERS, UNITS, Group, NumberKey, Unit, number_of, range_of
from coilbook.husbandry.profile import Profile, shipped_profile
from coilbook.records.message import Message
from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One number.

    `own` the keeper's, None where the shipped one counts; `shipped_then` what was shipped when it was set, None where
    that is what is shipped today; `low` and `high` the shipped range.
    """

    key: NumberKey
    group: Group
    name: Message
    unit: Unit
    shipped: float
    low: float | None
    high: float | None
    provenance: Provenance
    own: float | None
    shipped_then: float | None

    @property
    def used(self) -> float:
        """The number that is counted with."""
        return self.shipped if self.own is None else self.own


@dataclass(frozen=True, slots=True)
class NumbersPage:
    """Every number of a species that may be set, in the order of the groups."""

    species: str
    name: str
    scientific_name: str
    rows: tuple[NumberRow, ...]


def numbers_page(collection: Collection, species: str | None = None) -> NumbersPage:
    """The numbers of a species, of the one this collection keeps when none is named."""
    source = source_now(collection.read, species)
    shipped, own = shipped_profile(source.species), source.numbers()
    rows = []
    for group, keys in NUMBERS.items():
        for key, _unit in keys:
            value, provenance = number_of(shipped, key)
            low, high = range_of(shipped, key)
            mine = own.get(key)
            then = mine.was if mine is not None and mine.was != value else None
            rows.append(
                NumberRow(key, group, NUMBER_NAMES[key], UNITS[key], value, low, high, provenance,
                          mine.value if mine is not None else None, then)
            )  # fmt: skip
    return NumbersPage(source.species, shipped.name, shipped.scientific_name, tuple(rows))


def source_of_collection(collection: Collection) -> ProfileSource:
    """What the profile of the species this collection keeps is made of."""
    return source_now(collection.read)


def species_kept(collection: Collection) -> tuple[str, ...]:
    """The species whose numbers are asked for: what this collection keeps first, then those of its animals that have
    a profile."""
    kept = source_now(collection.read).species
    others = [str(row[0]) for row in collection.read("SELECT DISTINCT species FROM animal ORDER BY species")]
    return (kept, *(one for one in others if one != kept and source_known(collection.read, one) is not None))


def profile_of_collection(collection: Collection) -> Profile:
    """The profile this collection counts with, the keeper's own numbers in it."""
    return profile_now(collection.read)
