"""An act whose consequences are worth a picture; for the tour of the screens."""

from __future__ import annotations

from typing import Any

from coilbook.operations.finding_typed import enter_typed
from coilbook.reads.animal_examples import dam_of_doubtful_sold
from coilbook.reads.genetics_changed import begin_to_compare, changed_by
from coilbook.records.changes import Outcome
from coilbook.ui.desk import Desk


def tested_dam(desk: Desk) -> dict[str, object]:
    """Enter a test of a dam, several of whose young were sold in doubt: the act, and whom it moved.

    Nothing for a collection without such a dam. Whoever asks for it takes the act back.
    """
    found = dam_of_doubtful_sold(desk.collection)
    if found is None:
        return {}
    dam, gene = found
    shown: dict[str, object] = {}

    def tested(outcome: Outcome[Any]) -> None:
        act = outcome.changes.act
        if act is not None:
            shown.update(act=act, moved=changed_by(desk.collection, act, besides=frozenset({dam})))

    begin_to_compare(desk.collection)
    desk.run(enter_typed, tested, animal=dam, text=f"test {gene} 1")
    return shown
