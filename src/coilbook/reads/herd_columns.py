"""What the herd index keeps of every animal as a number: one description a column, and the query that fills them.

Days are ordinals (`date.toordinal`), 0 where nothing is known; codes are places in the lists below.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.vocabulary import FeedingResult, Precision, Sex, Status
from coilbook.storage.health_tables import GOES_ON

IntArray: TypeAlias = npt.NDArray[np.int32]
Mask: TypeAlias = npt.NDArray[np.bool_]

SEXES = (Sex.UNSEXED, Sex.FEMALE, Sex.MALE)
STATUSES = tuple(Status)
#: 0 is "no date" and "no offer"
PRECISIONS: tuple[Precision | None, ...] = (None, *Precision)
RESULTS: tuple[FeedingResult | None, ...] = (None, *FeedingResult)


@dataclass(frozen=True, slots=True)
class GenesKnown:
    """Ids of animals by the name of a gene, casefolded: those sure to have a copy, and those that may.

    Of those of whom it is not sure: by whose odds sires were weighed by that gene alone (`by_gene`), and whose odds
    were drawn, not counted (`drawn`).
    """

    sure: Mapping[str, IntArray] = field(default_factory=dict)
    possible: Mapping[str, IntArray] = field(default_factory=dict)
    by_gene: Mapping[str, IntArray] = field(default_factory=dict)
    drawn: Mapping[str, IntArray] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class YoungKnown:
    """Ids of hatchlings, rising: ready for sale by the rule, and without a meal of their own."""

    ready: IntArray
    not_started: IntArray


class _Days(dict[str | None, int]):
    """Ordinal of a stored day or moment; days recur, so each is worked out once."""

    def __missing__(self, text: str | None) -> int:
        try:
            number = dt.date.fromisoformat(text[:10]).toordinal() if text else 0
        except ValueError:
            number = 0
        self[text] = number
        return number


class _Codes(dict[str | None, int]):
    """Place of a stored code in its list, 0 for what is not in it."""

    def __init__(self, members: Sequence[StrEnum | None]) -> None:
        super().__init__({m.value: place for place, m in enumerate(members) if m is not None})

    def __missing__(self, text: str | None) -> int:
        return 0


def _day(column: str) -> str:
    return f"substr({column}, 1, 10)"


_LAST_HATCH_DAY = """CASE a.hatched_precision WHEN 'year' THEN date(a.hatched, '+1 year', '-1 day')
    WHEN 'season' THEN date(a.hatched, '+3 months', '-1 day') WHEN 'month' THEN date(a.hatched, '+1 month', '-1 day')
    ELSE a.hatched END"""
_ACQUIRED = "(SELECT max(q.date) FROM acquisition q WHERE q.animal_id = a.id)"
_SPEWED = "(SELECT substr(max(r.at), 1, 10) FROM regurgitation r WHERE r.animal_id = a.id)"


#: the day something is to be done of a course, or else the day after it was meant to be over
_COURSE_DUE = "coalesce(c.next_due, date(c.planned_until, '+1 day'))"


def _earliest(what: str, kind: CourseKind) -> str:
    return f"min(CASE c.kind WHEN '{kind}' THEN substr({what}, 1, 10) END)"


# looked up by animal in one joined table: a query of its own for each column and animal took 0.2 s at 100,000 animals
_COURSES = f"""SELECT c.animal_id AS animal, {_earliest("c.at", CourseKind.TREATMENT)} AS treated,
    {_earliest(_COURSE_DUE, CourseKind.TREATMENT)} AS treat_due, {_earliest("c.at", CourseKind.QUARANTINE)} AS apart,
    {_earliest(_COURSE_DUE, CourseKind.QUARANTINE)} AS apart_due
    FROM health_course c WHERE {GOES_ON} GROUP BY c.animal_id"""

#: name, the SQL that makes it of `a` (animal), `n` (animal_now) and `h` (open courses), what its values mean (None: a
#: number)
COLUMNS: tuple[tuple[str, str, Callable[[], dict[str | None, int]] | None], ...] = (
    ("id", "a.id", None),
    ("sex", "a.sex", lambda: _Codes(SEXES)),
    ("sure", "a.sex_percent", None),
    ("status", "a.status", lambda: _Codes(STATUSES)),
    ("hatched", "a.hatched", _Days),
    ("hatched_last", _LAST_HATCH_DAY, _Days),
    ("precision", "a.hatched_precision", lambda: _Codes(PRECISIONS)),
    ("place", "coalesce(a.place_id, 0)", None),
    ("weight", "coalesce(n.weight_dg, 0)", None),
    ("weighed", _day("n.weight_at"), _Days),
    ("taken", _day("n.taken_at"), _Days),
    ("offered", _day("n.offered_at"), _Days),
    ("result", "n.offered_result", lambda: _Codes(RESULTS)),
    ("refused", "coalesce(n.refused_since, 0)", None),
    ("pending", "coalesce(n.pending, 0)", None),
    ("due", "n.next_due", _Days),
    ("shed", _day("n.shed_at"), _Days),
    ("blue", _day("n.blue_at"), _Days),
    ("acquired", _ACQUIRED, _Days),
    ("spewed", _SPEWED, _Days),
    ("treated", "h.treated", _Days),
    ("treat_due", "h.treat_due", _Days),
    ("apart", "h.apart", _Days),
    ("apart_due", "h.apart_due", _Days),
)
NAMES = tuple(name for name, _, _ in COLUMNS)

_EXPRESSIONS = ", ".join(sql for _, sql, _ in COLUMNS)
#: the columns in order, then the text
HERD_SQL = f"""SELECT {_EXPRESSIONS}, coalesce(n.search, '') FROM animal a
    LEFT JOIN animal_now n ON n.animal = a.id LEFT JOIN ({_COURSES}) h ON h.animal = a.id"""


def numbers_from(rows: Sequence[tuple[Any, ...]]) -> dict[str, IntArray]:
    """Columns of numbers from rows of `HERD_SQL`."""
    answer: dict[str, IntArray] = {}
    for place, (name, _, meaning) in enumerate(COLUMNS):
        values = (row[place] for row in rows)
        numbers = values if meaning is None else map(meaning().__getitem__, values)
        answer[name] = np.fromiter(numbers, np.int32, len(rows))
    return answer
