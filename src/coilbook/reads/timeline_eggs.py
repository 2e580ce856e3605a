"""Eggs on an animal's timeline: what she laid, what he may have sired, which egg a young one came out of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coilbook.records.egg_vocabulary import Navel
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass

Row = Mapping[str, Any]
Told = tuple[str, tuple[Message, ...], tuple[Message, ...]]

_COUNTS = {
    "eggs": "(SELECT count(*) FROM egg x WHERE x.clutch_id = e.id)",
    "young": "(SELECT count(*) FROM hatchling h JOIN egg x ON x.id = h.egg_id WHERE x.clutch_id = e.id)",
}
#: table -> (stored columns, what is looked up beside them, joins, whose entries)
EGG_SOURCES: dict[str, tuple[str, Mapping[str, str], str, str]] = {
    "clutch": ("id label mass_dg note", {"at": "e.laid", **_COUNTS}, "", "e.dam_id = ?"),
    "clutch_sire": (
        "id percent",
        {"at": "c.laid", "label": "c.label", "dam": "d.keeper_id"},
        "JOIN clutch c ON c.id = e.clutch_id LEFT JOIN animal d ON d.id = c.dam_id",
        "e.sire_id = ?",
    ),
    "hatchling": (
        "id twin navel defects note",
        {
            "at": "(SELECT max(h.at) FROM hatching h WHERE h.egg_id = e.egg_id AND h.event = 'out')",
            "label": "c.label",
            "number": "x.number",
        },
        "JOIN egg x ON x.id = e.egg_id JOIN clutch c ON c.id = x.clutch_id",
        "e.animal_id = ?",
    ),
}


def _clutch(row: Row) -> Told:
    said = [say("laid {clutch}: {n} egg", "laid {clutch}: {n} eggs", clutch=row["label"], n=row["eggs"])]
    if row["mass_dg"] is not None:
        said.append(say("{mass} together", mass=Mass(row["mass_dg"])))
    if row["young"]:
        said.append(say("{n} hatched", None, n=row["young"]))
    note = (say("{text}", text=row["note"]),) if row["note"] else ()
    return "laid", (*said, *note), ()


def _sire(row: Row) -> Told:
    names = {"clutch": row["label"], "dam": row["dam"] or say("a dam not known")}
    if row["percent"] == 100:
        return "sired", (say("sire of {clutch} of {dam}", None, **names),), ()
    said = say("may be the sire of {clutch} of {dam}: {percent}%", None, percent=row["percent"], **names)
    return "sired", (said,), ()


def _hatchling(row: Row) -> Told:
    egg = f"{row['number']}{row['twin']}"
    said = [say("hatched from {clutch}, egg {egg}", clutch=row["label"], egg=egg)]
    if row["navel"] != Navel.UNSAID.value:
        said.append(say("{navel}", navel=Navel(row["navel"])))
    said += [say("{text}", text=text) for text in (row["defects"], row["note"]) if text]
    return "hatched", tuple(said), ()


EGG_TELL: dict[str, Callable[[Row], Told]] = {"clutch": _clutch, "clutch_sire": _sire, "hatchling": _hatchling}
