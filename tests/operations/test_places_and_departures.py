"""Racks and slots, moves, quarantine, and animals that leave and come back."""

from __future__ import annotations

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.asks import Asks
from coilbook.operations.care import clean_place, record_shed, see_sign, write_note
from coilbook.operations.departures import DepartureDetails, die, lend, lose, return_animal, sell
from coilbook.operations.entries import edit_entry, remove_entry
from coilbook.operations.feeding import offer_feeding, record_regurgitation
from coilbook.operations.moving import move_animal, move_animals
from coilbook.operations.people import add_person, edit_person, erase_person
from coilbook.operations.places import (
    add_rack,
    add_room,
    add_slot,
    edit_place,
    remove_place,
    rename_rack,
    set_walking_order,
)
from coilbook.operations.printed import PrintedLabel, note_printed
from coilbook.operations.stays import enter_stay
from coilbook.operations.undo import undo_last
from coilbook.reads.animal_page import animal_page
from coilbook.reads.codes import Standing, code_of, meaning_of
from coilbook.reads.label_rows import cage_card_rows
from coilbook.reads.outlook_source import mates
from coilbook.reads.place_book import PLACES_SQL, PlaceBook
from coilbook.reads.places import all_places, place_labelled, racks
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, Money
from coilbook.records.stored_message import from_stored
from coilbook.records.vocabulary import CodeKind, FeedingResult, PersonRole, PlaceKind, ShedKind, Sign, Status
from coilbook.storage.animal_tables import PLACES_APART
from tests.operations.conftest import Room, content


def test_a_renamed_rack_keeps_its_codes_and_remembers_its_old_labels(room: Room) -> None:
    slot = room.slots["R2-A1"]
    code = code_of(room.book, CodeKind.SLOT, slot)
    assert code is not None
    rename_rack(room.book, rack=room.rack, name="R6")
    found = meaning_of(room.book, code)
    assert (found.name, found.former_label, found.standing) == ("R6-A1", "R2-A1", Standing.PRESENT)
    assert room.book.read_one("SELECT place_id FROM animal WHERE id = ?", (room.female,)) == (slot,)


def test_two_racks_cannot_have_one_name(room: Room) -> None:
    with pytest.raises(Refusal, match="already"):
        add_rack(room.book, name="r2")
    other = add_rack(room.book, name="R3").value
    with pytest.raises(Refusal, match="already"):
        rename_rack(room.book, rack=other, name="R2")


def test_animals_change_places_in_one_act(room: Room) -> None:
    a1, a2 = room.slots["R2-A1"], room.slots["R2-A2"]
    move_animals(room.book, moves={room.female: a2, room.male: a1})
    assert room.book.read("SELECT place_id FROM animal ORDER BY id") == [(a2,), (a1,)]


def test_leaving_quarantine_wants_a_reason(room: Room) -> None:
    edit_place(room.book, place=room.rack, quarantine=True)
    rack = add_rack(room.book, name="R7", rows="A", columns=1).value
    slot = place_labelled(room.book, "r7-a1")
    assert slot is not None and rack != slot
    with pytest.raises(Asks, match="quarantine"):
        move_animal(room.book, animal=room.female, place=slot)
    move_animal(room.book, animal=room.female, place=slot, from_quarantine=True, note="90 days, two clear tests")
    assert room.book.read_one("SELECT place_id FROM animal WHERE id = ?", (room.female,)) == (slot,)


def test_an_animal_lives_in_a_slot_not_in_a_rack(room: Room) -> None:
    with pytest.raises(Refusal, match="lives in a slot"):
        move_animal(room.book, animal=room.female, place=room.rack)


def test_the_walking_order_is_the_keepers(room: Room) -> None:
    other = add_rack(room.book, name="R3", rows="A", columns=1).value
    set_walking_order(room.book, places=[other, room.rack])
    racks = [p.label for p in all_places(room.book) if p.kind.value == "rack"]
    assert racks == ["R3", "R2"]


