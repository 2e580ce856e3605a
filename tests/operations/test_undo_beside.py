"""Taking an act back when something was done since that no row of it shows: told, or held back."""

from __future__ import annotations

from typing import Any

import pytest

from coilbook.genetics.locus import Inheritance
from coilbook.genetics.own_entries import own_gene
from coilbook.operations.animals import AnimalDetails, add_animal, delete_animal, edit_animal, tag, untag
from coilbook.operations.departures import sell
from coilbook.operations.egg_boxes import BoxDetails, edit_box, set_up_box
from coilbook.operations.entries import edit_entry
from coilbook.operations.feeding import offer_feeding, record_regurgitation
from coilbook.operations.health import CourseDetails, begin_treatment, end_course
from coilbook.operations.moving import move_animal
from coilbook.operations.own_genes import keep_entry, kind_and_key, remove_own_gene
from coilbook.operations.undo import RestsOn, undo_act, undo_last
from coilbook.records.changes import Outcome
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FeedingResult
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, Room


def taken_back(book: Collection, outcome: Outcome[Any]) -> list[str]:
    """What is warned of when an act is taken back."""
    assert outcome.changes.act is not None
    return [w.text.format(**w.values) for w in undo_act(book, act=outcome.changes.act).warnings]


def test_an_id_given_anew_in_between_is_told(room: Room) -> None:
    """Two animals of one id stood in the room, and no word of it."""
    renamed = edit_animal(room.book, animal=room.female, details=AnimalDetails(keeper_id="F-015"))
    add_animal(room.book, details=AnimalDetails(keeper_id="f-014"))
    (told,) = taken_back(room.book, renamed)
    assert told.lower() == "there is another animal f-014 here; give one of them another id."
    other = add_animal(room.book, details=AnimalDetails(keeper_id="X-1")).value
    gone = delete_animal(room.book, animal=other)
    add_animal(room.book, details=AnimalDetails(keeper_id="X-1"))
    assert len(taken_back(room.book, gone)) == 1


def test_a_slot_lived_in_by_now_is_told(room: Room) -> None:
    sold = sell(room.book, animal=room.female)
    move_animal(room.book, animal=room.male, place=room.slots["R2-A1"])
    assert taken_back(room.book, sold) == ["R2-A1 now holds F-014, M-03 together."]


def test_an_undo_that_doubles_nothing_says_nothing(room: Room) -> None:
    assert taken_back(room.book, move_animal(room.book, animal=room.female, place=room.slots["R2-B1"])) == []
    assert taken_back(room.book, edit_animal(room.book, animal=room.female, details=AnimalDetails(name="Moss"))) == []


def test_that_a_meal_came_back_rests_on_its_having_been_taken(room: Room, clock: Clock) -> None:
    """The offer stood open again, with a meal that had come back of it."""
    offer_feeding(room.book, animal=room.female)
    clock.pass_(hours=1)
    closed = offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    clock.pass_(days=2)
    came_back = record_regurgitation(room.book, animal=room.female)
    assert closed.changes.act is not None
    with pytest.raises(RestsOn) as rests:
        undo_act(room.book, act=closed.changes.act)
    assert rests.value.acts == (came_back.changes.act,)
    undo_act(room.book, act=closed.changes.act, together=True)
    assert room.book.read("SELECT result, (SELECT count(*) FROM regurgitation) FROM feeding") == [("pending", 0)]


def test_a_meal_that_came_back_is_not_done_again_onto_one_refused(room: Room, clock: Clock) -> None:
    meal = offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN).value
    clock.pass_(days=2)
    record_regurgitation(room.book, animal=room.female)
    undone = undo_last(room.book)
    edit_entry(room.book, table="feeding", row=meal, values={"result": FeedingResult.REFUSED})
    assert undone.changes.act is not None
    with pytest.raises(Refusal, match="so it was taken"):
        undo_act(room.book, act=undone.changes.act)
    assert room.book.read("SELECT count(*) FROM regurgitation") == [(0,)]


def test_a_second_open_offer_is_told(room: Room, clock: Clock) -> None:
    offer_feeding(room.book, animal=room.female)
    clock.pass_(hours=1)
    closed = offer_feeding(room.book, animal=room.female, result=FeedingResult.REFUSED)
    clock.pass_(days=3)
    second = offer_feeding(room.book, animal=room.female)
    assert taken_back(room.book, closed) == ["F-014 has two offers open now."]
    offer_feeding(room.book, animal=room.female, result=FeedingResult.TAKEN)
    with pytest.raises(Refusal, match="has a meal left in already"):
        edit_entry(room.book, table="feeding", row=int(second.value), values={"result": FeedingResult.PENDING})


def test_an_act_that_is_none_yet_is_not_taken_back(room: Room) -> None:
    """The undo was given that very number and went round in circles."""
    newest = room.book.read("SELECT max(id) FROM act")[0][0]
    with pytest.raises(Refusal, match="not in the journal"):
        undo_act(room.book, act=ActId(newest + 1))


def test_a_course_is_not_ended_a_second_time_by_doing_it_again(room: Room, clock: Clock) -> None:
    details = CourseDetails(what_for="mites", done="as the vet wrote")
    course = begin_treatment(room.book, animal=room.female, details=details).value
    end_course(room.book, course=course, words="gone")
    undone = undo_last(room.book)
    clock.pass_(days=1)
    end_course(room.book, course=course, words="gone for good")
    assert undone.changes.act is not None
    with pytest.raises(Refusal, match="has ended on"):
        undo_act(room.book, act=undone.changes.act)
    assert room.book.read("SELECT words FROM course_step") == [("gone for good",)]


def test_two_boxes_of_one_label_are_told(room: Room) -> None:
    box = set_up_box(room.book, details=BoxDetails(label="B4")).value
    renamed = edit_box(room.book, box=box, details=BoxDetails(label="B5"))
    set_up_box(room.book, details=BoxDetails(label="b4"))
    assert [told.lower() for told in taken_back(room.book, renamed)] == ["two boxes in use are called b4 now."]


def test_what_was_made_anew_in_between_is_named(room: Room) -> None:
    """A gene of one's own could not be brought back and nothing said why; a tag stood there twice."""
    entry = own_gene("Ember", Inheritance.RECESSIVE)
    keep_entry(room.book, entry=entry)
    kind, key = kind_and_key(entry)
    removed = remove_own_gene(room.book, kind=kind, key=key)
    again = keep_entry(room.book, entry=entry)
    tag(room.book, animals=[room.female], word="hold")
    untagged = untag(room.book, animals=[room.female], word="hold")
    tagged = tag(room.book, animals=[room.female], word="hold")
    for undone, later in ((removed, again), (untagged, tagged)):
        assert undone.changes.act is not None
        with pytest.raises(RestsOn) as rests:
            undo_act(room.book, act=undone.changes.act)
        assert rests.value.acts == (later.changes.act,)
        undo_act(room.book, act=undone.changes.act, together=True)
    assert room.book.read("SELECT count(*) FROM own_gene UNION ALL SELECT count(*) FROM tag") == [(1,), (1,)]
