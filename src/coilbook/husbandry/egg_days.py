"""Days of incubation: laying is day 0, the next look, and what is usual or wrong on such a day (`common practice`).

Some count laying as day 1; here it is day 0 everywhere, and every sentence that gives a day says so once.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.husbandry.day_curve import Window
from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.records.message import Message, say

#: first and last day of a look through every egg, and what it is for
LOOKS: tuple[tuple[int, int, Message], ...] = (
    (0, 2, say("Candle: veins show as a red ring in many good eggs. Do not discard on one look.")),
    (5, 7, say("Candle the doubtful ones again.")),
    (10, 14, say("Candle the doubtful ones a third time.")),
    (15, 15, say("Look through all eggs.")),
    (30, 30, say("Look through all eggs.")),
    (45, 45, say("Look through all eggs.")),
)


@dataclass(frozen=True, slots=True)
class EggDay:
    """Day of incubation, `give_or_take` days when laying is not known exactly; the next look and notes for the day."""

    day: int
    give_or_take: int
    next_look: dt.date | None
    look_for: Message | None
    notes: tuple[Message, ...]


def egg_day(
    laid: KnownDay, looked: Sequence[dt.date], hatch: Window | None, today: dt.date, profile: Profile
) -> EggDay:
    """Where a clutch stands; `looked` days on which its eggs were looked through.

    A look is due from its first day until done or until the next one is; outages do not stop the clock.
    """
    middle = dt.date.fromordinal(round(laid.middle))
    day = (today - middle).days
    done = [(d - middle).days for d in looked]
    due, what = None, None
    for number, (first, last, told) in enumerate(LOOKS):
        until = LOOKS[number + 1][0] if number + 1 < len(LOOKS) else last + 5
        if day < until and not any(first <= d < until for d in done):
            due, what = middle + dt.timedelta(days=max(first, day)), told
            break
    return EggDay(day, laid.give_or_take, due, what, _notes(day, hatch, today, profile))


def _notes(day: int, hatch: Window | None, today: dt.date, profile: Profile) -> tuple[Message, ...]:
    told: list[Message] = []
    dents = profile[FigureKey.DENTS_EXPECTED_FROM_DAY]
    if day < (dents.low or dents.value):
        told.append(say("Dents before day {day:.0f} mean too dry until shown otherwise ({mark}).",
                        day=dents.low or dents.value, mark=str(dents.provenance)))  # fmt: skip
    elif day >= dents.value:
        told.append(say("Eggs sink in from about day {day:.0f} on; that is usual ({mark}).",
                        day=dents.value, mark=str(dents.provenance)))  # fmt: skip
    if hatch is not None and today >= hatch.first - dt.timedelta(days=14):
        told.append(say("Air the box a little more often in the last two weeks (common practice)."))
    if hatch is not None and today >= hatch.first - dt.timedelta(days=3):
        cut = profile[FigureKey.CUTTING_AFTER_DAY]
        told.append(say("Whether to cut eggs is a matter of differing practice and no controlled study was found; "
                        "who does waits for the first natural pip, and for day {day:.0f} at least.",
                        day=cut.value))  # fmt: skip
    return tuple(told)
