"""No animal descends from itself: looked at once for a whole book, where acts on one animal look at hers alone."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

from coilbook.records.message import Refusal, say
from coilbook.storage.act import ActInHand


def refuse_rings(act: ActInHand) -> None:
    """Refuse the act when the parents, as they stand in it, make any animal its own ancestor; names that animal."""
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
