"""Adding and correcting animals, parents, tags and what is refused."""

from __future__ import annotations

import datetime as dt
import io

import pytest
from PIL import Image

from coilbook.labels.code import LabelCode, parse
from coilbook.operations.animals import (
    AcquisitionDetails,
    AnimalDetails,
    Together,
    acquire,
    add_animal,
    add_claim,
    delete_animal,
    edit_animal,
    edit_animals,
    set_parents,
    tag,
    untag,
)
from coilbook.operations.asks import Asks
from coilbook.operations.departures import die
from coilbook.operations.people import add_person
from coilbook.operations.photos import add_photo
from coilbook.operations.printed import PrintedLabel, note_printed
from coilbook.operations.undo import RestsOn, last_act, undo_act, undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.codes import Standing, code_of, meaning_of
from coilbook.reads.lookup import animal_with_id
from coilbook.reads.named import animals_named
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, Money
from coilbook.records.vocabulary import CodeKind, MoveReason, PersonRole, Precision, Sex, Status
from coilbook.records.when import PartialDate
from tests.operations.conftest import Room, content


def test_an_animal_gets_a_code_that_opens_it(room: Room) -> None:
    code = code_of(room.book, CodeKind.ANIMAL, room.female)
    assert code is not None
    found = meaning_of(room.book, parse(code.text))
    assert (found.standing, found.animal, found.name) == (Standing.PRESENT, room.female, "F-014")


def test_the_keeper_id_stays_as_typed_when_the_sex_call_changes(room: Room) -> None:
    edit_animal(room.book, animal=room.female, details=AnimalDetails(sex=Sex.MALE, sex_percent=80))
    assert room.book.read_one("SELECT keeper_id, sex, sex_percent FROM animal WHERE id = ?", (room.female,)) == (
        "F-014",
        "male",
        80,
    )


@pytest.mark.parametrize("keeper_id", ["", "   ", "f-014", "F" * 61])
def test_an_unusable_id_is_refused_and_nothing_is_written(room: Room, keeper_id: str) -> None:
    before = content(room.book)
    with pytest.raises(Refusal):
        add_animal(room.book, details=AnimalDetails(keeper_id=keeper_id))
    assert content(room.book) == before


def test_the_id_of_a_gone_animal_may_be_used_again_with_a_word_about_it(room: Room) -> None:
    die(room.book, animal=room.male)
    outcome = add_animal(room.book, details=AnimalDetails(keeper_id="M-03"))
    assert outcome.value != room.male
    assert "earlier animal" in str(outcome.warnings[0])


def test_a_hatch_date_keeps_its_precision_and_can_be_emptied(room: Room) -> None:
    year = PartialDate(dt.date(2021, 1, 1), Precision.YEAR)
    edit_animal(room.book, animal=room.female, details=AnimalDetails(hatched=year))
    sql = "SELECT hatched, hatched_precision FROM animal WHERE id = ?"
    assert room.book.read_one(sql, (room.female,)) == ("2021-01-01", "year")
    edit_animal(room.book, animal=room.female, details=AnimalDetails(emptied=frozenset({"hatched"})))
    assert room.book.read_one(sql, (room.female,)) == (None, None)


def test_sires_may_be_a_weighted_list_and_loops_are_refused(room: Room) -> None:
    other = add_animal(room.book, details=AnimalDetails(keeper_id="M-11", sex=Sex.MALE)).value
    young = add_animal(
        room.book,
        details=AnimalDetails(keeper_id="J-01", dam_id=room.female),
        sires={room.male: 70, other: 30},
    ).value
    assert room.book.read("SELECT sire_id, percent FROM sire ORDER BY percent") == [(other, 30), (room.male, 70)]
    with pytest.raises(Refusal, match="descends from"):
        set_parents(room.book, animal=room.female, dam=None, sires={young: 100})
    with pytest.raises(Refusal, match="at most 100"):
        set_parents(room.book, animal=young, dam=None, sires={room.male: 70, other: 40})
    with pytest.raises(Refusal, match="descends from"):
        set_parents(room.book, animal=young, dam=young, sires={})


def test_a_male_as_dam_is_kept_as_said_with_a_warning(room: Room) -> None:
    young = add_animal(room.book, details=AnimalDetails(keeper_id="J-01")).value
    outcome = set_parents(room.book, animal=young, dam=room.male, sires={})
    assert "M-03 is entered as male" in str(outcome.warnings[0])


def test_a_taken_slot_is_asked_about_and_the_answer_carries_it(room: Room) -> None:
    place = room.slots["R2-A1"]
    with pytest.raises(Asks) as asked:
        add_animal(room.book, details=AnimalDetails(keeper_id="M-11"), place=place)
    choice = asked.value.choices[0]
    assert choice.arguments == {"shared": MoveReason.PAIRING}
    made = add_animal(room.book, details=AnimalDetails(keeper_id="M-11"), place=place, **choice.arguments).value
    assert room.book.read_one("SELECT reason FROM move WHERE animal_id = ?", (made,)) == ("pairing",)