def test_a_place_in_use_stays_and_an_unused_one_goes(room: Room) -> None:
    with pytest.raises(Refusal, match="in use"):
        remove_place(room.book, place=room.slots["R2-A1"])
    remove_place(room.book, place=room.slots["R2-B3"])
    empty = add_room(room.book, name="Attic").value
    remove_place(room.book, place=empty)
    assert place_labelled(room.book, "Attic") is None


def test_a_whole_rack_is_cleaned_in_one_act_and_each_dweller_knows(room: Room) -> None:
    assert clean_place(room.book, place=room.rack).value == 6
    assert room.book.read("SELECT count(*), count(animal_id) FROM cleaning") == [(6, 2)]
    undo_last(room.book)
    assert room.book.read("SELECT count(*) FROM cleaning") == [(0,)]


def test_a_sold_animal_keeps_its_history_and_comes_back_as_itself(room: Room) -> None:
    buyer = add_person(room.book, name="Anselm", role=PersonRole.BUYER).value
    sell(room.book, animal=room.male, details=DepartureDetails(person=buyer, price=Money(40_000, "EUR")))
    code = code_of(room.book, CodeKind.ANIMAL, room.male)
    assert code is not None
    found = meaning_of(room.book, code)
    assert (found.standing, found.status) == (Standing.GONE, Status.SOLD)
    with pytest.raises(Refusal, match="was sold"):
        offer_feeding(room.book, animal=room.male)
    return_animal(room.book, animal=room.male)
    assert meaning_of(room.book, code).standing is Standing.PRESENT
    assert room.book.read("SELECT kind FROM departure ORDER BY id") == [("sold",), ("returned",)]


def test_every_turn_has_its_status_and_undo(room: Room) -> None:
    for turn, status in ((die, "dead"), (lend, "loan"), (lose, "lost")):
        before = content(room.book)
        turn(room.book, animal=room.female)
        assert room.book.read_one("SELECT status, place_id FROM animal WHERE id = ?", (room.female,)) == (status, None)
        undo_last(room.book)
        assert content(room.book) == before


def test_only_an_animal_that_is_away_returns(room: Room) -> None:
    with pytest.raises(Refusal, match="not away"):
        return_animal(room.book, animal=room.female)


def test_a_wheeze_names_the_veterinarian_and_a_second_poor_shed_the_humidity(room: Room) -> None:
    assert "veterinarian" in str(see_sign(room.book, animal=room.female, sign=Sign.WHEEZE).warnings[0])
    assert not see_sign(room.book, animal=room.female, sign=Sign.GLOW).warnings
    assert not record_shed(room.book, animal=room.female, kind=ShedKind.INCOMPLETE).warnings
    assert "humidity" in str(record_shed(room.book, animal=room.female, kind=ShedKind.EYECAPS).warnings[0])


def test_a_note_belongs_to_one_thing_and_needs_words(room: Room) -> None:
    write_note(room.book, place=room.rack, text="thermostat swapped")
    with pytest.raises(Refusal):
        write_note(room.book, text="nobody's")
    with pytest.raises(Refusal):
        write_note(room.book, animal=room.female, text="  ")


def test_an_entry_is_corrected_and_the_journal_keeps_what_stood_before(room: Room) -> None:
    row = room.book.read_one("SELECT id FROM weight")
    assert row is not None
    edit_entry(room.book, table="weight", row=row[0], values={"mass_dg": Mass(21_500)})
    assert room.book.read("SELECT mass_dg FROM weight") == [(21_500,)]
    kept = room.book.read("SELECT json_extract(before, '$.mass_dg') FROM change WHERE tbl = 'weight' AND op = 'U'")
    assert kept == [(21_400,)]
    with pytest.raises(Refusal, match="cannot be changed"):
        edit_entry(room.book, table="weight", row=row[0], values={"animal_id": 2})
    with pytest.raises(Refusal, match="not corrected here"):
        edit_entry(room.book, table="person", row=1, values={"name": "x"})


