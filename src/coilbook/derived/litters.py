"""Which young are one litter, and so have one doubtful sire between them: the rule odds and kinship both rest on.

Young of one dam with one list of possible sires are one litter when one clutch on record holds them, or when they
hatched within a few days of one another. Without a dam nobody shares: two young of nobody need not be sibs at all.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from coilbook.genetics.problem import NONE, Litter
from coilbook.records.vocabulary import Precision

#: a possible sire, his percent, and 1 where each egg may have its own
Share = tuple[int, int, int]
#: young of one dam that hatch within so many days of one another are one clutch where none is on record: a dam lays
#: once a season, and a clutch hatches in a few days (common practice)
ONE_CLUTCH_DAYS = 10
#: young, then its `Share`, then its clutch; the clutch is asked for where the sire is in doubt only
SHARES = """SELECT s.animal_id, s.sire_id, s.percent, s.each_own, CASE WHEN s.percent < 100 THEN
    (SELECT e.clutch_id FROM hatchling h JOIN egg e ON e.id = h.egg_id WHERE h.animal_id = s.animal_id) END
    FROM sire s"""


class Listing(NamedTuple):
    """What tells young of one litter from others: ids, the clutch if it is on record, else the day of hatching.

    `hatched` is None where it tells nothing: the clutch does, or the day is not known.
    """

    dam: int | None
    shares: tuple[Share, ...]
    clutch: int | None
    hatched: str | None


def is_known(shares: Sequence[Share]) -> bool:
    """True for one sire and no doubt about him."""
    return len(shares) == 1 and shares[0][1] == 100


def listing_of(
    dam: int | None, shares: Iterable[Share], clutch: int | None, hatched: str | None, precision: str
) -> Listing:
    """The listing of a young whose sire is in doubt; `hatched` and `precision` as stored."""
    day = hatched if clutch is None and precision == Precision.DAY else None
    return Listing(dam, tuple(sorted(shares)), clutch, day)


def litters_of(listings: Mapping[int, Listing]) -> list[tuple[int, ...]]:
    """Litters of the young listed, each in the order they are listed; one that shares with nobody is alone."""
    groups: dict[object, list[int]] = {}
    days: dict[object, list[tuple[str, int]]] = {}
    key: dict[int, object] = {}
    for young, (dam, shares, clutch, hatched) in listings.items():
        key[young] = young
        if dam is not None and clutch is not None:
            key[young] = (dam, shares, clutch)
        elif dam is not None and hatched is not None:
            days.setdefault((dam, shares), []).append((hatched, young))
    for family, hatchings in days.items():
        last: dt.date | None = None
        for hatched, young in sorted(hatchings):
            day = dt.date.fromisoformat(hatched)
            if last is None or (day - last).days > ONE_CLUTCH_DAYS:
                first = young
            key[young], last = (family, first), day
    for young, its in key.items():
        groups.setdefault(its, []).append(young)
    return [tuple(young) for young in groups.values()]


def doubtful_litter(young: tuple[int, ...], sires: Sequence[tuple[int, int]], shared: bool) -> Litter:
    """A litter of one of `sires` (index and percent). Percents below 100 in all leave the rest to a sire nobody
    recorded; above, all shrink.
    """
    total = sum(percent for _, percent in sires)
    rest = ((NONE, 100 - total),) if total < 100 else ()
    who, weights = zip(*((sire, percent / max(total, 100)) for sire, percent in (*sires, *rest)))
    return Litter(young, who, weights, shared)
