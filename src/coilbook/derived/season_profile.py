"""The season profile a collection counts with: the shipped one of its species, the keeper's own numbers in their place.

Own numbers stand among the settings, one row each: `number|SPECIES|KEY`, and as its value "yours|shipped then".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from coilbook.derived.season_rows import Read
from coilbook.husbandry.own_numbers import NumberKey, OwnNumber, number_key, with_numbers
from coilbook.husbandry.profile import Profile, shipped_profile
from coilbook.records.message import StorageTrouble
from coilbook.records.settings import Settings

_PREFIX = "number|"


@dataclass(frozen=True, slots=True)
class ProfileSource:
    """What a profile is made of, as a key to keep answers by: the species, and the keeper's rows."""

    species: str
    own: tuple[tuple[str, str], ...] = ()

    @property
    def profile(self) -> Profile:
        """The profile itself; the same object as long as nothing changed."""
        return _profile(self)

    def numbers(self) -> Mapping[NumberKey, OwnNumber]:
        """The keeper's own numbers; a row that cannot be read leaves the shipped number."""
        found: dict[NumberKey, OwnNumber] = {}
        for name, value in self.own:
            key = number_key(name)
            yours, _, was = value.partition("|")
            try:
                number = OwnNumber(float(yours), float(was))
            except ValueError:
                continue
            if key is not None:
                found[key] = number
        return found


@lru_cache(maxsize=16)
def _profile(source: ProfileSource) -> Profile:
    return with_numbers(shipped_profile(source.species), source.numbers())


def number_row(species: str, key: NumberKey) -> str:
    """The name under which an own number stands."""
    return f"{_PREFIX}{species}|{key.value}"


def source_now(read: Read, species: str | None = None) -> ProfileSource:
    """Where the profile of a species comes from now; of the species this collection keeps when none is named."""
    rows = read(
        "SELECT name, value FROM setting WHERE name = 'species' OR substr(name, 1, 7) = ? ORDER BY name", (_PREFIX,)
    )
    kept = species or next((str(value) for name, value in rows if name == "species"), Settings().species)
    start = f"{_PREFIX}{kept}|"
    own = tuple((name.removeprefix(start), value) for name, value in rows if name.startswith(start))
    return ProfileSource(kept, own)


def species_with_numbers(read: Read) -> tuple[str, ...]:
    """The species of which the keeper set a number of his own."""
    rows = read("SELECT DISTINCT name FROM setting WHERE substr(name, 1, 7) = ? ORDER BY name", (_PREFIX,))
    return tuple(dict.fromkeys(str(name).split("|")[1] for (name,) in rows))


def source_known(read: Read, species: str | None = None) -> ProfileSource | None:
    """Where the profile of a species comes from now; None where the species has none."""
    source = source_now(read, species)
    try:
        _there = source.profile
    except StorageTrouble:
        return None
    return source


def profile_now(read: Read, species: str | None = None) -> Profile:
    """The profile of a species as this collection counts with it now."""
    return source_now(read, species).profile