def test_a_meal_that_came_back_holds_its_offer(room: Room) -> None:
    feeding = offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN).value
    record_regurgitation(room.book, animal=room.female)
    with pytest.raises(Refusal, match="came back"):
        remove_entry(room.book, table="feeding", row=feeding)


def test_an_erased_person_is_gone_from_the_journal_too_and_no_undo_brings_them_back(room: Room) -> None:
    buyer = add_person(room.book, name="Anselm Ort", role=PersonRole.BUYER, contact="anselm@ort.example").value
    sell(room.book, animal=room.male, details=DepartureDetails(person=buyer))
    erase_person(room.book, person=buyer)
    dump = "\n".join(room.book._writer.connection().iterdump())
    assert "Anselm" not in dump and "ort.example" not in dump
    undo_last(room.book)
    assert room.book.read_one("SELECT name FROM person WHERE id = ?", (buyer,)) == ("erased",)


def test_an_added_animal_with_later_acts_is_named_before_it_is_taken_back(room: Room) -> None:
    made = add_animal(room.book, details=AnimalDetails(keeper_id="X-99"), weight=Mass(1000))
    write_note(room.book, animal=made.value, text="thin")
    from coilbook.operations.undo import RestsOn, undo_act

    assert made.changes.act is not None
    with pytest.raises(RestsOn) as resting:
        undo_act(room.book, act=made.changes.act)
    assert len(resting.value.acts) == 1
    assert "note" in str(resting.value.told[0])
    undo_act(room.book, act=made.changes.act, together=True)
    assert room.book.read("SELECT count(*) FROM note") == [(0,)]


def test_animals_that_change_places_remember_where_they_came_from(room: Room) -> None:
    one, two = room.slots["R2-A1"], room.slots["R2-A2"]
    move_animals(room.book, moves={room.female: two, room.male: one})
    moves = room.book.read("SELECT animal_id, from_place_id, to_place_id FROM move ORDER BY id DESC LIMIT 2")
    assert moves == [(room.male, two, one), (room.female, one, two)]


def test_a_slot_with_a_printed_label_stays(room: Room) -> None:
    slot = room.slots["R2-B3"]
    note_printed(room.book, labels=[PrintedLabel("S", place=slot)], stock="57 x 32")
    with pytest.raises(Refusal, match="R2-B3 is in use"):
        remove_place(room.book, place=slot)


def test_a_new_name_of_a_rack_is_kept_to_the_form_of_names(room: Room) -> None:
    rename_rack(room.book, rack=room.rack, name="  R-9 ")
    assert place_labelled(room.book, "R-9") == room.rack
    assert place_labelled(room.book, "R-9-A1") == room.slots["R2-A1"]
    with pytest.raises(Refusal, match="longer than"):
        rename_rack(room.book, rack=room.rack, name="R-" + "9" * 30)


def test_a_return_to_a_room_with_a_namesake_says_so(room: Room) -> None:
    sell(room.book, animal=room.male)
    add_animal(room.book, details=AnimalDetails(keeper_id="m-03"))
    assert "another animal M-03" in str(return_animal(room.book, animal=room.male).warnings[0])


def test_an_erased_name_is_gone_under_every_name_there_was_and_other_words_stay(room: Room) -> None:
    helper = add_person(room.book, name="Teo", role=PersonRole.HELPER).value
    edit_person(room.book, person=helper, name="Al")
    add_person(room.book, name="Alwin")
    add_animal(room.book, details=AnimalDetails(keeper_id="Al-7"))
    erase_person(room.book, person=helper)
    told = [str(from_stored(detail)) for (detail,) in room.book.read("SELECT detail FROM act ORDER BY id DESC LIMIT 5")]
    assert told == ["a person was erased", "Al-7 added", "Alwin added", "erased changed", "erased added"]


