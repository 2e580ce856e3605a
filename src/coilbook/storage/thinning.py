"""Which backups are kept: many of today, fewer of last month, some of last year."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from coilbook.records.backups import Backup, BackupReason

#: (how many, period): the newest backup of each of the newest so many hours, days, weeks and months that have one
HOURS, DAYS, WEEKS, MONTHS = 24, 14, 8, 12
#: what a restore or an upgrade set aside is kept whole for this long
SAFETY_DAYS = 90
SAFETY = frozenset({BackupReason.BEFORE_RESTORE, BackupReason.BEFORE_UPGRADE, BackupReason.BY_HAND})


def kept(backups: Iterable[Backup], now: dt.datetime) -> set[str]:
    """Names of the backups to keep; what a keeper made by hand or a restore set aside is not thinned for 90 days."""
    newest_first = sorted(backups, key=lambda b: (b.made_at, b.name), reverse=True)
    keep = {b.name for b in newest_first[:2]}
    for count, period in ((HOURS, _hour), (DAYS, _day), (WEEKS, _week), (MONTHS, _month)):
        seen: dict[tuple[int, ...], str] = {}
        for backup in newest_first:
            seen.setdefault(period(backup.made_at), backup.name)
        keep.update(list(seen.values())[:count])
    oldest_safety = now - dt.timedelta(days=SAFETY_DAYS)
    keep.update(b.name for b in newest_first if b.reason in SAFETY and b.made_at >= oldest_safety)
    return keep


def _hour(at: dt.datetime) -> tuple[int, ...]:
    return (at.year, at.month, at.day, at.hour)


def _day(at: dt.datetime) -> tuple[int, ...]:
    return (at.year, at.month, at.day)


def _week(at: dt.datetime) -> tuple[int, ...]:
    return at.isocalendar()[:2]


def _month(at: dt.datetime) -> tuple[int, ...]:
    return (at.year, at.month)
