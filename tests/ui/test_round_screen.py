"""The round in the real window: keys, scans, a shared slot, a far weight, a number left open, undo."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtTest import QTest

from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.care import record_shed
from coilbook.operations.entries import edit_entry
from coilbook.operations.feeding import offer_feeding
from coilbook.operations.moving import move_animal
from coilbook.reads.codes import code_of
from coilbook.reads.round import tubs_of_round
from coilbook.records.changes import Changes
from coilbook.records.vocabulary import CodeKind, FeedingResult, MoveReason, Sex, ShedKind
from coilbook.records.when import UNDATED
from coilbook.ui.background import Job
from coilbook.ui.main_window import MainWindow
from coilbook.ui.round import walk_at_desk
from coilbook.ui.round.at_hand import id_lines
from coilbook.ui.round.keys import CLOSE, EVENING, HEADS, REASONS, SIGNS, Key, letters
from coilbook.ui.round.rack_counts import Mode, RackCounts, todo_of, total_of
from coilbook.ui.round.telling import last_weight_words
from coilbook.ui.screens.animals import AnimalsScreen
from coilbook.ui.screens.round import RoundScreen
from coilbook.ui.theme import TARGET
from tests.operations.conftest import Room

MakeWindow = Callable[..., MainWindow]


class Hand:
    """Presses keys and reads what the page says."""

    def __init__(self, room: Room, window: MainWindow) -> None:
        self.room, self.window = room, window
        screen = window.made("round")
        assert isinstance(screen, RoundScreen)
        self.screen, self.walk = screen, screen.walk

    def press(self, *keys: str | Qt.Key) -> None:
        for key in keys:
            if isinstance(key, str):
                QTest.keyClick(self.window, key.lower())
            else:
                QTest.keyClick(self.screen, key)

    def type(self, digits: str) -> None:
        for digit in digits:
            QTest.keyClick(self.screen, digit)

    def scan(self, kind: CodeKind, target: int) -> None:
        code = code_of(self.room.book, kind, target)
        assert code is not None
        self.window.scans.scanned(code.text)

    def at_hand(self) -> str:
        return self.walk.animal.keeper_id if self.walk.animal is not None else ""

    def rows(self, columns: str, table: str) -> list[tuple[object, ...]]:
        return self.room.book.read(f"SELECT {columns} FROM {table} ORDER BY id")


@pytest.fixture
def hand(room: Room, make_window: MakeWindow) -> Hand:
    return Hand(room, make_window(RoundScreen))


def test_no_letter_means_two_things() -> None:
    found = [letter for letter, _ in letters()]
    assert len(found) == len(set(found))
    assert not [letter for letter in found if letter.isdigit()]
    for results in (EVENING, CLOSE):
        shown = [r.key for r in results] + [r.key for r in REASONS] + list(HEADS) + list(Key)
        assert len(shown) == len(set(shown))
    assert {r.key for r in REASONS} <= {s.key for s in SIGNS}


def test_one_key_a_result_and_on_to_the_next(hand: Hand) -> None:
    assert hand.at_hand() == "F-014"
    hand.press("L")
    assert hand.at_hand() == "M-03"
    hand.press("T")
    assert hand.rows("animal_id, result, prey", "feeding") == [
        (hand.room.female, "pending", "medium rat"),
        (hand.room.male, "taken", "small rat"),
    ]
    assert hand.screen.finished.isVisible()


def test_refused_and_not_offered_ask_why(hand: Hand) -> None:
    hand.press("R")
    assert hand.rows("id", "feeding") == []
    hand.press("S", "N", Qt.Key.Key_Escape, "N", "Z")
    assert hand.rows("animal_id, result, reason", "feeding") == [
        (hand.room.female, "refused", "season"),
        (hand.room.male, "not_offered", "size"),
    ]


def test_digits_go_to_the_weight_and_enter_saves(hand: Hand) -> None:
    hand.type("2150")
    hand.press(Qt.Key.Key_Return)
    assert hand.rows("animal_id, mass_dg, typed", "weight")[-1] == (hand.room.female, 21500, "2150")
    assert hand.at_hand() == "F-014"
    assert hand.screen.weight.typed is None


def test_a_weight_whose_day_is_not_on_record_has_none(hand: Hand) -> None:
    ((row,),) = hand.rows("id", "weight")
    edit_entry(hand.room.book, table="weight", row=int(str(row)), values={"note": UNDATED})
    tubs = tubs_of_round(hand.room.book, hand.walk.time, hand.room.rack, 10)
    animals = [a for tub in tubs for a in tub.animals]
    said = {a.keeper_id: last_weight_words(a, hand.walk.time, hand.window.desk.style) for a in animals}
    assert said["F-014"].startswith("Last 2,140 g, on a day not said.") and "asks once" in said["F-014"]
    assert said["M-03"] == "No weight of this animal is on record."


@pytest.mark.parametrize(("key", "doubted"), [("J", 0), ("X", 1)])
def test_far_weight_stays_and_is_asked_once(hand: Hand, key: str, doubted: int) -> None:
    hand.type("214")
    hand.press(Qt.Key.Key_Return)
    assert len(hand.rows("id", "weight")) == 1
    assert hand.screen.weight.display.text == "214"
    hand.press("L")
    assert hand.rows("id", "feeding") == [], "results wait until the question is answered"
    hand.press(key)
    assert hand.rows("mass_dg, doubted", "weight")[-1] == (2140, doubted)
    assert hand.screen.weight.display.text == ""


def test_far_weight_typed_again_is_not_written(hand: Hand) -> None:
    hand.type("214")
    hand.press(Qt.Key.Key_Return, Qt.Key.Key_Escape)
    assert hand.screen.weight.display.text == ""
    hand.type("2140")
    hand.press(Qt.Key.Key_Return)
    assert [m for (m,) in hand.rows("mass_dg", "weight")] == [21400, 21400]


def test_open_number_is_kept_when_another_tub_is_scanned(hand: Hand) -> None:
    hand.type("2150")
    hand.scan(CodeKind.ANIMAL, hand.room.male)
    assert hand.at_hand() == "M-03"
    hand.press("J")
    assert hand.rows("animal_id, mass_dg", "weight")[-1] == (hand.room.female, 21500)
    assert hand.at_hand() == "M-03"


def test_open_number_can_be_dropped(hand: Hand) -> None:
    hand.type("2150")
    hand.press(Qt.Key.Key_Right, "X")
    assert hand.at_hand() == "M-03"
    assert len(hand.rows("id", "weight")) == 1
    hand.type("9")
    assert hand.screen.weight.display.text == "9"


def test_either_code_brings_the_animal_to_hand(hand: Hand) -> None:
    hand.scan(CodeKind.SLOT, hand.room.slots["R2-A2"])
    assert hand.at_hand() == "M-03"
    hand.scan(CodeKind.ANIMAL, hand.room.female)
    assert hand.at_hand() == "F-014"


def test_scan_brings_one_who_is_not_due(hand: Hand) -> None:
    hand.press("T", "T")
    hand.room.clock.pass_(days=2)
    hand.window.desk.bus.publish(offer_feeding(hand.room.book, animal=hand.room.male).changes)
    hand.screen.open()
    hand.scan(CodeKind.ANIMAL, hand.room.female)
    assert hand.at_hand() == "F-014"
    hand.press("T")
    assert hand.rows("animal_id, result", "feeding")[-1] == (hand.room.female, "taken")


def share_the_slot(hand: Hand) -> None:
    outcome = move_animal(
        hand.room.book, animal=hand.room.male, place=hand.room.slots["R2-A1"], shared=MoveReason.PAIRING
    )
    hand.window.desk.bus.publish(outcome.changes)


def test_two_in_a_slot_wait_until_they_are_separated(hand: Hand) -> None:
    share_the_slot(hand)
    assert hand.at_hand() == ""
    hand.press("L", "T")
    hand.type("870")
    assert hand.rows("id", "feeding") == []
    assert hand.screen.weight.typed is None
    first, second = (a.keeper_id for a in hand.walk.tub.animals)  # type: ignore[union-attr]
    hand.press("F")
    assert hand.at_hand() == second
    hand.press("L")
    assert hand.rows("id", "feeding") == [], "chosen, but not said to be separated"
    hand.press("Q", "L")
    assert hand.at_hand() == first
    hand.press("T")
    assert sorted(r for (r,) in hand.rows("result", "feeding")) == ["pending", "taken"]


def test_weight_of_one_of_two(hand: Hand) -> None:
    share_the_slot(hand)
    hand.press("D")
    who = hand.walk.animal
    assert who is not None
    hand.type("900" if who.id == hand.room.male else "2150")
    hand.press(Qt.Key.Key_Return)
    assert hand.rows("animal_id", "weight")[-1] == (who.id,)


def test_slot_scan_with_two_asks_which(hand: Hand) -> None:
    share_the_slot(hand)
    hand.scan(CodeKind.ANIMAL, hand.room.male)
    assert hand.at_hand() == "M-03"
    hand.scan(CodeKind.SLOT, hand.room.slots["R2-A1"])
    assert hand.at_hand() == ""


def test_rack_all_offered_leaves_shared_slots_out(hand: Hand) -> None:
    share_the_slot(hand)
    assert hand.walk.waiting() == []
    assert not hand.screen.head.all.isEnabled()


def test_second_meal_so_soon_is_asked(hand: Hand) -> None:
    hand.press("T")
    hand.scan(CodeKind.ANIMAL, hand.room.female)
    hand.press("K")
    assert hand.at_hand() == "F-014"
    assert len(hand.rows("id", "feeding")) == 1
    hand.press("J")
    assert [r for (r,) in hand.rows("result", "feeding")] == ["taken", "struck"]


def test_signs_are_one_tap_and_a_second_tap_takes_them_back(hand: Hand) -> None:
    hand.press("C", "B")
    assert hand.rows("sign", "sign_seen") == [("seeks_cool",)]
    assert hand.rows("kind", "shed") == [("blue",)]
    hand.press("C")
    assert hand.rows("sign", "sign_seen") == []
    assert hand.at_hand() == "F-014"


def test_signs_of_a_male_leave_the_females_own_out(hand: Hand) -> None:
    hand.scan(CodeKind.ANIMAL, hand.room.male)
    hand.press("G", "W", "I", "E")
    assert hand.rows("id", "sign_seen") == []
    hand.press("M")
    assert hand.rows("sign", "sign_seen") == [("mites",)]


def test_clear_again_for_one_in_blue(hand: Hand) -> None:
    changes = record_shed(hand.room.book, animal=hand.room.female, kind=ShedKind.BLUE).changes
    hand.window.desk.bus.publish(changes)
    hand.press("B")
    assert [k for (k,) in hand.rows("kind", "shed")] == ["blue", "clear"]


def test_undo_brings_her_back_to_hand(hand: Hand) -> None:
    hand.press("L")
    assert hand.at_hand() == "M-03"
    hand.press("U")
    assert hand.at_hand() == "F-014"
    assert hand.rows("id", "feeding") == []


def test_close_turns_the_first_two_results(hand: Hand) -> None:
    hand.press("L", "L")
    hand.room.clock.pass_(hours=12)
    hand.screen.open()
    hand.press("L", "T")
    assert [r for (r,) in hand.rows("result", "feeding")] == ["taken_late", "taken"]
    assert hand.screen.finished.title.text() == "The close is done"


def test_nothing_due_says_what_comes_next(hand: Hand) -> None:
    hand.press("T", "T")
    hand.room.clock.pass_(days=2)
    hand.screen.open()
    assert hand.screen.nothing.isVisible()
    assert hand.screen.nothing.sentence.text() == "Next: R2, Wed 8 Apr."
    hand.press("V")
    assert hand.at_hand() == "F-014"


def test_nobody_here_offers_the_way_to_animals(make_window: MakeWindow) -> None:
    screen = make_window(RoundScreen).made("round")
    assert isinstance(screen, RoundScreen)
    assert screen.nobody.isVisible()


def test_animals_without_a_slot_are_not_forgotten(hand: Hand) -> None:
    hand.window.desk.bus.publish(move_animal(hand.room.book, animal=hand.room.male, place=None).changes)
    hand.press("L")
    assert hand.at_hand() == "M-03"
    hand.press("L")
    assert len(hand.rows("id", "feeding")) == 2


def test_long_ids_and_every_target_is_large_enough(hand: Hand) -> None:
    details = AnimalDetails(keeper_id="F-2024-Wrens-Golden-0014", genetics="Pastel Enchi " * 4, sex=Sex.FEMALE)
    hand.window.desk.bus.publish(edit_animal(hand.room.book, animal=hand.room.female, details=details).changes)
    hand.window.resize(1280, 800)
    hand.screen.open(animal=hand.room.female)
    hand.window.grab()
    buttons = [*hand.screen.results.buttons, *hand.screen.weight.keys.values(), hand.screen.weight.save_button]
    for button in (*buttons, hand.screen.head.all, hand.screen.head.view):
        assert min(button.width(), button.height()) >= TARGET, button.text()


def test_a_result_pressed_for_her_is_hers_when_the_writer_is_slow(hand: Hand) -> None:
    """The walk counts a key at once: a second key never falls on the animal of the first."""
    held: list[Callable[[], None]] = []
    background = hand.window.desk.background
    background._start = lambda job: held.append(lambda: background._work(job))  # type: ignore[method-assign]
    hand.press("L")
    assert hand.at_hand() == "M-03"
    hand.press("T")
    for job in held:
        job()
    assert hand.rows("animal_id, result", "feeding") == [
        (hand.room.female, FeedingResult.PENDING.value),
        (hand.room.male, FeedingResult.TAKEN.value),
    ]


def test_large_text_grows_only_as_far_as_the_page_has_room(hand: Hand) -> None:
    hand.window.resize(1440, 900)
    settings = replace(hand.window.desk.settings, text_scale_percent=150)
    hand.window.desk.change_settings(settings)
    QTest.qWait(1)
    screen = hand.window.made("round")
    assert isinstance(screen, RoundScreen)
    page = screen.parentWidget()
    assert page is not None and screen.height() <= page.height() and screen.width() <= page.width()
    assert 1.0 <= screen.theme.scale < 1.5
    QTest.keyClick(hand.window, "l")
    assert hand.rows("result", "feeding") == [("pending",)]


def test_undo_stops_at_the_start_of_the_sitting(hand: Hand) -> None:
    hand.press("L", "U", "U", "U")
    assert hand.at_hand() == "F-014"
    assert len(hand.rows("id", "animal")) == 2, "what was there before is left alone"
    hand.press("L")
    assert hand.at_hand() == "M-03"


@pytest.mark.parametrize("keeper_id", ["F-014", "F-2024-Wrens-Golden-0014", "W" * 60, "Wren 12"])
def test_an_id_is_never_cut(hand: Hand, keeper_id: str) -> None:
    theme = hand.screen.theme
    lines, size = id_lines(theme, keeper_id, "\u2640 F", 528)
    assert "".join(lines).replace(" ", "") == keeper_id.replace(" ", "")
    if len(keeper_id) <= 30:
        metrics = QFontMetrics(theme.font(size, bold=True))
        assert all(metrics.horizontalAdvance(line) <= 528 for line in lines)
        assert size >= 28


class Held:
    """A background whose jobs wait until they are told."""

    def __init__(self, window: MainWindow) -> None:
        self._background = window.desk.background
        self.jobs: list[Job] = []
        self._background._start = self.jobs.append  # type: ignore[method-assign]

    def go(self) -> None:
        """Do what waits, and what comes of it."""
        while self.jobs:
            self._background._work(self.jobs.pop(0))


@pytest.fixture
def large(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every book is a large one."""
    monkeypatch.setattr(walk_at_desk, "SMALL_BOOK", 0)


