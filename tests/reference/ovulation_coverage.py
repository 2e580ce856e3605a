"""Do ovulation windows hold what they say? Invented females drawn as the profile tells it, by code of its own.

A female has days of the year of her own, and follicles that grow as the table has it, slower or faster by collection,
female and season. She is looked at on a day chosen without a look at her truth; who has ovulated by then is left out.
`tests.reference.coverage` prints the table.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
from tests.reference.held import Held

from coilbook.husbandry.blending import PastInterval
from coilbook.husbandry.figures import Interval
from coilbook.husbandry.ovulation_ahead import OvulationCues, ovulation_ahead
from coilbook.husbandry.profile import FollicleTable, IntervalProfile, shipped_profile
from coilbook.husbandry.season_stage import FollicleSeen
from coilbook.records.season_vocabulary import FollicleMethod

YEAR = dt.date(2025, 8, 1)


def _draws(rules: IntervalProfile, own: int, chance: np.random.Generator) -> list[float]:
    """What `own` seasons and the one ahead lie off the middle, on the scale on which they are normal; that one last."""
    width = float(np.exp(rules.doubt * chance.normal()))
    hers = rules.collection * chance.normal() + rules.female * width * chance.normal()
    return [hers + rules.season * width * float(chance.normal()) for _ in range(own + 1)]


def _size(table: FollicleTable, days: float) -> float | None:
    """The size whose median is `days`; None outside the table."""
    if not table.days[-1] <= days <= table.days[0]:
        return None
    return float(np.interp(-np.log(days), -np.log(table.days), table.sizes))


def ovulating(own: int, scanned: bool, count: int, seed: int) -> Held:
    """`count` females, each with `own` seasons on record, by the calendar alone or with a scan of the day."""
    profile, chance, held = shipped_profile("ball_python"), np.random.default_rng(seed), Held()
    calendar, growth = profile.intervals[Interval.SEASON_TO_OVULATION], profile.intervals[Interval.SCAN_TO_OVULATION]
    while len(held.places) < count:
        days = [calendar.middle + off for off in _draws(calendar, own, chance)]
        paces = _draws(growth, own, chance)
        past = [PastInterval(Interval.SEASON_TO_OVULATION, "she", d) for d in days[:-1]]
        past += [PastInterval(Interval.SCAN_TO_OVULATION, "she", growth.middle * np.exp(p)) for p in paces[:-1]]
        truth = YEAR.toordinal() + days[-1]
        today = YEAR + dt.timedelta(days=int(chance.integers(130, 290)))
        wait = truth - today.toordinal()
        if wait <= 0.5:
            continue
        follicles: tuple[FollicleSeen, ...] = ()
        if scanned:
            mm = _size(profile.ovulation.by_scan, wait / np.exp(paces[-1]))
            if mm is None:
                continue
            follicles = (FollicleSeen(today, FollicleMethod.ULTRASOUND, mm),)
        held.note(ovulation_ahead(profile, OvulationCues(YEAR, follicles), past, today, "she"), truth, spans=True)
    return held
