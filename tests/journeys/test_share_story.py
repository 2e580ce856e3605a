"""A story is shared as text and captioned pictures; ids, place and own words stay out unless ticked, doubts stay in."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.doubts import DoubtDetails, ask_doubt
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs
from coilbook.operations.incubators import IncubatorDetails, add_incubator
from coilbook.operations.photos import add_egg_photo
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import DoubtKind, EggDeed, Veins, Verdict
from coilbook.records.ids import EggId
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.animal.choice_strip import ChoiceStrip
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.eggs import EggsScreen

#: what must not stand in a story unless ticked
IDS, PLACE, WORDS = ("F-014",), ("EB-01", "Incubator 1"), ("smelt it", "as Wren said", "which neighbour?")


@pytest.fixture
def screen(window: MainWindow, book: Collection, tmp_path: Path) -> EggsScreen:
    """A clutch of F-014 with a doubt, a deed and a picture, each with words of the keeper."""
    dam = add_animal(book, details=AnimalDetails(keeper_id="F-014", sex=Sex.FEMALE, genetics="Clown")).value
    incubator = add_incubator(book, details=IncubatorDetails(name="Incubator 1", shelves=("top",))).value
    eggs = read_egg_line("78 84s")
    lay_clutch(book, laying=Laying(dam=dam, eggs=eggs, box=BoxDetails(incubator=incubator), sires={}))
    second = EggId(book.read("SELECT id FROM egg WHERE number = 2")[0][0])
    look_at_eggs(book, looks={second: EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)})
    do_to_eggs(book, eggs=[second], what=EggDeed.WIPED, why="as Wren said")
    ask_doubt(book, details=DoubtDetails(egg=second, kind=DoubtKind.ALIVE, question="which neighbour?"))
    file = tmp_path / "egg.png"
    Image.new("RGB", (640, 480), (140, 100, 60)).save(file)
    add_egg_photo(book, picture=file, egg=second, caption="smelt it")
    window.open_screen("eggs")
    shown = window.screen_open
    assert isinstance(shown, EggsScreen)
    return shown


def shared(screen: EggsScreen, book: Collection, *ticked: str) -> tuple[str, Path]:
    """Share through the form; the text and the folder."""
    before = set((book.folder / "papers").glob("story*"))
    screen.begin("share")
    form = screen.room.form
    assert form is not None
    for name in ticked:
        strip = form.rows[name].editor
        assert isinstance(strip, ChoiceStrip) and strip.value is False
        strip.choose(True)
    form.saved.emit()
    assert screen.room.form is None
    (folder,) = set((book.folder / "papers").glob("story*")) - before
    return (folder / "story.txt").read_text(encoding="utf-8"), folder


def test_while_the_story_stands_it_is_shown_how_it_leaves_and_no_letter_judges(
    screen: EggsScreen, window: MainWindow, book: Collection, qtbot: QtBot
) -> None:
    shown = {name: button.isVisible() for name, button in screen.buttons.items()}
    assert shown["look"] and shown["candle"] and not shown["share"] and not shown["sheet"]
    screen.choose_egg(screen.at.eggs[1].id)
    qtbot.keyClick(window, Qt.Key.Key_T)
    assert screen.page.is_story and "Ctrl P" in screen.foot_hint() and "`G`" not in screen.foot_hint()
    shown = {name: button.isVisible() for name, button in screen.buttons.items()}
    assert shown["share"] and shown["sheet"] and not shown["candle"] and not shown["look"]
    before = book.read("SELECT count(*) FROM egg_look")
    for key in (Qt.Key.Key_X, Qt.Key.Key_P, Qt.Key.Key_Return):
        qtbot.keyClick(window, key)
    assert book.read("SELECT count(*) FROM egg_look") == before and not book.read("SELECT 1 FROM hatching")
    qtbot.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    assert list((book.folder / "papers").glob("*.pdf"))
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert not screen.page.is_story and screen.buttons["look"].isVisible()


def test_nothing_goes_along_that_was_not_ticked(screen: EggsScreen, book: Collection) -> None:
    text, folder = shared(screen, book)
    label = book.read("SELECT label FROM clutch")[0][0]
    for word in (*IDS, *PLACE, *WORDS, label):
        assert word not in text and word not in folder.name, word
    assert "Clown" in text and "(thought slug before)" in text
    assert "Still open since day 0: egg 2, alive?" in text


def test_each_tick_brings_its_own(screen: EggsScreen, book: Collection) -> None:
    for tick, words in (("ids", IDS), ("place", PLACE), ("words", WORDS)):
        text, _ = shared(screen, book, tick)
        assert all(word in text for word in words), tick
        others = {*IDS, *PLACE, *WORDS} - {*words}
        assert not any(word in text for word in others), tick


def test_pictures_have_their_caption_under_them(screen: EggsScreen, book: Collection) -> None:
    text, folder = shared(screen, book)
    (file,) = folder.glob("*.jpg")
    assert file.name in text
    with Image.open(file) as image:
        assert image.width == 640 and image.height > 480
        assert not image.getexif()
        strip = image.convert("L").crop((0, 484, 640, image.height))
        assert strip.getextrema()[0] < 100 < 240 < strip.getextrema()[1]  # dark letters on white


def test_a_picture_whose_file_is_gone_is_said(screen: EggsScreen, book: Collection) -> None:
    for file in (book.folder / "photos").rglob("*.*"):
        if file.is_file():
            file.unlink()
    text, folder = shared(screen, book)
    assert "the picture is missing" in text and not list(folder.glob("*.jpg"))
