"""Frozen rows of the Season screen: a line for each female and each male, the plans, and how windows have held."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from coilbook.derived.season_book import FemaleSeason
from coilbook.derived.season_rows import StayRow
from coilbook.husbandry.figures import Event
from coilbook.husbandry.forecast import EventForecast
from coilbook.husbandry.male_load import MaleLoad
from coilbook.husbandry.pre_lay_fast import PreLayFast
from coilbook.husbandry.scorecard import Score
from coilbook.husbandry.season_stage import StageFound
from coilbook.records.ids import AnimalId, PlanId
from coilbook.records.message import Message
from coilbook.records.season_vocabulary import PlanState, SeasonStage


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A plan beside what came of it: `stays` of the pair (or of the backup) in the season, from `first`."""

    id: PlanId
    female: AnimalId
    male: AnimalId
    female_name: str
    male_name: str
    backup_name: str
    day: dt.date | None
    target: str
    reason: str
    state: PlanState
    stays: int
    by_backup: bool
    first: dt.date | None


@dataclass(frozen=True, slots=True)
class SireRow:
    """A possible sire; `name` empty for one not on record."""

    animal: AnimalId | None
    name: str
    share: float
    stored: bool
    because: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class EggsAhead:
    """A clutch before the one that counts, by its `label`, and when it pips.

    It is the clutch number `round`, from 1, of the season that began on `start`.
    """

    label: str
    forecast: EventForecast
    start: dt.date
    round: int


@dataclass(frozen=True, slots=True)
class FemaleLine:
    """One female in a season.

    `windows` what is ahead in order, of the season that begins on `counted_from`, which may be the one before, and in
    it of the clutch number `counted_round`, from 1; `eggs` her earlier clutches that lie in the warm;
    `laid_before` her laying a season ago; `start_dg` and `now_dg` her weights; `headline` stage and
    days in a few words; `sires` who may have sired what she lays.
    """

    id: AnimalId
    keeper_id: str
    genetics: str
    place: str
    season: FemaleSeason
    stage: StageFound
    headline: Message
    windows: tuple[EventForecast, ...] = ()
    eggs: tuple[EggsAhead, ...] = ()
    counted_from: dt.date | None = None
    counted_round: int = 1
    laid_before: tuple[dt.date, ...] = ()
    cooled: tuple[tuple[dt.date, dt.date | None], ...] = ()
    start_dg: int | None = None
    now_dg: int | None = None
    fast: PreLayFast | None = None
    sires: tuple[SireRow, ...] = ()
    plans: tuple[PlanRow, ...] = ()

    @property
    def next(self) -> EventForecast | None:
        """The next event ahead that still has a window."""
        open_ones = [w for w in (*(e.forecast for e in self.eggs), *self.windows) if w.curve is not None]
        return min(open_ones, key=_middle, default=None)

    def likely(self, event: Event) -> dt.date | None:
        """The middle of a window ahead."""
        for window in self.windows:
            if window.event is event and window.curve is not None:
                return dt.date.fromordinal(round(window.curve.quantile(0.5)))
        return None


def _middle(forecast: EventForecast) -> float:
    return forecast.curve.quantile(0.5) if forecast.curve is not None else float("inf")


@dataclass(frozen=True, slots=True)
class MaleLine:
    """One male in a season, with his stays and the plans that name him."""

    id: AnimalId
    keeper_id: str
    load: MaleLoad
    now_dg: int | None
    stays: tuple[StayRow, ...] = ()
    plans: tuple[PlanRow, ...] = ()


@dataclass(frozen=True, slots=True)
class SeasonPage:
    """A season as it stands `today`; `seasons` the first days of every season on record, of the present one and of
    this one, oldest first."""

    start: dt.date
    end: dt.date
    today: dt.date
    females: tuple[FemaleLine, ...]
    males: tuple[MaleLine, ...]
    plans: tuple[PlanRow, ...]
    scores: tuple[Score, ...] = ()
    seasons: tuple[dt.date, ...] = field(default=())

    def counts(self) -> dict[SeasonStage, int]:
        """Females by stage."""
        found: dict[SeasonStage, int] = {}
        for line in self.females:
            found[line.stage.stage] = found.get(line.stage.stage, 0) + 1
        return found
