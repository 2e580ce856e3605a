"""What can be logged on an animal's page: for each kind what its form asks, and the act it becomes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from coilbook.operations.care import clean_place, record_shed, see_sign, write_note
from coilbook.operations.departures import DepartureDetails, die, lend, lose, return_animal, sell
from coilbook.operations.feeding import Prey, offer_feeding, record_regurgitation
from coilbook.operations.moving import move_animal
from coilbook.operations.photos import add_photo
from coilbook.operations.weighing import weigh
from coilbook.reads.animal_rows import AnimalPage
from coilbook.reads.people import people
from coilbook.reads.places import places_to_choose
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import (
    CleaningExtent,
    DepartureKind,
    FeedingResult,
    MoveReason,
    PhotoAngle,
    PlaceKind,
    PreyState,
    RefusalReason,
    ShedKind,
    Sign,
    Status,
    WeightTag,
)
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.round import keys as round_keys
from coilbook.wording.language import translated
from coilbook.wording.texts import words


@dataclass(frozen=True, slots=True)
class LogKind:
    """One thing that can be logged, by the letter that opens its form."""

    key: str
    name: str
    words: str
    asks: Callable[[Desk, AnimalPage], tuple[Ask, ...]]
    call: Callable[[AnimalPage, Values], Call]


def options(*members: Any, keys: str = "") -> tuple[Option, ...]:
    """Options of members of one list of the vocabulary, with their letters in order."""
    letters = keys or " " * len(members)
    return tuple(Option(words(m), m, letters[n].strip()) for n, m in enumerate(members))


def _keys(members: Iterable[StrEnum], by_member: Mapping[Any, str]) -> str:
    """The letters a round has for these, in the order of the vocabulary."""
    return "".join(by_member.get(member, " ") for member in members)


#: results that leave a meal uneaten, which is what a reason is for
UNEATEN = frozenset({FeedingResult.REFUSED, FeedingResult.STRUCK, FeedingResult.NOT_OFFERED})
#: letters of the results, the same as in the round (a letter is a result)
RESULTS = options(*FeedingResult, keys="LTARKN")
REASONS = options(*RefusalReason, keys=_keys(RefusalReason, {r.reason: r.key for r in round_keys.REASONS}))
SHED_KINDS = options(*ShedKind, keys="BKCIE")
SIGNS = options(*Sign, keys=_keys(Sign, {s.seen: s.key for s in round_keys.SIGNS}))
TAGS = options(*WeightTag, keys="EMGLN")
EXTENTS = options(*CleaningExtent, keys="SF")
ANGLES = options(*PhotoAngle, keys="TSBHLN")
MOVE_REASONS = options(*MoveReason, keys="PCQLSWN")
TURN_KINDS = options(*DepartureKind, keys="SDLXR")
PREY_STATES = options(*PreyState, keys="FPL")


def note(span: int = 2) -> Ask:
    """The field for a note."""
    return Ask("note", translated("Note"), span=span)


def why_not(start: RefusalReason | None, choices: tuple[Option, ...]) -> Ask:
    """The choice of a reason, shown while the result is one that has a reason."""
    return Ask(
        "reason", translated("Why not"), "choice", start, span=3, options=choices, only_with="result", only_for=UNEATEN
    )


def _feeding_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    who = page.who
    return (
        Ask("result", translated("How it went"), "choice", FeedingResult.TAKEN, span=3, options=RESULTS),
        why_not(None, REASONS),
        Ask("prey", translated("Prey"), hint=who.prey_kind or translated("not said")),
        Ask("mass", translated("Prey weight"), "mass", hint=translated("not weighed")),
        Ask("pieces", translated("Pieces"), "count", "1"),
        Ask("state", translated("How given"), "choice", who.prey_state, span=3, options=PREY_STATES),
        when(),
        note(),
    )


def _feeding(page: AnimalPage, v: Values) -> Call:
    prey = Prey(kind=v["prey"], state=v["state"], mass=v["mass"], pieces=v["pieces"])
    arguments = {"result": v["result"], "reason": v["reason"], "prey": prey, "at": v["at"], "note": v["note"]}
    return Call(offer_feeding, {"animal": page.who.id, **arguments})


def _weight_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    last = next((w for w in reversed(page.weights) if not w.doubted), None)
    hint = translated("last {mass}").format(mass=desk.style.mass(last.mass_dg)) if last else "1842, 1.842 kg, 65 oz"
    needed = translated("A weight needs its number.")
    return (
        Ask("mass", translated("Weight"), "mass", hint=hint, required=needed),
        when(),
        note(1),
        Ask("tag", translated("On the scale"), "choice", WeightTag.UNSAID, span=3, options=TAGS),
    )


def _weight(page: AnimalPage, v: Values) -> Call:
    return Call(weigh, {"animal": page.who.id, "mass": v["mass"], "at": v["at"], "tag": v["tag"], "note": v["note"]})


def _shed_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    kind = Ask("kind", translated("What"), "choice", ShedKind.COMPLETE, span=3, options=SHED_KINDS)
    return kind, when(), note()


def _shed(page: AnimalPage, v: Values) -> Call:
    return Call(record_shed, {"animal": page.who.id, "kind": v["kind"], "at": v["at"], "note": v["note"]})


def _sign_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    needed = translated("Choose what was seen.")
    sign = Ask("sign", translated("What was seen"), "choice", None, span=3, options=SIGNS, required=needed)
    return sign, when(), note()


def _sign(page: AnimalPage, v: Values) -> Call:
    return Call(see_sign, {"animal": page.who.id, "sign": v["sign"], "at": v["at"], "note": v["note"]})


def _note_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    hint = translated("Ctrl Enter keeps it")
    return Ask("text", translated("Note"), "long", span=3, hint=hint), when()


def _note(page: AnimalPage, v: Values) -> Call:
    return Call(write_note, {"animal": page.who.id, "text": v["text"], "at": v["at"]})


def _move_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    slots = places_to_choose(desk.collection, PlaceKind.SLOT)
    hint = translated("now in {place}; empty takes out").format(place=page.home.label or "\u2013")
    return (
        Ask("place", translated("To"), "known", hint=hint, known=slots),
        Ask("return_by", translated("Back by"), "later", hint=translated("stays")),
        when(),
        Ask("reason", translated("Why"), "choice", MoveReason.UNSAID, span=3, options=MOVE_REASONS),
        note(3),
    )


def _move(page: AnimalPage, v: Values) -> Call:
    arguments = {"reason": v["reason"], "return_by": v["return_by"], "note": v["note"], "at": v["at"]}
    return Call(move_animal, {"animal": page.who.id, "place": v["place"], **arguments})


def _cleaning_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    extent = Ask("extent", translated("How far"), "choice", CleaningExtent.SPOT, span=3, options=EXTENTS)
    return extent, Ask("product", translated("With")), when(), note(1)


def _cleaning(page: AnimalPage, v: Values) -> Call:
    if page.home.place is None:
        raise Refusal(say("{animal} has no place, so there is no tub to clean.", animal=page.who.keeper_id))
    arguments = {"extent": v["extent"], "product": v["product"], "at": v["at"], "note": v["note"]}
    return Call(clean_place, {"place": page.home.place, **arguments})


def _back_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    return when(), note()


def _back(page: AnimalPage, v: Values) -> Call:
    return Call(record_regurgitation, {"animal": page.who.id, "at": v["at"], "note": v["note"]})


def _photo_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    needed = translated("Type where the picture is, drop it on the page, or paste it with Ctrl V.")
    return (
        Ask("file", translated("Picture file"), span=3, hint=translated("or drop it, or Ctrl V"), required=needed),
        Ask("angle", translated("From"), "choice", PhotoAngle.TOP, span=3, options=ANGLES),
        when(),
        Ask("caption", translated("Words"), span=2),
    )


def _photo(page: AnimalPage, v: Values) -> Call:
    arguments = {"angle": v["angle"], "caption": v["caption"], "at": v["at"]}
    return Call(add_photo, {"animal": page.who.id, "picture": Path(v["file"]).expanduser(), **arguments})


_TURNS: dict[DepartureKind, Operation] = {
    DepartureKind.SOLD: sell,
    DepartureKind.DIED: die,
    DepartureKind.LOANED: lend,
    DepartureKind.LOST: lose,
    DepartureKind.RETURNED: return_animal,
}


def _turn_asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
    away = page.who.status in (Status.SOLD, Status.LOAN, Status.LOST)
    needed = translated("Choose what became of the animal.")
    names = tuple((p.name, p.id) for p in people(desk.collection))
    start = DepartureKind.RETURNED if away else None
    return (
        Ask("kind", translated("What became of it"), "choice", start, span=3, options=TURN_KINDS, required=needed),
        Ask("person", translated("Who"), "person", hint=translated("a new or a known name"), known=names),
        Ask("price", translated("Price"), "money", hint=translated("not said")),
        when(),
        Ask("reason", translated("Reason")),
        note(),
    )


def _turn(page: AnimalPage, v: Values) -> Call:
    name, person = v["person"]
    details = DepartureDetails(
        at=v["at"], person=person, new_person=name, price=v["price"], reason=v["reason"], note=v["note"]
    )
    return Call(_TURNS[v["kind"]], {"animal": page.who.id, "details": details})


LOG_KINDS: tuple[LogKind, ...] = (
    LogKind("F", "feeding", "Feeding", _feeding_asks, _feeding),
    LogKind("W", "weight", "Weight", _weight_asks, _weight),
    LogKind("S", "shed", "Shed", _shed_asks, _shed),
    LogKind("G", "sign", "Sign", _sign_asks, _sign),
    LogKind("N", "note", "Note", _note_asks, _note),
    LogKind("M", "move", "Move", _move_asks, _move),
    LogKind("C", "cleaning", "Cleaning", _cleaning_asks, _cleaning),
    LogKind("P", "photo", "Photo", _photo_asks, _photo),
    LogKind("B", "back", "Meal came back", _back_asks, _back),
    LogKind("D", "turn", "Departure", _turn_asks, _turn),
)
