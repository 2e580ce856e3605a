"""The story of a clutch as a timeline: laying, looks, water, what was done, doubts asked and settled, hatching.

What several eggs showed alike at one look is one line ("all 6 eggs: veins"); what was thought before stays. Of each
box its eggs lay in, what was done to the box is told for as long as one of them lay there.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.reads.egg_rows import BoxLooked, BoxNowRow, ClutchNow, Deed, EggLooked, EggMove, EggNow, OpenDoubt
from coilbook.reads.egg_words import look_words
from coilbook.records.egg_vocabulary import DoubtKind, HatchEvent, Outcome, Verdict
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass
from coilbook.records.when import moment_from

#: a doubt has a day and no time: it was asked after the looks of that day, and settled after it was asked
_ASKED, _SETTLED = "T23:58", "T23:59"


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One line of a clutch's story: when, on which day, and the sentence; `mark` names its shape."""

    at: str
    day: int
    told: Message
    mark: str = "dot"


@dataclass(frozen=True, slots=True)
class _Seen:
    """A look at an egg and what the egg was thought to be before it."""

    egg: EggNow
    look: EggLooked
    before: Verdict

    @property
    def changed(self) -> bool:
        """True when it overturned what was thought."""
        return self.before is not Verdict.UNSAID and self.look.verdict not in (self.before, Verdict.UNSAID)

    @property
    def alike(self) -> tuple[object, ...]:
        """What makes it one line with another egg's look."""
        look = self.look
        told = (look.verdict, look.veins, look.dents, look.mould, look.wet, look.thin_shell, look.turned, look.note)
        return (look.at[:10], *told, self.before if self.changed else None)


def clutch_story(
    clutch: ClutchNow, boxes: Sequence[BoxNowRow], *, own_words: bool = True, named: bool = True
) -> tuple[StoryLine, ...]:
    """The clutch from laying on, oldest first, doubts kept as they were; without `own_words` nothing as typed.

    `boxes` in which its eggs lie or lay; several are told apart by name, or where they are not to be `named` by number.
    """
    lines = [StoryLine(f"{clutch.laid.first}T00:00", 0, _laid(clutch), "egg")]
    lines += _looks(clutch, own_words)
    for egg in clutch.eggs:
        lines += _photos_and_hatching(clutch, egg, own_words)
    its = in_order(clutch, boxes)
    for number, box in enumerate(its, 1):
        name = say("{box}", box=box.label) if named else say("box {n}", None, n=number)
        lines += _of_box(clutch, box, name if len(its) > 1 else say("the box"), own_words)
    return tuple(sorted(lines, key=lambda line: line.at))


# --- which box, and when ----------------------------------------------------------------------------------------
def stays_in(clutch: ClutchNow, box: BoxNowRow) -> tuple[tuple[str, str], ...]:
    """From when until when each egg of the clutch lay in a box; "" is from the laying on, "9" is still."""
    found: list[tuple[str, str]] = []
    for egg in clutch.eggs:
        moves = [move for move in box.moves if move.egg == egg.id]
        there = moves[0].out_of == box.id if moves else egg.box == box.id
        since: str | None = "" if there else None
        for move in moves:
            if move.into == box.id:
                since = move.at
            elif since is not None:
                found.append((since, move.at))
                since = None
        found += [(since, "9")] if since is not None else []
    return tuple(found)


def in_order(clutch: ClutchNow, boxes: Sequence[BoxNowRow]) -> list[BoxNowRow]:
    """Those of `boxes` in which eggs of the clutch lie or lay, the first one first."""
    stays = {box.id: stays_in(clutch, box) for box in boxes}
    return sorted((box for box in boxes if stays[box.id]), key=lambda box: min(stays[box.id]))


def lay_there(clutch: ClutchNow, box: BoxNowRow, at: str) -> bool:
    """Whether an egg of the clutch lay in a box at a moment, or on a day where no more than the day is known.

    A box may have stood there, with another clutch in it, before this one was laid.
    """
    to = 10 if at.endswith((_ASKED, _SETTLED)) else len(at)
    laid = at[:10] >= clutch.laid.first.isoformat()
    return laid and any(since[:to] <= at[:to] <= until[:to] for since, until in stays_in(clutch, box))


def _laid(clutch: ClutchNow) -> Message:
    slugs = sum(bool(egg.looks) and egg.looks[0].verdict is Verdict.SLUG for egg in clutch.eggs)
    told = say("{n} egg laid", "{n} eggs laid", n=len(clutch.eggs) - slugs)
    if slugs:
        told = say("{eggs} and {slugs}", eggs=told, slugs=say("{n} slug", "{n} slugs", n=slugs))
    if clutch.mass_dg is not None:
        told = say("{eggs}, {mass} together", eggs=told, mass=Mass(clutch.mass_dg))
    return told


