"""Places and parents as sheets name them, matched with what the collection and the sheet have."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from coilbook.intake.planned import Known, KnownPlace, PlannedParent, PlannedPlace
from coilbook.intake.values import identity_key
from coilbook.records.composed import seen
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex

_RACK_AND_SLOT = re.compile(
    r"(?P<rack>(?:rack\s*)?[^\W_]{1,8}?)\s*(?:[-/.:,]|\s)\s*(?:slot|tub|bin|shelf|s|t|#)?\s*#?(?P<slot>\d{1,3}[a-z]?)",
    re.I,
)
_LETTER_AND_SLOT = re.compile(r"(?P<rack>[A-QS-Z])(?P<slot>\d{1,3})", re.I)
_RACK_ONLY = re.compile(r"(?:rack\s*#?\s*[\w-]{1,6}|r\d{1,3})", re.I)
_RACK_WORD = re.compile(r"^(?:rack|r)\s*[#:.]?\s*(?=\w)", re.I)


@lru_cache(maxsize=20_000)
def split_place(text: str) -> tuple[str, str]:
    """Rack and slot of a place text, as typed; the slot alone when no rack is seen in it.

    >>> split_place("R2-14"), split_place("Rack 2 tub 7"), split_place("A3"), split_place("Rack 4")
    (('R2', '14'), ('Rack 2', '7'), ('A', '3'), ('Rack 4', ''))
    """
    cleaned = " ".join(text.split())
    if _RACK_ONLY.fullmatch(cleaned):
        return cleaned, ""
    match = _RACK_AND_SLOT.fullmatch(cleaned) or _LETTER_AND_SLOT.fullmatch(cleaned)
    return (match["rack"].strip(), match["slot"]) if match else ("", cleaned)


@lru_cache(maxsize=20_000)
def rack_key(rack: str) -> str:
    """What ``Rack 2`` and ``r2`` have in common: the key under which a rack is found."""
    return identity_key(_RACK_WORD.sub("", rack.strip())) if rack else ""


class PlaceBook:
    """Finds the collection's own place for what a sheet calls it: ``Rack 2`` is ``R2``."""

    def __init__(self, places: tuple[KnownPlace, ...]) -> None:
        self._known: dict[tuple[str, str], list[KnownPlace]] = {}
        for place in places:
            key = (rack_key(place.rack), identity_key(place.slot) if place.slot else "")
            self._known.setdefault(key, []).append(place)

    def plan(self, room: str, rack: str, slot: str) -> PlannedPlace | None:
        """The place to use or create; None when nothing is said. A place of another room is not taken for it."""
        if not (rack or slot):
            return PlannedPlace(room, "", "") if room else None
        found = self._known.get((rack_key(rack), identity_key(slot) if slot else ""), [])
        fitting = [place for place in found if not room or place.room.casefold() == room.casefold()]
        if len(fitting) == 1:
            place = fitting[0]
            return PlannedPlace(place.room, place.rack, place.slot, place.id)
        return PlannedPlace(room, rack, slot)


_OR = re.compile(r"\s+or\s+|\s*/\s*|\s*&\s*|\s*\+\s*|\s*,\s*", re.I)
_CROSS = re.compile(r"\s+[x×]\s+|\s*×\s*", re.I)


@dataclass(frozen=True, slots=True)
class Called:
    """An animal that a parent's text may mean: `existing` in the collection, else one of the sheet's."""

    keeper_id: str
    sex: Sex
    existing: AnimalId | None = None


class ParentBook:
    """Finds the animal a dam or sire cell names: by its id, else by its name, in the sheet and then in the collection.

    `ids` and `names` of the sheet's animals go by their `identity_key`.
    """

    def __init__(self, ids: Mapping[str, Called], names: Mapping[str, list[Called]], known: Known) -> None:
        book = [(a, Called(a.keeper_id, a.sex, a.id)) for a in known.animals]
        book_names: dict[str, list[Called]] = {}
        for animal, called in book:
            if animal.name:
                book_names.setdefault(identity_key(animal.name), []).append(called)
        self._ids = (ids, {identity_key(animal.keeper_id): called for animal, called in book})
        self._names = (names, book_names)

    def find(self, text: str, wrong: Sex) -> PlannedParent | None:
        """The animal `text` names; an outside one when nobody is called so, None when several are.

        Of several with one name those of the `wrong` sex for this parent are not meant.
        """
        plain = seen(text) or text.strip()
        cleaned = plain.rstrip("?").strip() or plain
        key = identity_key(cleaned)
        for ids in self._ids:
            if key in ids:
                return _parent(text, ids[key])
        for names in self._names:
            several = list({called.keeper_id: called for called in names.get(key, ())}.values())
            if len(several) > 1:
                several = [called for called in several if called.sex is not wrong]
                if len(several) != 1:
                    return None
            if several:
                return _parent(text, several[0])
        return PlannedParent(text, cleaned)

    def find_several(self, text: str, wrong: Sex) -> tuple[PlannedParent, ...] | None:
        """The possible animals of ``M-03 or M-07``; a name with such a sign in it stays whole when nobody fits."""
        parts = [part for part in _OR.split(text) if part.strip()]
        if len(parts) > 1:
            found = [self.find(part, wrong) for part in parts]
            named = [parent for parent in found if parent is not None]
            if len(named) < len(found):
                return None
            if any(not parent.outside for parent in named) or all(any(map(str.isdigit, part)) for part in parts):
                return tuple(named)
        whole = self.find(text, wrong)
        return None if whole is None else (whole,)


def _parent(text: str, called: Called) -> PlannedParent:
    in_plan = called.existing is None
    return PlannedParent(text, called.keeper_id, existing=called.existing, in_plan=in_plan)


def split_pairing(text: str) -> tuple[str, str] | None:
    """The two animals of ``F-014 x M-03``, in the order written; None for other texts."""
    parts = [part.strip() for part in _CROSS.split(text)]
    return (parts[0], parts[1]) if len(parts) == 2 and all(parts) else None
