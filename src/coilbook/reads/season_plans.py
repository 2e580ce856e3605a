"""Planned pairings beside what happened."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import SeasonBook
from coilbook.reads.season_lines import PlanRow
from coilbook.records.ids import AnimalId, PlanId
from coilbook.records.season_vocabulary import PlanState
from coilbook.storage.collection import Collection

_PLANS = """SELECT p.id, p.female_id, p.male_id, p.backup_id, f.keeper_id, m.keeper_id, coalesce(b.keeper_id, ''),
    p.day, p.target, p.reason, p.state FROM pairing_plan p JOIN animal f ON f.id = p.female_id
    JOIN animal m ON m.id = p.male_id LEFT JOIN animal b ON b.id = p.backup_id
    WHERE coalesce(p.day, p.made_on) BETWEEN ? AND ? ORDER BY coalesce(p.day, p.made_on), p.id"""


def plan_rows(collection: Collection, book: SeasonBook, start: dt.date, end: dt.date) -> tuple[PlanRow, ...]:
    """Every plan for a season, in the order they are meant for."""
    found = []
    for row in collection.read(_PLANS, (start.isoformat(), end.isoformat())):
        plan, female, male, backup, her, his, stand_in, day, target, reason, state = row
        stays = [s for s in book.of(AnimalId(female), start).every_stay if s.male in (male, backup)]
        found.append(
            PlanRow(
                PlanId(plan), AnimalId(female), AnimalId(male), her, his, stand_in,
                dt.date.fromisoformat(day) if day else None, target, reason, PlanState(state), len(stays),
                bool(stays) and all(s.male == backup for s in stays), stays[0].first if stays else None,
            )
        )  # fmt: skip
    return tuple(found)
