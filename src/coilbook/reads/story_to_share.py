"""The story of a clutch for others: ids, place and everything in the keeper's own words are left out unless ticked.

No price and no person is ever asked for here; both can stand only in what the keeper typed, and go with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.reads.clutch_story import StoryLine, clutch_story, lay_there
from coilbook.reads.egg_rows import BoxNowRow, ClutchNow, OpenDoubt, Parent, PhotoTaken
from coilbook.records.message import Message, say
from coilbook.records.when import ShortDate, moment_from


@dataclass(frozen=True, slots=True)
class Ticked:
    """What goes along: ids of clutch and parents, the box and incubator, captions and reasons as typed."""

    ids: bool = False
    place: bool = False
    words: bool = False


@dataclass(frozen=True, slots=True)
class SharedPicture:
    """A picture by its file, and what stands under it; its day of incubation names it."""

    sha256: str
    ending: str
    day: int
    caption: Message


@dataclass(frozen=True, slots=True)
class SharedStory:
    """What is shared: a head, the lines oldest first, doubts that are still open, pictures oldest first."""

    head: tuple[Message, ...]
    lines: tuple[Message, ...]
    doubts: tuple[Message, ...]
    pictures: tuple[SharedPicture, ...]


def story_to_share(clutch: ClutchNow, boxes: Sequence[BoxNowRow], ticked: Ticked) -> SharedStory:
    """The story with no more than what was ticked; `boxes` in which eggs of the clutch lie or lay."""
    head = [_who(clutch, ticked)]
    for box in boxes if ticked.place else ():
        head.append(say("In {box}, {incubator}.", box=box.label, incubator=box.incubator_name or "-"))
    told = clutch_story(clutch, boxes, own_words=ticked.words, named=ticked.place)
    lines = [_line(line) for line in told if line.mark != "photo"]
    own = {egg.id for egg in clutch.eggs}
    open_doubts = [d for box in boxes for d in box.doubts if d.egg is None or d.egg in own]
    doubts = [_doubt(clutch, doubt, ticked) for doubt in open_doubts]
    return SharedStory(tuple(head), tuple(lines), tuple(doubts), _pictures(clutch, boxes, ticked))


def _who(clutch: ClutchNow, ticked: Ticked) -> Message:
    dam = _parent(clutch.dam, ticked) if clutch.dam is not None else say("a female not known")
    sires = [_parent(sire, ticked) for sire in clutch.sires] or [say("a male not known")]
    told = sires[0]
    for other in sires[1:]:
        told = say("{one} or {other}", one=told, other=other)
    both = say("{dam} with {sires}", dam=dam, sires=told)
    return say("Clutch {clutch}: {parents}", clutch=clutch.label, parents=both) if ticked.ids else both


def _parent(parent: Parent, ticked: Ticked) -> Message:
    words = " ".join(part for part in (parent.name if ticked.ids else "", parent.genetics) if part)
    told = say("{parent}", parent=words) if words else say("an animal without a look on record")
    return told if parent.percent == 100 else say("{parent} ({n}%)", None, parent=told, n=parent.percent)


def _line(line: StoryLine) -> Message:
    return say("Day {n}, {date}: {told}", None, n=line.day, date=ShortDate(moment_from(line.at).date()), told=line.told)


def _doubt(clutch: ClutchNow, doubt: OpenDoubt, ticked: Ticked) -> Message:
    egg = next((egg for egg in clutch.eggs if egg.id == doubt.egg), None)
    about = say("egg {number}", number=egg.number) if egg is not None else say("the box or the clutch")
    told = say("Still open since day {n}: {about}, {kind}", None, n=clutch.day_of(doubt.asked_on), about=about,
               kind=doubt.kind)  # fmt: skip
    typed = ", ".join(part for part in (doubt.question, doubt.candidates) if part) if ticked.words else ""
    return say("{told} {words}", told=told, words=typed) if typed else told


def _pictures(clutch: ClutchNow, boxes: Sequence[BoxNowRow], ticked: Ticked) -> tuple[SharedPicture, ...]:
    taken: list[tuple[PhotoTaken, Message]] = []
    for egg in clutch.eggs:
        taken += [(photo, say("egg {number}", number=egg.number)) for photo in egg.photos]
    in_boxes = [photo for box in boxes for photo in box.photos if lay_there(clutch, box, photo.at)]
    taken += [(photo, say("the box")) for photo in in_boxes]
    made = []
    for photo, about in sorted(taken, key=lambda one: one[0].at):
        day = clutch.day_of(moment_from(photo.at).date())
        caption = say("Day {n}: {about}", None, n=day, about=about)
        if ticked.words and photo.caption:
            caption = say("{caption}, {words}", caption=caption, words=photo.caption)
        made.append(SharedPicture(photo.sha256, photo.ending, day, caption))
    return tuple(made)