def test_racks_of_a_large_book_are_counted_beside_the_window(room: Room, make_window: MakeWindow, large: None) -> None:
    window = make_window(AnimalsScreen, RoundScreen)
    held = Held(window)
    screen = window.made("round")
    assert isinstance(screen, RoundScreen)
    window.open_screen("round")
    assert screen.waiting.isVisible() and not screen.nobody.isVisible()
    assert not screen.walk.racks
    hand = Hand(room, window)
    # neither keys nor another program's acts do any harm while there is nobody at hand
    hand.press("T", "A")
    window.desk.bus.publish(Changes(everything=True))
    hand.scan(CodeKind.ANIMAL, room.male)
    held.go()
    assert screen.page.isVisible()
    assert hand.at_hand() == "M-03"
    assert hand.rows("id", "feeding") == []


def test_a_large_book_keeps_what_is_pressed_while_it_is_counted_again(
    room: Room, make_window: MakeWindow, large: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand = Hand(room, make_window(RoundScreen))
    before = hand.walk.todo()
    held = Held(hand.window)
    hand.window.desk.bus.publish(Changes(everything=True))
    stale = RackCounts.read(room.book, hand.walk.time)
    (count,) = held.jobs
    hand.press("T")
    held.jobs.remove(count)
    held.go()
    monkeypatch.setattr(RackCounts, "read", lambda *_: stale)
    held.jobs.append(count)
    held.go()
    assert hand.rows("result", "feeding") == [("taken",)]
    assert hand.walk.todo() == before - 1


@pytest.mark.usefixtures("large")
def test_a_large_book_walks_as_a_small_one(hand: Hand) -> None:
    hand.press("L")
    assert hand.at_hand() == "M-03"
    hand.press("T", "U")
    assert hand.at_hand() == "M-03"
    hand.press("V", "V")
    assert hand.rows("result", "feeding") == [("pending",)]
    hand.window.desk.bus.publish(move_animal(hand.room.book, animal=hand.room.male, place=None).changes)
    assert [rack.label for rack in hand.walk.racks] == ["R2", ""]
    hand.scan(CodeKind.ANIMAL, hand.room.male)
    assert hand.at_hand() == "M-03"


def test_sums_of_all_racks_follow_each_rack_counted_again(hand: Hand) -> None:
    """Kept sums and the sums added up from nothing agree after every act."""
    walk = hand.walk
    for keys in ("L", "T", "U", "L", "V", "V", "R"):
        hand.press(keys)
        kept = walk.counts
        fresh = RackCounts(list(kept.racks), kept.time)
        assert sorted(kept.groups(), key=str) == sorted(fresh.groups(), key=str)
        for mode in Mode:
            assert (kept.todo(mode), kept.total(mode)) == (fresh.todo(mode), fresh.total(mode))
            assert kept.total(mode) == sum(total_of(mode, rack) for rack in kept.racks)
            assert kept.todo(mode) == sum(todo_of(mode, rack) for rack in kept.racks)
