"""The forms about a clutch on the screen of eggs, laid, looked at, taken out: what each asks and becomes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, look_at_box
from coilbook.operations.eggs import do_to_eggs
from coilbook.reads.egg_rows import Deed
from coilbook.reads.lookup import animal_called
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import EggDeed, Lid, Medium, Outcome
from coilbook.records.ids import AnimalId, IncubatorId
from coilbook.records.message import Refusal, say
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.wording.language import translated
from coilbook.wording.texts import words


@dataclass(frozen=True, slots=True)
class Entry:
    """One form: its key, what it is called, what it asks, and the acts it becomes, in order."""

    key: str
    name: str
    words: str
    asks: Callable[[Desk, AtHand], tuple[Ask, ...]]
    calls: Callable[[Desk, AtHand, Values], tuple[Call, ...]]
    #: what must be in focus: "", "box", "clutch", "egg", "incubator" or "doubt"
    needs: str = ""
    #: what is done in the place of acts: something is written out, the book stays as it is
    writes: Callable[[Desk, AtHand, Values], None] | None = None


#: chosen for a box that stands in no incubator: no row has this number
IN_NONE = 0


def options(kinds: Any, *members: Any) -> tuple[Option, ...]:
    """The members of a closed list as a strip of words."""
    return tuple(Option(words(member), member) for member in (members or tuple(kinds)))


def no_yes(unsaid: str = "") -> tuple[Option, ...]:
    """No or yes; before them, under the word `unsaid`, that nothing was said, which is neither."""
    answers = (Option(translated("no"), False), Option(translated("yes"), True))
    return (Option(unsaid, None), *answers) if unsaid else answers


def looked() -> tuple[Option, ...]:
    """Not looked at differs from looked, and it was not so."""
    return no_yes(translated("not looked"))


def incubator_asks(at: AtHand, **shown: Any) -> tuple[Ask, ...]:
    """Which incubator a new box goes to, or none; that of the box in focus by default. Not asked without any."""
    there = at.now.incubators
    if not there:
        return ()
    choices = (*(Option(one.name, one.id) for one in there), Option(translated("in none"), IN_NONE))
    return (Ask("incubator", translated("Incubator"), "choice", incubator_of(at, {}), options=choices, **shown),)


def incubator_of(at: AtHand, values: Values) -> IncubatorId | None:
    """The incubator chosen, else the one at hand; None for none, and without any."""
    chosen = values.get("incubator")
    if chosen == IN_NONE:
        return None
    if chosen is not None:
        return IncubatorId(chosen)
    return at.incubator.id if at.incubator is not None else None


# --- laying ------------------------------------------------------------------------------------------------
def laying_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("dam", translated("Dam"), hint="F-014"),
        Ask("eggs", translated("Eggs, a weight for each; ? doubtful, s slug"), hint="78 84 54? 36s", span=2),
        Ask("box", translated("Box"), hint=translated("a new one")),
        Ask("start", translated("Box total, with lid"), "mass", hint="1864"),
        Ask("after", translated("Dam after laying"), "mass", hint="1390"),
        Ask("sires", translated("Sires, empty for those on record with her"), hint="M-03 92, M-11 8, or ?"),
        Ask("laid", translated("Laid"), "date", hint=translated("today")),
        Ask("clump", translated("One weight of eggs that stick"), "mass"),
        Ask("dry", translated("Medium, dry"), "mass"),
        Ask("water", translated("Water at the start"), "mass"),
        Ask("medium", translated("Medium"), "choice", Medium.VERMICULITE, options=options(Medium), span=2),
        Ask("up_mark", translated("Tops marked"), "choice", None,
            options=no_yes(translated("not said"))),
        Ask("stays", translated("The eggs go"), "choice", False,
            options=(Option(translated("into a box"), False), Option(translated("stay with her"), True))),
        *incubator_asks(at, only_with="stays", only_for=frozenset({False})),
    )  # fmt: skip


def laying_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    eggs = read_egg_line(values["eggs"], desk.settings.mass_unit)
    dam = animal_of(desk, values["dam"]) if values["dam"].strip() else None
    laying = Laying(dam=dam, eggs=eggs, laid=values["laid"], sires=_said_sires(desk, values["sires"]),
                    clump=values["clump"], dam_after=values["after"], up_mark=values["up_mark"])  # fmt: skip
    if values["stays"]:
        return (Call(lay_clutch, {"laying": replace(laying, maternal=True)}),)
    typed = values["box"].strip()
    there = next((box for box in at.now.boxes if box.label.casefold() == typed.casefold()), None)
    if there is not None:
        laying = replace(laying, box=there.id)
    else:
        place = incubator_of(at, values)
        details = BoxDetails(label=typed or None, incubator=place, start=values["start"], dry=values["dry"],
                             water=values["water"], medium=values["medium"], lid=Lid.WITH)  # fmt: skip
        laying = replace(laying, box=details)
    return (Call(lay_clutch, {"laying": laying}),)


def animal_of(desk: Desk, typed: str) -> AnimalId:
    """The animal of a typed id; a refusal when there is none."""
    found = animal_called(desk.collection, typed)
    if found is None:
        raise Refusal(say("No animal {id}.", id=typed.strip()))
    return found


def _said_sires(desk: Desk, typed: str) -> dict[AnimalId, int] | None:
    """As typed; "?" is not known, nothing is whoever was with her."""
    plain = typed.strip()
    if plain == "?":
        return {}
    return sires_of(desk, plain) if plain else None


def sires_of(desk: Desk, typed: str) -> dict[AnimalId, int]:
    """ "M-03 92, M-11 8" as percent by animal; one alone is certain."""
    found: dict[AnimalId, int] = {}
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    for part in parts:
        said = re.fullmatch(r"(.+?)\s+(\d{1,3})\s*%?", part)
        name, percent = (said[1], int(said[2])) if said else (part, 100 // len(parts))
        found[animal_of(desk, name)] = percent
    return found


# --- looks -------------------------------------------------------------------------------------------------
def look_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    lid = at.box.lid if at.box is not None else Lid.WITH
    return (
        Ask("total", translated("Total weight"), "mass", hint="1768"),
        Ask("lid", translated("Weighed"), "choice", lid, options=options(Lid)),
        Ask("eggs", translated("Same eggs, weighed apart"), "mass", hint=translated("when they do not stick")),
        Ask("drops", translated("Drops under the lid"), "choice", None, options=looked()),
        Ask("smell", translated("Off smell"), "choice", None, options=looked()),
        when(),
        Ask("note", translated("Note"), span=3),
        *_came_of_asks(at),
    )


def _unanswered(at: AtHand) -> tuple[Deed, ...]:
    """What was done to the box and not yet said to have helped."""
    deeds = at.box.deeds if at.box is not None else ()
    return tuple(deed for deed in deeds if deed.egg is None and deed.came_of_it is Outcome.UNSAID)


def _came_of_asks(at: AtHand) -> tuple[Ask, ...]:
    deeds = _unanswered(at)
    if not deeds:
        return ()
    head = translated("After: {what}").format(what=", ".join(words(deed.what) for deed in deeds))
    strip = options(Outcome, Outcome.BETTER, Outcome.SAME, Outcome.WORSE)
    return (Ask("came", head, "choice", None, options=strip, span=3),)


def look_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.box is not None
    # the lid is said only where it differs, so that a total far off is still asked about
    lid = values["lid"] if values["lid"] is not at.box.lid else None
    seen = BoxSeen(total=values["total"], lid=lid, eggs=values["eggs"], drops_under_lid=values["drops"],
                   smell=values["smell"], note=values["note"])  # fmt: skip
    came = values.get("came")
    came_of = {deed.id: came for deed in _unanswered(at)} if came is not None else None
    return (Call(look_at_box, {"box": at.box.id, "seen": seen, "came_of": came_of, "at": values["at"]}),)


# --- what was done -----------------------------------------------------------------------------------------
def remove_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    return (
        Ask("away", translated("Its weight now"), "mass", hint=translated("or the box's loss is not known")),
        Ask("why", translated("Why"), hint=translated("dark, no veins")),
        when(),
    )


def remove_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    return (Call(do_to_eggs, {"eggs": [at.egg.id], "what": EggDeed.REMOVED, **values}),)
