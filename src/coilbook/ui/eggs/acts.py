"""The acts of the screen of eggs that take one key and no form."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from coilbook.operations.egg_boxes import BoxDetails, BoxSeen, edit_box, look_at_box, water_box
from coilbook.operations.eggs import EggDetails, EggSeen, edit_egg, look_at_eggs
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.operations.incubators import import_readings
from coilbook.operations.photos import add_egg_photo
from coilbook.records.egg_vocabulary import HatchEvent
from coilbook.records.ids import AnimalId, EggId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass
from coilbook.ui.animal.photo_intake import chosen_picture, pasted_picture
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.head import choose_logger_file
from coilbook.ui.eggs.sheet import print_clutch_sheet, print_shelf_list

#: how far one press of an arrow moves an egg, in thousandths of the box
NUDGE = 50


class EggActs:
    """Runs acts about what is at hand; nothing without it."""

    def __init__(self, desk: Desk, at_hand: Callable[[], AtHand]) -> None:
        self._desk, self._at = desk, at_hand

    def looked_fine(self) -> None:
        """Looked at the box, everything fine."""
        box = self._at().box
        if box is not None:
            self._desk.run(look_at_box, box=box.id, seen=BoxSeen(fine=True))

    def to_pour(self) -> int:
        """Tenths of a gram of water asked for, 0 for none."""
        at = self._at()
        water = at.now.water(at.box) if at.box is not None else None
        return water.pour_dg if water is not None else 0

    def pour(self) -> None:
        """The number asked for was poured."""
        box, pour = self._at().box, self.to_pour()
        if box is not None and pour:
            self._desk.run(water_box, box=box.id, added=Mass(pour))

    def empty_box(self) -> None:
        """The box is not used any more."""
        box = self._at().box
        if box is not None:
            self._desk.run(edit_box, box=box.id, details=BoxDetails(emptied=self._desk.clock().date()))

    def judge(self, seen: EggSeen) -> None:
        """A look at the egg in focus."""
        egg = self._at().egg
        if egg is not None:
            self._desk.run(look_at_eggs, looks={egg.id: seen})

    def pip(self) -> None:
        """The egg in focus has pipped, seen at this look."""
        egg = self._at().egg
        if egg is not None:
            self._desk.run(hatch_eggs, eggs=[OfEgg(egg.id)], event=HatchEvent.PIP)

    def lay_egg(self, egg: EggId, x: int, y: int) -> None:
        """An egg lies elsewhere in its box, in thousandths of it."""
        self._desk.run(edit_egg, egg=egg, details=EggDetails(x=x, y=y))

    def nudge(self, across: int, down: int) -> None:
        """The egg in focus a little that way in its box."""
        egg = self._at().egg
        if egg is not None:
            x, y = (500 if at is None else at for at in (egg.x, egg.y))
            self.lay_egg(egg.id, min(max(x + NUDGE * across, 0), 1000), min(max(y + NUDGE * down, 0), 1000))

    def import_file(self, file: Path) -> None:
        """Bring a logger's readings into the incubator of the box in focus, else the first."""
        at = self._at()
        there = at.now.incubators
        if there:
            in_focus = at.box.incubator if at.box is not None else None
            incubator = in_focus if in_focus is not None else there[0].id
            self._desk.run_long(import_readings, say("Reading {file}", file=file.name), incubator=incubator, file=file)

    def paste_photo(self) -> None:
        """The clipboard's picture, for the egg in focus, else its box."""
        picture = pasted_picture()
        if picture is None:
            self._desk.notices.refuse(Refusal(say("There is no picture in the clipboard.")))
        else:
            self.add_photo(picture)

    def choose_photo(self) -> None:
        """Ask for a picture's file and add it."""
        file = chosen_picture(None)
        if file is not None:
            self.add_photo(file)

    def add_photo(self, file: Path | bytes) -> None:
        """A picture of the egg in focus, else of the box."""
        at = self._at()
        egg = at.egg.id if at.egg is not None else None
        self._desk.run(add_egg_photo, picture=file, egg=egg, box=at.box.id if at.box is not None else None)

    def choose_file(self, parent: QWidget) -> None:
        """Ask for a logger's file and bring it in."""
        file = choose_logger_file(parent) if self._at().now.incubators else None
        if file is not None:
            self.import_file(file)

    # --- labels and young ----------------------------------------------------------------------------------
    def young(self) -> list[AnimalId]:
        """Hatchlings of the clutch, those of the egg in focus first."""
        at = self._at()
        eggs = sorted(at.eggs, key=lambda egg: (at.egg is None or egg.id != at.egg.id, egg.number))
        return [animal for egg in eggs for animal, _ in egg.young]

    def box_labels(self) -> None:
        """The label of the box in focus, to the queue."""
        box = self._at().box
        if box is not None:
            self._desk.go("labels", boxes=[box.id])

    def sheet(self) -> None:
        """The sheet of the clutch in focus, as a PDF."""
        print_clutch_sheet(self._desk, self._at())

    def shelf_list(self) -> None:
        """Every place of every incubator, as a PDF."""
        print_shelf_list(self._desk, self._at().now)

    def cup_labels(self) -> None:
        """The cup labels of the clutch in focus, to the queue."""
        if self.young():
            self._desk.go("labels", cups=self.young())

    def identify(self) -> None:
        """The hatchling of the egg in focus, or the first of the clutch, among what its parents can give."""
        if self.young():
            self._desk.go("identify", animal=self.young()[0])