# --- looks at eggs ----------------------------------------------------------------------------------------------
def _looks(clutch: ClutchNow, own_words: bool) -> list[StoryLine]:
    """Looks, those alike of one day in one line; a plain verdict at laying is told with the laying."""
    together: dict[tuple[object, ...], list[_Seen]] = {}
    for egg in clutch.eggs:
        before = Verdict.UNSAID
        for index, look in enumerate(egg.looks):
            at_laying = index == 0 and look.at[:10] == clutch.laid.first.isoformat()
            plain = len(look_words(look)) <= 1 and not look.note and look.verdict is not Verdict.DOUBTFUL
            if not (at_laying and plain):
                seen = _Seen(egg, look, before)
                together.setdefault(seen.alike, []).append(seen)
            before = look.verdict if look.verdict is not Verdict.UNSAID else before
    return [_look_line(clutch, seen, own_words) for seen in together.values()]


def _look_line(clutch: ClutchNow, seen: Sequence[_Seen], own_words: bool) -> StoryLine:
    first = seen[0]
    parts = look_words(first.look) or (say("looked at, nothing to see"),)
    told = _joined(parts)
    if len(seen) == 1 and first.look.mass_dg is not None:
        told = say("{seen}, {mass}", seen=told, mass=Mass(first.look.mass_dg))
    if first.look.note and own_words:
        told = say("{seen}; {note}", seen=told, note=first.look.note)
    told = say("{eggs}: {seen}", eggs=_which(clutch, seen), seen=told)
    if first.changed:
        told = say("{seen} (thought {before} before)", seen=told, before=first.before)
    at = min(one.look.at for one in seen)
    return StoryLine(at, _day(clutch, at), told, "circle")


def _joined(parts: Sequence[Message]) -> Message:
    told = parts[0]
    for part in parts[1:]:
        told = say("{first}, {rest}", first=told, rest=part)
    return told


def _which(clutch: ClutchNow, seen: Sequence[_Seen]) -> Message:
    """ "egg 5", "eggs 3, 5", or "all 6 eggs" where no egg that lay there was left out."""
    numbers = sorted({one.egg.number for one in seen})
    if len(numbers) == 1:
        return say("egg {number}", number=numbers[0])
    day = seen[0].look.at[:10]
    there = {egg.number for egg in clutch.eggs if not _gone(egg, day)}
    if there <= set(numbers):
        return say("all {n} eggs", None, n=len(numbers))
    return say("eggs {numbers}", numbers=", ".join(str(number) for number in numbers))


def _gone(egg: EggNow, day: str) -> bool:
    ends = [at[:10] for at in (egg.removed_at, egg.hatched_at) if at is not None]
    return bool(ends) and min(ends) < day


# --- pictures and hatching --------------------------------------------------------------------------------------
def _photos_and_hatching(clutch: ClutchNow, egg: EggNow, own_words: bool) -> list[StoryLine]:
    lines = []
    for photo in egg.photos:
        told = say("egg {number}: photo {caption}", number=egg.number, caption=photo.caption if own_words else "")
        lines.append(StoryLine(photo.at, _day(clutch, photo.at), told, "photo"))
    for step in egg.hatching:
        told = say("egg {number}: {event}", number=f"{egg.number}{step.twin}", event=step.event)
        if step.assisted:
            told = say("{what}, assisted", what=told)
        if step.not_yet_at is not None:
            since = moment_from(step.not_yet_at)
            told = say("{what}, not yet at the look of {since}", what=told, since=since)
        mark = "cross" if step.event is HatchEvent.DEAD_IN_SHELL else "taken"
        lines.append(StoryLine(step.at, _day(clutch, step.at), told, mark))
    return lines


