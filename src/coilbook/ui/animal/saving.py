"""What was typed in a line of the page, as the acts that keep it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coilbook.operations.animals import (
    AcquisitionDetails,
    AnimalDetails,
    acquire,
    add_animal,
    add_claim,
    edit_animal,
    set_parents,
    tag,
    untag,
)
from coilbook.reads.animal_rows import AnimalPage
from coilbook.reads.lookup import animal_called
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Origin, PreyState, Sex, Status
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.typed import typed_date, typed_sex
from coilbook.wording.texts import words


@dataclass(frozen=True, slots=True)
class Save:
    """One act to run."""

    operation: Operation
    arguments: dict[str, Any]


class UnknownParent(Refusal):
    """A parent was typed whose id is in no book; it can be kept as somebody else's animal."""

    def __init__(self, keeper_id: str, sex: Sex) -> None:
        super().__init__(say("There is no animal {id} here. Keep it as somebody else's animal?", id=keeper_id))
        self.keeper_id, self.sex = keeper_id, sex


#: lines that are one text column of the animal
_TEXTS = ("name", "temperament", "holdback", "microchip", "feeding_note", "genetics")


def saves(desk: Desk, page: AnimalPage, name: str, text: str) -> list[Save]:
    """The acts that make a line say what was typed; none when it says so already."""
    who, typed = page.who, " ".join(text.split())
    if name in _TEXTS:
        return [] if typed == getattr(who, name) else [_text(who.id, name, typed)]
    if name == "keeper_id":
        return [] if typed == who.keeper_id else [_edit(who.id, keeper_id=typed)]
    if name == "sex":
        return _sex(page, typed)
    if name == "hatched":
        return _hatched(desk, page, typed)
    if name == "came":
        return _came(desk, page, typed)
    if name == "prey":
        return _prey(page, typed)
    if name == "interval":
        return _interval(page, typed)
    if name == "tags":
        return _tags(page, typed)
    if name == "claim":
        return _claim(page, text.strip())
    return _parents(desk, page, name, typed)


def outside_parent(unknown: UnknownParent) -> Save:
    """The act that keeps an unknown parent as somebody else's animal."""
    details = AnimalDetails(keeper_id=unknown.keeper_id, sex=unknown.sex, status=Status.OUTSIDE)
    return Save(add_animal, {"details": details})


def _edit(animal: AnimalId, *, emptied: frozenset[str] = frozenset(), **columns: Any) -> Save:
    return Save(edit_animal, {"animal": animal, "details": AnimalDetails(emptied=emptied, **columns)})


def _text(animal: AnimalId, column: str, text: str) -> Save:
    columns: dict[str, Any] = {column: text}
    return Save(edit_animal, {"animal": animal, "details": AnimalDetails(**columns)})


def _sex(page: AnimalPage, typed: str) -> list[Save]:
    sex, percent, basis = typed_sex(typed or "unsexed")
    who = page.who
    known = basis if basis is not None else who.sex_basis
    if (sex, percent, known) == (who.sex, who.sex_percent, who.sex_basis):
        return []
    return [_edit(who.id, sex=sex, sex_percent=percent, sex_basis=known)]


def _hatched(desk: Desk, page: AnimalPage, typed: str) -> list[Save]:
    date = typed_date(typed, desk.clock(), desk.settings)
    if date == page.who.hatched:
        return []
    if date is None:
        return [_edit(page.who.id, emptied=frozenset({"hatched"}))]
    return [_edit(page.who.id, hatched=date)]


def _came(desk: Desk, page: AnimalPage, typed: str) -> list[Save]:
    if not typed:
        return [] if page.who.origin is Origin.UNKNOWN else [_edit(page.who.id, origin=Origin.UNKNOWN)]
    how = next((o for o in sorted(Origin, key=lambda o: -len(words(o))) if typed.lower().startswith(words(o))), None)
    if how is None:
        known = ", ".join(words(o) for o in Origin)
        raise Refusal(say("'{text}' is not a way an animal comes; these are: {known}.", text=typed, known=known))
    rest = typed[len(words(how)) :].strip(" ,")
    date = typed_date(rest, desk.clock(), desk.settings)
    if date is not None and (page.arrival is None or page.arrival.date != date or page.arrival.how != how):
        return [Save(acquire, {"animal": page.who.id, "details": AcquisitionDetails(date=date, how=how)})]
    return [] if how is page.who.origin else [_edit(page.who.id, origin=how)]


