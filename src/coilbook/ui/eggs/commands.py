"""What can be done on the screen of eggs, as data."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Protocol

from PySide6.QtWidgets import QWidget

from coilbook.ui.commands import Command
from coilbook.ui.eggs.acts import EggActs
from coilbook.ui.eggs.candling import LETTERS
from coilbook.ui.eggs.entries import Entry
from coilbook.ui.eggs.entry_list import ENTRIES
from coilbook.wording.language import translated

_JUDGED = {
    "G": "Good, veins seen",
    "A": "Faint veins: doubtful",
    "D": "Doubtful, no veins",
    "S": "Slug",
    "X": "Dead",
    "E": "Dented",
    "U": "Mould",
    "K": "Wet spot",
    ".": "Looked, nothing to see",
    "+": "Better after what was done",
    "=": "The same after what was done",
    "-": "Worse after what was done",
}


assert _JUDGED.keys() == LETTERS.keys()


class Doing(Protocol):
    """What the commands run; the screen of eggs is one."""

    @property
    def screen_key(self) -> str: ...

    @property
    def acts(self) -> EggActs: ...
    def as_widget(self) -> QWidget: ...
    def begin(self, entry: str) -> None: ...
    def can_begin(self, entry: Entry) -> bool: ...
    def judge(self, letter: str) -> None: ...
    def can_judge(self) -> bool: ...
    def candle(self) -> None: ...
    def can_look(self) -> bool: ...
    def has_clutch(self) -> bool: ...
    def can_pour(self) -> bool: ...
    def story(self) -> None: ...
    def next_clutch(self) -> None: ...
    def turn_to(self, part: str) -> None: ...
    def can_turn(self) -> bool: ...
    def has_young(self) -> bool: ...
    def idle(self) -> bool: ...


Made = Callable[..., Command]


def eggs_commands(screen: Doing) -> list[Command]:
    """Every command of the screen; letters only while no form is open."""

    def made(
        name: str, words: str, run: Callable[[], None], keys: str, usable: Callable[[], bool], also: str = ""
    ) -> Command:
        return Command(f"eggs.{name}", translated(words), run, keys, usable, screen.screen_key, also)

    forms = [
        made(entry.name, entry.words, partial(screen.begin, entry.name), entry.key, partial(screen.can_begin, entry))
        for entry in ENTRIES
    ]
    judged = [
        made(f"judge_{letter}", words, partial(screen.judge, letter), letter, screen.can_judge, "egg verdict candle")
        for letter, words in _JUDGED.items()
    ]
    return [*forms, *_looks(screen, made), *judged, *_ways(screen, made)]


def _looks(screen: Doing, made: Made) -> list[Command]:
    """One key each, at the open box."""
    return [
        made("fine", "Looked, fine", screen.acts.looked_fine, "F", screen.can_look, "box look"),
        made("candle", "Candle this clutch", screen.candle, "C", screen.has_clutch, "veins light"),
        made("pour", "Poured what was asked for", screen.acts.pour, "W", screen.can_pour, "water top up"),
        made("pip", "Pipped", screen.acts.pip, "P", screen.can_judge, "hatch"),
        made("empty", "This box is emptied", screen.acts.empty_box, "Del", screen.can_look),
    ]


def _ways(screen: Doing, made: Made) -> list[Command]:
    """To the story, another clutch, the lists of the whole collection."""
    doubts, helped = partial(screen.turn_to, "doubts"), partial(screen.turn_to, "helped")
    return [
        made("story", "The story of this clutch", screen.story, "T", screen.has_clutch, "timeline"),
        made("doubts", "Open doubts of the collection", doubts, "J", screen.can_turn, "list"),
        made("helped", "What was done to eggs and what helped", helped, "Ctrl+J", screen.can_turn, "treated wiped"),
        made("other", "The other clutch in this box", screen.next_clutch, "Q", screen.can_look),
        *_papers_and_files(screen, made),
    ]


def _papers_and_files(screen: Doing, made: Made) -> list[Command]:
    """Labels, sheets, pictures, a logger's file."""
    acts, read_in = screen.acts, partial(screen.acts.choose_file, screen.as_widget())
    paste, photo = "Paste a photo of this egg, else of its box", "Add a photo of this egg, else of its box"
    shelves = "Shelf list of the incubators"
    return [
        made("labels", "Labels of this box", acts.box_labels, "Ctrl+L", screen.can_look, "print side lid"),
        made("cups", "Cup labels of this clutch", acts.cup_labels, "Ctrl+Shift+L", screen.has_young, "print young"),
        made("sheet", "Clutch sheet", acts.sheet, "Ctrl+P", screen.has_clutch, "print pdf story grid"),
        made("shelves", shelves, acts.shelf_list, "Ctrl+Shift+P", screen.idle, "print pdf boxes"),
        made("paste", paste, acts.paste_photo, "Ctrl+V", screen.can_look, "picture"),
        made("photo", photo, acts.choose_photo, "Ctrl+Shift+O", screen.can_look, "picture image"),
        made("identify", "Identify this hatchling", acts.identify, "Ctrl+E", screen.has_young, "morph genes"),
        made("logger", "Bring in a logger's readings", read_in, "Ctrl+O", screen.idle, "import csv"),
    ]
