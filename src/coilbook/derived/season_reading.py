"""Entries of seasons sorted into the season and the clutch of each female that they belong to.

A laying belongs to the season of the ovulation it came of. Where a season holds two clutches, what came after the
first laying belongs to the second, from the day that something says there is a second: an ovulation, a pre-lay shed,
another laying. Stays and follicles alone say no such thing.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

from coilbook.derived import season_rows as rows
from coilbook.derived.season_book import LAID_AFTER_DAYS, FemaleSeason, SeasonBook, season_start
from coilbook.derived.season_rows import FollicleRow, LayingRow, OutcomeRow, OvulationRow, Read, ShedRow, StayRow
from coilbook.records.ids import AnimalId
from coilbook.records.season_vocabulary import PreLay

#: layings closer than this are one laying entered in parts (from memory: a second clutch takes longer to come)
_ONE_LAYING_DAYS = 30
#: an entry this soon after a laying still belongs to it, whatever its date says (from memory)
_AFTER_LAYING_DAYS = 14


@dataclass
class _Draft:
    """What one season of one female holds, each in order of time."""

    female: AnimalId
    start: dt.date
    stays: list[StayRow] = field(default_factory=list)
    follicles: list[FollicleRow] = field(default_factory=list)
    ovulations: list[OvulationRow] = field(default_factory=list)
    sheds: list[ShedRow] = field(default_factory=list)
    layings: list[LayingRow] = field(default_factory=list)
    outcomes: list[OutcomeRow] = field(default_factory=list)

    def season(self) -> FemaleSeason:
        """The season, its last clutch outermost."""
        laid = self._laid()
        if not laid or self._more_after(_belongs_until(laid[-1][1])):
            laid.append((dt.date.max, dt.date.max))
        earlier: tuple[FemaleSeason, ...] = ()
        after = dt.date.min
        for (_, last), (following, _) in pairwise(laid):
            until = min(_belongs_until(last), following - dt.timedelta(days=1))
            earlier = (*earlier, self._between(after, until, earlier))
            after = until
        return self._between(after, dt.date.max, earlier)

    def _laid(self) -> list[tuple[dt.date, dt.date]]:
        """The first and the last day of each clutch's laying, which differ where it was entered in parts."""
        found: list[tuple[dt.date, dt.date]] = []
        for laying in self.layings:
            if found and (laying.day - found[-1][0]).days < _ONE_LAYING_DAYS:
                found[-1] = found[-1][0], laying.day
            else:
                found.append((laying.day, laying.day))
        return found

    def _more_after(self, day: dt.date) -> bool:
        """Whether something says that another clutch is on its way."""
        ovulated = any(o.day > day for o in self.ovulations)
        return ovulated or any(s.day > day and s.was is PreLay.PRE_LAY for s in self.sheds)

    def _between(self, after: dt.date, until: dt.date, earlier: tuple[FemaleSeason, ...]) -> FemaleSeason:
        # of two ovulations the later counts
        ovulations = [o for o in self.ovulations if after < o.day <= until]
        outcomes = [o for o in self.outcomes if after < o.day <= until]
        layings = [laying for laying in self.layings if after < laying.day <= until]
        return FemaleSeason(
            self.female,
            self.start,
            stays=tuple(s for s in self.stays if after < s.first <= until),
            follicles=tuple(f for f in self.follicles if after < f.day <= until),
            ovulation=ovulations[-1] if ovulations else None,
            sheds=tuple(s for s in self.sheds if after < s.day <= until),
            laying=layings[0] if layings else None,
            outcome=outcomes[-1] if outcomes else None,
            earlier=earlier,
        )


def _belongs_until(laid: dt.date) -> dt.date:
    """The last day on which an entry still belongs to a laying."""
    return laid + dt.timedelta(days=_AFTER_LAYING_DAYS)


def read_book(read: Read, month: int, female: AnimalId | None = None) -> SeasonBook:
    """Every season on record, or those of one female."""
    drafts: dict[tuple[AnimalId, dt.date], _Draft] = {}

    def of(animal: AnimalId, start: dt.date) -> _Draft:
        return drafts.setdefault((animal, start), _Draft(animal, start))

    for stay in rows.stays(read, female):
        of(stay.female, season_start(stay.first, month)).stays.append(stay)
    for animal, seen in rows.follicles(read, female).items():
        for follicle in seen:
            of(animal, season_start(follicle.day, month)).follicles.append(follicle)
    for animal, found in rows.ovulations(read, female).items():
        for ovulation in found:
            of(animal, season_start(ovulation.day, month)).ovulations.append(ovulation)

    def season_of(animal: AnimalId, day: dt.date) -> _Draft:
        """By the ovulation it came of, else by the calendar."""
        start = season_start(day, month)
        for earlier in (start, season_start(start - dt.timedelta(days=1), month)):
            draft = drafts.get((animal, earlier))
            ovulated = draft.ovulations[-1].day if draft is not None and draft.ovulations else None
            if draft is not None and ovulated is not None and 0 <= (day - ovulated).days <= LAID_AFTER_DAYS:
                return draft
        return of(animal, start)

    for animal, sheds in rows.marked_sheds(read, female).items():
        for shed in sheds:
            season_of(animal, shed.day).sheds.append(shed)
    for animal, laid in rows.layings(read, female).items():
        for laying in laid:
            season_of(animal, laying.day).layings.append(laying)
    for animal, ends in rows.outcomes(read, female).items():
        for end in ends:
            season_of(animal, end.day).outcomes.append(end)
    by_female: dict[AnimalId, list[FemaleSeason]] = defaultdict(list)
    for (animal, _), draft in sorted(drafts.items()):
        by_female[animal].append(draft.season())
    return SeasonBook({animal: tuple(found) for animal, found in by_female.items()})
