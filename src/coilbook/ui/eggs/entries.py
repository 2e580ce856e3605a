"""The forms of the screen of eggs: for each what it asks, and the act it becomes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from coilbook.husbandry.incubator import typed_temperature
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.doubts import DoubtDetails, ask_doubt, settle_doubt
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, do_to_box, look_at_box, set_up_box
from coilbook.operations.eggs import do_to_eggs
from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.operations.incubators import IncubatorDetails, add_incubator, read_incubator
from coilbook.reads.lookup import animal_with_id
from coilbook.records.egg_line import HatchedYoung, read_egg_line, read_hatch_line
from coilbook.records.egg_vocabulary import DoubtKind, EggDeed, HatchEvent, Lid, Medium
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Sex, SexBasis
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.eggs.at import AtHand
from coilbook.wording.language import translated
from coilbook.wording.texts import words

Values = dict[str, Any]
#: how sure a sex popped at hatching is, unless the keeper says otherwise (common practice: not certain)
POPPED_PERCENT = 90


@dataclass(frozen=True, slots=True)
class Call:
    """An act ready to run."""

    operation: Operation
    arguments: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """One form: its key, what it is called, what it asks, and the acts it becomes, in order."""

    key: str
    name: str
    words: str
    asks: Callable[[Desk, AtHand], tuple[Ask, ...]]
    calls: Callable[[Desk, AtHand, Values], tuple[Call, ...]]
    #: what must be in focus: "", "box", "clutch" or "egg"
    needs: str = ""


def _when() -> Ask:
    return Ask("at", translated("When"), "moment", hint=translated("now"))


def _options(kinds: Any, *members: Any) -> tuple[Option, ...]:
    return tuple(Option(words(member), member) for member in (members or tuple(kinds)))


# --- laying ------------------------------------------------------------------------------------------------
def _laying_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("dam", translated("Dam"), hint="F-014"),
        Ask("eggs", translated("Eggs, a weight for each"), hint="78 84 54? 36s", span=2),
        Ask("box", translated("Box"), hint=translated("a new one")),
        Ask("start", translated("Box total, with lid"), "mass", hint="1864"),
        Ask("after", translated("Dam after laying"), "mass", hint="1390"),
        Ask("sires", translated("Sires"), hint="M-03 92, M-11 8"),
        Ask("laid", translated("Laid"), "date", hint=translated("today")),
        Ask("clump", translated("One weight of eggs that stick"), "mass"),
        Ask("dry", translated("Medium, dry"), "mass"),
        Ask("water", translated("Water at the start"), "mass"),
        Ask("medium", translated("Medium"), "choice", Medium.VERMICULITE, options=_options(Medium)),
    )


def _laying(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    eggs = read_egg_line(values["eggs"], desk.settings.mass_unit)
    dam = _animal(desk, values["dam"]) if values["dam"].strip() else None
    laying = Laying(dam=dam, eggs=eggs, laid=values["laid"], sires=_sires(desk, values["sires"]),
                    clump=values["clump"], dam_after=values["after"])  # fmt: skip
    typed = values["box"].strip()
    there = next((box for box in at.now.boxes if box.label.casefold() == typed.casefold()), None)
    if there is not None:
        laying = replace(laying, box=there.id)
    else:
        first = at.now.incubators[0].id if at.now.incubators else None
        details = BoxDetails(label=typed or None, incubator=first, start=values["start"], dry=values["dry"],
                             water=values["water"], medium=values["medium"], lid=Lid.WITH)  # fmt: skip
        laying = replace(laying, box=details)
    return (Call(lay_clutch, {"laying": laying}),)


def _animal(desk: Desk, typed: str) -> AnimalId:
    found = animal_with_id(desk.collection, typed)
    if found is None:
        raise Refusal(say("No animal {id}.", id=typed.strip()))
    return found


def _sires(desk: Desk, typed: str) -> dict[AnimalId, int]:
    """ "M-03 92, M-11 8" as percent by animal; one alone is certain."""
    found: dict[AnimalId, int] = {}
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    for part in parts:
        said = re.fullmatch(r"(.+?)\s+(\d{1,3})\s*%?", part)
        name, percent = (said[1], int(said[2])) if said else (part, 100 // len(parts))
        found[_animal(desk, name)] = percent
    return found


# --- looks -------------------------------------------------------------------------------------------------
def _look_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    lid = at.box.lid if at.box is not None else Lid.WITH
    no_yes = (Option(translated("not looked"), None), Option(translated("no"), False), Option(translated("yes"), True))
    return (
        Ask("total", translated("Total weight"), "mass", hint="1768"),
        Ask("lid", translated("Weighed"), "choice", lid, options=_options(Lid)),
        Ask("eggs", translated("Same eggs, weighed apart"), "mass", hint=translated("when they do not stick")),
        Ask("drops", translated("Drops under the lid"), "choice", None, options=no_yes),
        Ask("smell", translated("Off smell"), "choice", None, options=no_yes),
        _when(),
        Ask("note", translated("Note"), span=3),
    )


def _look(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.box is not None
    # the lid is said only where it differs, so that a total far off is still asked about
    lid = values["lid"] if values["lid"] is not at.box.lid else None
    seen = BoxSeen(total=values["total"], lid=lid, eggs=values["eggs"], drops_under_lid=values["drops"],
                   smell=values["smell"], note=values["note"])  # fmt: skip
    return (Call(look_at_box, {"box": at.box.id, "seen": seen, "at": values["at"]}),)


# --- what was done -----------------------------------------------------------------------------------------
_TO_EGGS = (
    EggDeed.WIPED, EggDeed.TREATED, EggDeed.SEPARATED, EggDeed.CUT_AFTER_PIP, EggDeed.CUT_BEFORE_PIP, EggDeed.OTHER,
)  # fmt: skip
_TO_BOX = (EggDeed.VENTED, EggDeed.DAMP_COVER, EggDeed.COVER_OFF, EggDeed.OTHER)


def _done_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    deeds = _TO_EGGS if at.egg is not None else _TO_BOX
    return (
        Ask("what", translated("What"), "choice", deeds[0], options=_options(EggDeed, *deeds), span=3),
        Ask("how", translated("How, in your words"), hint=translated("dry swab")),
        Ask("why", translated("Why"), hint=translated("mould")),
        _when(),
    )


def _done(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    said = {name: values[name] for name in ("what", "how", "why", "at")}
    if at.egg is not None:
        return (Call(do_to_eggs, {"eggs": [at.egg.id], **said}),)
    assert at.box is not None
    return (Call(do_to_box, {"box": at.box.id, **said}),)


def _remove_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("away", translated("Its weight now"), "mass", hint=translated("or the box's loss is not known")),
        Ask("why", translated("Why"), hint=translated("dark, no veins")),
        _when(),
    )


def _remove(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    return (Call(do_to_eggs, {"eggs": [at.egg.id], "what": EggDeed.REMOVED, **values}),)


# --- hatching ----------------------------------------------------------------------------------------------
def _hatch_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    numbers = ", ".join(str(egg.number) for egg in at.waiting)
    head = translated("Weights of those out, for eggs {eggs}").format(eggs=numbers)
    return (
        Ask("line", head, hint="61 58m 63f", span=2),
        _when(),
        Ask("looks", translated("Looks so far, by egg"), hint="1 Clown; 3 Pastel?", span=2),
        Ask("exact", translated("Seen happening"), "choice", False,
            options=(Option(translated("found so at this look"), False), Option(translated("yes"), True))),
    )  # fmt: skip


def _hatch(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    young = read_hatch_line(values["line"], [egg.number for egg in at.waiting], desk.settings.mass_unit)
    looks = _looks(values["looks"], [one.number for one in young])
    calls = []
    dead = [OfEgg(egg.id) for one in young if one.dead and (egg := at.numbered(one.number)) is not None]
    if dead:
        calls.append(Call(hatch_eggs, {"eggs": dead, "event": HatchEvent.DEAD_IN_SHELL, "at": values["at"]}))
    made = [_new(at, one, looks) for one in young if not one.dead]
    if made:
        calls.append(Call(make_hatchlings, {"young": made, "at": values["at"], "exact": values["exact"]}))
    return tuple(calls)


def _new(at: AtHand, one: HatchedYoung, looks: dict[int, str]) -> NewHatchling:
    egg = at.numbered(one.number)
    assert egg is not None
    sexed = one.sex is not Sex.UNSEXED
    return NewHatchling(
        egg=egg.id,
        twin=one.twin,
        mass=one.mass,
        sex=one.sex,
        sex_percent=POPPED_PERCENT if sexed else 100,
        sex_basis=SexBasis.POPPED if sexed else SexBasis.UNKNOWN,
        genetics=looks.get(one.number, ""),
    )


def _looks(typed: str, numbers: list[int]) -> dict[int, str]:
    found: dict[int, str] = {}
    for part in (part.strip() for part in typed.split(";") if part.strip()):
        said = re.fullmatch(r"(\d{1,2})[ab]?[:\s]\s*(.+)", part)
        if said is None or int(said[1]) not in numbers:
            raise Refusal(say("'{text}' does not begin with the number of an egg that is out.", text=part))
        found[int(said[1])] = said[2].strip()
    return found


# --- boxes, incubators, doubts -----------------------------------------------------------------------------
def _box_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("label", translated("Name"), hint=translated("the next number")),
        Ask("dry", translated("Medium, dry"), "mass"),
        Ask("water", translated("Water at the start"), "mass"),
        Ask("medium", translated("Medium"), "choice", Medium.VERMICULITE, options=_options(Medium), span=3),
    )


def _box(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    first = at.now.incubators[0].id if at.now.incubators else None
    details = BoxDetails(label=values["label"].strip() or None, incubator=first, dry=values["dry"],
                         water=values["water"], medium=values["medium"])  # fmt: skip
    return (Call(set_up_box, {"details": details}),)


def _incubator_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("name", translated("Name"), hint=translated("Incubator 1"), required="An incubator needs a name."),
        Ask("set", translated("Set to"), hint="31.5"),
        Ask("shelves", translated("Shelves from the top"), hint=translated("top, middle, low")),
    )


def _incubator(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    typed = values["set"].strip()
    set_at = typed_temperature(typed, desk.settings.fahrenheit).temperature if typed else None
    shelves = tuple(name.strip() for name in values["shelves"].split(",") if name.strip()) or (translated("shelf"),)
    details = IncubatorDetails(name=values["name"], set_at=set_at, shelves=shelves)
    return (Call(add_incubator, {"details": details}),)


def _reading_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("typed", translated("Temperature now"), hint="31.5", required="Type the temperature."),
        Ask("least", translated("Least since the last reading")),
        Ask("most", translated("Most since the last reading")),
        _when(),
    )


def _reading(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    incubator = at.box.incubator if at.box is not None and at.box.incubator is not None else None
    if incubator is None:
        if not at.now.incubators:
            raise Refusal(say("Add an incubator first."))
        incubator = at.now.incubators[0].id
    shelf = at.box.shelf if at.box is not None else None
    return (Call(read_incubator, {"incubator": incubator, "shelf": shelf, **values}),)


def _doubt_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    kinds = (DoubtKind.FERTILE, DoubtKind.ALIVE, DoubtKind.SMELL, DoubtKind.SIRE, DoubtKind.GENE, DoubtKind.OTHER)
    start = DoubtKind.ALIVE if at.egg is not None else DoubtKind.SMELL
    return (
        Ask("kind", translated("What is not known"), "choice", start, options=_options(DoubtKind, *kinds), span=3),
        Ask("question", translated("In your words")),
        Ask("candidates", translated("What it could be")),
        Ask("settles_by", translated("What would settle it"), hint=translated("candling")),
        Ask("look_again", translated("Look again"), "later", hint=translated("in 3 days")),
    )


def _doubt(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    kind = values["kind"]
    egg = at.egg.id if at.egg is not None and kind not in (DoubtKind.SMELL, DoubtKind.SIRE) else None
    clutch = at.clutch.id if at.clutch is not None and kind is DoubtKind.SIRE else None
    box = at.box.id if at.box is not None and egg is None and clutch is None else None
    again = values["look_again"].first if values["look_again"] is not None else None
    said = {name: values[name] for name in ("kind", "question", "candidates", "settles_by")}
    details = DoubtDetails(egg=egg, clutch=clutch, box=box, look_again=again, **said)
    return (Call(ask_doubt, {"details": details}),)


def _settle_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    doubts = at.box.doubts if at.box is not None else ()
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


ENTRIES: tuple[Entry, ...] = (
    Entry("N", "lay", "Clutch laid", _laying_asks, _laying),
    Entry("L", "look", "Look at this box", _look_asks, _look, "box"),
    Entry("O", "done", "What was done", _done_asks, _done, "box"),
    Entry("R", "remove", "Egg taken out", _remove_asks, _remove, "egg"),
    Entry("H", "hatch", "Hatched", _hatch_asks, _hatch, "clutch"),
    Entry("B", "box", "A new box", _box_asks, _box),
    Entry("I", "reading", "Incubator reading", _reading_asks, _reading),
    Entry("Ctrl+I", "incubator", "A new incubator", _incubator_asks, _incubator),
    Entry("Y", "doubt", "Note a doubt", _doubt_asks, _doubt, "box"),
    Entry("Z", "settle", "Settle a doubt", _settle_asks, _settle, "box"),
)
BY_NAME = {entry.name: entry for entry in ENTRIES}
