"""Eggs: shelves and boxes as they stand, a clutch egg by egg, water, warmth, hatching; letters for everything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from coilbook.operations.eggs import EggSeen, look_at_eggs
from coilbook.reads.codes import Found
from coilbook.reads.egg_rows import OpenDoubt
from coilbook.records.changes import Changes, Outcome
from coilbook.records.ids import EggBoxId, EggId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.vocabulary import Act
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.acts import EggActs
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.buttons import EggButtons
from coilbook.ui.eggs.candling import LETTERS, Candling
from coilbook.ui.eggs.commands import eggs_commands
from coilbook.ui.eggs.entries import Entry
from coilbook.ui.eggs.entry_list import BY_NAME
from coilbook.ui.eggs.entry_room import EntryRoom
from coilbook.ui.eggs.head import LOGGER_FILES, alert, hint, sentence
from coilbook.ui.eggs.keys import handled
from coilbook.ui.eggs.margin import egg_margin
from coilbook.ui.eggs.overall import DOUBTS, HELPED, Overall
from coilbook.ui.eggs.page import EggsPage
from coilbook.ui.eggs.reading import EggsAtDesk
from coilbook.ui.eggs.sheet import write_clutch_sheet, write_shelf_list
from coilbook.ui.eggs.tour import eggs_tour
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.notices import NoticeChoice
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.text import PageHead
from coilbook.ui.picture_codes import PICTURES
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated

#: tables this screen is read from
_RESTS_ON = ("incubator", "incubator_reading", "logger_day", "egg_box", "clutch", "clutch_sire", "egg", "box_look",
             "box_water", "egg_look", "egg_done", "hatching", "hatchling", "doubt", "photo", "animal",
             "setting", "finding", "sire")  # fmt: skip


#: forms that may be open over the lists
_OF_LISTS = ("doubt", "settle", "put_off")


class EggsScreen(Screen):
    """The incubators and every clutch in them."""

    key = "eggs"
    title = "Eggs"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.desk_eggs = EggsAtDesk(desk, self.show_now)
        self.acts = EggActs(desk, lambda: self.desk_eggs.at_hand)
        self.candling: Candling | None = None
        self.digits = ""
        self._list = eggs_commands(self)
        self._build()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def _build(self) -> None:
        desk, px = self.desk, self.desk.theme.px
        self.room = EntryRoom(desk)
        self.room.kept.connect(self._kept)
        self.room.closed.connect(self._to_page)
        self.room.ended.connect(self._to_page)
        self.page = EggsPage(desk)
        self.page.shelves.walked.connect(self._walked)
        self.page.open_box.chosen.connect(self.choose_egg)
        self.page.open_box.laid.connect(self.acts.lay_egg)
        self.page.table.chosen.connect(self.choose_egg)
        self.page.water.poured.connect(self.acts.pour)
        self.overall = Overall(desk)
        self.overall.walked.connect(self.margin_changed)
        self.overall.opened.connect(self._go_to)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.page)
        self.stack.addWidget(self.overall)
        steps = (self._by_name("lay"), self._by_name("incubator"))
        begin = translated("Enter the first clutch, each egg with its weight; its box is set up with it.")
        self.empty = EmptyState(desk.theme, translated("No eggs yet"), begin, steps)
        self.stack.addWidget(self.empty)
        self.head = PageHead(translated("Eggs"))
        self.buttons = EggButtons(desk.theme, self._by_name, self.head.buttons)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(12), px(24), px(8))
        column.setSpacing(px(10))
        column.addWidget(self.head)
        column.addWidget(self.room)
        column.addWidget(self.stack, 1)

    @property
    def screen_key(self) -> str:
        """The name its commands belong to."""
        return self.key

    def as_widget(self) -> QWidget:
        """Itself, for what stands over it."""
        return self

    def _by_name(self, name: str) -> Command:
        return next(command for command in self._list if command.id == f"eggs.{name}")

    # --- the window's questions -----------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show the incubators, at a box or an egg when given."""
        self.desk_eggs.read()
        box, egg = target.get("box"), target.get("egg")
        if isinstance(box, int):
            self.desk_eggs.choose_box(EggBoxId(box))
        if isinstance(egg, int):
            self.desk_eggs.choose_egg(EggId(egg))
        self.show_now()

    def refresh(self, changes: Changes) -> None:
        if changes.touches(*_RESTS_ON):
            self.desk_eggs.read()
            self.show_now()

    def dropped(self, paths: list[Path]) -> bool:
        """A logger's file goes into the incubator of the box in focus, a picture to the egg or box in focus."""
        if paths and paths[0].suffix.lower() in PICTURES and (self.at.egg is not None or self.at.box is not None):
            self.acts.add_photo(paths[0])
            return True
        if not paths or paths[0].suffix.lower() not in LOGGER_FILES or not self.desk_eggs.now.incubators:
            return False
        self.acts.import_file(paths[0])
        return True

    def scanned(self, found: Found) -> bool:
        """A box's code brings the box to hand."""
        if found.box is None:
            return False
        self._leave_candling()
        self.desk_eggs.choose_box(found.box)
        self.show_now()
        return True

    def commands(self) -> list[Command]:
        return self._list

    def primary_action(self) -> Command | None:
        return self._by_name("look")

    def count(self) -> int | None:
        return self.desk_eggs.now.counts[0] or None

    def foot_hint(self) -> str:
        if self.room.form is not None:
            return translated("`Tab` next field  `\u2190 \u2192` choose  `Enter` keeps it  `Esc` leaves")
        if self.part in (DOUBTS, HELPED):
            return self.overall.hint()
        return hint(self.candling, self.page.is_story)

    def margin_content(self) -> MarginContent:
        return self.overall.margin() if self.part in (DOUBTS, HELPED) else egg_margin(self.desk, self.at)

    def may_leave(self) -> bool:
        """Verdicts of a candling that was not kept are not lost by a slip."""
        if self.candling is not None and self.candling.seen:
            self.desk.notices.warn(say("The candling is not kept yet: Enter keeps it, Esc lets it go."))
            return False
        return True

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return eggs_tour(self)

    def afresh(self, state: Callable[[], None]) -> None:
        """A state of its own, whatever stood open before."""
        self._leave_candling()
        if self.room.form is not None:
            self.room.close_form()
        self.page.tell_story(False)
        self.stack.setCurrentWidget(self.page)
        state()

    def tour_papers(self, folder: Path) -> list[Path]:
        made = write_clutch_sheet(self.desk, self.at, folder)
        listed = write_shelf_list(self.desk, self.desk_eggs.now, folder)
        return [made, listed] if made is not None else [listed]

    # --- showing --------------------------------------------------------------------------------------------
    @property
    def at(self) -> AtHand:
        """Box, clutch and egg in focus; the doubt where the list of doubts stands."""
        at = self.desk_eggs.at_hand
        return replace(at, doubt=self.overall.doubts.doubt) if self.part == DOUBTS else at

    @property
    def part(self) -> str:
        """What stands on the page: a key of `buttons.SHOWN`."""
        if self.stack.currentWidget() is self.overall:
            return self.overall.part
        if self.stack.currentWidget() is not self.page:
            return "empty"
        return "story" if self.page.is_story else "eggs"

    def turn_to(self, part: str) -> None:
        """One of the lists of the whole collection, or back to the eggs."""
        if self.part == part:
            self.stack.setCurrentWidget(self.page)
            self._to_page()
            return
        self._leave_candling()
        self.overall.turn_to(part, self.desk_eggs.now)
        self.stack.setCurrentWidget(self.overall)
        self.show_now()
        (self.overall.currentWidget() or self).setFocus(Qt.FocusReason.OtherFocusReason)

    def can_turn(self) -> bool:
        """True while no form is open."""
        return self.room.form is None

    def _go_to(self, doubt: OpenDoubt | None) -> None:
        """To what a doubt is about."""
        if doubt is not None and doubt.animal is not None:
            self.desk.go_animal(doubt.animal)
        elif doubt is not None and self.desk_eggs.now.box(doubt.box) is not None:
            self.desk_eggs.choose_box(doubt.box)
            self.desk_eggs.choose_egg(doubt.egg)
            self.turn_to(DOUBTS)
        else:
            self.desk.notices.warn(say("It lies in no box that is in use."))

    def show_now(self) -> None:
        """Show what is at hand."""
        now, at = self.desk_eggs.now, self.at
        if self.stack.currentWidget() is not self.overall:
            self.stack.setCurrentWidget(self.page if now.boxes or now.with_dam or now.incubators else self.empty)
        shown = self.stack.currentWidget() is self.page
        if self.candling is not None:
            self.desk_eggs.choose_egg(self.candling.egg)
            at = self.at
        self.page.show_at(at, self.candling)
        if self.page.shelves.at_hand != self.desk_eggs.box:
            self.page.shelves.stand_at(self.desk_eggs.box)
        if self.part in (DOUBTS, HELPED):
            self.overall.show_now(now)
            self.head.title.setText(self.overall.title())
            self.head.say(self.overall.sentence())
        else:
            self.head.title.setText(translated("Eggs"))
            self.head.say(sentence(now, self.candling) if shown else "", alert(self.desk, now) if shown else "")
        self.buttons.show_for(self.part)
        self.margin_changed.emit()
        self.hint_changed.emit()
        self.count_changed.emit()

    def _walked(self) -> None:
        self._leave_candling()
        self.desk_eggs.choose_box(self.page.shelves.at_hand)
        self.show_now()

    def choose_egg(self, egg: EggId) -> None:
        """Put an egg in focus."""
        self.desk_eggs.choose_egg(egg)
        self.show_now()

    def next_clutch(self) -> None:
        """The other clutch in the same box."""
        self.desk_eggs.next_clutch()
        self.show_now()

    def story(self) -> None:
        """The story in the place of the box, or back."""
        self.page.tell_story(not self.page.is_story)
        self.show_now()

    # --- forms ----------------------------------------------------------------------------------------------
    def idle(self) -> bool:
        """True while no form, no candling and no list is open."""
        return self.room.form is None and self.candling is None and self.part not in (DOUBTS, HELPED)

    def can_begin(self, entry: Entry) -> bool:
        """True when what the form is about is in focus and no other form is open."""
        at = self.at
        there = {
            "box": at.box,
            "clutch": at.clutch,
            "egg": at.egg,
            "incubator": at.incubator,
            "doubt": at.doubts or None,
        }
        free = self.idle() or (self.room.form is None and entry.name in _OF_LISTS and self.candling is None)
        return free and (not entry.needs or there[entry.needs] is not None)

    def begin(self, entry: str) -> None:
        """Open a form."""
        found = BY_NAME[entry]
        if not self.can_begin(found):
            return
        if entry == "hatch" and self.at.clutch is not None and not self.at.waiting:
            told = say("No egg of {clutch} is still to hatch.", clutch=self.at.clutch.label)
            self.desk.notices.refuse(Refusal(told))
            return
        self.room.begin(found, self.at)
        self.hint_changed.emit()

    def _kept(self, outcome: Outcome[Any]) -> None:
        act = outcome.changes.act
        if outcome.kind is Act.MAKE_HATCHLINGS and act is not None:
            cups = list(outcome.value)
            go = partial(self.desk.go, "labels", cups=cups)
            self.desk.notices.offer_beside(act, NoticeChoice(say("Cup labels"), go))
        if outcome.kind in (Act.LAY_CLUTCH, Act.SET_UP_BOX) and act is not None:
            boxes = [EggBoxId(row) for row in outcome.changes.rows.get("egg_box", ())]
            if boxes:
                self.desk_eggs.choose_box(boxes[0])
                go = partial(self.desk.go, "labels", boxes=boxes)
                self.desk.notices.offer_beside(act, NoticeChoice(say("Box label"), go))

    def _to_page(self) -> None:
        self.show_now()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- acts -----------------------------------------------------------------------------------------------
    def can_look(self) -> bool:
        """True when a box is in focus and nothing is half done."""
        return self.idle() and self.at.box is not None

    def has_clutch(self) -> bool:
        """True when a clutch is in focus and nothing is half done."""
        return self.idle() and self.at.clutch is not None

    def can_pour(self) -> bool:
        """True when water is asked for."""
        return self.idle() and self.acts.to_pour() > 0

    def candle(self) -> None:
        """Begin to walk through the eggs, or leave it."""
        if self.candling is not None:
            self._leave_candling()
        elif self.at.lying:
            self.page.tell_story(False)
            self.candling = Candling(self.at)
        self.show_now()

    def _leave_candling(self) -> None:
        self.candling = None

    def keep_candling(self) -> None:
        """Write down what the candling saw."""
        candling, self.candling = self.candling, None
        if candling is not None and candling.seen:
            self.desk.run(look_at_eggs, on_refused=partial(self._candling_refused, candling), looks=candling.seen)
        self.show_now()

    def _candling_refused(self, candling: Candling, error: CoilbookError) -> None:
        """What was seen is not lost: the candling stands as it was."""
        self.candling = candling
        self.desk.notices.refuse(error)
        self.show_now()

    def can_judge(self) -> bool:
        """True when a letter has an egg to be about."""
        idle = self.room.form is None and self.part == "eggs"
        return self.candling is not None or (idle and self.at.egg is not None)

    def judge(self, letter: str) -> None:
        """A verdict on the egg in the light, or at once on the egg in focus."""
        seen: EggSeen = LETTERS[letter]
        if self.candling is not None:
            self.candling.judge(seen)
            self.show_now()
        elif self.can_judge():
            self.acts.judge(seen)

    # --- labels and young -----------------------------------------------------------------------------------
    def has_young(self) -> bool:
        """True when the clutch has hatchlings."""
        return self.idle() and bool(self.acts.young())

    # --- keys -----------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Digits choose an egg, arrows walk the shelves, Enter keeps or pours, Esc lets go."""
        if not handled(self, event):
            super().keyPressEvent(event)
