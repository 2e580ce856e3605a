"""A clutch from laying to cups, with the numbers of scenario S3, and the refusals on the way."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace
from statistics import NormalDist

import pytest
from PIL import Image

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.asks import Asks
from coilbook.operations.clutches import ClutchDetails, Laying, edit_clutch, lay_clutch
from coilbook.operations.doubts import settle_doubt
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, look_at_box, set_up_box, water_box
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs, move_eggs
from coilbook.operations.hatching import NewHatchling, OfEgg, hatch_eggs, make_hatchlings
from coilbook.operations.photos import add_egg_photo, remove_photo
from coilbook.operations.settings import settings_of
from coilbook.operations.stays import enter_stay, leave_stay, see_lock
from coilbook.operations.undo import undo_last
from coilbook.reads.codes import Standing, code_of, meaning_of
from coilbook.reads.egg_boxes import boxes
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import EggDeed, HatchEvent, Lid, Veins, Verdict
from coilbook.records.egg_vocabulary import Outcome as CameOf
from coilbook.records.ids import ClutchId, DoubtId, EggBoxId, EggId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import CodeKind, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.check import check
from coilbook.wording.style import Style
from coilbook.wording.texts import render
from tests.operations.conftest import Room

#: seven eggs and a slug of 566 g, the fifth small and with a window (S3)
S3_LINE = "78 84 78 79 54? 81 76 36s"


def laid(room: Room, line: str = S3_LINE) -> ClutchId:
    room.clock.now = dt.datetime(2026, 3, 31, 9, 0, tzinfo=room.clock.now.tzinfo)
    box = BoxDetails(label="EB-12", start=Mass(18_640), lid=Lid.WITH)
    laying = Laying(dam=room.female, eggs=read_egg_line(line), sires={room.male: 92}, box=box, dam_after=Mass(13_900))
    return lay_clutch(room.book, laying=laying).value


def verdicts(room: Room, number: int) -> list[tuple[str, str]]:
    sql = "SELECT l.verdict, l.veins FROM egg_look l JOIN egg e ON e.id = l.egg_id WHERE e.number = ? ORDER BY l.id"
    return [(str(v), str(w)) for v, w in room.book.read(sql, (number,))]


def test_the_story_of_s3(room: Room) -> None:
    laid(room)
    assert room.book.read("SELECT label, mass_dg, mass_kind FROM clutch") == [("C26-01", 5_660, "eggs")]
    assert room.book.read("SELECT mass_dg, tag FROM weight WHERE tag = 'after_laying'") == [(13_900, "after_laying")]
    assert room.book.read("SELECT kind, egg_id, look_again, settled_on FROM doubt") == [
        ("fertile", 5, "2026-04-05", None)
    ]
    room.clock.pass_(days=6)
    look_at_eggs(room.book, looks={EggId(5): EggSeen(verdict=Verdict.DOUBTFUL, veins=Veins.FAINT)})
    room.clock.pass_(days=6)
    look_at_eggs(room.book, looks={EggId(5): EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)})
    assert verdicts(room, 5) == [("doubtful", "unsaid"), ("doubtful", "faint"), ("good", "clear")]
    assert room.book.read("SELECT settled_on, settled_by, answer FROM doubt") == [("2026-04-12", "veins seen", "good")]
    room.clock.pass_(days=9)
    do_to_eggs(room.book, eggs=[EggId(2)], what=EggDeed.WIPED, how="dry swab", why="mould")
    room.clock.pass_(days=9)
    worse = EggSeen(verdict=Verdict.DEAD, veins=Veins.NONE, mould=True, came_of=CameOf.WORSE)
    look_at_eggs(room.book, looks={EggId(2): worse})
    do_to_eggs(room.book, eggs=[EggId(2)], what=EggDeed.REMOVED, why="dark", away=Mass(820))
    assert room.book.read("SELECT what, away_dg, came_of_it FROM egg_done") == [
        ("wiped", None, "worse"), ("removed", 820, "unsaid"),
    ]  # fmt: skip
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(17_680)))
    water_box(room.book, box=EggBoxId(1), added=Mass(140))
    assert room.book.read("SELECT number FROM egg ORDER BY number") == [(n,) for n in range(1, 9)]
    with pytest.raises(Refusal, match="C26-01-2 was taken out"):
        look_at_eggs(room.book, looks={EggId(2): EggSeen(verdict=Verdict.GOOD)})
    assert check(room.book).findings == ()


def test_young_are_made_from_their_eggs_with_lineage_looks_and_codes(room: Room) -> None:
    clutch = laid(room)
    room.clock.pass_(days=55)
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(fine=True))
    room.clock.pass_(days=1)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(1)), OfEgg(EggId(3))], event=HatchEvent.PIP)
    assert room.book.read("SELECT egg_id, at, not_yet_at FROM hatching") == [
        (1, "2026-05-26T09:00", "2026-05-25T09:00"), (3, "2026-05-26T09:00", "2026-05-25T09:00"),
    ]  # fmt: skip
    room.clock.pass_(hours=20)
    young = [
        NewHatchling(egg=EggId(1), mass=Mass(610), sex=Sex.MALE, sex_percent=90, genetics="Clown, Pastel?"),
        NewHatchling(egg=EggId(3), twin="a"),
        NewHatchling(egg=EggId(3), twin="b", mass=Mass(280)),
    ]
    made = make_hatchlings(room.book, young=young).value
    rows = room.book.read("SELECT keeper_id, dam_id, hatched, origin, genetics FROM animal WHERE id > ?", (room.male,))
    assert rows[0] == ("C26-01-1", room.female, "2026-05-27", "bred_here", "Clown, Pastel?")
    assert [row[0] for row in rows] == ["C26-01-1", "C26-01-3a", "C26-01-3b"]
    assert room.book.read("SELECT sire_id, percent FROM sire WHERE animal_id = ?", (made[0],)) == [(room.male, 92)]
    cup = code_of(room.book, CodeKind.HATCHLING, made[0])
    assert cup is not None
    assert (meaning_of(room.book, cup).animal, meaning_of(room.book, cup).standing) == (made[0], Standing.PRESENT)
    with pytest.raises(Refusal, match="has its hatchling already"):
        make_hatchlings(room.book, young=[NewHatchling(egg=EggId(1))])
    edit_clutch(room.book, clutch=clutch, details=ClutchDetails(sires={room.male: 100}))
    assert room.book.read("SELECT percent FROM sire WHERE animal_id = ?", (made[2],)) == [(100,)]


def test_a_clutch_is_not_corrected_to_a_day_ahead(room: Room) -> None:
    clutch = laid(room)
    ahead = PartialDate(room.clock().date() + dt.timedelta(1))
    with pytest.raises(Refusal, match="lies ahead of today"):
        edit_clutch(room.book, clutch=clutch, details=ClutchDetails(laid=ahead))


def test_a_clutch_is_not_corrected_to_after_what_was_seen_of_it(room: Room) -> None:
    clutch = laid(room)
    room.clock.pass_(days=1)
    # the look that came with the laying is of the day it was written down
    edit_clutch(room.book, clutch=clutch, details=ClutchDetails(laid=PartialDate(dt.date(2026, 4, 1))))
    room.clock.pass_(days=5)
    look_at_eggs(room.book, looks={EggId(5): EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)})
    room.clock.pass_(days=54)
    later = ClutchDetails(laid=PartialDate(dt.date(2026, 4, 7)))
    with pytest.raises(Refusal) as refused:
        edit_clutch(room.book, clutch=clutch, details=later)
    style = Style(settings_of(room.book))
    told = render(refused.value.message, style)
    assert told == "C26-01-5: seen on 6 Apr 2026, so it was laid no later. Correct that entry first."
    edit_clutch(room.book, clutch=clutch, details=ClutchDetails(laid=PartialDate(dt.date(2026, 4, 6))))
    # a day in doubt may be the earlier one
    edit_clutch(room.book, clutch=clutch, details=replace(later, doubt_days=2))
    with pytest.raises(Refusal, match="laid no later"):
        edit_clutch(room.book, clutch=clutch, details=ClutchDetails(doubt_days=0))
    assert room.book.read("SELECT laid, laid_doubt_days FROM clutch") == [("2026-04-07", 2)]


def test_a_clutch_is_not_corrected_to_after_it_hatched(room: Room) -> None:
    clutch = laid(room)
    room.clock.pass_(days=58)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(3))], event=HatchEvent.PIP)
    room.clock.pass_(days=1)
    with pytest.raises(Refusal) as refused:
        edit_clutch(room.book, clutch=clutch, details=ClutchDetails(laid=PartialDate(room.clock().date())))
    assert render(refused.value.message, Style(settings_of(room.book))).startswith("C26-01-3: pipped on 28 May 2026")


def test_an_egg_dead_in_its_shell_has_no_young(room: Room) -> None:
    laid(room)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(4))], event=HatchEvent.DEAD_IN_SHELL)
    with pytest.raises(Refusal, match="dead in the shell"):
        make_hatchlings(room.book, young=[NewHatchling(egg=EggId(4))])
    with pytest.raises(Refusal, match="entered so already"):
        hatch_eggs(room.book, eggs=[OfEgg(EggId(4))], event=HatchEvent.OUT)


def test_a_total_far_off_is_asked_about_once(room: Room) -> None:
    laid(room)
    with pytest.raises(Asks, match="was expected") as asked:
        look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(15_600)))
    sure, without = (choice.arguments for choice in asked.value.choices)
    assert (sure, without) == ({"sure": True}, {"lid": Lid.WITHOUT})
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(15_600), lid=Lid.WITHOUT))
    assert room.book.read("SELECT total_dg, lid FROM box_look") == [(15_600, "without")]
    look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(total=Mass(18_600)))


def test_a_smell_belongs_to_the_box_until_it_is_traced(room: Room) -> None:
    laid(room)
    for _ in range(2):
        look_at_box(room.book, box=EggBoxId(1), seen=BoxSeen(smell=True))
    asked = room.book.read("SELECT id, egg_id, box_id FROM doubt WHERE kind = 'smell'")
    assert asked == [(2, None, 1)]
    settle_doubt(room.book, doubt=DoubtId(2), answer="egg 2", by="smelt alone")
    with pytest.raises(Refusal, match="settled already"):
        settle_doubt(room.book, doubt=DoubtId(2), answer="egg 3")


def test_boxes_and_clutches_number_themselves_and_share_only_with_a_word(room: Room) -> None:
    laid(room)
    other = lay_clutch(room.book, laying=Laying(dam=None, eggs=read_egg_line("3x 2xs"), box=EggBoxId(1)))
    assert [str(w) for w in other.warnings] == ["EB-12 now holds two clutches: the loss of each is not computable."]
    assert room.book.read("SELECT label, mass_dg FROM clutch ORDER BY id") == [("C26-01", 5_660), ("C26-02", None)]
    second = set_up_box(room.book, details=BoxDetails()).value
    assert room.book.read("SELECT label FROM egg_box WHERE id = ?", (second,)) == [("EB-13",)]
    with pytest.raises(Refusal, match="in use already"):
        set_up_box(room.book, details=BoxDetails(label="eb-12"))
    moved = move_eggs(room.book, eggs=[EggId(1)], box=second)
    assert room.book.read("SELECT box_id, away_dg FROM egg_done") == [(1, None)]
    assert moved.warnings == ()
    with pytest.raises(Refusal, match="lies in EB-13 already"):
        move_eggs(room.book, eggs=[EggId(1)], box=second)


@pytest.mark.parametrize("line", ["", "0", "78 many", "99x", "78 -3"])
def test_a_line_that_is_no_clutch_is_refused(line: str) -> None:
    with pytest.raises(Refusal):
        read_egg_line(line)


def test_a_male_does_not_lay(room: Room) -> None:
    with pytest.raises(Refusal, match="entered as a male"):
        lay_clutch(room.book, laying=Laying(dam=room.male, eggs=read_egg_line("78")))


def test_sires_not_said_come_from_the_stays_on_record(room: Room) -> None:
    other = add_animal(room.book, details=AnimalDetails(keeper_id="M-11", sex=Sex.MALE)).value
    zone = room.clock.now.tzinfo
    room.clock.now = dt.datetime(2026, 2, 8, 9, 0, tzinfo=zone)
    stay = enter_stay(room.book, female=room.female, male=room.male).value
    room.clock.pass_(days=1)
    see_lock(room.book, stay=stay)
    room.clock.pass_(days=1)
    leave_stay(room.book, stay=stay)
    enter_stay(room.book, female=room.female, male=other)
    room.clock.now = dt.datetime(2026, 3, 31, 9, 0, tzinfo=zone)
    outcome = lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("6x")))
    shares = room.book.read("SELECT sire_id, percent FROM clutch_sire ORDER BY percent DESC")
    # 3 days and a lock (13 points) against the days until ovulation; nobody saw it: reckoned 10 Feb, 49 days back, with
    # the profile's spread, the root of 1.2^2 + 1.6^2 + 2.2^2 + 2.1^2 + 2.8^2 + 2.5^2 = 5.2 days; day 8 is 8 Feb
    bell, first, second, stranger = NormalDist(10, 5.229), 0.0, 0.0, 0.1
    for day in range(-7, 28):
        chance = bell.cdf(day + 0.5) - bell.cdf(day - 0.5)
        first += chance * (max(0, min(day, 10) - 7) + 10 * (day >= 9))
        second += chance * max(0, min(day - 9, 5))
    total = first + second + stranger
    assert [sire for sire, _ in shares] == [room.male, other]
    assert [percent for _, percent in shares] == [int(100 * first / total), int(100 * second / total)]
    assert str(outcome.warnings[0]).startswith(f"Sires from the stays on record: M-03 {shares[0][1]}%")
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("2x"), sires={}))
    assert room.book.read("SELECT count(*) FROM clutch_sire WHERE clutch_id = 2") == [(0,)]


def test_a_photo_of_an_egg_stays_with_it_and_is_taken_back(room: Room) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (32, 24), (140, 100, 60)).save(stream, "PNG")
    laid(room)
    photo = add_egg_photo(room.book, picture=stream.getvalue(), egg=EggId(2), caption="before it was wiped")
    with pytest.raises(Refusal, match="C26-01-2 has this very photo already"):
        add_egg_photo(room.book, picture=stream.getvalue(), egg=EggId(2))
    add_egg_photo(room.book, picture=stream.getvalue(), box=EggBoxId(1))
    (box,) = boxes(room.book, [EggBoxId(1)])
    assert [p.caption for p in box.eggs[1].photos] == ["before it was wiped"] and len(box.photos) == 1
    remove_photo(room.book, photo=photo.value)
    undo_last(room.book)
    assert len(boxes(room.book, [EggBoxId(1)])[0].eggs[1].photos) == 1
    assert check(room.book).findings == ()
