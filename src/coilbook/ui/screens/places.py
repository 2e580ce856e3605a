"""Places: the racks of the room with who lives where; add, rename, move in, clean, and print slot labels."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QStackedWidget, QVBoxLayout

from coilbook.operations.asks import Asks
from coilbook.operations.care import clean_place
from coilbook.operations.moving import move_animal
from coilbook.operations.places import add_rack, add_slot, edit_place, remove_place, rename_rack, set_walking_order
from coilbook.operations.uncollected import without_collector
from coilbook.reads.codes import code_of
from coilbook.reads.lookup import animal_called
from coilbook.reads.places import NOTHING_YET, PlaceRow, PlacesPage, places_page
from coilbook.records.changes import Changes, Outcome
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import CoilbookError, Refusal, say
from coilbook.records.vocabulary import CleaningExtent, CodeKind, PlaceKind
from coilbook.ui.background import Control, Job
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.health_words import health_sections, health_shapes
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.notices import NoticeChoice
from coilbook.ui.parts.buttons import PrimaryButton, QuietButton
from coilbook.ui.parts.empty_state import EmptyState
from coilbook.ui.parts.form_place import FormPlace
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.parts.text import PageHead
from coilbook.ui.places.forms import OneLineForm, RackForm, next_name
from coilbook.ui.places.map_view import RoomMap
from coilbook.ui.screen import Screen
from coilbook.wording.language import translated, translated_plural


class PlacesScreen(Screen):
    """Racks and slots as they stand."""

    key = "places"
    title = "Places"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        theme = desk.theme
        self._page = NOTHING_YET
        self._job: Job | None = None
        #: the place to go to once it has been read
        self._target: PlaceId | None = None
        self.map = RoomMap(theme)
        self._list = self._make_commands()
        by_id = {command.id.split(".")[1]: command for command in self._list}
        self.head = PageHead(translated("Places"))
        self.labels = QuietButton.of(theme, by_id["labels"])
        self.head.buttons.addWidget(self.labels)
        self.add_button = PrimaryButton.of(theme, by_id["add"])
        self.head.buttons.addWidget(self.add_button)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(self.map)
        scroll.setFocusProxy(self.map)
        self.empty = EmptyState(
            theme,
            translated("No rack yet"),
            translated("A rack with its slots gives every tub a place and a label. Animals can live here without one."),
            (by_id["add"],),
        )
        self.stack = QStackedWidget()
        self.stack.addWidget(scroll)
        self.stack.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(theme.px(24), theme.px(16), theme.px(24), 0)
        column.setSpacing(theme.px(12))
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        self.forms: FormPlace[InlineForm] = FormPlace(self, column, 1, self.map.setFocus)
        self.begins_at(self.map)
        self.map.walked.connect(self._walked)
        self.map.opened.connect(self.open_dweller)

    def _make_commands(self) -> list[Command]:
        def made(name: str, words: str, run: Callable[[], None], keys: str = "", also: str = "") -> Command:
            usable = self._has_place if name != "add" else _always
            return Command(f"places.{name}", translated(words), run, keys, usable, self.key, also)

        return [
            made("add", "Add a rack", self.ask_rack, "Ctrl+N", "new rack slots"),
            made("add_slot", "Add a slot to this rack", self.ask_slot, "A", "new tub"),
            made("labels", "Slot labels of this rack", self.print_labels, "Ctrl+L", "print"),
            made("move_in", "Move an animal here", self.ask_animal, "M"),
            made("clean", "Rack cleaned", partial(self.clean, CleaningExtent.FULL), "C", "full change"),
            made("clean_slot", "This tub cleaned", self.clean_slot, "S", "spot clean"),
            made("rename", "Rename this rack", self.ask_name, "F2", "renumber"),
            made("quarantine", "Quarantine on or off", self.toggle_quarantine, "Q"),
            made("earlier", "Walk past this rack earlier", partial(self.reorder, -1), "Alt+Up"),
            made("later", "Walk past this rack later", partial(self.reorder, 1), "Alt+Down"),
            made("remove", "Take this place away", self.remove, "Del"),
        ]

    # --- what there is -------------------------------------------------------------------------------------
    def open(self, **target: object) -> None:
        """Show the room, the focus on `place` when given."""
        place = target.get("place")
        if isinstance(place, int):
            self._target = PlaceId(place)
            self.map.focus_on(self._target)
        self.read()

    def refresh(self, changes: Changes) -> None:
        if changes.touches("place", "animal", "health_course", "course_step"):
            self.read()

    def read(self) -> None:
        """Read the places and who lives in them, beside the window; what stands there stays until then."""
        if self._job is not None:
            self._job.cancel()
        collection = self.desk.collection

        def work(_control: Control) -> PlacesPage:
            with without_collector():
                return places_page(collection)

        def arrived(page: PlacesPage) -> None:
            if job is None or not job.stopped.is_set():
                self._show(page)

        def failed(error: CoilbookError) -> None:
            if job is None or not job.stopped.is_set():
                self.desk.tell_failed(error)

        job: Job | None = None
        job = self.desk.background.read(work, arrived, failed)
        self._job = job

    def _show(self, page: PlacesPage) -> None:
        self._page = page
        racks, slots = len(page.racks), len(page.rack_of)
        self.stack.setCurrentIndex(0 if racks else 1)
        # an empty page has its one filled button in the middle
        self.labels.setVisible(bool(slots))
        self.add_button.setVisible(bool(racks))
        if racks:
            parts = (
                translated_plural("{n} slot", "{n} slots", slots),
                translated_plural("{n} lived in", "{n} lived in", page.lived_in),
            )
            self.head.say(", ".join(parts), translated_plural("{n} rack", "{n} racks", racks))
        else:
            self.head.say("")
        self.map.show_places(page, health_shapes(page.courses, self.desk.clock().date()))
        if self._target in page.places and self._target is not None:
            self.map.focus_on(self._target)
        self._target = None
        self.labels.setEnabled(self._has_place())

    def _walked(self) -> None:
        self.labels.setEnabled(self._has_place())
        self.margin_changed.emit()

    def _has_place(self) -> bool:
        return self.map.place is not None

    def _rack(self) -> PlaceRow | None:
        place = self.map.place
        if place is None or place.kind is PlaceKind.RACK:
            return place
        return self._page.places.get(place.parent) if place.parent is not None else None

    # --- forms ---------------------------------------------------------------------------------------------
    def leave_form(self) -> None:
        """Close the open form."""
        self.forms.close()

    def _left(self, _outcome: object) -> None:
        self.leave_form()

    def _refused(self, error: CoilbookError) -> None:
        self.forms.refuse(self.desk.render(error.message))

    def ask_rack(self) -> None:
        """Open the form of a new rack."""
        form = RackForm(self.desk.theme)
        self.forms.open(form, partial(self._add_rack, form))

    def _add_rack(self, form: RackForm) -> None:
        try:
            name, rows, columns, quarantine = form.asked()
        except Refusal as error:
            self._refused(error)
            return
        arguments = {"name": name, "rows": rows, "columns": columns, "quarantine": quarantine}
        self.desk.run(add_rack, self._left, on_refused=self._refused, **arguments)

    def ask_slot(self) -> None:
        """Open the form of one more slot at the end of the rack in focus."""
        rack = self._rack()
        if rack is None:
            return
        title = translated("One more slot in {place}").format(place=rack.label)
        begun = next_name([slot.name for slot in self._page.slots.get(rack.id, ())])
        form = OneLineForm(self.desk.theme, title, translated("Name"), translated("Add the slot"), begun)
        self.forms.open(form, lambda: self._add_slot(form, rack.id))

    def _add_slot(self, form: OneLineForm, rack: PlaceId) -> None:
        def added(outcome: Outcome[PlaceId]) -> None:
            self.leave_form()
            self.map.focus_on(outcome.value)

        self.desk.run(add_slot, added, on_refused=self._refused, rack=rack, name=form.line.text())

    def ask_name(self) -> None:
        """Open the form of another name for the rack in focus."""
        rack = self._rack()
        if rack is None:
            return
        title = translated("Another name for {place}").format(place=rack.label)
        form = OneLineForm(self.desk.theme, title, translated("Name"), translated("Rename"), rack.label)
        self.forms.open(form, lambda: self._rename(form, rack.id))

    def _rename(self, form: OneLineForm, rack: PlaceId) -> None:
        self.desk.run(rename_rack, self._left, on_refused=self._refused, rack=rack, name=form.line.text())

    def ask_animal(self) -> None:
        """Open the form of an animal to move into the slot in focus."""
        place = self.map.place
        if place is None or place.kind is not PlaceKind.SLOT:
            return
        title = translated("Move an animal to {place}").format(place=place.label)
        form = OneLineForm(self.desk.theme, title, translated("Its id or name"), translated("Move"))
        self.forms.open(form, lambda: self._move_typed(form, place.id))

    def _move_typed(self, form: OneLineForm, place: PlaceId) -> None:
        animal = animal_called(self.desk.collection, form.line.text())
        if animal is None:
            form.refuse(translated("No animal {id}.").format(id=form.line.text().strip()), "line")
            return
        self._move(animal, place, {})

    def _move(self, animal: AnimalId, place: PlaceId, more: dict[str, object]) -> None:
        def refused(error: CoilbookError) -> None:
            self._refused(error)
            if isinstance(error, Asks):
                choices = tuple(
                    NoticeChoice(choice.word, partial(self._move, animal, place, {**more, **choice.arguments}))
                    for choice in error.choices
                )
                self.desk.notices.refuse(error, choices)

        self.desk.run(move_animal, self._left, on_refused=refused, animal=animal, place=place, **more)

    # --- acts ----------------------------------------------------------------------------------------------
    def clean(self, extent: CleaningExtent) -> None:
        """Every tub of the rack in focus was cleaned."""
        rack = self._rack()
        if rack is not None:
            self.desk.run(clean_place, place=rack.id, extent=extent)

    def clean_slot(self) -> None:
        """The tub in focus was spot cleaned."""
        place = self.map.place
        if place is not None:
            self.desk.run(clean_place, place=place.id, extent=CleaningExtent.SPOT)

    def toggle_quarantine(self) -> None:
        """Mark the rack in focus as quarantine, or no longer; one that is so by what it stands in is asked about."""
        rack = self._rack()
        by = rack.above(self._page.places) if rack is not None and rack.apart_by and not rack.quarantine else None
        if by is not None and rack is not None:
            told = say("{rack} is of quarantine as all of {place} is.", rack=rack.label, place=by.label)
            words = say("All of {place} no longer", place=by.label)
            self.desk.notices.ask(told, (NoticeChoice(words, partial(self._end_quarantine, by.id)),))
        elif rack is not None:
            self.desk.run(edit_place, place=rack.id, quarantine=not rack.quarantine)

    def _end_quarantine(self, place: PlaceId) -> None:
        self.desk.run(edit_place, place=place, quarantine=False)

    def reorder(self, step: int) -> None:
        """Walk past the rack in focus one earlier or later."""
        rack = self._rack()
        order = [one.id for one in self._page.racks]
        if rack is None:
            return
        at = order.index(rack.id)
        to = at + step
        if 0 <= to < len(order):
            order[at], order[to] = order[to], order[at]
            self.desk.run(set_walking_order, places=order)

    def remove(self) -> None:
        """Take the unused place in focus away."""
        place = self.map.place
        if place is not None:
            self.desk.run(remove_place, place=place.id)

    def print_labels(self) -> None:
        """Take the slot labels of the rack in focus to the label queue."""
        rack = self._rack()
        if rack is not None:
            slots = [slot.id for slot in self._page.slots.get(rack.id, ())]
            self.desk.go("labels", slots=slots)

    def open_dweller(self) -> None:
        """Open who lives in the slot in focus; an empty slot asks for an animal."""
        place = self.map.place
        if place is not None and place.dwellers:
            self.desk.go_animal(place.dwellers[0][0])
        elif place is not None:
            self.ask_animal()

    def scanned(self, found: object) -> bool:
        """A slot's code puts the focus on it."""
        place = getattr(found, "place", None)
        if not isinstance(place, int):
            return False
        self.map.focus_on(PlaceId(place))
        return True

    # --- what the window asks ------------------------------------------------------------------------------
    def primary_action(self) -> Command | None:
        return self._list[0]

    def commands(self) -> list[Command]:
        return self._list

    def foot_hint(self) -> str:
        return translated(
            "`Enter` opens who lives there  `M` moves in  `A` adds a slot  `C` rack cleaned  `F2` renames"
        )

    def margin_content(self) -> MarginContent:
        place = self.map.place
        if place is None:
            return MarginContent(
                heading=translated("Places"),
                verdict=translated("A place for every tub"),
                why=translated("Slot labels stay on the rack; the card with the animal's code travels with it."),
            )
        code = code_of(self.desk.collection, CodeKind.SLOT, place.id)
        who = ", ".join(name for _, name in place.dwellers) or translated("nobody")
        facts = [Fact(translated("Lives here"), who, bool(place.dwellers))] if place.kind is PlaceKind.SLOT else []
        facts += [Fact(translated("Code"), code.shown)] if code is not None else []
        facts += [Fact(translated("Quarantine"), self._apart_words(place))] if place.apart_by else []
        links = tuple(MarginLink(name, partial(self.desk.go_animal, animal)) for animal, name in place.dwellers)
        return MarginContent(
            heading=translated("The place in focus"),
            whose=place.label,
            verdict=who if place.kind is PlaceKind.SLOT else translated("a rack"),
            facts=tuple(facts),
            sections=(
                *self._health_of(place),
                MarginSection(
                    translated("Walking order"),
                    text=translated(
                        "Rounds, labels and lists follow the racks from top to bottom as they stand here. "
                        "Alt and the arrows move a rack. Renaming a rack keeps every code: old labels still open it."
                    ),
                ),
            ),
            links=links,
            strip=place.label,
        )

    def _health_of(self, place: PlaceRow) -> list[MarginSection]:
        """Treatments and quarantines that go on of who lives there."""
        today, style = self.desk.clock().date(), self.desk.style
        return [
            section
            for animal, name in place.dwellers
            for section in health_sections(self._page.courses.get(animal, ()), today, style, name)
        ]

    def _apart_words(self, place: PlaceRow) -> str:
        return translated("yes") if place.quarantine else translated("as all of {place}").format(place=place.apart_by)

    def tour_states(self) -> list[tuple[str, Callable[[], None]]]:
        return [("new-rack", self.ask_rack), ("new-slot", self.ask_slot)]


def _always() -> bool:
    return True
