"""Entries of seasons put together: which belong to which season of which female, and what can be expected of each.

A season is a year from the first of a month the keeper names (August: common practice in the north, where pairing
begins in autumn). A laying belongs to the season of the ovulation it came of, whatever the calendar says.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from coilbook.derived.season_rows import (
    FollicleRow,
    LayingRow,
    OutcomeRow,
    OvulationRow,
    ShedRow,
    StayRow,
)
from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Event, Interval
from coilbook.husbandry.forecast import EventForecast, SeasonSoFar, forecasts
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.ovulation import ovulation_day
from coilbook.husbandry.ovulation_ahead import (
    OvulationCues,
    calendar_from,
    newest_telling,
    ovulation_ahead,
    past_cues,
    reckoned_back,
)
from coilbook.husbandry.past_seasons import PastSeason, past_intervals
from coilbook.husbandry.profile import Profile
from coilbook.husbandry.season_stage import FollicleSeen, LockSeen, SeasonEvents, StaySeen
from coilbook.husbandry.sire_prior import SireShare, StayWithLocks, sire_prior
from coilbook.husbandry.warmth import EggTemperature
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import OvulationCertainty, PreLay

#: an ovulation this many days before a laying can have led to it (42 to 60 are claimed; `common practice`)
LAID_AFTER_DAYS = 120
#: a shed unsure of being the pre-lay shed is taken for it with this share (`from memory`: it was asked about at all)
UNSURE_SHED_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class FemaleSeason:
    """One season of one female, everything in order of time; `start` its first day.

    After a second clutch (or once one is on its way) it is what belongs to that one, and what belongs to the clutches
    before it stands in `earlier`, oldest first.
    """

    female: AnimalId
    start: dt.date
    stays: tuple[StayRow, ...] = ()
    follicles: tuple[FollicleRow, ...] = ()
    ovulation: OvulationRow | None = None
    sheds: tuple[ShedRow, ...] = ()
    laying: LayingRow | None = None
    outcome: OutcomeRow | None = None
    earlier: tuple[FemaleSeason, ...] = ()

    @property
    def rounds(self) -> tuple[FemaleSeason, ...]:
        """Every clutch's part of the season, oldest first; this one is the last."""
        return (*self.earlier, self)

    @property
    def key(self) -> str:
        """What stands for it in stored forecasts: its first day, "/2" behind it for a second clutch."""
        return f"{self.start}/{len(self.rounds)}" if self.earlier else self.start.isoformat()

    @property
    def every_stay(self) -> tuple[StayRow, ...]:
        """The stays of the whole season."""
        return tuple(stay for one in self.rounds for stay in one.stays)

    @property
    def shed(self) -> ShedRow | None:
        """The pre-lay shed, or one that may have been it."""
        asked = [s for s in self.sheds if s.was is not PreLay.ORDINARY]
        sure = [s for s in asked if s.was is PreLay.PRE_LAY]
        return (sure or asked)[-1] if asked else None

    @property
    def is_paired(self) -> bool:
        return bool(self.stays)

    def happened(self, profile: Profile) -> dict[Event, KnownDay]:
        """The events on record, as well as they are known."""
        found: dict[Event, KnownDay] = {}
        if self.ovulation is not None:
            o = self.ovulation
            found[Event.OVULATION] = ovulation_day(o.day, o.certainty, o.doubt_days, profile)
        if self.shed is not None:
            found[Event.SHED] = KnownDay.on(self.shed.day)
        if self.laying is not None:
            found[Event.LAYING] = self.laying.laid
            for event, day in ((Event.PIP, self.laying.pip), (Event.OUT, self.laying.out)):
                if day is not None:
                    found[event] = day
        return found

    def warmth(self, profile: Profile) -> EggTemperature | None:
        """What the incubator of her eggs is set to, or what is said of eggs she keeps; None while not known."""
        if self.laying is not None and self.laying.maternal:
            return EggTemperature.with_dam(profile.incubation)
        if self.laying is None or self.laying.set_tenths is None:
            return None
        return EggTemperature(self.laying.set_tenths / 10, profile.incubation.doubt.setpoint)

    def so_far(self, profile: Profile) -> SeasonSoFar:
        """What forecasts count from."""
        shed = self.shed
        share = 1.0 if shed is None or shed.was is PreLay.PRE_LAY else UNSURE_SHED_SHARE
        where = self.laying.incubator if self.laying is not None else None
        return SeasonSoFar(self.happened(profile), shed_share=share, temperature=self.warmth(profile), incubator=where)

    def as_past(self, profile: Profile) -> PastSeason:
        """What forecasts learn from."""
        shed = self.shed
        sure = shed is None or shed.was is PreLay.PRE_LAY
        happened = self.happened(profile)
        if self.laying is not None and self.laying.maternal:
            happened = {e: d for e, d in happened.items() if e not in (Event.PIP, Event.OUT)}
        where = self.laying.incubator if self.laying is not None else None
        return PastSeason(self.female, happened, self.warmth(profile), sure, where)

    def cues(self) -> OvulationCues:
        """What tells when she ovulates."""
        return OvulationCues(calendar_from(self.start), self.follicles_seen())

    def past_cues(self, profile: Profile) -> tuple[PastInterval, ...]:
        """What her ovulation teaches, seen or reckoned back from the sure shed or the laying; nothing without one."""
        seen = self.happened(profile)
        sure = self.shed is None or self.shed.was is PreLay.PRE_LAY
        if self.earlier:
            # a second clutch keeps to no calendar
            return ()
        if Event.OVULATION in seen:
            return past_cues(self.cues(), seen[Event.OVULATION], self.female, profile, seen=True)
        if Event.SHED in seen and sure:
            back = reckoned_back(seen[Event.SHED], profile, Interval.OVULATION_TO_SHED)
        elif Event.LAYING in seen:
            back = reckoned_back(seen[Event.LAYING], profile, Interval.OVULATION_TO_SHED, Interval.SHED_TO_LAYING)
        else:
            return ()
        return past_cues(self.cues(), back, self.female, profile, seen=False)

    def follicles_seen(self) -> tuple[FollicleSeen, ...]:
        """Her follicles, in order of time."""
        return tuple(FollicleSeen(f.day, f.method, f.mm, f.grade) for f in self.follicles)

    def events(
        self, cooled: dt.date | None, start_dg: int | None, now_dg: int | None, profile: Profile
    ) -> SeasonEvents:
        """What her stage is derived from."""
        locks = [LockSeen(lock.at.date(), lock.certainty) for stay in self.stays for lock in stay.locks]
        seen = self.happened(profile)
        laying, shed = self.laying, self.shed
        return SeasonEvents(
            stays=tuple(StaySeen(s.male_name, s.first, s.last) for s in self.stays),
            locks=tuple(sorted(locks, key=lambda lock: lock.day)),
            follicles=self.follicles_seen(),
            cooled_since=cooled,
            ovulation=seen.get(Event.OVULATION),
            ovulation_certainty=self.ovulation.certainty if self.ovulation is not None else OvulationCertainty.SEEN,
            shed=seen.get(Event.SHED),
            shed_is_sure=shed is None or shed.was is PreLay.PRE_LAY,
            laid=seen.get(Event.LAYING),
            on_eggs=laying is not None and laying.maternal,
            off_eggs=laying.pip.latest if laying is not None and laying.maternal and laying.pip is not None else None,
            over=self.outcome.day if self.outcome is not None else None,
            start_dg=start_dg,
            weight_dg=now_dg,
            laid_before=tuple(one.laying.day for one in self.earlier if one.laying is not None),
        )