def test_several_animals_are_edited_in_one_act_and_taken_back_together(room: Room) -> None:
    before = content(room.book)
    edit_animals(
        room.book,
        animals=[room.female, room.male],
        details=AnimalDetails(interval_days=14),
        together=Together(tags=["breeder 2026"], turn=Status.SOLD),
    )
    assert room.book.read("SELECT interval_days, status, place_id FROM animal") == [(14, "sold", None)] * 2
    assert room.book.read("SELECT kind FROM departure") == [("sold",)] * 2
    undo_last(room.book)
    assert content(room.book) == before
    with pytest.raises(Refusal, match="one by one"):
        edit_animals(room.book, animals=[room.female], details=AnimalDetails(keeper_id="X"))


def test_an_animal_with_a_history_stays(room: Room) -> None:
    with pytest.raises(Refusal, match="history"):
        delete_animal(room.book, animal=room.female)
    slip = add_animal(room.book, details=AnimalDetails(keeper_id="X-99"), claim="het clown").value
    delete_animal(room.book, animal=slip)
    assert room.book.read("SELECT id FROM animal WHERE id = ?", (slip,)) == []


def test_a_code_once_issued_answers_undone_and_is_never_issued_again(room: Room) -> None:
    made = add_animal(room.book, details=AnimalDetails(keeper_id="X-99")).value
    code = code_of(room.book, CodeKind.ANIMAL, made)
    assert code is not None
    room.clock.pass_(minutes=5)
    undo_last(room.book)
    found = meaning_of(room.book, code)
    assert found.standing is Standing.UNDONE
    assert found.since == "2026-03-29T18:19:00Z"
    again = add_animal(room.book, details=AnimalDetails(keeper_id="X-99")).value
    assert again != made
    assert code_of(room.book, CodeKind.ANIMAL, again) != code


def test_a_code_of_another_book_is_unknown(room: Room) -> None:
    assert meaning_of(room.book, LabelCode(CodeKind.ANIMAL, "ZZZZZ")).standing is Standing.UNKNOWN


def test_what_a_seller_said_stays_beside_what_the_keeper_believes(room: Room) -> None:
    seller = add_person(room.book, name="Ilse", role=PersonRole.SELLER).value
    acquire(
        room.book,
        animal=room.female,
        details=AcquisitionDetails(person=seller, price=Money(25_000, "EUR"), genetic_claim="66% het clown?"),
    )
    add_claim(room.book, animal=room.female, text="  poss het pied ", source="card")
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Pastel Enchi"))
    assert room.book.read("SELECT text, source FROM claim ORDER BY id") == [
        ("66% het clown?", "seller"),
        ("poss het pied", "card"),
    ]


def test_tags_are_put_on_once_and_taken_off(room: Room) -> None:
    tag(room.book, animals=[room.female, room.male], word=" show  2026 ")
    tag(room.book, animals=[room.female], word="show 2026")
    assert room.book.read("SELECT word FROM tag") == [("show 2026",), ("show 2026",)]
    untag(room.book, animals=[room.female], word="show 2026")
    assert room.book.read("SELECT animal_id FROM tag") == [(room.male,)]


def test_a_far_weight_is_asked_once_and_one_in_doubt_is_kept_apart(room: Room) -> None:
    with pytest.raises(Asks, match="F-014"):
        weigh(room.book, animal=room.female, mass=Mass(870))
    weigh(room.book, animal=room.female, mass=Mass(870), doubted=True)
    assert room.book.read("SELECT mass_dg, doubted FROM weight ORDER BY id") == [(21_400, 0), (870, 1)]
    room.clock.pass_(days=31)
    weigh(room.book, animal=room.female, mass=Mass(16_000))
    assert len(room.book.read("SELECT id FROM weight")) == 3


def test_a_moment_ahead_of_today_is_refused(room: Room) -> None:
    with pytest.raises(Refusal, match="ahead of today"):
        weigh(room.book, animal=room.female, mass=Mass(21_000), at=room.clock.now + dt.timedelta(days=3))


def test_an_animal_that_is_not_there_is_refused_in_words(room: Room) -> None:
    with pytest.raises(Refusal, match="no longer in the book"):
        weigh(room.book, animal=AnimalId(999), mass=Mass(100))


def test_several_animals_given_a_dam_cannot_include_her_own_dam(room: Room) -> None:
    young = add_animal(room.book, details=AnimalDetails(keeper_id="J-1", dam_id=room.female)).value
    with pytest.raises(Refusal, match="descends"):
        edit_animals(room.book, animals=[room.male, room.female], details=AnimalDetails(dam_id=young))
    assert room.book.read("SELECT count(*) FROM animal WHERE dam_id = ?", (young,)) == [(0,)]


