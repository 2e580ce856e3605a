"""Codes of two collections are not each other's, and no code is issued twice in one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from coilbook.labels.code import nth_body
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.codes import STARTS, issue_codes
from coilbook.operations.places import add_rack
from coilbook.reads.codes import Standing, code_of, meaning_of
from coilbook.records.vocabulary import Act, CodeKind
from coilbook.storage.collection import Collection
from coilbook.storage.tables import SavedView
from tests.operations.conftest import Clock, Room


def test_the_card_of_another_keepers_animal_is_unknown_here(room: Room, tmp_path: Path) -> None:
    """It opened whichever of one's own animals had the same number."""
    other_clock = Clock()
    other_clock.now += dt.timedelta(seconds=1)
    with Collection.create(tmp_path / "theirs", other_clock) as theirs:
        add_rack(theirs, name="R2", rows=("A",), columns=3)
        animal = add_animal(theirs, details=AnimalDetails(keeper_id="F-014")).value
        card = code_of(theirs, CodeKind.ANIMAL, animal)
    assert card is not None
    assert meaning_of(room.book, card).standing is Standing.UNKNOWN


def test_a_code_another_kind_came_upon_is_passed_over(room: Room) -> None:
    counted = room.book.read("SELECT last FROM code_counter WHERE kind = 'A'")[0][0]
    assert counted <= STARTS + 100
    following = [body for n in range(counted + 1, counted + 900) if (body := nth_body(CodeKind.ANIMAL, n))]
    for wanted in (3, 300):
        with room.book.act(Act.SAVE_VIEW) as act:
            act.insert(SavedView, name=f"for an act that changes something {wanted}")
            last = act.rows("SELECT last FROM code_counter WHERE kind = 'A'")[0][0]
            next_body = next(body for n in range(last + 1, last + 50) if (body := nth_body(CodeKind.ANIMAL, n)))
            act.run("INSERT INTO code (body, kind, target, issued_at) VALUES (?, 'E', 1, '')", (next_body,))
            bodies = issue_codes(act, CodeKind.ANIMAL, range(1, wanted + 1))
            assert next_body not in bodies and len(set(bodies)) == wanted
            assert set(bodies) <= set(following)
