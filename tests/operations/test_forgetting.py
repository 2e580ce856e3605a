"""Forgetting a person: gone from the words too, as they stand and as they stood, and from the bytes of the file."""

from __future__ import annotations

import pytest

from coilbook.operations.asks import Asks
from coilbook.operations.care import write_note
from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.entries import edit_entry
from coilbook.operations.people import add_person, edit_person, erase_person
from coilbook.operations.taking_out import remove_departure
from coilbook.operations.undo import undo_act
from coilbook.reads.herd import load
from coilbook.reads.herd_snapshot import keep
from coilbook.records.ids import ActId, PersonId
from coilbook.storage.check import check
from tests.operations.conftest import Room


def named_all_over(room: Room) -> tuple[PersonId, ActId]:
    """Somebody named in a note, in one corrected since, and in a sale taken out again; and the corrected note's act."""
    person = add_person(room.book, name="Zoë Quill", contact="zoe@quill.example").value
    edit_person(room.book, person=person, contact="quill@wren.example")
    write_note(room.book, animal=room.male, text="As ZOË QUILL said: shy.")
    note = write_note(room.book, animal=room.female, text="Brought by Zoë Quill in spring").value
    corrected = edit_entry(room.book, table="note", row=note, values={"text": "Brought in spring"})
    sold = sell(room.book, animal=room.female, details=DepartureDetails(person=person, note="to Zoë Quill, paid"))
    remove_departure(room.book, departure=sold.value)
    assert corrected.changes.act is not None
    return person, corrected.changes.act


def test_a_name_in_the_keepers_own_words_is_asked_about_first(room: Room) -> None:
    """What stood before a correction went on holding the name in the journal, with no way to be rid of it."""
    person, _ = named_all_over(room)
    with pytest.raises(Asks, match="in 1 entries as they are and 2 as they were"):
        erase_person(room.book, person=person)
    assert room.book.read("SELECT name FROM person WHERE id = ?", (person,)) == [("Zoë Quill",)]


def test_forgotten_in_the_words_too_nothing_is_left_of_the_name(room: Room) -> None:
    person, corrected = named_all_over(room)
    keep(room.book, load(room.book))
    assert len(erase_person(room.book, person=person, words=True).warnings) == 1
    assert room.book.read("SELECT text FROM note ORDER BY id") == [("As erased said: shy.",), ("Brought in spring",)]
    undo_act(room.book, act=corrected)
    assert room.book.read("SELECT text FROM note ORDER BY id DESC LIMIT 1") == [("Brought by erased in spring",)]
    assert check(room.book).clean
    room.book.close()
    for file in room.book.folder.rglob("*"):
        if file.is_file():
            content = file.read_bytes().lower()
            assert b"quill" not in content, file.name


def test_the_keepers_words_may_stay_as_they_are(room: Room) -> None:
    person, corrected = named_all_over(room)
    warnings = [str(w) for w in erase_person(room.book, person=person, words=False).warnings]
    assert warnings[1].startswith("1 entry still holds the name")
    undo_act(room.book, act=corrected)
    assert room.book.read("SELECT text FROM note ORDER BY id DESC LIMIT 1") == [("Brought by Zoë Quill in spring",)]