# --- the box ----------------------------------------------------------------------------------------------------
def _of_box(clutch: ClutchNow, box: BoxNowRow, name: Message, own_words: bool) -> list[StoryLine]:
    own = {egg.id for egg in clutch.eggs}
    taken = {photo.before for egg in clutch.eggs for photo in egg.photos} | {photo.before for photo in box.photos}
    deeds = [deed for deed in box.deeds if deed.egg is None or deed.egg in own]
    of_eggs = [_deed_line(clutch, deed, name, deed.id in taken, own_words) for deed in deeds if deed.egg is not None]
    of_eggs += [_taken_in(clutch, move, name) for move in box.moves if move.egg in own and move.out_of is None]
    lines = [_deed_line(clutch, deed, name, deed.id in taken, own_words) for deed in deeds if deed.egg is None]
    lines += [_box_line(clutch, look, name, own_words) for look in box.looks]
    lines += [_water_line(clutch, at, added, name) for at, added in box.waters]
    for photo in box.photos:
        told = say("{box}: photo {caption}", box=name, caption=photo.caption if own_words else "")
        lines.append(StoryLine(photo.at, _day(clutch, photo.at), told, "photo"))
    for doubt in (*box.doubts, *box.settled):
        if doubt.egg is None:
            lines += _doubt_lines(clutch, doubt, name, own_words)
        elif doubt.egg in own:
            of_eggs += _doubt_lines(clutch, doubt, name, own_words)
    laid = clutch.laid.first.isoformat()
    kept = [line for line in of_eggs if line.at[:10] >= laid]
    return kept + [line for line in lines if lay_there(clutch, box, line.at)]


def _taken_in(clutch: ClutchNow, move: EggMove, name: Message) -> StoryLine:
    """An egg that lay in no box before, with its dam perhaps."""
    told = say("egg {number}: laid into {box}", number=move.number, box=name)
    return StoryLine(move.at, _day(clutch, move.at), told, "move")


def _water_line(clutch: ClutchNow, at: str, added: int, name: Message) -> StoryLine:
    told = say("{mass} of water poured", mass=Mass(added))
    if name.text != "the box":
        told = say("{box}: {what}", box=name, what=told)
    return StoryLine(at, _day(clutch, at), told, "pending")


def _deed_line(clutch: ClutchNow, deed: Deed, name: Message, pictured: bool, own_words: bool) -> StoryLine:
    about = say("egg {number}", number=deed.number) if deed.number is not None else name
    told = say("{about}: {what}", about=about, what=deed.what)
    for typed in (deed.how, deed.why):
        if typed and own_words:
            told = say("{what}, {why}", what=told, why=typed)
    if pictured:
        told = say("{what} (photo before)", what=told)
    if deed.came_of_it is not Outcome.UNSAID:
        told = say("{what}; then {outcome}", what=told, outcome=deed.came_of_it)
    return StoryLine(deed.at, _day(clutch, deed.at), told, "move")


def _box_line(clutch: ClutchNow, look: BoxLooked, name: Message, own_words: bool) -> StoryLine:
    parts = [say("fine")] if look.fine else []
    parts += [say("{mass}, {lid}", mass=Mass(look.total_dg), lid=look.lid)] if look.total_dg is not None else []
    parts += [say("drops under the lid")] if look.drops else []
    parts += [say("an off smell")] if look.smell else []
    parts += [say("{text}", text=look.note)] if look.note and own_words else []
    told = say("{box}: {seen}", box=name, seen=_joined(parts)) if parts else say("{box}: looked at", box=name)
    return StoryLine(look.at, _day(clutch, look.at), told, "triangle" if look.smell else "dot")


def _doubt_lines(clutch: ClutchNow, doubt: OpenDoubt, name: Message, own_words: bool) -> list[StoryLine]:
    number = next((egg.number for egg in clutch.eggs if egg.id == doubt.egg), None)
    about = say("egg {number}", number=number) if number is not None else _about(doubt, name)
    asked = say("asked of {about}: {kind}", about=about, kind=doubt.kind)
    typed = [part for part in (doubt.question, doubt.candidates) if part] if own_words else []
    asked = say("{asked} {words}", asked=asked, words=", ".join(typed)) if typed else asked
    day = doubt.asked_on.isoformat() + _ASKED
    lines = [StoryLine(day, _day(clutch, day), asked, "doubted")]
    if doubt.settled_on is not None:
        # what a verdict settled is a word of the list and no word of the keeper's
        verdicts = {verdict.value: verdict for verdict in Verdict}
        answer: object = verdicts.get(doubt.answer, doubt.answer if own_words else "")
        told = say("settled of {about}: {kind}", about=about, kind=doubt.kind)
        told = say("{told} {answer}", told=told, answer=answer) if answer else told
        by = doubt.settled_by if own_words else ""
        told = say("{told}, by {what}", told=told, what=by) if by else told
        day = doubt.settled_on.isoformat() + _SETTLED
        lines.append(StoryLine(day, _day(clutch, day), told, "tick"))
    return lines


def _about(doubt: OpenDoubt, name: Message) -> Message:
    return say("the clutch") if doubt.kind is DoubtKind.SIRE else name


def _day(clutch: ClutchNow, at: str) -> int:
    return clutch.day_of(dt.date.fromisoformat(at[:10]))
