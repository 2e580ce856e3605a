"""The forms of hatching on the screen of eggs: a whole clutch in one line, or one step of one egg with its time."""

from __future__ import annotations

import re

from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.records.egg_line import HatchedYoung, read_hatch_line
from coilbook.records.egg_vocabulary import HatchEvent, Navel
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Sex, SexBasis
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.entries import no_yes, options
from coilbook.wording.language import translated

#: how sure a sex popped at hatching is, unless the keeper says otherwise (common practice: not certain)
POPPED_PERCENT = 90
#: words for a navel as they are typed
_NAVELS = {"closed": Navel.CLOSED, "open": Navel.OPEN, "yolk": Navel.YOLK}


def seen_happening() -> Ask:
    """Whether the time is exact, or only known to lie between two looks."""
    choices = (Option(translated("found so at this look"), False), Option(translated("yes"), True))
    return Ask("exact", translated("Seen happening"), "choice", False, options=choices)


def hatch_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    numbers = ", ".join(str(egg.number) for egg in at.waiting)
    head = translated("Weights of those out, for eggs {eggs}; - not yet, x dead").format(eggs=numbers)
    return (
        Ask("line", head, hint="61 58m 63f", span=2),
        when(),
        Ask("looks", translated("Looks so far, by egg"), hint="1 Clown; 3 Pastel?", span=2),
        seen_happening(),
        Ask("navel", translated("Navels of the rest"), "choice", Navel.UNSAID,
            options=options(Navel, Navel.UNSAID, Navel.CLOSED)),
        Ask("navels", translated("Navels, by egg"), hint=translated("3 open; 5 yolk")),
        Ask("assisted", translated("Helped out, by egg"), hint="3 5"),
        Ask("defects", translated("What is not right, by egg"), hint=translated("4 kinked tail"), span=3),
    )  # fmt: skip


def hatch_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    young = read_hatch_line(values["line"], [egg.number for egg in at.waiting], desk.settings.mass_unit)
    out = [one for one in young if not one.dead]
    calls = []
    dead = [OfEgg(egg.id) for one in young if one.dead and (egg := at.numbered(one.number)) is not None]
    if dead:
        calls.append(Call(hatch_eggs, {"eggs": dead, "event": HatchEvent.DEAD_IN_SHELL, "at": values["at"]}))
    said = _Said([f"{one.number}{one.twin}" for one in out], values)
    made = [_new(at, one, said) for one in out]
    if made:
        calls.append(Call(make_hatchlings, {"young": made, "at": values["at"], "exact": values["exact"]}))
    return tuple(calls)


class _Said:
    """What the form said of each young one, by the name of its egg ("4", "4a"); a word for an egg is for both twins."""

    def __init__(self, names: list[str], values: Values) -> None:
        self.looks = _by_egg(values["looks"], names)
        self.navels = {name: _navel(text) for name, text in _by_egg(values["navels"], names).items()}
        self.defects = _by_egg(values["defects"], names)
        helped = ";".join(f"{word} x" for word in re.split(r"[\s,;]+", values["assisted"].strip()) if word)
        self.assisted = _by_egg(helped, names)
        self.navel: Navel = values["navel"]


def _new(at: AtHand, one: HatchedYoung, said: _Said) -> NewHatchling:
    egg = at.numbered(one.number)
    assert egg is not None
    sexed, name = one.sex is not Sex.UNSEXED, f"{one.number}{one.twin}"
    return NewHatchling(
        egg=egg.id,
        twin=one.twin,
        mass=one.mass,
        sex=one.sex,
        sex_percent=POPPED_PERCENT if sexed else 100,
        sex_basis=SexBasis.POPPED if sexed else SexBasis.UNKNOWN,
        genetics=said.looks.get(name, ""),
        navel=said.navels.get(name, said.navel),
        defects=said.defects.get(name, ""),
        assisted=name in said.assisted,
    )


def _by_egg(typed: str, names: list[str]) -> dict[str, str]:
    """ "4 kinked tail; 3a small" by the names of the eggs that are out."""
    found: dict[str, str] = {}
    for part in (part.strip() for part in typed.split(";") if part.strip()):
        said = re.fullmatch(r"(\d{1,2})([ab]?)[:\s]\s*(.+)", part, re.IGNORECASE)
        meant = [name for name in names if said and name in (said[1] + said[2].lower(), *(
            (f"{said[1]}a", f"{said[1]}b") if not said[2] else ()))]  # fmt: skip
        if said is None or not meant:
            raise Refusal(say("'{text}' does not begin with the number of an egg that is out.", text=part))
        found |= dict.fromkeys(meant, said[3].strip())
    return found


def _navel(text: str) -> Navel:
    words = {translated(word): navel for word, navel in _NAVELS.items()} | _NAVELS
    found = next((navel for word, navel in words.items() if word.startswith(text.casefold())), None)
    if found is None:
        raise Refusal(say("'{text}' is no navel: type closed, open or yolk.", text=text))
    return found


# --- one step of one egg ----------------------------------------------------------------------------------
def step_asks(desk: Desk, at: AtHand) -> tuple[Ask, ...]:
    twins = (
        Option(translated("the only one"), ""),
        Option(translated("twin a"), "a"),
        Option(translated("twin b"), "b"),
    )
    return (
        Ask("event", translated("What happened"), "choice", HatchEvent.PIP, options=options(HatchEvent), span=3),
        when(),
        seen_happening(),
        Ask("assisted", translated("Helped"), "choice", False, options=no_yes()),
        Ask("twin", translated("Of the egg"), "choice", "", options=twins),
        Ask("note", translated("Note"), span=2),
    )


def step_calls(desk: Desk, at: AtHand, values: Values) -> tuple[Call, ...]:
    assert at.egg is not None
    return (Call(hatch_eggs, {"eggs": [OfEgg(at.egg.id, values.pop("twin"))], **values}),)
