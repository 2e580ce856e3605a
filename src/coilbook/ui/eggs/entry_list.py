"""The other forms of the screen of eggs: corrections, moves, boxes, incubators, doubts; and the list of all."""

from __future__ import annotations

from dataclasses import replace

from coilbook.husbandry.incubator import typed_temperature
from coilbook.operations.clutches import ClutchDetails, edit_clutch
from coilbook.operations.doubts import DoubtDetails, ask_doubt, put_off_doubt, settle_doubt
from coilbook.operations.egg_boxes import BoxDetails, set_up_box
from coilbook.operations.eggs import move_eggs
from coilbook.operations.incubators import IncubatorDetails, add_incubator, edit_incubator, read_incubator
from coilbook.records.egg_vocabulary import DoubtKind, Medium
from coilbook.records.message import Refusal, say
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.desk import Desk
from coilbook.ui.eggs import egg_entries as eg
from coilbook.ui.eggs import entries as e
from coilbook.ui.eggs import hatch_entries as hatch
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.entries import Entry, options
from coilbook.ui.eggs.sharing import share_asks, share_story
from coilbook.wording.language import translated
from coilbook.wording.texts import words


# --- corrections and moves ---------------------------------------------------------------------------------
def _correct_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    clutch = at.clutch
    assert clutch is not None
    sires = ", ".join(f"{sire.name} {sire.percent}" for sire in clutch.sires)
    needs_day = translated("A clutch needs the day it was laid; a month or a year will do.")
    return (
        Ask("sires", translated("Sires, empty for not known"), start=sires),
        Ask("laid", translated("Laid"), "date", start=desk.style.date(clutch.laid), required=needs_day),
        Ask("doubt", translated("Give or take days"), start=str(clutch.doubt_days)),
        Ask("note", translated("Note"), start=clutch.note, span=3),
    )


