"""What an animal's state is today, in one word, worked out for the whole herd at once.

Plain facts only: no stage of the season and no judgement of a fast. One state is shown, the first that holds.
"""

from __future__ import annotations

import datetime as dt
from enum import StrEnum

import numpy as np

from coilbook.husbandry.waits import BLUE_DAYS, HOLD_DAYS
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import IntArray, Mask
from coilbook.records.vocabulary import Status

#: an animal counts as new this long after it came
NEW_DAYS = 14
#: a gap since the last meal worth a word of its own, in days
LONG_DAYS = 30


class State(StrEnum):
    """One word for a row. The order is the order of precedence."""

    NONE = ""
    SOLD = "sold"
    DEAD = "dead"
    LOAN = "loan"
    LOST = "lost"
    OUTSIDE = "outside"
    TREATMENT = "treatment"
    QUARANTINE = "quarantine"
    REGURGITATED = "regurgitated"
    BLUE = "blue"
    FAST = "fast"
    PENDING = "pending"
    NOT_OFFERED = "not_offered"
    NEW = "new"


STATES = tuple(State)
_AWAY = {
    Status.SOLD: State.SOLD,
    Status.DEAD: State.DEAD,
    Status.LOAN: State.LOAN,
    Status.LOST: State.LOST,
    Status.OUTSIDE: State.OUTSIDE,
}


def in_quarantine(herd: Herd) -> Mask:
    """Rows that live in a place of quarantine, or whose own quarantine goes on."""
    return np.isin(herd["place"], herd.places.quarantined) | (herd["apart"] > 0)


def under_treatment(herd: Herd) -> Mask:
    """Rows with a treatment that goes on."""
    return np.asarray(herd["treated"] > 0)


def states(herd: Herd, today: dt.date) -> IntArray:
    """Place in `STATES` of every row."""
    day = today.toordinal()
    taken, offered, acquired = herd["taken"], herd["offered"], herd["acquired"]
    long_ago = (taken > 0) & (day - taken > LONG_DAYS)
    tests: list[tuple[State, Mask]] = [(state, herd.where_status(status)) for status, state in _AWAY.items()]
    tests += [
        (State.TREATMENT, under_treatment(herd)),
        (State.QUARANTINE, in_quarantine(herd)),
        (State.REGURGITATED, np.asarray((herd["spewed"] > 0) & (day - herd["spewed"] < HOLD_DAYS))),
        (State.BLUE, np.asarray(herd["blue"] > day - BLUE_DAYS)),
        (State.FAST, np.asarray(long_ago & (herd["refused"] > 0))),
        (State.PENDING, np.asarray(herd["pending"] > 0)),
        (State.NOT_OFFERED, np.asarray((offered > 0) & (day - offered > LONG_DAYS))),
        (State.NEW, np.asarray((acquired > 0) & (day - acquired < NEW_DAYS))),
    ]
    codes = [STATES.index(state) for state, _ in tests]
    return np.select([mask for _, mask in tests], codes, default=0).astype(np.int32)
