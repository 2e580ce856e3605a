"""The forms about one egg and one box on the screen of eggs: a look in full, corrections, and what was done."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from coilbook.operations.egg_boxes import BoxDetails, do_to_box, edit_box
from coilbook.operations.eggs import EggDetails, EggSeen, do_to_eggs, edit_egg, look_at_eggs
from coilbook.reads.egg_rows import Deed
from coilbook.reads.photos import original
from coilbook.records.egg_vocabulary import Dents, EggDeed, Lid, Medium, Outcome, Veins, Verdict
from coilbook.records.message import Refusal, say
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.animal.photo_intake import chosen_picture, pasted_picture
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.entries import IN_NONE, incubator_asks, looked, no_yes, options
from coilbook.wording.language import translated
from coilbook.wording.texts import words


# --- a look at one egg ----------------------------------------------------------------------------------------
def egg_look_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    verdicts = (Verdict.UNSAID, Verdict.GOOD, Verdict.DOUBTFUL, Verdict.SLUG, Verdict.DEAD)
    veins = (Veins.UNSAID, Veins.CLEAR, Veins.FAINT, Veins.NONE)
    dents = (Dents.UNSAID, Dents.NONE, Dents.SLIGHT, Dents.DEEP)
    asks = [
        Ask("verdict", translated("Verdict"), "choice", Verdict.UNSAID, options=options(Verdict, *verdicts), span=3),
        Ask("veins", translated("In the light"), "choice", Veins.UNSAID, options=options(Veins, *veins), span=3),
        Ask("dents", translated("Dents"), "choice", Dents.UNSAID, options=options(Dents, *dents), span=3),
        Ask("thin_shell", translated("Thin shell, window"), "choice", None, options=looked()),
        Ask("wet", translated("Wet spot"), "choice", None, options=looked()),
        Ask("mould", translated("Mould"), "choice", None, options=looked()),
        Ask("turned", translated("Found turned"), "choice", None, options=looked()),
        Ask("mass", translated("Weight, by itself"), "mass"),
        when(),
        Ask("note", translated("Note"), span=3),
    ]
    deeds = _unanswered(at)
    if deeds:
        head = translated("After: {what}").format(what=", ".join(words(deed.what) for deed in deeds))
        strip = options(Outcome, Outcome.UNSAID, Outcome.BETTER, Outcome.SAME, Outcome.WORSE)
        asks.append(Ask("came_of", head, "choice", Outcome.UNSAID, options=strip, span=3))
    return tuple(asks)


def _unanswered(at: AtHand) -> tuple[Deed, ...]:
    """What was done to the egg in focus and not yet said to have helped."""
    deeds = at.box.deeds if at.box is not None else ()
    egg = at.egg.id if at.egg is not None else None
    return tuple(deed for deed in deeds if deed.egg == egg and deed.came_of_it is Outcome.UNSAID)


def egg_look_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    moment = values.pop("at")
    said = {name: value for name, value in values.items() if value is not None}
    seen = EggSeen(**said)
    if seen == EggSeen():
        raise Refusal(say("Say what was looked at; what was not keeps its dot."))
    return (Call(look_at_eggs, {"looks": {at.egg.id: seen}, "at": moment}),)


# --- an egg corrected -----------------------------------------------------------------------------------------
def egg_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    egg = at.egg
    assert egg is not None
    mass = desk.style.mass(egg.mass_dg) if egg.mass_dg is not None else ""
    return (
        Ask("mass", translated("Weight when laid"), "mass", mass),
        Ask("length_mm", translated("Length, mm"), "amount", _number(egg.length_mm)),
        Ask("width_mm", translated("Width, mm"), "amount", _number(egg.width_mm)),
        Ask("up_mark", translated("Its top is marked"), "choice", egg.up_mark, options=no_yes(translated("not said"))),
        Ask("twin_suspected", translated("May hold twins"), "choice", egg.twin_suspected, options=no_yes()),
        Ask("stuck", translated("Sticks to others"), "choice", egg.stuck, options=no_yes()),
        Ask("note", translated("Note"), start=egg.note, span=3),
    )


def _number(value: int | None) -> str:
    return str(value) if value is not None else ""


def egg_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    for name in ("length_mm", "width_mm"):
        if values[name] == 0:
            raise Refusal(say("An egg is longer than 0 mm."))
    cleared = frozenset(name for name in ("mass", "length_mm", "width_mm", "up_mark") if values[name] is None)
    return (Call(edit_egg, {"egg": at.egg.id, "details": EggDetails(**values, cleared=cleared)}),)


# --- a box corrected ------------------------------------------------------------------------------------------
def box_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    box = at.box
    assert box is not None
    masses = {
        name: desk.style.mass(dg) if dg is not None else ""
        for name, dg in (("start", box.start_dg), ("dry", box.dry_dg), ("water", box.water_dg))
    }
    return (
        Ask("label", translated("Name"), start=box.label, required="A box needs a name, like EB-12."),
        *(replace(ask, start=box.incubator or IN_NONE) for ask in incubator_asks(at, span=2)),
        Ask("shelf", translated("Shelf, from the top"), "amount", _number(box.shelf)),
        Ask("spot", translated("Place on it, from the left"), "amount", _number(box.spot)),
        Ask("start", translated("Total at the start"), "mass", masses["start"]),
        Ask("lid", translated("Weighed"), "choice", box.lid, options=options(Lid)),
        Ask("dry", translated("Medium, dry"), "mass", masses["dry"]),
        Ask("water", translated("Water at the start"), "mass", masses["water"]),
        Ask("medium", translated("Medium"), "choice", box.medium, options=options(Medium), span=3),
        Ask("note", translated("Note"), start=box.note, span=2),
    )


def box_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    box = at.box
    assert box is not None
    # a place is said only where it changed: one that is not said is never "taken"
    now: dict[str, Any] = {"shelf": box.shelf, "spot": box.spot, "incubator": box.incubator or IN_NONE}
    said = {name: value for name, value in values.items() if name not in now or value != now[name]}
    cleared = {name for name in ("start", "dry", "water") if values[name] is None}
    if said.get("incubator") == IN_NONE:
        cleared.add("incubator")
        del said["incubator"]
    return (Call(edit_box, {"box": box.id, "details": BoxDetails(**said, cleared=frozenset(cleared))}),)


# --- what was done --------------------------------------------------------------------------------------------
_TO_EGGS = (
    EggDeed.WIPED, EggDeed.TREATED, EggDeed.SEPARATED, EggDeed.CUT_AFTER_PIP, EggDeed.CUT_BEFORE_PIP, EggDeed.OTHER,
)  # fmt: skip
_TO_BOX = (EggDeed.VENTED, EggDeed.DAMP_COVER, EggDeed.COVER_OFF, EggDeed.OTHER)
_NEWEST, _PASTED, _FILE = "newest", "pasted", "file"


def done_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    deeds = _TO_EGGS if at.egg is not None else _TO_BOX
    pictures = [Option(translated("none"), None)]
    newest = at.newest_photo
    if newest is not None:
        day = desk.style.moment(newest.at)
        pictures.append(Option(translated("the newest, {moment}").format(moment=day), _NEWEST))
    pictures += [Option(translated("from the clipboard"), _PASTED), Option(translated("from a file"), _FILE)]
    return (
        Ask("what", translated("What"), "choice", deeds[0], options=options(EggDeed, *deeds), span=3),
        Ask("how", translated("How, in your words"), hint=translated("dry swab")),
        Ask("why", translated("Why"), hint=translated("mould")),
        when(),
        Ask("photo_before", translated("Photo before"), "choice", None, options=tuple(pictures), span=3),
    )


def done_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    said = {name: values[name] for name in ("what", "how", "why", "at")}
    said["photo_before"] = _picture(desk, at, values["photo_before"])
    if at.egg is not None:
        return (Call(do_to_eggs, {"eggs": [at.egg.id], **said}),)
    assert at.box is not None
    return (Call(do_to_box, {"box": at.box.id, **said}),)


def _picture(desk: Desk, at: AtHand, chosen: str | None) -> Path | bytes | None:
    """The picture a form chose, or why there is none."""
    newest = at.newest_photo
    if chosen == _NEWEST and newest is not None:
        return original(desk.collection, newest.sha256, newest.ending)
    if chosen == _PASTED:
        pasted = pasted_picture()
        if pasted is None:
            raise Refusal(say("There is no picture in the clipboard."))
        return pasted
    if chosen == _FILE:
        file = chosen_picture(None)
        if file is None:
            raise Refusal(say("No picture was chosen."))
        return file
    return None