_STATES = {"f/t": PreyState.FROZEN_THAWED, "ft": PreyState.FROZEN_THAWED, "frozen": PreyState.FROZEN_THAWED}
_STATES |= {"p/k": PreyState.PRE_KILLED, "pk": PreyState.PRE_KILLED, "live": PreyState.LIVE}


def _prey(page: AnimalPage, typed: str) -> list[Save]:
    *head, last = typed.replace(",", " ").split() or [""]
    state = _STATES.get(last.lower())
    kind = " ".join(head) if state is not None else typed
    chosen = state if state is not None else PreyState.FROZEN_THAWED
    if (kind, chosen) == (page.who.prey_kind, page.who.prey_state):
        return []
    return [_edit(page.who.id, prey_kind=kind, prey_state=chosen)]


def _interval(page: AnimalPage, typed: str) -> list[Save]:
    if not typed:
        return [] if page.who.interval_days is None else [_edit(page.who.id, emptied=frozenset({"interval_days"}))]
    found = re.fullmatch(r"(?:every\s+)?(\d{1,3})\s*(?:d|days?)?", typed.lower())
    if found is None:
        raise Refusal(say("'{text}' is not a number of days. Type 7, or nothing for the common interval.", text=typed))
    return [] if int(found[1]) == page.who.interval_days else [_edit(page.who.id, interval_days=int(found[1]))]


def _tags(page: AnimalPage, typed: str) -> list[Save]:
    wanted = [w for w in (" ".join(part.split()) for part in typed.split(",")) if w]
    animal = [page.who.id]
    added = [Save(tag, {"animals": animal, "word": w}) for w in dict.fromkeys(wanted) if w not in page.tags]
    return added + [Save(untag, {"animals": animal, "word": w}) for w in page.tags if w not in wanted]


def _claim(page: AnimalPage, typed: str) -> list[Save]:
    """A claim in somebody's words; after a semicolon, who said it."""
    if not typed:
        return []
    text, _, source = typed.partition(";")
    return [Save(add_claim, {"animal": page.who.id, "text": text.strip(), "source": source.strip()})]


def _parents(desk: Desk, page: AnimalPage, name: str, typed: str) -> list[Save]:
    family = page.family
    dam = family.dam.id if family.dam is not None else None
    sires: Mapping[AnimalId, int] = {s.id: s.percent for s in family.sires}
    before = (dam, dict(sires))
    if name == "dam":
        dam = _parent(desk, typed, Sex.FEMALE) if typed else None
    else:
        sires = _sires(desk, typed)
    if (dam, dict(sires)) == before:
        return []
    return [Save(set_parents, {"animal": page.who.id, "dam": dam, "sires": sires})]


def _parent(desk: Desk, keeper_id: str, sex: Sex) -> AnimalId:
    found = animal_called(desk.collection, keeper_id)
    if found is None:
        raise UnknownParent(keeper_id, sex)
    return found


def _sires(desk: Desk, typed: str) -> dict[AnimalId, int]:
    """ "M-01", or a list of possible sires with their percent: "M-01 70, M-03 30"."""
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    if not parts:
        return {}
    found: dict[AnimalId, int] = {}
    for part in parts:
        percent = re.fullmatch(r"(.+?)\s+(\d{1,3})\s*%?", part)
        whole = animal_called(desk.collection, part)
        if whole is not None and (len(parts) == 1 or percent is None):
            found[whole] = 100 if len(parts) == 1 else 0
        elif percent is not None:
            found[_parent(desk, percent[1], Sex.MALE)] = int(percent[2])
        else:
            found[_parent(desk, part, Sex.MALE)] = 100 if len(parts) == 1 else 0
    if len(found) > 1 and 0 in found.values():
        raise Refusal(say("Several sires need their percent each, like M-01 70, M-03 30."))
    return found
