"""When each clutch is expected to pip: the species, this collection's and this female's clutches, and the warmth."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from coilbook.derived.season_profile import source_known, source_now
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.covered_warmth import covered_warmth
from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import Event, Interval
from coilbook.husbandry.forecast import SHOWN, EventForecast, SeasonSoFar, forecasts
from coilbook.husbandry.incubator import egg_temperature
from coilbook.husbandry.known_day import KnownDay, days_between
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.warmth import EggTemperature
from coilbook.reads.egg_boxes import clutches
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow
from coilbook.reads.incubator_readings import logged_in, typed_in
from coilbook.records.egg_vocabulary import HatchEvent
from coilbook.records.ids import ClutchId, IncubatorId
from coilbook.records.when import moment_from
from coilbook.storage.collection import Collection

#: a keeper's own clutches further back than this say little of today's incubator (years; from memory)
_YEARS_BACK = 6


@dataclass(frozen=True)
class HatchWindow:
    """The pip of a clutch ahead; `forecast` None once the first egg has pipped, `pipped` then says when.

    None too where the species has no profile.
    """

    forecast: EventForecast | None
    pipped: KnownDay | None

    def days_to_hatch(self, today: dt.date) -> int | None:
        """Days until the window opens, 0 once an egg has pipped; None while unknown."""
        if self.pipped is not None:
            return 0
        return None if self.ahead is None else max(0, (self.ahead.first - today).days)

    @cached_property
    def ahead(self) -> Window | None:
        """The whole days that hold 80% of the chances; None once an egg has pipped, or past every window."""
        return self.forecast.window(SHOWN) if self.forecast is not None else None


def first_pip(clutch: ClutchNow) -> KnownDay | None:
    """The first pip, or the first seen out without its pip having been seen."""
    steps = [s for egg in clutch.eggs for s in egg.hatching if s.event in (HatchEvent.PIP, HatchEvent.OUT)]
    if not steps:
        return None
    first = min(steps, key=lambda step: step.at)
    seen = moment_from(first.at).date()
    return (
        KnownDay.on(seen) if first.not_yet_at is None else KnownDay.between(moment_from(first.not_yet_at).date(), seen)
    )


def hatch_windows(
    collection: Collection, boxes: Sequence[BoxNowRow], today: dt.date, with_dam: Sequence[ClutchNow] = ()
) -> dict[ClutchId, HatchWindow]:
    """The window of every clutch in these boxes, or left with its dam; takes some milliseconds a clutch.

    By the profile of its dam's species and the past clutches of that species; one whose dam nobody knows is taken for
    the species this collection keeps. A species without a profile has no window.
    """
    lying = {clutch.id: (clutch, box) for box in reversed(boxes) for clutch in box.clutches}
    every = [*lying.values(), *((clutch, None) for clutch in with_dam)]
    species = _species(collection, [clutch.id for clutch, _ in every])
    grounds = {key: _ground(collection, key, today) for key in set(species.values())}
    found: dict[ClutchId, HatchWindow] = {}
    for clutch, box in every:
        ground = grounds[species[clutch.id]]
        if ground is None:
            found[clutch.id] = HatchWindow(None, first_pip(clutch))
            continue
        where = (box.incubator, box.set_up) if box is not None else (None, today)
        if where not in ground.warmth:
            ground.warmth[where] = _warmth(collection, *where, today, ground.profile)
        left = clutch.maternal and box is None
        warm = EggTemperature.with_dam(ground.profile.incubation) if left else ground.warmth[where]
        found[clutch.id] = _window(clutch, ground, warm, where[0], today)
    return found


@dataclass(frozen=True)
class _Ground:
    """What the windows of one species rest on; `warmth` by incubator and since when, as far as it was asked for."""

    profile: Profile
    past: tuple[PastInterval, ...]
    warmth: dict[tuple[int | None, dt.date], EggTemperature | None] = field(default_factory=dict)


def _ground(collection: Collection, species: str, today: dt.date) -> _Ground | None:
    source = source_known(collection.read, species)
    if source is None:
        return None
    return _Ground(source.profile, past_incubations(collection, today, source.profile, species))


def _species(collection: Collection, wanted: Sequence[ClutchId]) -> dict[ClutchId, str]:
    """The species of the dam of each of these clutches, or the one this collection keeps."""
    kept = source_now(collection.read).species
    sql = "SELECT c.id, a.species FROM clutch c LEFT JOIN animal a ON a.id = c.dam_id"
    rows = collection.read(f"{sql} WHERE c.id IN (SELECT value FROM json_each(?))", (json.dumps(list(wanted)),))
    return {ClutchId(clutch): species or kept for clutch, species in rows}


def _window(
    clutch: ClutchNow, ground: _Ground, warm: EggTemperature | None, incubator: int | None, today: dt.date
) -> HatchWindow:
    pipped = first_pip(clutch)
    if pipped is not None:
        return HatchWindow(None, pipped)
    season = SeasonSoFar({Event.LAYING: clutch.laid_day}, temperature=warm, incubator=incubator)
    whose = clutch.dam.id if clutch.dam is not None else None
    ahead = forecasts(ground.profile, season, ground.past, today, whose, upto=Event.PIP)
    return HatchWindow(ahead[0] if ahead else None, None)


def past_incubations(
    collection: Collection, today: dt.date, profile: Profile, species: str
) -> tuple[PastInterval, ...]:
    """Every own clutch of a species that hatched, with how warm it lay."""
    since = today.replace(year=today.year - _YEARS_BACK, day=1).isoformat()
    rows = collection.read(
        "SELECT DISTINCT c.id, b.incubator_id FROM clutch c JOIN egg e ON e.clutch_id = c.id JOIN hatching h"
        " ON h.egg_id = e.id LEFT JOIN egg_box b ON b.id = e.box_id WHERE c.laid >= ? GROUP BY c.id",
        (since,),
    )
    incubator = {int(c): i for c, i in rows}
    of = _species(collection, [ClutchId(c) for c in incubator])
    found = []
    for clutch in clutches(collection, [c for c, its in of.items() if its == species]):
        pip = first_pip(clutch)
        if pip is None or clutch.maternal:
            continue
        days, doubt = days_between(clutch.laid_day, pip)
        whose = clutch.dam.id if clutch.dam is not None else -clutch.id
        warm = _warmth(collection, incubator[clutch.id], clutch.laid.first, pip.latest, profile)
        found.append(PastInterval(Interval.LAYING_TO_PIP, whose, days, doubt, warm, incubator[clutch.id]))
    return tuple(found)


def _warmth(
    collection: Collection, incubator: int | None, since: dt.date, until: dt.date, profile: Profile
) -> EggTemperature | None:
    if incubator is None:
        return None
    row = collection.read_one("SELECT set_tenths FROM incubator WHERE id = ?", (incubator,))
    setpoint = row[0] / 10 if row is not None and row[0] is not None else None
    start, end = dt.datetime.combine(since, dt.time(12)), dt.datetime.combine(until, dt.time(12))
    logged = logged_in(collection, IncubatorId(incubator), start, end)
    typed = typed_in(collection, IncubatorId(incubator), start, end)
    if setpoint is not None and len(logged) > 1:
        return covered_warmth(logged, typed, start, end, setpoint, profile.incubation)
    return egg_temperature(
        logged.filled_with(typed) if len(logged) else typed, start, end, profile.incubation, setpoint
    )
