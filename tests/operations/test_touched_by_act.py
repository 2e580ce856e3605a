"""What an act touched is found by the act: a search by table would read the whole journal after every tap."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coilbook.derived.touched import animals_touched, interval_touched, tables_touched
from tests.operations.conftest import Room


def test_no_question_about_an_act_goes_through_the_journal_by_table(room: Room) -> None:
    plans: list[str] = []

    def read(sql: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
        plans.extend(str(step[3]) for step in room.book.read(f"EXPLAIN QUERY PLAN {sql}", values))
        return room.book.read(sql, values)

    everything = frozenset({"animal", "place", "feeding", "setting"})
    assert tables_touched(read, 0) and animals_touched(read, 0, everything)
    interval_touched(read, 0, everything)
    journal = [step for step in plans if "change_" in step or " c " in f"{step} "]
    assert len([step for step in journal if "change_act" in step]) >= 6
    assert not [step for step in plans if "change_tbl_row" in step]
