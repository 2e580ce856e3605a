"""Eggs, boxes and clutches as they stand, frozen: what the screen, the labels and the papers are made from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from coilbook.husbandry.hatch_result import EggEnd, EggStory
from coilbook.husbandry.known_day import KnownDay
from coilbook.records.egg_vocabulary import (
    IN_THE_BOX,
    ClutchMass,
    Dents,
    DoubtKind,
    EggDeed,
    EggState,
    HatchEvent,
    Lid,
    Medium,
    Outcome,
    Veins,
    Verdict,
)
from coilbook.records.ids import AnimalId, ClutchId, DoubtId, EggBoxId, EggId, IncubatorId
from coilbook.records.vocabulary import Sex
from coilbook.records.when import PartialDate, moment_from


@dataclass(frozen=True, slots=True)
class EggLooked:
    """One look at one egg; None was not looked at."""

    at: str
    verdict: Verdict
    veins: Veins
    dents: Dents
    thin_shell: bool | None
    wet: bool | None
    mould: bool | None
    turned: bool | None
    mass_dg: int | None
    note: str


@dataclass(frozen=True, slots=True)
class Hatched:
    """One step of hatching; `not_yet_at` the look before, None when it was seen happening."""

    twin: str
    event: HatchEvent
    at: str
    not_yet_at: str | None
    assisted: bool


@dataclass(frozen=True, slots=True)
class PhotoTaken:
    """A picture of an egg or a box, by the name of its file."""

    at: str
    sha256: str
    ending: str
    caption: str
    #: row of what was done to the egg or box after it was taken
    before: int | None = None


@dataclass(frozen=True, slots=True)
class EggNow:
    """An egg with everything seen of it, oldest first. Masses in tenths of a gram, (x, y) in thousandths."""

    id: EggId
    clutch: ClutchId
    clutch_label: str
    number: int
    box: EggBoxId | None
    x: int | None
    y: int | None
    mass_dg: int | None
    stuck: bool
    looks: tuple[EggLooked, ...]
    hatching: tuple[Hatched, ...]
    removed_at: str | None
    young: tuple[tuple[AnimalId, str], ...]
    photos: tuple[PhotoTaken, ...] = ()
    length_mm: int | None = None
    width_mm: int | None = None
    #: its top was marked; None is not said
    up_mark: bool | None = None
    twin_suspected: bool = False
    note: str = ""

    @property
    def name(self) -> str:
        """Clutch and number."""
        return f"{self.clutch_label}-{self.number}"

    @property
    def verdict(self) -> Verdict:
        """The last verdict that judged."""
        return next((one.verdict for one in reversed(self.looks) if one.verdict is not Verdict.UNSAID), Verdict.UNSAID)

    @property
    def state(self) -> EggState:
        """How it stands now; of twins the one that got further counts."""
        events = {one.event for one in self.hatching}
        if HatchEvent.OUT in events:
            return EggState.HATCHED
        if HatchEvent.DEAD_IN_SHELL in events:
            return EggState.DEAD_IN_SHELL
        if self.removed_at is not None:
            return EggState.REMOVED
        if HatchEvent.PIP in events:
            return EggState.PIPPED
        return EggState(self.verdict.value)

    @property
    def in_the_box(self) -> bool:
        """True while it lies there."""
        return self.state in IN_THE_BOX

    @property
    def hatched_at(self) -> str | None:
        """When its young, or the first of twins, was seen out or dead in the shell."""
        ended = [one.at for one in self.hatching if one.event is not HatchEvent.PIP]
        return min(ended, default=None)

    @property
    def veins(self) -> Veins:
        """What the last candling showed."""
        return next((one.veins for one in reversed(self.looks) if one.veins is not Veins.UNSAID), Veins.UNSAID)

    @property
    def dented(self) -> bool:
        """True when the last look at its shell found a dent."""
        last = next((one.dents for one in reversed(self.looks) if one.dents is not Dents.UNSAID), Dents.UNSAID)
        return last in (Dents.SLIGHT, Dents.DEEP)

    @property
    def story(self) -> EggStory:
        """Its verdicts and end, as the result of a clutch is counted."""
        ends = {
            EggState.HATCHED: EggEnd.HATCHED,
            EggState.DEAD_IN_SHELL: EggEnd.DEAD_IN_SHELL,
            EggState.REMOVED: EggEnd.REMOVED,
        }
        end = ends.get(self.state, EggEnd.REMOVED if self.state is EggState.DEAD else EggEnd.OPEN)
        pipped = any(one.event is HatchEvent.PIP for one in self.hatching)
        return EggStory(self.number, tuple(one.verdict for one in self.looks), end, pipped)


@dataclass(frozen=True, slots=True)
class Parent:
    """A dam or a possible sire with his percent."""

    id: AnimalId
    name: str
    sex: Sex
    genetics: str
    percent: int = 100


@dataclass(frozen=True, slots=True)
class ClutchNow:
    """A clutch with its eggs by number."""

    id: ClutchId
    label: str
    dam: Parent | None
    sires: tuple[Parent, ...]
    laid: PartialDate
    doubt_days: int
    mass_dg: int | None
    mass_kind: ClutchMass
    maternal: bool
    note: str
    eggs: tuple[EggNow, ...]

    @property
    def laid_day(self) -> KnownDay:
        """The day of laying as well as it is known."""
        seen = min((egg.looks[0].at for egg in self.eggs if egg.looks), default=None)
        return KnownDay.of_laying(self.laid, self.doubt_days, moment_from(seen).date() if seen is not None else None)

    def day_of(self, day: dt.date) -> int:
        """Days since laying, which is day 0; since the middle of the days it can have been where it is not known."""
        if self.laid.first == self.laid.last:
            return (day - self.laid.first).days
        return max(0, day.toordinal() - round(self.laid_day.middle))

    def day_word(self, day: dt.date) -> str:
        """The same with how far it is known: "25 ± 15"."""
        doubt = self.laid_day.give_or_take
        return f"{self.day_of(day)} \u00b1 {doubt}" if doubt else str(self.day_of(day))


@dataclass(frozen=True, slots=True)
class BoxLooked:
    """One look at a box; masses in tenths of a gram."""

    at: str
    fine: bool
    total_dg: int | None
    lid: Lid
    eggs_dg: int | None
    drops: bool | None
    smell: bool | None
    note: str


@dataclass(frozen=True, slots=True)
class Deed:
    """Something done to an egg (by its number) or to the whole box, and what came of it."""

    id: int
    at: str
    egg: EggId | None
    number: int | None
    what: EggDeed
    how: str
    why: str
    away_dg: int | None
    came_of_it: Outcome
    seen_at: str | None


@dataclass(frozen=True, slots=True)
class EggMove:
    """An egg that went from one box to another; None is no box. `mass_dg` if it was weighed then."""

    egg: EggId
    number: int
    at: str
    mass_dg: int | None
    out_of: EggBoxId | None
    into: EggBoxId | None


@dataclass(frozen=True, slots=True)
class OpenDoubt:
    """A doubt and what it is about, in the keeper's names."""

    id: DoubtId
    kind: DoubtKind
    about: str
    box: EggBoxId | None
    egg: EggId | None
    asked_on: dt.date
    question: str
    candidates: str
    settles_by: str
    look_again: dt.date | None
    settled_on: dt.date | None = None
    answer: str = ""
    settled_by: str = ""
    animal: AnimalId | None = None


