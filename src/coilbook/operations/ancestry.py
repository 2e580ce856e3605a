"""No animal descends from itself or is both parents of another: for a whole book at once, or for one animal."""

from __future__ import annotations

from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter

from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.storage.act import ActInHand


def refuse_sire_list(sires: Mapping[AnimalId, int]) -> None:
    """Refuse possible sires whose percents cannot be shares of one."""
    if any(percent < 1 for percent in sires.values()) or sum(sires.values()) > 100:
        raise Refusal(say("The sires' percentages are each over 0 and together at most 100."))


def refuse_rings(act: ActInHand) -> None:
    """Refuse the act when the parents, as they stand in it, make any animal its own ancestor; names that animal.

    Or when one animal stands as both parents of another.
    """
    refuse_one_parent(act)
    above: dict[int, set[int]] = {}
    for child, parent in act.rows(
        "SELECT id, dam_id FROM animal WHERE dam_id IS NOT NULL UNION ALL SELECT animal_id, sire_id FROM sire"
    ):
        above.setdefault(child, set()).add(parent)
    try:
        TopologicalSorter(above).prepare()
    except CycleError as error:
        ((keeper_id,),) = act.rows("SELECT keeper_id FROM animal WHERE id = ?", (error.args[1][0],))
        raise Refusal(
            say("{animal} would be its own ancestor; correct the parents there first.", animal=keeper_id)
        ) from error


def refuse_one_parent(act: ActInHand, animal: AnimalId | None = None) -> None:
    """Refuse the act when the dam of an animal (of any, where none is named) is among its possible sires too."""
    rows = act.rows(
        "SELECT a.keeper_id, p.keeper_id FROM sire s JOIN animal a ON a.id = s.animal_id AND a.dam_id = s.sire_id"
        " JOIN animal p ON p.id = s.sire_id WHERE ? IS NULL OR a.id = ? LIMIT 1",
        (animal, animal),
    )
    for young, parent in rows:
        raise Refusal(say("{parent} cannot be both dam and sire of {animal}.", parent=parent, animal=young))
