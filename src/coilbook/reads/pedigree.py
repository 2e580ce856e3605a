"""What the tree shows: who descends from whom in the whole book, and of each animal what its card says.

Lines of descent are read whole (five columns an animal) and kept by the screen; the words of a card only for those
in view.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from coilbook.derived.litters import SHARES, Share, is_known, listing_of, litters_of
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
    #: animals that share one doubtful sire, whoever of the list he is; nobody whose egg may have its own
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


def family_lines(collection: Collection) -> FamilyLines:
    """Everyone's parents."""
    animals = collection.read("SELECT id, keeper_id, dam_id, hatched, hatched_precision FROM animal ORDER BY id")
    sires: dict[int, list[Share]] = {}
    clutches: dict[int, int | None] = {}
    for animal, *share, clutch in collection.read(f"{SHARES} ORDER BY s.animal_id, s.percent DESC, s.id"):
        sires.setdefault(animal, []).append((share[0], share[1], share[2]))
        clutches[animal] = clutch
    members = {key: Member(key, dam, tuple((s, p) for s, p, _ in sires.get(key, ()))) for key, _, dam, *_ in animals}
    doubtful = {
        key: listing_of(dam, sires[key], clutches[key], hatched, precision)
        for key, _, dam, hatched, precision in animals
        if key in sires and not is_known(sires[key]) and not any(own for *_, own in sires[key])
    }
    litters = tuple(litter for litter in litters_of(doubtful) if len(litter) > 1)
    return FamilyLines(members, {key: name for key, name, *_ in animals}, litters)


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