def ovulated_about(season: FemaleSeason, today: dt.date, profile: Profile) -> KnownDay:
    """Her ovulation, else reckoned back from her shed or laying, else today: what a sire must have been before."""
    seen = season.happened(profile)
    if Event.OVULATION in seen:
        return seen[Event.OVULATION]
    return ovulated_before(seen.get(Event.LAYING), seen.get(Event.SHED), profile) or KnownDay.on(today)


def ovulated_before(laid: KnownDay | None, shed: KnownDay | None, profile: Profile) -> KnownDay | None:
    """An ovulation nobody saw, from the pre-lay shed or else the laying; None without either."""
    if shed is not None:
        return reckoned_back(shed, profile, Interval.OVULATION_TO_SHED)
    if laid is not None:
        return reckoned_back(laid, profile, Interval.OVULATION_TO_SHED, Interval.SHED_TO_LAYING)
    return None


def season_start(day: dt.date, month: int) -> dt.date:
    """First day of the season a day lies in; seasons begin on the first of `month`.

    >>> season_start(dt.date(2026, 3, 29), 8)
    datetime.date(2025, 8, 1)
    """
    return dt.date(day.year if day.month >= month else day.year - 1, month, 1)


def season_end(start: dt.date) -> dt.date:
    """Last day of the season that begins on `start`."""
    return dt.date(start.year + 1, start.month, 1) - dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class SeasonBook:
    """Every season on record of the females read, each female's in order of time."""

    seasons: Mapping[AnimalId, tuple[FemaleSeason, ...]] = field(default_factory=dict)

    def of(self, female: AnimalId, start: dt.date) -> FemaleSeason:
        """Her season that begins on `start`; an empty one when nothing of it is on record."""
        found = (s for s in self.seasons.get(female, ()) if s.start == start)
        return next(found, FemaleSeason(female, start))

    def latest(self, female: AnimalId, until: dt.date) -> FemaleSeason | None:
        """Her newest season on record that had begun by a day."""
        begun = [s for s in self.seasons.get(female, ()) if s.start <= until]
        return begun[-1] if begun else None

    def counting(self, female: AnimalId, start: dt.date, today: dt.date) -> FemaleSeason:
        """The season her stage is derived from: the one named, or the one before while that still tells.

        An earlier laying tells of recovering, an ovulation of at most `LAID_AFTER_DAYS` ago of being gravid.
        """
        season = self.of(female, start)
        before = self.latest(female, start - dt.timedelta(days=1))
        if season != FemaleSeason(female, start) or before is None:
            return season
        ovulated = before.ovulation.day if before.ovulation is not None else None
        gravid = ovulated is not None and before.outcome is None and (today - ovulated).days <= LAID_AFTER_DAYS
        return before if before.laying is not None or gravid else season

    def past(self, profile: Profile, whose: Collection[AnimalId] | None = None) -> tuple[PastInterval, ...]:
        """Every interval on record, of the females named only; of all when none are."""
        kept = [hers for female, hers in self.seasons.items() if whose is None or female in whose]
        every = [one for all_of_hers in kept for season in all_of_hers for one in season.rounds]
        cues = (interval for season in every for interval in season.past_cues(profile))
        return (*past_intervals([season.as_past(profile) for season in every]), *cues)

    def sires(self, female: AnimalId, ovulated: KnownDay, start: dt.date, profile: Profile) -> tuple[SireShare, ...]:
        """Who may have sired what a female lays, by ids as texts; `ovulated` seen or reckoned back."""
        stays = [
            StayWithLocks(str(s.male), s.first, s.last, tuple((lock.at.date(), lock.certainty) for lock in s.locks))
            for season in self.seasons.get(female, ())
            if season.start <= start
            for s in season.every_stay
        ]
        return sire_prior(stays, ovulated, start, profile)


def ahead(
    season: FemaleSeason, past: Sequence[PastInterval], profile: Profile, today: dt.date, upto: Event
) -> tuple[EventForecast, ...]:
    """What is to be expected of a season; nothing once it ended without eggs.

    Before anything happened the ovulation alone, of a female who was paired or has follicles that tell.
    """
    if season.outcome is not None and season.laying is None:
        return ()
    if not season.happened(profile):
        cues = season.cues()
        if not season.stays and newest_telling(cues, profile, today) is None:
            return ()
        return (ovulation_ahead(profile, cues, past, today, season.female),)
    return forecasts(profile, season.so_far(profile), past, today, season.female, upto)
