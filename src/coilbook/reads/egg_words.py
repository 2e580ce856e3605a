"""What stands on a box in its shelf, what is to be looked at next, and the story of a clutch: sentences as data."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.husbandry.egg_days import EggDay, egg_day
from coilbook.husbandry.profile import Profile
from coilbook.reads.box_water import WaterView, water_of
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, EggLooked
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.records.egg_vocabulary import MAY_HATCH, Dents, EggState, Veins, Verdict
from coilbook.records.ids import ClutchId, EggBoxId
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.when import ShortDate, moment_from

#: a box is looked at every week (common practice)
LOOK_DAYS = 7
#: the window of hatching is told on the shelf this many days ahead
_TELL_PIP_DAYS = 21

Windows = Mapping[ClutchId, HatchWindow]


@dataclass(frozen=True, slots=True)
class BoxWord:
    """The one line of a box on its shelf; `needs_you` in clay with a triangle."""

    told: Message
    needs_you: bool = False


@dataclass(frozen=True, slots=True)
class NextLook:
    """A look to come: day, box, what for; `candle` when eggs are held in the light."""

    day: dt.date
    box: EggBoxId
    label: str
    told: Message
    candle: bool = False


def box_day(box: BoxNowRow, today: dt.date) -> int:
    """Day of incubation of the oldest clutch in a box."""
    return max((clutch.day_of(today) for clutch in box.clutches), default=(today - box.set_up).days)


def days_to_hatch(box: BoxNowRow, windows: Windows, today: dt.date) -> int | None:
    """Days to the first window of the clutches in a box."""
    known = [windows[c.id].days_to_hatch(today) for c in box.clutches if c.id in windows]
    return min((days for days in known if days is not None), default=None)


def water_view(box: BoxNowRow, windows: Windows, today: dt.date, profile: Profile) -> WaterView | None:
    """The water of a box today."""
    return water_of(box, box_day(box, today), days_to_hatch(box, windows, today), profile)


def box_word(box: BoxNowRow, windows: Windows, today: dt.date, profile: Profile) -> BoxWord:
    """What matters most about a box now."""
    if not box.eggs:
        return BoxWord(say("free"))
    pipped = sum(egg.state is EggState.PIPPED for egg in box.eggs)
    if pipped:
        return BoxWord(say("{n} pipped", None, n=pipped), True)
    waiting = [egg for egg in box.eggs if egg.state in MAY_HATCH]
    if not waiting:
        return BoxWord(say("all done"))
    water = water_view(box, windows, today, profile)
    if water is not None and water.pour_dg:
        return BoxWord(say("pour {mass}", mass=Mass(round(water.pour_dg, -1))), True)
    due = next(iter(next_looks([box], windows, today, profile)), None)
    if due is not None and due.day < today:
        return BoxWord(say("look late"), True)
    days = days_to_hatch(box, windows, today)
    if days is not None and days <= _TELL_PIP_DAYS:
        return BoxWord(say("pip {day}", day=ShortDate(today + dt.timedelta(days))))
    if due is not None and due.day == today:
        return BoxWord(say("candle") if due.candle else say("look due"), True)
    last = box.last_look
    return BoxWord(say("fine {day}", day=ShortDate(last)) if last is not None else say("no look yet"))


def next_looks(boxes: Sequence[BoxNowRow], windows: Windows, today: dt.date, profile: Profile) -> tuple[NextLook, ...]:
    """Looks to come, the earliest first; one already late stands at its own day."""
    found: list[NextLook] = []
    for box in boxes:
        if not any(egg.state in MAY_HATCH for egg in box.eggs):
            continue
        by_day: dict[dt.date, list[str]] = {}
        for doubt in box.doubts:
            if doubt.look_again is not None:
                by_day.setdefault(doubt.look_again, []).append(doubt.about.rsplit("-", 1)[-1])
        for day, numbers in by_day.items():
            told = say("candle egg {eggs}", "candle eggs {eggs}", n=len(numbers), eggs=", ".join(sorted(numbers)))
            found.append(NextLook(day, box.id, box.label, told, True))
        last = box.last_look or box.set_up
        found.append(NextLook(last + dt.timedelta(LOOK_DAYS), box.id, box.label, say("weekly look, weigh")))
        found += _candlings(box, windows, today, profile)
        days = days_to_hatch(box, windows, today)
        if days is not None and 0 < days <= _TELL_PIP_DAYS:
            found.append(NextLook(today + dt.timedelta(days), box.id, box.label, say("pip window opens")))
    return tuple(sorted(found, key=lambda look: (look.day, look.label)))


def day_of_eggs(clutch: ClutchNow, windows: Windows, today: dt.date, profile: Profile) -> EggDay:
    """Where a clutch stands on a day: the next look through its eggs, and what is usual then."""
    window = windows.get(clutch.id)
    ahead = window.ahead if window is not None else None
    looked = [moment_from(at).date() for at in _looked_through(clutch)]
    return egg_day(clutch.laid_day, looked, ahead, today, profile)


def _looked_through(clutch: ClutchNow) -> list[str]:
    """Moments at which at least half of the eggs that lay there were candled."""
    at: dict[str, int] = {}
    for egg in clutch.eggs:
        for day in {look.at[:10] for look in egg.looks if look.veins is not Veins.UNSAID}:
            at[day] = at.get(day, 0) + 1
    waiting = sum(egg.state in MAY_HATCH for egg in clutch.eggs)
    return [day for day, count in at.items() if 2 * count >= waiting]


def _candlings(box: BoxNowRow, windows: Windows, today: dt.date, profile: Profile) -> list[NextLook]:
    found = []
    for clutch in box.clutches:
        due = day_of_eggs(clutch, windows, today, profile).next_look
        if due is not None and any(egg.state in MAY_HATCH for egg in clutch.eggs):
            found.append(NextLook(due, box.id, box.label, say("candle all eggs"), True))
    return found


def look_words(look: EggLooked) -> tuple[Message, ...]:
    """Everything a look at an egg saw, a word or two each; nothing when it saw and judged nothing."""
    parts: list[Message] = []
    if look.veins is not Veins.UNSAID:
        parts.append(say("{word}", word=look.veins))
    if look.verdict is not Verdict.UNSAID and not (look.verdict is Verdict.GOOD and look.veins is Veins.CLEAR):
        parts.append(say("{word}", word=look.verdict))
    if look.dents in (Dents.SLIGHT, Dents.DEEP):
        parts.append(say("dent"))
    for seen, word in ((look.mould, "mould"), (look.wet, "wet"), (look.thin_shell, "window"), (look.turned, "turned")):
        if seen:
            parts.append(say(word))
    nothing = look.dents is Dents.NONE or False in (look.mould, look.wet, look.thin_shell, look.turned)
    return tuple(parts) or ((say("fine"),) if nothing else ())


def look_word(look: EggLooked) -> tuple[Message, bool]:
    """A look at an egg in as many words as a cell holds, "+1" for what there is more, and whether it is a bad sign."""
    parts = look_words(look)
    bad = bool(look.mould or look.wet) or look.verdict is Verdict.DEAD or look.veins is Veins.NONE
    if not parts:
        return say("seen"), False
    if len(parts) == 1:
        return parts[0], bad
    told = say("{first}, {rest}", first=parts[0], rest=parts[1])
    return (say("{words} +{n}", None, words=told, n=len(parts) - 2) if len(parts) > 2 else told), bad
