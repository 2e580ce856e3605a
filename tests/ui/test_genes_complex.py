"""A complex in the real window: found, corrected and renamed by key, in conflict with an update, undone."""

from __future__ import annotations

import re
from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from coilbook.derived.genetics_book import book_of
from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.reads.genes import EntryKind
from coilbook.storage.species import shipped_texts
from coilbook.ui.genes.first_look import look_for_conflicts
from coilbook.ui.margin_content import Fact
from coilbook.ui.parts.fields import SentenceEdit
from coilbook.ui.screens.genes import GenesScreen
from coilbook.ui.screens.registry import registered_screens
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow
from tests.ui.test_genes_screen import Page, page, update

__all__ = ["page", "update"]

FIRE = "fire complex"


def facts(page: Page, heading: str) -> list[tuple[str, str]]:
    sections = [section for section in page.margin.sections if section.heading == heading]
    return [(row.name, row.value) for section in sections for row in section.rows if isinstance(row, Fact)]


def linkage_of(page: Page) -> object:
    return book_of(page.book).current().herds["ball_python"].loci[FIRE].states.locus.linkage


def test_a_complex_has_its_row_and_says_all_of_its_genes(page: Page, room: Room) -> None:
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="Vanilla"))
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Fire"))
    page.screen.reload()
    page.type_line("complex fire")
    page.focus(FIRE, EntryKind.COMPLEX)
    assert (page.row.name, page.row.parts, page.row.carry) == ("fire complex", "Fire, Vanilla, Disco", 2)
    assert ("Fire", "Black-eyed Leucistic") in facts(page, "Two doses")
    assert ("Fire + Vanilla", "Vanilla Cream") in facts(page, "Two of them together, as far as named")
    assert page.margin.why.startswith("One copy brightens") and "common practice" in page.margin.rests_on
    assert "carry a gene of it" in {fact.name: fact.value for fact in page.margin.facts}["in your care"]
    page.screen.filter_text("")
    page.focus("spider complex", EntryKind.COMPLEX)
    assert any(section.heading == "Not sure" and "Spider" in section.text for section in page.margin.sections)
    usable = {name for name, command in page.screen._named.items() if command.enabled()}
    assert {"correct", "complex", "rename"} <= usable and not usable & {"merge", "line", "hides", "caution", "animals"}


def test_a_complex_is_corrected_renamed_and_taken_back_by_key(page: Page, room: Room) -> None:
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="Vanilla"))
    page.focus(FIRE, EntryKind.COMPLEX)
    page.key(Qt.Key.Key_E)
    page.fill(source="published", description="Mine.")
    assert page.screen.forms.form is not None and page.own() == []  # published needs its citation
    page.fill(linkage="70")
    assert page.screen.forms.form is not None and page.own() == []
    page.fill(linkage="10", citation="An invented paper 2020")
    assert page.screen.forms.form is None and page.own() == [f"complex {FIRE}"] and page.row.own
    assert page.margin.why == "Mine." and "An invented paper 2020" in page.margin.rests_on
    assert {name for name, _ in facts(page, "You say otherwise")} == {"sex linkage", "source", "citation"}
    told = {section.heading: section.text for section in page.margin.sections}
    assert told["You say otherwise: description, shipped"].startswith("One copy brightens")
    assert linkage_of(page) is not None
    page.key(Qt.Key.Key_F2)
    page.fill(name="albino complex")
    assert page.screen.forms.form is not None  # another is called so
    page.fill(name="Ember series")
    assert (page.row.kind, page.row.key, page.row.name) == (EntryKind.COMPLEX, FIRE, "Ember series")
    # a gene of it says what concerns it, and is not itself in the keeper's words but for the meiosis
    page.focus("vanilla")
    assert page.row.group == "Ember series" and [n for n, _ in facts(page, "You say otherwise")] == ["sex linkage"]
    page.undo()
    assert page.row.group == "fire complex"
    page.undo()
    assert page.own() == [] and linkage_of(page) is None


def test_from_a_gene_to_its_complex_and_no_further_where_there_is_none(page: Page) -> None:
    page.focus("vanilla")
    page.key(Qt.Key.Key_X)
    page.fill(name="Ember series", description="Mine.")
    assert page.row.key == "vanilla" and page.row.group == "Ember series" and not page.row.own
    page.focus(FIRE, EntryKind.COMPLEX)
    page.key(Qt.Key.Key_E)
    page.fill(name="Ember series")
    assert page.screen.forms.form is not None  # nothing was changed
    QTest.keyClick(page.screen.forms.form, Qt.Key.Key_Escape)
    page.key(Qt.Key.Key_Delete)
    assert page.own() == [] and page.row.name == "fire complex"
    page.focus("clown")
    page.key(Qt.Key.Key_X)
    assert page.screen.forms.form is None


