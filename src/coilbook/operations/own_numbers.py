"""A keeper's own numbers of a species, in the place of the shipped ones."""

from __future__ import annotations

from coilbook.derived.season_profile import number_row, source_now
from coilbook.husbandry.number_words import NUMBER_NAMES
from coilbook.husbandry.own_numbers import NumberKey, OwnNumber, check_number, number_of
from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.settings import write_setting
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Setting


def set_number(
    collection: Collection, *, key: NumberKey, value: float, species: str | None = None
) -> Outcome[NumberKey]:
    """Count with the keeper's own number from now on; what is shipped today is kept beside it.

    `value` in the unit of the profile. Setting the shipped value is refused only where it is out of bounds; it then
    stays whatever an update ships. Raises `Refusal` for a number no season can have.
    """
    with collection.act(Act.SET_NUMBER) as act:
        source = source_now(act.rows, species)
        shipped = shipped_profile(source.species)
        was, _ = number_of(shipped, key)
        check_number(shipped, {**source.numbers(), key: OwnNumber(value, was)}, key)
        write_setting(act, number_row(source.species, key), f"{value!r}|{was!r}")
        act.tell(say("{number}: your own number", number=NUMBER_NAMES[key]))
    return act.outcome(Act.SET_NUMBER, key)


def shipped_number(collection: Collection, *, key: NumberKey, species: str | None = None) -> Outcome[NumberKey]:
    """Count with the shipped number again."""
    with collection.act(Act.SET_NUMBER) as act:
        source = source_now(act.rows, species)
        row = _row(act, number_row(source.species, key))
        if row is None:
            raise Refusal(say("That is the shipped number already."))
        act.delete(Setting, row)
        act.tell(say("{number}: the shipped number again", number=NUMBER_NAMES[key]))
    return act.outcome(Act.SET_NUMBER, key)


def _row(act: ActInHand, name: str) -> int | None:
    rows = act.rows("SELECT id FROM setting WHERE name = ?", (name,))
    return int(rows[0][0]) if rows else None
