"""The plain answer to every way a code can stand: present, undone, sold, renumbered, unknown."""

from __future__ import annotations

from coilbook.reads.codes import Found, Standing
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import CodeKind, Status
from coilbook.records.when import moment_from

_GONE = {
    Status.SOLD: "{animal} was sold ({day}). Her record is still here.",
    Status.DEAD: "{animal} died ({day}). The record is still here.",
    Status.LOST: "{animal} is entered as lost ({day}). If this is the animal, enter the return.",
    Status.OUTSIDE: "{animal} is somebody else's animal.",
}


def answer_to(found: Found) -> Message | None:
    """One sentence for a code that does not simply open its record; None for one that does."""
    code = found.code.shown
    if found.standing is Standing.UNKNOWN:
        if found.code.kind in (CodeKind.EGG_BOX, CodeKind.HATCHLING):
            return say("{code} is a code of another kind of label; nothing in this book has it.", code=code)
        return say("{code} is a sound code, but nothing in this book has it. Is it from another collection?", code=code)
    if found.standing is Standing.UNDONE:
        if found.since is None:
            return say("{code} was taken back by an undo; the label can go.", code=code)
        return say("{code} was taken back by an undo on {day}; the label can go.", code=code, day=_day(found.since))
    if found.standing is Standing.GONE and found.box is not None and found.since is not None:
        return say("{box} was emptied on {day}; its label can go.", box=found.name, day=_day(found.since))
    if found.standing is Standing.GONE and found.status is not None:
        text = _GONE.get(found.status, "{animal} is no longer here ({day}).")
        return say(text, animal=found.name, day=_day(found.since) if found.since else say("no date"))
    if found.former_label is not None and found.since is not None:
        return say("This was {old}; it has been {new} since {day}.", old=found.former_label, new=found.name,
                   day=_day(found.since))  # fmt: skip
    return None


def _day(moment: str) -> object:
    return moment_from(moment.rstrip("Z")).date()
