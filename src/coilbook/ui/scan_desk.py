"""What a scan does: the open screen first, else the record opens; animal then slot offers a move for ten seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from coilbook.labels.code import parse
from coilbook.operations.moving import move_animal
from coilbook.reads.codes import Found, Standing, meaning_of, who_is_in
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.ui.notices import NoticeChoice
from coilbook.ui.scan_answers import answer_to

if TYPE_CHECKING:
    from coilbook.ui.main_window import MainWindow

#: how long after an animal a slot's code means "move her here?", and how long that offer then stands
OFFER_STANDS_MS = 10_000


class ScanDesk(QObject):
    """Takes every scan of the window. A move happens only by confirming the offer, never by scanning alone."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window, self._desk = window, window.desk
        self._last: Found | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._expire)
        self._offered = False

    def scanned(self, text: str) -> None:
        """A finished text of the scanner, of a picture, or typed as a code."""
        try:
            found = meaning_of(self._desk.collection, parse(text))
        except CoilbookError as error:
            self._bad(error)
            return
        answer = answer_to(found)
        if found.animal is None and found.place is None and found.box is None:
            self._bad(Refusal(answer if answer is not None else say("That code means nothing here.")))
            return
        self._good(found)
        screen = self._window.screen_open
        taken = screen is not None and screen.scanned(found)
        if not taken:
            self._take(found)
        if answer is not None and not self._offered:
            self._desk.notices.warn(answer)

    def doubtful(self, readings: tuple[str, ...]) -> None:
        """The keyboard's layout leaves two readings that are both sound codes: the keeper says which."""
        choices = tuple(
            NoticeChoice(say("{code}", code=reading), lambda one=reading: self._chosen(one))  # type: ignore[misc]
            for reading in readings[:3]
        )
        if self._desk.settings.sound:
            self._window.sounds.bad()
        self._desk.notices.refuse(Refusal(say("The scanner's keys can be read in two ways. Which one is it?")), choices)

    def _chosen(self, reading: str) -> None:
        self._desk.notices.put_away()
        self.scanned(reading)

    def _bad(self, error: CoilbookError) -> None:
        if self._desk.settings.sound:
            self._window.sounds.bad()
        self._desk.notices.refuse(error)
        self._window.line.scanner.bad(self._desk.render(error.message))

    def _good(self, found: Found) -> None:
        if self._desk.settings.sound:
            self._window.sounds.good()
        self._window.line.scanner.good(found.name)

    def _take(self, found: Found) -> None:
        if found.animal is not None:
            self._remember(found)
            self._desk.go_animal(found.animal)
        elif found.box is not None:
            self._remember(None)
            self._desk.go("eggs", box=found.box)
        elif found.place is not None:
            before = self._last
            self._remember(None)
            if before is not None and before.animal is not None and before.standing is Standing.PRESENT:
                self._offer_move(before.animal, before.name, found.place, found.name)
            else:
                self._who(found.place, found.name)

    def _who(self, place: PlaceId, label: str) -> None:
        here = who_is_in(self._desk.collection, place)
        if not here:
            self._desk.notices.tell(say("{place} is empty.", place=label))
            return
        names = ", ".join(name for _, name in here)
        self._desk.notices.tell(say("{place}: {names}", place=label, names=names))
        if len(here) == 1:
            self._desk.go_animal(here[0][0])

    def _offer_move(self, animal: AnimalId, name: str, place: PlaceId, label: str) -> None:
        if any(one == animal for one, _ in who_is_in(self._desk.collection, place)):
            self._desk.notices.tell(say("{animal} is in {place}, as the book says.", animal=name, place=label))
            return
        move = NoticeChoice(
            say("Move {animal} to {place}", animal=name, place=label), lambda: self._move(animal, place)
        )
        self._desk.notices.ask(say("{animal}, then {place}: move?", animal=name, place=label), (move,))
        self._offered = True
        self._timer.start(OFFER_STANDS_MS)

    def _move(self, animal: AnimalId, place: PlaceId) -> None:
        self._expire()
        self._desk.run(move_animal, animal=animal, place=place)

    def _remember(self, found: Found | None) -> None:
        self._expire()
        self._last = found
        if found is not None:
            self._timer.start(OFFER_STANDS_MS)

    def _expire(self) -> None:
        self._timer.stop()
        self._last = None
        if self._offered:
            self._offered = False
            self._desk.notices.put_away()
