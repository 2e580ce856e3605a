"""What a label asks is answered where the genes of the animal stand, in one click, and remembered."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from coilbook.derived.genetics_catalogues import own_entries
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.label_answers import answer_label
from coilbook.operations.undo import undo_last
from coilbook.reads.genetics_rows import GeneticsPart
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from tests.operations.conftest import Room


def written(room: Room, name: str, genetics: str) -> AnimalId:
    return add_animal(room.book, details=AnimalDetails(keeper_id=name, genetics=genetics)).value


def opened(window: MainWindow, animal: AnimalId) -> AnimalScreen:
    window.desk.go_animal(animal)
    screen = window.screen_open
    assert isinstance(screen, AnimalScreen)
    return screen


def part(screen: AnimalScreen) -> GeneticsPart:
    found = screen.body.genes.part
    assert found is not None
    return found


def test_a_word_for_a_line_is_kept_with_one_click_and_never_asked_again(window: MainWindow, room: Room) -> None:
    first, second = written(room, "F-90", "Axanthic Old Pond"), written(room, "F-91", "66% het old pond axanthic")
    screen = opened(window, first)
    asks = screen.body.genes.asks
    assert asks.isVisibleTo(screen) and asks.buttons[0].text() == "yes: remember it as a line"
    commands = {command.id: command for command in screen.commands()}
    commands["animal.asks"].run()
    QTest.keyClick(asks.buttons[0], Qt.Key.Key_Space)
    assert [entry.key for entry in own_entries(room.book, "ball_python")] == ["line axanthic (old pond)"]
    assert not part(screen).asks and not asks.isVisibleTo(screen)
    assert [row.name for row in part(screen).rows] == ["Axanthic (Old Pond)"]
    assert not part(opened(window, second)).asks
    QTest.keyClick(screen.body.genes.list, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert own_entries(room.book, "ball_python") == () and part(opened(window, first)).asks


def test_a_label_in_doubt_counts_once_it_is_answered(window: MainWindow, room: Room) -> None:
    animal = written(room, "F-90", "Clown het 66%")
    screen = opened(window, animal)
    genes = screen.body.genes
    assert part(screen).rows == () and "not counted until this is answered" in genes.key.text()
    genes.asks.buttons[0].click()
    assert [(row.name, row.evidence) for row in part(screen).rows] == [("Clown", pytest.approx(0.66, abs=0.01))]
    undo_last(room.book)
    edit_animal(room.book, animal=animal, details=AnimalDetails(genetics="pastal clwon"))
    screen = opened(window, animal)
    for _ in range(2):
        genes.asks.buttons[0].click()
    assert {row.name for row in part(screen).rows} == {"Pastel", "Clown"} and not part(screen).asks


def test_what_is_asked_no_more_cannot_be_answered(room: Room) -> None:
    animal = written(room, "F-90", "Clown")
    with pytest.raises(Refusal, match="no more"):
        answer_label(room.book, animal=animal, key="het_behind|clown het", answer="het")
    edit_animal(room.book, animal=animal, details=AnimalDetails(genetics="Clown het"))
    with pytest.raises(Refusal, match="no more"):
        answer_label(room.book, animal=animal, key="het_behind|clown het", answer="zorbel")