def test_a_sire_entered_as_female_is_told_once(room: Room) -> None:
    outcome = set_parents(room.book, animal=room.male, dam=None, sires={room.female: 100})
    assert len(outcome.warnings) == 1


def test_an_animal_whose_label_was_printed_is_not_taken_out_of_the_book(room: Room) -> None:
    fresh = add_animal(room.book, details=AnimalDetails(keeper_id="J-2")).value
    note_printed(room.book, labels=[PrintedLabel("A", animal=fresh)], stock="85 x 54")
    with pytest.raises(Refusal, match="J-2 has a history"):
        delete_animal(room.book, animal=fresh)


def test_a_status_with_a_day_is_not_set_by_a_correction(room: Room) -> None:
    with pytest.raises(Refusal, match="with their day"):
        edit_animal(room.book, animal=room.female, details=AnimalDetails(status=Status.SOLD))
    with pytest.raises(Refusal, match="no place here"):
        add_animal(room.book, details=AnimalDetails(keeper_id="X-01", status=Status.OUTSIDE), place=room.slots["R2-B1"])


def test_a_photo_that_became_the_cover_is_taken_back_with_that_choice(room: Room) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (32, 24), (120, 90, 60)).save(stream, "PNG")
    added = add_photo(room.book, animal=room.female, picture=stream.getvalue())
    edit_animal(room.book, animal=room.female, details=AnimalDetails(cover_photo=added.value))
    assert added.changes.act is not None
    with pytest.raises(RestsOn):
        undo_act(room.book, act=added.changes.act)
    undo_act(room.book, act=added.changes.act, together=True)
    assert room.book.read_one("SELECT cover_photo FROM animal WHERE id = ?", (room.female,)) == (None,)


def test_one_animal_is_not_both_parents(room: Room) -> None:
    """An animal of unknown sex could be said to be both; no genetics could be worked out of that."""
    book = room.book
    one, young = (add_animal(book, details=AnimalDetails(keeper_id=name)).value for name in ("U-1", "U-2"))
    before = content(book)
    with pytest.raises(Refusal, match="both dam and sire"):
        set_parents(book, animal=young, dam=one, sires={one: 100})
    with pytest.raises(Refusal, match="both dam and sire"):
        add_animal(book, details=AnimalDetails(keeper_id="U-3", dam_id=one), sires={one: 60, room.male: 40})
    assert content(book) == before
    set_parents(book, animal=young, dam=None, sires={one: 60})
    with pytest.raises(Refusal, match="both dam and sire"):
        edit_animal(book, animal=young, details=AnimalDetails(dam_id=one))


def test_an_undo_makes_no_animal_its_own_ancestor(room: Room) -> None:
    book = room.book
    one, two = (add_animal(book, details=AnimalDetails(keeper_id=name)).value for name in ("U-1", "U-2"))
    set_parents(book, animal=one, dam=two, sires={})
    set_parents(book, animal=one, dam=None, sires={})
    taken_away = last_act(book)
    assert taken_away is not None
    set_parents(book, animal=two, dam=one, sires={})
    before = content(book)
    with pytest.raises(Refusal, match="own ancestor"):
        undo_act(book, act=taken_away)
    assert content(book) == before


def test_ids_and_names_are_found_whatever_the_case_of_their_letters(room: Room) -> None:
    """Only the letters of ASCII were compared so: "émile" found no "Émile", and "ä-1" was given beside "Ä-1"."""
    animal = add_animal(room.book, details=AnimalDetails(keeper_id="Ä-1", name="Émile")).value
    for typed in ("\u00e9mile", "E\u0301MILE", "\u00e4-1"):
        assert [found.id for found in animals_named(room.book, typed)] == [animal]
    assert animal_with_id(room.book, "a\u0308-1") == animal
    with pytest.raises(Refusal, match="already"):
        add_animal(room.book, details=AnimalDetails(keeper_id="\u00e4-1"))
    assert [found.keeper_id for found in animals_named(room.book, "-0")] == ["M-03", "F-014"]


def test_an_id_is_what_is_seen_of_it(room: Room) -> None:
    """What was pasted from a page carried a mark that shows nothing, and stood beside the id it looks like."""
    for pasted in ("F-014\u200b", "\ufeffF-014", "F-\u00ad014", "F-014\x00"):
        with pytest.raises(Refusal, match="already"):
            add_animal(room.book, details=AnimalDetails(keeper_id=pasted))
        assert animal_with_id(room.book, pasted) == room.female
    with pytest.raises(Refusal, match="needs an id"):
        add_animal(room.book, details=AnimalDetails(keeper_id="\u200b"))
