"""What the tree shows: who descends from whom in the whole book, and of each animal what its card says.

Lines of descent are read whole (three columns an animal) and kept by the screen; the words of a card only for those
in view.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from coilbook.drawing.family import Member
from coilbook.reads.animal_page import partial
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import DepartureKind, Origin, Sex, Status
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.collection import Collection

#: SQLite takes this many values in a statement in every build
_AT_A_TIME = 900


@dataclass(frozen=True)
class FamilyLines:
    """Every animal of the book with its recorded parents, by id."""

    members: Mapping[int, Member]
    #: keeper's ids, for finding and for sentences
    names: Mapping[int, str]
    #: animals of one dam, one list of possible sires and one hatch day, unless each egg may have its own sire
    litters: tuple[tuple[int, ...], ...] = ()

    @property
    def related(self) -> bool:
        """True when any parent is recorded."""
        return any(member.parents for member in self.members.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFacts:
    """What the card of one animal can say; `turn_year` is when it was sold or died, `came_year` when it was got."""

    id: AnimalId
    keeper_id: str
    name: str
    sex: Sex
    sex_percent: int
    genetics: str
    status: Status
    origin: Origin
    hatched: PartialDate | None
    place: str
    claim: str = ""
    came_year: int | None = None
    source: str = ""
    turn: DepartureKind | None = None
    turn_year: int | None = None
    #: the cover photo, else the newest: SHA-256 and ending
    photo: tuple[str, str] | None = field(default=None)


_LITTERS = """SELECT DISTINCT a.id, a.hatched FROM sire s JOIN animal a ON a.id = s.animal_id
    WHERE s.percent < 100 AND s.each_own = 0 AND a.dam_id IS NOT NULL AND a.hatched IS NOT NULL
    AND a.hatched_precision = 'day' ORDER BY a.id"""


def family_lines(collection: Collection) -> FamilyLines:
    """Everyone's parents."""
    animals = collection.read("SELECT id, keeper_id, dam_id FROM animal ORDER BY id")
    sires: dict[int, list[tuple[int, int]]] = {}
    for animal, sire, percent in collection.read(
        "SELECT animal_id, sire_id, percent FROM sire ORDER BY animal_id, percent DESC, id"
    ):
        sires.setdefault(animal, []).append((sire, percent))
    members = {key: Member(key, dam, tuple(sires.get(key, ()))) for key, _, dam in animals}
    together: dict[tuple[object, ...], list[int]] = {}
    for animal, day in collection.read(_LITTERS):
        member = members[animal]
        together.setdefault((member.dam, member.sires, day), []).append(animal)
    litters = tuple(tuple(litter) for litter in together.values() if len(litter) > 1)
    return FamilyLines(members, {key: name for key, name, _ in animals}, litters)


def card_facts(collection: Collection, animals: Iterable[int]) -> dict[int, CardFacts]:
    """The facts of some animals' cards, by id; one that is gone is left out."""
    wanted = list(animals)
    found: dict[int, CardFacts] = {}
    for start in range(0, len(wanted), _AT_A_TIME):
        part = wanted[start : start + _AT_A_TIME]
        for row in collection.read(_CARD.format(marks=", ".join("?" * len(part))), part):
            card = _card(row)
            found[card.id] = card
    return found


_CARD = """SELECT a.id, a.keeper_id, a.name, a.sex, a.sex_percent, a.genetics, a.status, a.origin, a.hatched,
    a.hatched_precision, coalesce(p.label, ''),
    (SELECT c.text FROM claim c WHERE c.animal_id = a.id ORDER BY c.id DESC LIMIT 1),
    q.date, coalesce(w.name, ''), d.kind, d.at, coalesce(f.sha256, ''), coalesce(f.ending, '')
    FROM animal a LEFT JOIN place p ON p.id = a.place_id
    LEFT JOIN acquisition q ON q.id = (SELECT max(id) FROM acquisition WHERE animal_id = a.id)
    LEFT JOIN person w ON w.id = q.person_id
    LEFT JOIN departure d ON d.id = (SELECT id FROM departure WHERE animal_id = a.id ORDER BY at DESC, id DESC LIMIT 1)
    LEFT JOIN photo f ON f.id = coalesce((SELECT id FROM photo WHERE id = a.cover_photo),
        (SELECT id FROM photo WHERE animal_id = a.id ORDER BY at DESC, id DESC LIMIT 1))
    WHERE a.id IN ({marks})"""


def _card(row: Sequence[Any]) -> CardFacts:
    return CardFacts(
        id=AnimalId(row[0]),
        keeper_id=row[1],
        name=row[2],
        sex=Sex(row[3]),
        sex_percent=row[4],
        genetics=row[5],
        status=Status(row[6]),
        origin=Origin(row[7]),
        hatched=partial(row[8], row[9]),
        place=row[10],
        claim=row[11] or "",
        came_year=moment_from(row[12]).year if row[12] else None,
        source=row[13],
        turn=DepartureKind(row[14]) if row[14] else None,
        turn_year=moment_from(row[15]).year if row[15] else None,
        photo=(row[16], row[17]) if row[16] else None,
    )
