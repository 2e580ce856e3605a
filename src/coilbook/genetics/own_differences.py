"""Where the keeper's entry and the shipped one of today differ, and how a conflict between the two is settled."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coilbook.genetics.catalogue_text import NO_STATEMENT, OwnEntry, as_one_caution, shown_value
from coilbook.genetics.own_entries import table_text
from coilbook.records.message import Refusal, say

Raw = Mapping[str, Any]


#: the tables of which the keeper may say a part, the rest being as shipped
_LAID_OVER = ("gene", "complex", "pair")


@dataclass(frozen=True, slots=True)
class Difference:
    """One field of an entry: what the shipped catalogue says today ("" for nothing) and what the keeper says."""

    what: str
    shipped: str
    own: str


def differences(shipped: str, entry: OwnEntry) -> tuple[Difference, ...]:
    """What the keeper's entry says otherwise than the shipped one of the same key; none where nothing is shipped."""
    before = _shipped(shipped, entry)
    if before is None:
        return ()
    return tuple(
        Difference(what, shown_value(before.get(what, "")), shown_value(value))
        for what, value in _own(entry).items()
        if what not in NO_STATEMENT and before.get(what) != value
    )


def settled(shipped: str, entry: OwnEntry, what: str) -> OwnEntry:
    """The keeper's entry with what the shipped catalogue says today of `what` marked as seen: no conflict any more.

    Raises `Refusal` where the shipped catalogue or the entry says nothing of it.
    """
    before, fields = _shipped(shipped, entry), _own(entry)
    if before is None or what not in before or what not in fields:
        raise Refusal(say("There is nothing to settle here any more."))
    seen = {**fields.get("was", {}), what: before[what]}
    # an entry of several tables (cautions on two genes) has what was shipped beside each
    tables = tomllib.loads(entry.text)[_table(entry)]
    return OwnEntry(entry.key, "".join(table_text(_table(entry), {**raw, "was": seen}) for raw in tables))


def without(entry: OwnEntry, what: str) -> OwnEntry | None:
    """The keeper's entry with no word of its own on `what`; None where nothing else is left of it."""
    fields = {name: value for name, value in _own(entry).items() if name != what}
    seen = {name: value for name, value in fields.pop("was", {}).items() if name != what}
    table = _table(entry)
    if table not in _LAID_OVER or not set(fields) - set(NO_STATEMENT):
        return None
    # what the keeper emptied on purpose stays emptied
    return OwnEntry(entry.key, table_text(table, fields | ({"was": seen} if seen else {}), frozenset(fields)))


def says_of(entry: OwnEntry, what: str) -> bool:
    """Whether an entry says anything of a field."""
    return what in _own(entry)


def _table(entry: OwnEntry) -> str:
    return entry.key.partition(" ")[0]


def _own(entry: OwnEntry) -> dict[str, Any]:
    return dict(tomllib.loads(entry.text)[_table(entry)][0])


def _shipped(shipped: str, entry: OwnEntry) -> Raw | None:
    """The shipped table this entry stands over; of several cautions on the same genes what they say together."""
    tables: list[dict[str, Any]] = tomllib.loads(shipped).get(_table(entry), [])
    found = [raw for raw in tables if _name(raw) == _name(_own(entry))]
    if found and _table(entry) == "caution":
        return {**found[0], **as_one_caution(found)}
    return found[0] if found else None


def _name(raw: Raw) -> object:
    if "genes" in raw:
        return tuple(sorted(raw["genes"]))
    return str(raw.get("key") or raw.get("name", "")).casefold()