def _correct(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.clutch is not None
    doubt = values["doubt"].strip() or "0"
    if not doubt.isdecimal() or int(doubt) > 60:
        raise Refusal(say("'{text}' is not a number of days.", text=doubt))
    sires = e.sires_of(desk, values["sires"])
    details = ClutchDetails(sires=sires, laid=values["laid"], doubt_days=int(doubt), note=values["note"].strip())
    return (Call(edit_clutch, {"clutch": at.clutch.id, "details": details}),)


def _move_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    yes_no = (Option(translated("moved"), False), Option(translated("separated from the others"), True))
    return (
        Ask("box", translated("To box"), hint="EB-12", required="Type the box it goes to."),
        Ask("away", translated("Its weight now"), "mass"),
        Ask("separated", translated("How"), "choice", False, options=yes_no),
        Ask("why", translated("Why"), span=2),
        when(),
    )


def _move(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    typed = values.pop("box").strip()
    target = next((box for box in at.now.boxes if box.label.casefold() == typed.casefold()), None)
    if target is None:
        raise Refusal(say("There is no box {box} in use.", box=typed))
    return (Call(move_eggs, {"eggs": [at.egg.id], "box": target.id, **values}),)


def _box_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("label", translated("Name"), hint=translated("the next number")),
        Ask("dry", translated("Medium, dry"), "mass"),
        Ask("water", translated("Water at the start"), "mass"),
        Ask("medium", translated("Medium"), "choice", Medium.VERMICULITE, options=options(Medium), span=3),
        *e.incubator_asks(at, span=3),
    )


def _box(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    incubator = e.incubator_of(at, values)
    details = BoxDetails(label=values["label"].strip() or None, incubator=incubator, dry=values["dry"],
                         water=values["water"], medium=values["medium"])  # fmt: skip
    return (Call(set_up_box, {"details": details}),)


def _incubator_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("name", translated("Name"), hint=translated("Incubator 1"), required="An incubator needs a name."),
        Ask("set", translated("Set to"), hint="31.5"),
        Ask("shelves", translated("Shelves from the top"), hint=translated("top, middle, low")),
        Ask("per_shelf", translated("Boxes on a shelf"), "count", start="3"),
        Ask("note", translated("Note"), span=2),
    )


def _incubator_said(desk: Desk, values: Values) -> IncubatorDetails:
    typed = values["set"].strip()
    set_at = typed_temperature(typed, desk.settings.fahrenheit) if typed else None
    shelves = tuple(name.strip() for name in values["shelves"].split(",") if name.strip()) or (translated("shelf"),)
    return IncubatorDetails(name=values["name"], set_at=set_at, set_known=bool(typed), shelves=shelves,
                            per_shelf=values["per_shelf"], note=values["note"])  # fmt: skip


def _incubator(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    return (Call(add_incubator, {"details": _incubator_said(desk, values)}),)


def _correct_incubator_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    there = at.incubator
    assert there is not None
    set_to = desk.style.temperature(there.set_tenths) if there.set_tenths is not None else ""
    start = {"name": there.name, "set": set_to, "shelves": ", ".join(there.shelves), "per_shelf": str(there.per_shelf),
             "note": there.note}  # fmt: skip
    return tuple(replace(ask, start=start[ask.name]) for ask in _incubator_asks(desk, at))


def _correct_incubator(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.incubator is not None
    details = _incubator_said(desk, values)
    return (Call(edit_incubator, {"incubator": at.incubator.id, "details": details}),)


def _reading_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("typed", translated("Temperature now"), hint="31.5", required="Type the temperature."),
        Ask("least", translated("Least since the last reading")),
        Ask("most", translated("Most since the last reading")),
        when(),
        Ask("note", translated("Noticed, done"), hint=translated("power was out; lids left on"), span=2),
    )


def _reading(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    if at.incubator is None:
        raise Refusal(say("Add an incubator first."))
    shelf = at.box.shelf if at.box is not None else None
    return (Call(read_incubator, {"incubator": at.incubator.id, "shelf": shelf, **values}),)


def _doubt_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    if at.box is None and at.clutch is None:
        kinds: tuple[DoubtKind, ...] = (DoubtKind.SEX, DoubtKind.GENE, DoubtKind.OTHER)
    else:
        kinds = tuple(DoubtKind)
    start = DoubtKind.ALIVE if at.egg is not None else kinds[0] if len(kinds) == 3 else DoubtKind.SMELL
    return (
        Ask("kind", translated("What is not known"), "choice", start, options=options(DoubtKind, *kinds), span=3),
        Ask("animal", translated("Of an animal, if of one"), hint="F-014"),
        Ask("question", translated("In your words")),
        Ask("candidates", translated("What it could be")),
        Ask("settles_by", translated("What would settle it"), hint=translated("candling")),
        Ask("look_again", translated("Look again"), "later", hint=translated("in 3 days")),
    )


def _doubt(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    kind, typed = values["kind"], values["animal"].strip()
    animal = e.animal_of(desk, typed) if typed else None
    if animal is not None:
        at = AtHand(at.now)
    egg = at.egg.id if at.egg is not None and kind not in (DoubtKind.SMELL, DoubtKind.SIRE) else None
    clutch = at.clutch.id if at.clutch is not None and kind is DoubtKind.SIRE else None
    box = at.box.id if at.box is not None and egg is None and clutch is None else None
    again = values["look_again"].first if values["look_again"] is not None else None
    said = {name: values[name] for name in ("kind", "question", "candidates", "settles_by")}
    details = DoubtDetails(animal=animal, egg=egg, clutch=clutch, box=box, look_again=again, **said)
    return (Call(ask_doubt, {"details": details}),)


def _settle_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    doubts = at.doubts
    options = tuple(Option(f"{doubt.about}: {words(doubt.kind)}", doubt.id) for doubt in doubts)
    return (
        Ask("doubt", translated("Which"), "choice", doubts[0].id if doubts else None, options=options, span=3),
        Ask("answer", translated("What it was"), required="Say what it was."),
        Ask("by", translated("By what"), hint=translated("smelt alone")),
    )


def _settle(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    if values["doubt"] is None:
        raise Refusal(say("No doubt stands open about this box."))
    return (Call(settle_doubt, values),)


def _put_off_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    again = Ask("again", translated("Look again"), "later", hint=translated("in 3 days"), required="Say a day to come.")
    return (*_settle_asks(desk, at)[:1], again)


def _put_off(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    if values["doubt"] is None:
        raise Refusal(say("No doubt stands open about this box."))
    return (Call(put_off_doubt, {"doubt": values["doubt"], "look_again": values["again"].first}),)


ENTRIES: tuple[Entry, ...] = (
    Entry("N", "lay", "Clutch laid", e.laying_asks, e.laying_calls),
    Entry("L", "look", "Look at this box", e.look_asks, e.look_calls, "box"),
    Entry("V", "egg_look", "Look at this egg, in full", eg.egg_look_asks, eg.egg_look_calls, "egg"),
    Entry("O", "done", "What was done", eg.done_asks, eg.done_calls, "box"),
    Entry("R", "remove", "Egg taken out", e.remove_asks, e.remove_calls, "egg"),
    Entry("M", "move", "Egg to another box", _move_asks, _move, "egg"),
    Entry("H", "hatch", "Hatched", hatch.hatch_asks, hatch.hatch_calls, "clutch"),
    Entry("Shift+P", "step", "Pipped, out or dead, with its time", hatch.step_asks, hatch.step_calls, "egg"),
    Entry("F2", "correct", "Correct this clutch", _correct_asks, _correct, "clutch"),
    Entry("Shift+F2", "correct_egg", "Correct this egg", eg.egg_asks, eg.egg_calls, "egg"),
    Entry("Ctrl+B", "correct_box", "Correct this box", eg.box_asks, eg.box_calls, "box"),
    Entry("B", "box", "A new box", _box_asks, _box),
    Entry("I", "reading", "Incubator reading", _reading_asks, _reading),
    Entry("Ctrl+I", "incubator", "A new incubator", _incubator_asks, _incubator),
    Entry(
        "Ctrl+F2",
        "correct_incubator",
        "Correct this incubator",
        _correct_incubator_asks,
        _correct_incubator,
        "incubator",
    ),
    Entry("Y", "doubt", "Note a doubt", _doubt_asks, _doubt),
    Entry("Z", "settle", "Settle a doubt", _settle_asks, _settle, "doubt"),
    Entry("Shift+Z", "put_off", "Look at a doubt again later", _put_off_asks, _put_off, "doubt"),
    Entry("Ctrl+S", "share", "Share the story", share_asks, lambda *_: (), "clutch", share_story),
)
BY_NAME = {entry.name: entry for entry in ENTRIES}
