"""What stands on a box in its shelf, what is to be looked at next, and the story of a clutch: sentences as data."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coilbook.husbandry.egg_days import EggDay, egg_day
from coilbook.husbandry.profile import Profile
from coilbook.reads.box_water import WaterView, water_of
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, EggLooked, EggNow
from coilbook.reads.hatch_windows import HatchWindow
from coilbook.records.egg_vocabulary import MAY_HATCH, Dents, EggState, HatchEvent, Outcome, Veins, Verdict
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


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One line of a clutch's story: when, on which day, and the sentence; `mark` names its shape."""

    at: str
    day: int
    told: Message
    mark: str = "dot"


def look_word(look: EggLooked) -> tuple[Message, bool]:
    """A look at an egg in a word or two, and whether it is a bad sign."""
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
    bad = bool(look.mould or look.wet) or look.verdict is Verdict.DEAD or look.veins is Veins.NONE
    if not parts:
        return say("seen"), False
    return (parts[0] if len(parts) == 1 else say("{first}, {rest}", first=parts[0], rest=parts[1])), bad


def clutch_story(clutch: ClutchNow, box: BoxNowRow | None, *, own_words: bool = True) -> tuple[StoryLine, ...]:
    """The clutch from laying on, oldest first, doubts kept as they were; without `own_words` nothing as typed."""
    lines = [StoryLine(f"{clutch.laid.first}T00:00", 0, _laid(clutch), "egg")]
    for egg in clutch.eggs:
        lines += _story_of_egg(clutch, egg, own_words)
    if box is not None:
        lines += _story_of_box(clutch, box, own_words)
    return tuple(sorted(lines, key=lambda line: line.at))


def _laid(clutch: ClutchNow) -> Message:
    slugs = sum(bool(egg.looks) and egg.looks[0].verdict is Verdict.SLUG for egg in clutch.eggs)
    told = say("{n} egg laid", "{n} eggs laid", n=len(clutch.eggs) - slugs)
    if slugs:
        told = say("{eggs} and {slugs}", eggs=told, slugs=say("{n} slug", "{n} slugs", n=slugs))
    if clutch.mass_dg is not None:
        told = say("{eggs}, {mass} together", eggs=told, mass=Mass(clutch.mass_dg))
    return told


def _story_of_egg(clutch: ClutchNow, egg: EggNow, own_words: bool) -> list[StoryLine]:
    lines = []
    before = Verdict.UNSAID
    for index, look in enumerate(egg.looks):
        told, bad = look_word(look)
        changed = look.verdict not in (before, Verdict.UNSAID)
        if bad or look.dents in (Dents.SLIGHT, Dents.DEEP) or (changed and (index or look.verdict is Verdict.DOUBTFUL)):
            thought = say("egg {number}: {seen}", number=egg.number, seen=told)
            if changed and index and before is not Verdict.UNSAID:
                thought = say(
                    "egg {number}: {seen} (thought {before} before)", number=egg.number, seen=told, before=before
                )
            lines.append(StoryLine(look.at, _day(clutch, look.at), thought, "circle"))
        before = look.verdict if look.verdict is not Verdict.UNSAID else before
    for photo in egg.photos:
        told = say("egg {number}: photo {caption}", number=egg.number, caption=photo.caption if own_words else "")
        lines.append(StoryLine(photo.at, _day(clutch, photo.at), told, "photo"))
    for step in egg.hatching:
        words = say("egg {number}: {event}", number=f"{egg.number}{step.twin}", event=step.event)
        if step.not_yet_at is not None:
            since = moment_from(step.not_yet_at)
            words = say("{what}, not yet at the look of {since}", what=words, since=since)
        mark = "cross" if step.event is HatchEvent.DEAD_IN_SHELL else "taken"
        lines.append(StoryLine(step.at, _day(clutch, step.at), words, mark))
    return lines


def _story_of_box(clutch: ClutchNow, box: BoxNowRow, own_words: bool) -> list[StoryLine]:
    own = {egg.id for egg in clutch.eggs}
    lines = []
    for deed in box.deeds:
        if deed.egg is not None and deed.egg not in own:
            continue
        about = say("egg {number}", number=deed.number) if deed.number is not None else say("the box")
        told = say("{about}: {what}", about=about, what=deed.what)
        if deed.why and own_words:
            told = say("{what}, {why}", what=told, why=deed.why)
        if deed.came_of_it is not Outcome.UNSAID:
            told = say("{what}; then {outcome}", what=told, outcome=deed.came_of_it)
        lines.append(StoryLine(deed.at, _day(clutch, deed.at), told, "move"))
    for at, added in box.waters:
        lines.append(StoryLine(at, _day(clutch, at), say("{mass} of water poured", mass=Mass(added)), "pending"))
    for photo in box.photos:
        told = say("the box: photo {caption}", caption=photo.caption if own_words else "")
        lines.append(StoryLine(photo.at, _day(clutch, photo.at), told, "photo"))
    for look in box.looks:
        if look.smell:
            lines.append(StoryLine(look.at, _day(clutch, look.at), say("an off smell in the box"), "triangle"))
    return lines


def _day(clutch: ClutchNow, at: str) -> int:
    return clutch.day_of(moment_from(at).date())