def test_erasing_says_how_many_entries_hold_the_name_in_the_keepers_own_words(room: Room) -> None:
    buyer = add_person(room.book, name="Al", role=PersonRole.BUYER).value
    sell(room.book, animal=room.male, details=DepartureDetails(person=buyer, reason="promised to Al", note="Al paid"))
    write_note(room.book, animal=room.female, text="Albino het, says al.")
    write_note(room.book, animal=room.female, text="also shy")
    with pytest.raises(Asks, match="in 2 entries as they are and 0 as they were"):
        erase_person(room.book, person=buyer)
    warnings = [str(w) for w in erase_person(room.book, person=buyer, words=False).warnings]
    assert [w[:20] for w in warnings] == ["Backups made before ", "2 entries still hold"]
    assert len(erase_person(room.book, person=add_person(room.book, name="Orm").value).warnings) == 1


def test_a_move_written_up_late_does_not_put_an_animal_back(room: Room) -> None:
    before = room.clock.now
    room.clock.pass_(days=10)
    move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])
    with pytest.raises(Refusal, match="moved again on 2026-04-08"):
        move_animal(room.book, animal=room.female, place=room.slots["R2-B2"], at=before)
    room.clock.pass_(hours=1)
    move_animal(room.book, animal=room.female, place=room.slots["R2-B2"], at=room.clock.now)
    assert room.book.read_one("SELECT place_id FROM animal WHERE id = ?", (room.female,)) == (room.slots["R2-B2"],)


def test_racks_alone_are_the_racks_among_all_places(room: Room) -> None:
    add_rack(room.book, name="Q1", rows=("A",), columns=2)
    every = all_places(room.book)
    assert racks(room.book) == [place for place in every if place.kind is PlaceKind.RACK]
    assert {place.kind for place in every} >= {PlaceKind.RACK, PlaceKind.SLOT}
    assert any(place.dwellers for place in every)


def test_a_rack_put_into_a_room_of_quarantine_is_of_quarantine(room: Room) -> None:
    apart = add_room(room.book, name="Apart", quarantine=True).value
    rack = add_rack(room.book, name="R9", rows=("A",), columns=2, room=apart).value
    add_slot(room.book, rack=rack, name="A3")
    assert room.book.read("SELECT label, quarantine FROM place WHERE label LIKE 'R9%' ORDER BY id") == [
        ("R9", 1), ("R9-A1", 1), ("R9-A2", 1), ("R9-A3", 1),
    ]  # fmt: skip


def test_all_say_alike_which_places_are_of_quarantine(room: Room) -> None:
    """A slot cleared by itself in a room of quarantine still lies in it: for moves, stays, cards, lists and pairing."""
    apart = add_room(room.book, name="Apart", quarantine=True).value
    add_rack(room.book, name="R9", rows=("A",), columns=1, room=apart)
    cleared = place_labelled(room.book, "r9-a1")
    assert cleared is not None
    move_animal(room.book, animal=room.male, place=cleared)
    edit_place(room.book, place=cleared, quarantine=False)
    assert room.book.read("SELECT quarantine FROM place WHERE id = ?", (cleared,)) == [(0,)]
    assert mates(room.book, [room.male])[room.male].quarantined
    herd = PlaceBook.from_rows(room.book.read(PLACES_SQL)).quarantined.tolist()
    assert herd == [i for (i,) in room.book.read(f"SELECT id FROM place WHERE id IN {PLACES_APART} ORDER BY id")]
    assert cleared in herd and room.rack not in herd
    (card,) = cage_card_rows(room.book, [room.male])
    assert "QUARANTINE" in str(card)
    page = animal_page(room.book, room.male)
    assert page.home.quarantine
    with pytest.raises(Asks, match="quarantine"):
        move_animal(room.book, animal=room.male, place=room.slots["R2-A2"])
    with pytest.raises(Asks) as asked:
        enter_stay(room.book, female=room.female, male=room.male)
    assert "is in quarantine" in str(asked.value.message)
