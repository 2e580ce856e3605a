"""What an import would write: frozen, complete, and nothing of it written yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from coilbook.intake.layout import RowKind
from coilbook.intake.questions import Question
from coilbook.intake.tiers import Tier
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Message
from coilbook.records.quantities import Mass, MassUnit, Money
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import FeedingResult, PreyState, Sex, Status
from coilbook.records.when import PartialDate


@dataclass(frozen=True, slots=True)
class KnownAnimal:
    """An animal the collection has already, outside animals included."""

    id: AnimalId
    keeper_id: str
    name: str = ""
    sex: Sex = Sex.UNSEXED
    hatched: PartialDate | None = None
    genetics: str = ""


@dataclass(frozen=True, slots=True)
class KnownPlace:
    """A rack (slot empty) or slot the collection has already."""

    id: PlaceId
    room: str
    rack: str
    slot: str = ""


@dataclass(frozen=True, slots=True)
class Known:
    """What the plan must know of the collection and of today; `date_order` and `mass_unit` are only ever suggested."""

    today: dt.date
    animals: tuple[KnownAnimal, ...] = ()
    places: tuple[KnownPlace, ...] = ()
    currency: str = "EUR"
    date_order: DateOrder | None = None
    mass_unit: MassUnit = MassUnit.GRAM


@dataclass(frozen=True, slots=True)
class GeneticsReading:
    """What a reader of genetics makes of a text; `finding` is carried along unread, `questions` are asked once each."""

    finding: object = None
    questions: tuple[Question, ...] = ()
    text_kept: bool = False
    sex: Sex | None = None
    sex_sure: bool = True
    #: the finding in the program's own words, empty where nothing was read
    read_as: str = ""


class GeneticsReader(Protocol):
    """Reads genetics texts; `intake.genetics_cells` is the one of the program."""

    def learn(self, texts: Iterable[str], answers: Mapping[str, str]) -> None:
        """See the texts of a column before any is read, for the words that explain each other."""

    def read(self, text: str, answers: Mapping[str, str]) -> GeneticsReading:
        """Read one text, given the answers so far (they hold those to its own questions)."""

    def doubt(self, text: str, young: object, dam: object, sires: Sequence[object]) -> Question | None:
        """What must be asked of a finding, given those of the dam and of every possible sire."""


class Fate(StrEnum):
    """Where the content of one source cell goes."""

    EMPTY = "empty"
    #: in a field; of a row put together with an earlier one, in a note where the two differ
    FIELD = "field"
    NOTE = "note"
    #: the value is in a field and its exact words in a note
    FIELD_AND_NOTE = "field_and_note"
    #: the cell says that something is not known (?, -, n/a)
    UNKNOWN = "unknown"
    #: the keeper's answer says it means nothing
    SET_ASIDE = "set_aside"
    #: header or section title; its meaning is in the rows below
    STRUCTURE = "structure"
    #: kept as text in the import's report, not written to an animal
    KEPT = "kept"


@dataclass(frozen=True, slots=True)
class PlannedWeight:
    """A weight; `on` None: the sheet does not say when (the day of the import is the latest it can be)."""

    mass: Mass
    on: dt.date | None
    text: str


@dataclass(frozen=True, slots=True)
class PlannedFeeding:
    """A feeding offer of a day, with its result; `prey` is as the keeper calls it, empty when not said."""

    on: dt.date
    result: FeedingResult
    count: int
    prey: str
    text: str


@dataclass(frozen=True, slots=True)
class PlannedNote:
    """A note, with its day when the sheet tells it; words of a column without a field begin with its header."""

    text: str
    on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class PlannedPlace:
    """Where the animal sits; `existing` None: to be created. An empty slot: only the rack is known; an empty rack:
    only the slot's text is."""

    room: str
    rack: str
    slot: str
    existing: PlaceId | None = None


@dataclass(frozen=True, slots=True)
class PlannedParent:
    """A dam or possible sire. `existing`: in the collection; `in_plan`: one of the plan's animals by `keeper_id`;
    neither: an outside animal to be made under `keeper_id`, or found if made for an earlier row."""

    text: str
    keeper_id: str
    existing: AnimalId | None = None
    in_plan: bool = False

    @property
    def outside(self) -> bool:
        """True for an animal that is neither in the collection nor in the sheet."""
        return self.existing is None and not self.in_plan


@dataclass(frozen=True, slots=True)
class PlannedAnimal:
    """One animal to write. `existing`: add what is new to that animal of the collection instead of making one.

    `claim` is the genetics text verbatim; `finding` what a genetics reader made of it, `read_as` the same in words.
    `sire` lists the possible sires. `price_text` is verbatim, `price` its number when there is one. `sources` are
    (sheet name, row number).
    """

    keeper_id: str
    existing: AnimalId | None = None
    name: str = ""
    sex: Sex = Sex.UNSEXED
    sex_sure: bool = True
    hatched: PartialDate | None = None
    claim: str = ""
    finding: object = None
    read_as: str = ""
    status: Status = Status.HERE
    departed: dt.date | None = None
    acquired: PartialDate | None = None
    source: str = ""
    price_text: str = ""
    price: Money | None = None
    place: PlannedPlace | None = None
    dam: PlannedParent | None = None
    sire: tuple[PlannedParent, ...] = ()
    #: the sheet names the keeper as where it is from
    own_bred: bool = False
    prey: str = ""
    #: how it is given; None when the sheet does not say
    prey_state: PreyState | None = None
    weights: tuple[PlannedWeight, ...] = ()
    feedings: tuple[PlannedFeeding, ...] = ()
    notes: tuple[PlannedNote, ...] = ()
    tags: tuple[str, ...] = ()
    sources: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row of the sheet and what becomes of it.

    `animals` are indices into `ImportPlan.animals`; empty for refused rows and rows whose question about who they
    are is open. `fates` stand beside `cells`. `waits_for` are keys of open questions, also those that do not hold.
    """

    sheet: str
    number: int
    kind: RowKind
    tier: Tier
    cells: tuple[str, ...]
    fates: tuple[Fate, ...]
    keeper_id: str = ""
    reason: Message | None = None
    waits_for: tuple[str, ...] = ()
    warnings: tuple[Message, ...] = ()
    animals: tuple[int, ...] = ()

    @property
    def text(self) -> str:
        """The row's cells as one line, for lists and for what is kept as text."""
        return " | ".join(cell for cell in self.cells if cell)
