"""The frozen rows of one animal's page: who it is, where it lives, what was recorded, and its relatives."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coilbook.labels.code import LabelCode
from coilbook.records.ids import AnimalId, FeedingId, PhotoId, PlaceId, ShedId, WeightId
from coilbook.records.message import Message
from coilbook.records.vocabulary import (
    DepartureKind,
    FeedingResult,
    Origin,
    PhotoAngle,
    PreyState,
    RefusalReason,
    Sex,
    SexBasis,
    ShedKind,
    Status,
    WeightTag,
)
from coilbook.records.when import UNDATED, PartialDate

if TYPE_CHECKING:
    from coilbook.husbandry.young import YoungNow
    from coilbook.reads.health_now import Course
    from coilbook.reads.season_fast import SeasonNow


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What is known of an animal itself; `sex_percent` is how sure the sex call is, 50 to 100.

    `hatched_not_before` where it was seen out only between two looks: it hatched from then to `hatched`.
    """

    id: AnimalId
    keeper_id: str
    name: str
    sex: Sex
    sex_percent: int
    sex_basis: SexBasis
    genetics: str
    hatched: PartialDate | None
    origin: Origin
    status: Status
    microchip: str
    temperament: str
    holdback: str
    retired: bool
    breeder_male_only: bool
    interval_days: int | None
    prey_kind: str
    prey_state: PreyState
    feeding_note: str
    cover_photo: PhotoId | None
    hatched_not_before: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Home:
    """Where an animal lives: since when (a stored moment, None when never recorded), and who shares the slot."""

    place: PlaceId | None
    label: str
    since: str | None
    quarantine: bool
    companions: tuple[Relative, ...]


@dataclass(frozen=True, slots=True)
class Relative:
    """Another animal as a page names it; `percent` is how sure the parentage is."""

    id: AnimalId
    keeper_id: str
    name: str
    sex: Sex
    sex_percent: int
    genetics: str
    status: Status
    hatched: PartialDate | None = None
    percent: int = 100


@dataclass(frozen=True, slots=True)
class Claimed:
    """Genetics in somebody's own words; `source` is who said so, `said_on` an ISO date."""

    row: int
    text: str
    source: str
    said_on: str | None


@dataclass(frozen=True, slots=True)
class Arrival:
    """How an animal came; the seller's words on feeding stay the seller's."""

    date: PartialDate | None
    how: Origin
    person: str
    country: str
    feeding_claim: str


@dataclass(frozen=True, slots=True)
class Turn:
    """The newest turn in an animal's status."""

    kind: DepartureKind
    at: str
    person: str
    reason: str


@dataclass(frozen=True, slots=True)
class Meal:
    """One offer; `kept` is False when the taken meal came back later."""

    row: FeedingId
    at: str
    result: FeedingResult
    reason: RefusalReason | None
    prey: str
    prey_state: PreyState
    prey_dg: int | None
    pieces: int
    note: str
    kept: bool


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weight in tenths of a gram; `at` says nothing where its day is not on record (`undated`)."""

    row: WeightId
    at: str
    mass_dg: int
    tag: WeightTag
    doubted: bool
    note: str

    @property
    def undated(self) -> bool:
        """Whether it stands at the moment of an import because its sheet does not say when."""
        return self.note == UNDATED


@dataclass(frozen=True, slots=True)
class ShedSeen:
    """A shed or a stage on the way to one."""

    row: ShedId
    at: str
    kind: ShedKind
    note: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo by its file: the SHA-256 of its bytes and its ending."""

    row: PhotoId
    at: str
    sha256: str
    ending: str
    angle: PhotoAngle
    caption: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the timeline.

    `at` is a stored moment or an ISO date, None when it was never said; `code` the stable code of what it is (a
    result, a sign); `said` its words in parts; `inside` the words never printed (people); `who` entered it.
    """

    table: str
    row: int
    at: str | None
    code: str
    said: tuple[Message, ...]
    who: str = ""
    inside: tuple[Message, ...] = ()
    #: columns as stored, for the form that corrects the entry
    values: Mapping[str, object] | None = None


@dataclass(frozen=True, slots=True)
class Family:
    """Parents and young as far as known; sires carry their percent."""

    dam: Relative | None
    sires: tuple[Relative, ...]
    young: tuple[Relative, ...]
    #: animals with the same dam and the same one sire, and those that share one parent only
    full_siblings: int
    half_siblings: int


@dataclass(frozen=True, slots=True)
class AnimalPage:
    """Everything one page shows; meals, weights, sheds and pictures oldest first, entries newest first."""

    who: Identity
    home: Home
    arrival: Arrival | None
    turn: Turn | None
    claims: tuple[Claimed, ...]
    tags: tuple[str, ...]
    meals: tuple[Meal, ...]
    weights: tuple[Weighing, ...]
    sheds: tuple[ShedSeen, ...]
    pictures: tuple[Picture, ...]
    entries: tuple[Entry, ...]
    family: Family
    code: LabelCode | None
    #: where a female stands in her season; None when nothing of one is on record
    season: SeasonNow | None = None
    #: treatments and quarantines that go on, oldest first, quarantine before treatments
    courses: tuple[Course, ...] = ()
    #: how a hatchling gets on; None for an animal that is none
    young: YoungNow | None = None