@dataclass(frozen=True, slots=True)
class BoxNowRow:
    """A box as it stands: what it was set up with, and everything done to it since, oldest first."""

    id: EggBoxId
    label: str
    incubator: IncubatorId | None
    incubator_name: str
    shelf: int | None
    spot: int | None
    set_up: dt.date
    medium: Medium
    dry_dg: int | None
    water_dg: int | None
    start_dg: int | None
    lid: Lid
    emptied: dt.date | None
    note: str
    clutches: tuple[ClutchNow, ...] = ()
    looks: tuple[BoxLooked, ...] = ()
    waters: tuple[tuple[str, int], ...] = ()
    deeds: tuple[Deed, ...] = ()
    doubts: tuple[OpenDoubt, ...] = field(default=())
    settled: tuple[OpenDoubt, ...] = ()
    photos: tuple[PhotoTaken, ...] = ()
    moves: tuple[EggMove, ...] = ()

    @property
    def eggs(self) -> tuple[EggNow, ...]:
        """Every egg that lies or lay in it."""
        return tuple(egg for clutch in self.clutches for egg in clutch.eggs if egg.box == self.id)

    @property
    def last_look(self) -> dt.date | None:
        """Day of the last look at the box or at an egg in it."""
        seen = [look.at for look in self.looks] + [look.at for egg in self.eggs for look in egg.looks]
        return moment_from(max(seen)).date() if seen else None


@dataclass(frozen=True, slots=True)
class IncubatorNow:
    """An incubator: names of its shelves from the top, and what it is set to in tenths of a degree."""

    id: IncubatorId
    name: str
    set_tenths: int | None
    shelves: tuple[str, ...]
    per_shelf: int
    note: str