def test_an_update_with_new_words_for_a_complex_is_a_conflict_settled_either_way(
    page: Page, update: Callable[..., None]
) -> None:
    page.focus(FIRE, EntryKind.COMPLEX)
    page.key(Qt.Key.Key_E)
    page.fill(name="Ember series", description="Mine.")
    update('name = "fire complex"\n', 'name = "fire and vanilla complex"\n')
    page.screen.reload()
    assert page.names()[0] == "Ember series"
    page.focus(FIRE, EntryKind.COMPLEX)
    assert page.margin.needs_you and facts(page, "Conflict") == [
        ("name, shipped", "fire and vanilla complex"),
        ("name, yours", "Ember series"),
    ]
    page.key(Qt.Key.Key_K)
    assert not page.row.conflicts and page.row.name == "Ember series"
    page.undo()
    assert page.row.conflicts
    page.key(Qt.Key.Key_T)
    assert not page.row.conflicts and page.row.name == "fire and vanilla complex" and page.margin.why == "Mine."


def test_a_long_sentence_is_broken_into_lines_and_enter_and_tab_leave_it(page: Page) -> None:
    page.focus("spider")
    page.key(Qt.Key.Key_W)
    form = page.screen.forms.form
    assert form is not None
    editor = form.rows["text"].editor
    assert isinstance(editor, SentenceEdit) and editor.text().startswith("Every spider animal")
    page.window.show()
    sentence, seen = editor.text(), set()
    for times in range(1, 5):
        editor.set_text(sentence * times)
        lines = round(editor.document().size().height())
        seen.add(lines)
        # nothing of it is out of sight
        assert editor.viewport().height() >= min(lines, editor.MOST) * editor.fontMetrics().lineSpacing()
    assert len(seen) > 2
    editor.set_text(sentence)
    editor.setFocus()
    QTest.keyClick(editor, Qt.Key.Key_Tab)
    assert not editor.hasFocus() and "\t" not in editor.text()
    editor.setFocus()
    editor.selectAll()
    QTest.keyClicks(editor, "Seen here too.")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert page.screen.forms.form is None and page.own() == ["gene spider"]


def test_a_conflict_is_told_when_the_window_comes_up_and_beside_the_word(
    page: Page, update: Callable[..., None], qtbot: QtBot, make_window: MakeWindow
) -> None:
    page.focus("clown")
    page.key(Qt.Key.Key_E)
    page.fill(description="Mine.")
    window = make_window(*registered_screens())
    look_for_conflicts(window, after_ms=0)
    qtbot.wait(20)
    before = window.desk.notices.current
    assert before is not None and before.act is not None  # the correction; there is nothing else to say
    update("Broad dark back stripe", "A wide dark stripe")
    look_for_conflicts(window, after_ms=0)
    qtbot.waitUntil(lambda: window.desk.notices.current is not before)
    notice = window.desk.notices.current
    assert notice is not None and "1 entry of yours" in window.desk.render(notice.message)
    assert window.column.words["genes"].accessibleName() == "Genes, 1"
    notice.choices[0].run()
    screen = window.screen_open
    assert isinstance(screen, GenesScreen) and screen.count() == 1 and screen.row is not None
    assert screen.row.key == "clown" and screen.row.conflicts
    sections = {section.heading: section.text for section in screen.margin_content().sections}
    assert sections["description, yours"] == "Mine."
    assert sections["description, shipped"].startswith("A wide dark stripe")
    screen.keep_yours()
    assert screen.count() is None and window.column.words["genes"].accessibleName() == "Genes"


def test_a_conflict_of_another_species_is_said_too(page: Page, update: Callable[..., None]) -> None:
    page.key(Qt.Key.Key_S)
    page.focus("amelanistic")
    page.key(Qt.Key.Key_E)
    page.fill(description="Mine.")
    page.key(Qt.Key.Key_S)
    assert page.screen.book is not None and page.screen.book.species == "ball_python" and page.screen.count() is None
    shipped = shipped_texts()["corn_snake"]
    old = re.search(r'name = "Amelanistic".*?description = "([^"]+)"', shipped, re.DOTALL)
    assert old is not None
    update(old[1], "Other words.", file="corn_snake")
    page.screen.reload()
    assert page.screen.count() == 1 and "1 conflict of another species (S)" in page.screen.head._rest.text()
    page.key(Qt.Key.Key_S)
    assert page.row.key == "amelanistic" and page.row.conflicts and page.screen.count() == 1
