"""Hatching: pips and young seen out, exactly or between two looks, and the animals made from their eggs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.operations.animals import usable_keeper_id
from coilbook.operations.at_hand import happened
from coilbook.operations.clutches import write_parents
from coilbook.operations.codes import issue_codes
from coilbook.operations.doubts import open_doubt, write_answer
from coilbook.operations.eggs_at_hand import EggAtHand, eggs_at_hand, must_follow_laying, names_of, refuse_taken_out
from coilbook.operations.findings import FindingDetails, write_finding
from coilbook.operations.weighing import write_weight
from coilbook.records.changes import Outcome
from coilbook.records.egg_vocabulary import DoubtKind, HatchEvent, Navel
from coilbook.records.ids import AnimalId, EggId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Act, CodeKind, Origin, Precision, Sex, SexBasis
from coilbook.records.when import moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.egg_tables import Hatching, Hatchling
from coilbook.storage.tables import Animal


@dataclass(frozen=True, slots=True)
class OfEgg:
    """An egg, or one twin of it (`twin` a or b)."""

    egg: EggId
    twin: str = ""


def hatch_eggs(
    collection: Collection,
    *,
    eggs: Sequence[OfEgg],
    event: HatchEvent,
    at: dt.datetime | None = None,
    exact: bool = False,
    assisted: bool = False,
    note: str = "",
) -> Outcome[int]:
    """Eggs pipped, young out, or dead in the shell; all seen at one look share their place in the order.

    `exact`: it was seen happening. Otherwise it was seen at this look and not at the look before, whose moment is kept.
    """
    with collection.act(Act.HATCH_EGGS) as act:
        moment = happened(act, at)
        found = eggs_at_hand(act, [one.egg for one in eggs])
        by_id = {egg.id: egg for egg in found}
        for one in dict.fromkeys(eggs):
            write_step(act, by_id[one.egg], one.twin, event, moment, exact=exact, assisted=assisted, note=note)
        act.tell(say("{eggs}: {event}", eggs=names_of(found), event=event))
    return act.outcome(Act.HATCH_EGGS, len(eggs))


def write_step(
    act: ActInHand,
    egg: EggAtHand,
    twin: str,
    event: HatchEvent,
    moment: str,
    *,
    exact: bool = False,
    assisted: bool = False,
    note: str = "",
) -> int:
    """The row of one step of hatching, inside an act; refused when it is there or the egg is gone."""
    refuse_taken_out(egg)
    must_follow_laying(act, [egg], moment)
    sql = "SELECT event, at FROM hatching WHERE egg_id = ? AND twin IN (?, '')"
    there = {HatchEvent(e): str(seen) for e, seen in act.rows(sql, (egg.id, twin))}
    if event in there or (there.keys() & {HatchEvent.OUT, HatchEvent.DEAD_IN_SHELL}):
        raise Refusal(say("{egg} is entered so already; nothing was written.", egg=egg.name + twin))
    pipped = there.get(HatchEvent.PIP)
    if pipped is not None and moment < pipped:
        told = "{egg} pipped on {day}; it cannot be past that before. Correct this date, or undo the pip first."
        raise Refusal(say(told, egg=egg.name + twin, day=moment_from(pipped).date()))
    standing = open_doubt(act, DoubtKind.FERTILE, DoubtKind.ALIVE, egg=egg.id)
    if standing is not None:
        answer = "dead" if event is HatchEvent.DEAD_IN_SHELL else "alive"
        write_answer(act, standing, answer, str(event.value).replace("_", " "), moment[:10])
    not_yet = None if exact else _look_before(act, egg, moment)
    values = {"assisted": int(assisted), "note": note.strip(), "not_yet_at": not_yet}
    return act.insert(Hatching, egg_id=egg.id, twin=twin, event=event.value, at=moment, **values)


def _look_before(act: ActInHand, egg: EggAtHand, moment: str) -> str | None:
    """The last look before a moment at which the egg was seen and had not got so far."""
    rows = act.rows(
        "SELECT max(at) FROM (SELECT at FROM box_look WHERE box_id = ?1 UNION ALL SELECT at FROM egg_look WHERE"
        " egg_id = ?2 UNION ALL SELECT h.at FROM hatching h JOIN egg e ON e.id = h.egg_id WHERE e.box_id = ?1)"
        " WHERE at < ?3",
        (egg.box, egg.id, moment),
    )
    return None if rows[0][0] is None else str(rows[0][0])


@dataclass(frozen=True, slots=True, kw_only=True)
class NewHatchling:
    """A young one out of its egg: `genetics` and `findings` are what it looks like so far, with their doubt."""

    egg: EggId
    twin: str = ""
    mass: Mass | None = None
    sex: Sex = Sex.UNSEXED
    sex_percent: int = 100
    sex_basis: SexBasis = SexBasis.UNKNOWN
    genetics: str = ""
    findings: tuple[FindingDetails, ...] = ()
    navel: Navel = Navel.UNSAID
    defects: str = ""
    #: helped out of its shell; said of one that was not yet entered as out
    assisted: bool = False
    note: str = ""


def make_hatchlings(
    collection: Collection, *, young: Sequence[NewHatchling], at: dt.datetime | None = None, exact: bool = False
) -> Outcome[tuple[AnimalId, ...]]:
    """Animals from their eggs: named clutch-egg, with the clutch's parents, first weight, looks and codes, in one act.

    One not yet entered as out is, at this look. The codes are those of its cup label and of its later card.
    """
    if not young:
        raise Refusal(say("No hatchling was named."))
    with collection.act(Act.MAKE_HATCHLINGS) as act:
        moment = happened(act, at)
        eggs = {egg.id: egg for egg in eggs_at_hand(act, [one.egg for one in young])}
        made = []
        for one in young:
            egg = eggs[one.egg]
            _must_be_out(act, egg, one, moment, exact)
            made.append(_make(act, egg, one, moment))
        issue_codes(act, CodeKind.ANIMAL, made)
        issue_codes(act, CodeKind.HATCHLING, made)
        act.tell(say("{n} hatchling of {eggs}", "{n} hatchlings of {eggs}", n=len(made),
                     eggs=names_of(list(eggs.values()))))  # fmt: skip
    return act.outcome(Act.MAKE_HATCHLINGS, tuple(made))


def _must_be_out(act: ActInHand, egg: EggAtHand, one: NewHatchling, moment: str, exact: bool) -> None:
    twin = one.twin
    if act.rows("SELECT 1 FROM hatchling WHERE egg_id = ? AND twin = ?", (egg.id, twin)):
        raise Refusal(say("{egg} has its hatchling already.", egg=egg.name + twin))
    sql = "SELECT event FROM hatching WHERE egg_id = ? AND twin IN (?, '') AND event <> 'pip'"
    there = act.rows(sql, (egg.id, twin))
    if not there:
        write_step(act, egg, twin, HatchEvent.OUT, moment, exact=exact, assisted=one.assisted)
    elif there[0][0] == HatchEvent.DEAD_IN_SHELL:
        raise Refusal(say("{egg} is entered as dead in the shell. Undo that first if it is wrong.", egg=egg.name))


def _make(act: ActInHand, egg: EggAtHand, one: NewHatchling, moment: str) -> AnimalId:
    out = act.rows("SELECT max(at) FROM hatching WHERE egg_id = ? AND twin IN (?, '') AND event = 'out'",
                   (egg.id, one.twin))[0][0]  # fmt: skip
    species = act.rows("SELECT a.species FROM clutch c JOIN animal a ON a.id = c.dam_id WHERE c.id = ?", (egg.clutch,))
    values = {"species": species[0][0]} if species else {}
    animal = AnimalId(
        act.insert(
            Animal,
            keeper_id=usable_keeper_id(act, egg.name + one.twin, None),
            sex=one.sex.value,
            sex_percent=one.sex_percent,
            sex_basis=one.sex_basis.value,
            genetics=one.genetics.strip(),
            hatched=str(out)[:10],
            hatched_precision=Precision.DAY.value,
            origin=Origin.BRED_HERE.value,
            **values,
        )
    )
    write_parents(act, egg.clutch, [animal])
    if one.mass is not None:
        write_weight(act, animal, moment, one.mass)
    for finding in one.findings:
        write_finding(act, animal, finding, None)
    more = {"navel": one.navel.value, "defects": one.defects.strip(), "note": one.note.strip()}
    act.insert(Hatchling, animal_id=animal, egg_id=egg.id, twin=one.twin, **more)
    return animal
