"""The catalogue in the real window: found as one types, explained in the margin, changed in place, undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit

from coilbook.derived.genetics_book import book_of
from coilbook.derived.genetics_catalogues import own_entries
from coilbook.genetics.catalogue_text import OwnEntry
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.departures import sell
from coilbook.operations.own_genes import keep_entry
from coilbook.reads.genes import CatalogueRow, EntryKind
from coilbook.reads.outlook import Pairing
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.storage import species
from coilbook.storage.collection import Collection
from coilbook.ui.commands import clashes
from coilbook.ui.main_window import MainWindow
from coilbook.ui.margin_content import Fact, MarginContent
from coilbook.ui.parts.fields import SentenceEdit
from coilbook.ui.screens.genes import GenesScreen
from coilbook.ui.screens.outlook import OutlookScreen
from coilbook.wording.resources import resource_path
from tests.operations.conftest import Room

#: an entry made when the shipped catalogue still said something else
OLDER = OwnEntry(
    "gene clown",
    '[[gene]]\nkey = "clown"\nname = "Mask"\ndescription = "Mine."\nwas = {name = "Clown", description = "older"}\n',
)


class Page:
    """The screen, driven by keys."""

    def __init__(self, book: Collection, window: MainWindow) -> None:
        self.book, self.window = book, window
        window.open_screen("genes")
        screen = window.made("genes")
        assert isinstance(screen, GenesScreen)
        self.screen = screen

    @property
    def row(self) -> CatalogueRow:
        row = self.screen.row
        assert row is not None
        return row

    @property
    def margin(self) -> MarginContent:
        return self.screen.margin_content()

    def focus(self, key: str, kind: EntryKind = EntryKind.GENE) -> None:
        number = self.screen.model.number_of(kind, key)
        assert number >= 0
        self.screen.table.setCurrentIndex(self.screen.model.index(number, 0))

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.screen.table, key, modifier)

    def fill(self, **texts: str) -> None:
        """Type into the open form, and Enter."""
        form = self.screen.forms.form
        assert form is not None
        for name, text in texts.items():
            editor = form.rows[name].editor
            if isinstance(editor, QComboBox):
                editor.setCurrentIndex(editor.findText(text))
                assert editor.currentText() == text
            elif isinstance(editor, QLineEdit | SentenceEdit):
                editor.selectAll()
                QTest.keyClicks(editor, text) if text else editor.clear()
        QTest.keyClick(editor, Qt.Key.Key_Return)

    def add(self, **texts: str) -> None:
        self.key(Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        self.fill(**texts)

    def undo(self) -> None:
        self.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)

    def type_line(self, text: str) -> None:
        self.window.search.begin()
        self.window.line.field.clear()
        QTest.keyClicks(self.window.line.field, text)

    def names(self) -> list[str]:
        model = self.screen.model
        return [model.look(row, 0).text or "" for row in range(model.rowCount())]

    def own(self) -> list[str]:
        return [entry.key for entry in own_entries(self.book, "ball_python")]


@pytest.fixture
def page(book: Collection, window: MainWindow) -> Page:
    return Page(book, window)


def test_everything_is_listed_and_has_its_key(page: Page) -> None:
    names = page.names()
    assert {"Clown", "Spider", "Ivory", "Killer Clown"} <= set(names) and len(names) > 80
    assert not clashes(page.screen.commands()) and all(c.shortcut for c in page.screen.commands())
    keys = [kind.key for kind in page.window.kinds if kind.title]
    assert keys.index("genes") == keys.index("outlook") + 1


def test_the_columns_there_is_room_for_stand_at_once(page: Page) -> None:
    table = page.screen.table
    page.screen.window().resize(1440, 900)
    QApplication.processEvents()
    assert [column for column in range(8) if table.isColumnHidden(column)] == [3]
    page.screen.window().resize(1920, 900)
    QApplication.processEvents()
    assert not any(table.isColumnHidden(column) for column in range(8))


def test_the_line_filters_as_it_is_typed(page: Page) -> None:
    page.type_line("recessive published")
    assert "Ghost" in page.names() and "Enchi" not in page.names() and "Axanthic" not in page.names()
    page.type_line("yellow belly combination")
    assert page.names() and all(page.screen.model.look(n, 1).text == "combination" for n in range(len(page.names())))
    page.type_line("clown zyzzy")
    assert page.names() == [] and page.screen.stack.currentWidget() is page.screen.empty
    assert [span.understood for span in page.screen.terms("clown zyzzy")] == [True, False]
    assert page.margin.verdict.startswith("Nothing fits")
    page.window.search.clear()
    assert len(page.names()) > 80 and page.screen.stack.currentWidget() is page.screen.table


def test_the_margin_says_everything_of_a_gene(page: Page) -> None:
    page.focus("spider")
    assert page.margin.verdict == "One dose visible; two doses not seen"
    told = {section.heading: section for section in page.margin.sections}
    assert "Evidence A, published. Published: Starck et al. 2022" in told["Caution"].text
    assert (
        "do not hatch" in told["Caution, with Champagne"].text and "Evidence B" in told["Caution, with Champagne"].text
    )
    assert "not sure" in told["With its alleles"].text and page.margin.rests_on == "Source: common practice."
    page.focus("yellow belly")
    told = {section.heading: section for section in page.margin.sections}
    assert told["Hides"].text == "Ivory: every other gene (common practice)"
    assert "Highway" in [fact.value for fact in told["With its alleles"].rows if isinstance(fact, Fact)]
    page.focus("clown")
    facts = {fact.name: fact.value for fact in page.margin.facts}
    assert (facts["one dose"], facts["two doses"], facts["molecular gene"]) == ("does not show", "Clown", "MC1R")
    page.focus("coral glow")
    assert "recombination" in {fact.name: fact.value for fact in page.margin.facts}["sex chromosomes"]
    page.focus("enchi")
    told = {section.heading: section for section in page.margin.sections}
    assert told["One dose is hidden by"].text == "Clown"


def test_every_row_answers_in_the_margin(page: Page) -> None:
    for row in range(len(page.names())):
        page.screen.table.setCurrentIndex(page.screen.model.index(row, 0))
        assert page.margin.whose and page.margin.verdict and page.margin.rests_on


def test_a_correction_in_place(page: Page) -> None:
    page.focus("yellow belly")
    page.key(Qt.Key.Key_E)
    page.fill(inheritance="dominant", two="Whiteout", aliases="yb, belly", linkage="3")
    assert page.screen.forms.form is None and page.row.key == "yellow belly" and page.row.own
    different = {section.heading: section for section in page.margin.sections}["You say otherwise"]
    assert [(fact.name, fact.value) for fact in different.rows if isinstance(fact, Fact)] == [
        ("sex linkage", "shipped: nothing"),
        ("other spellings", "shipped: yb"),
        ("name of two doses", "shipped: Ivory"),
        ("inheritance", "shipped: incomplete dominant"),
    ]
    assert {fact.name: fact.value for fact in page.margin.facts}["sex chromosomes"] == "3% recombination"
    assert page.own() == ["complex yellow belly complex", "gene yellow belly"]
    page.key(Qt.Key.Key_Return)
    page.fill(linkage="80")
    assert page.screen.forms.form is not None  # the complaint stands at its field
    QTest.keyClick(page.screen.forms.form, Qt.Key.Key_Escape)
    page.undo()
    assert page.own() == [] and not page.row.own


def test_the_molecular_gene_and_a_doubt_about_the_complex_are_the_keepers_to_say(page: Page) -> None:
    page.focus("vanilla")
    page.key(Qt.Key.Key_E)
    page.fill(unsure="not sure", gene="MITF")
    gene = page.screen.book.catalogue.genes["vanilla"] if page.screen.book is not None else None
    assert gene is not None and (gene.unsure_complex, gene.gene) == (True, "MITF")
    assert {fact.name: fact.value for fact in page.margin.facts}["molecular gene"] == "MITF"
    assert any("not sure" in section.text for section in page.margin.sections)


def test_nothing_changed_is_no_act(page: Page) -> None:
    for key in ("spider", "champagne", "clown", "yellow belly", "coral glow", "butter", "calico"):
        page.focus(key)
        page.key(Qt.Key.Key_E)
        page.fill(aliases=", ".join(page.row.aliases))
        assert page.screen.forms.form is not None and page.own() == []
        QTest.keyClick(page.screen.forms.form, Qt.Key.Key_Escape)


def test_conflicts_stand_first_in_clay_and_are_settled_by_key(page: Page) -> None:
    page.screen.desk.run(keep_entry, entry=OLDER)
    assert page.names()[0] == "Mask"
    looks = [page.screen.model.look(0, column) for column in range(page.screen.model.columnCount())]
    assert (looks[0].token, looks[0].shape) == ("clay", "triangle")
    assert ("conflict", "clay") in [(look.text, look.token) for look in looks]
    page.focus("clown")
    assert page.margin.needs_you and page.margin.verdict.startswith("Conflict")
    page.key(Qt.Key.Key_K)
    assert not page.row.conflicts and page.row.own
    page.undo()
    assert page.row.conflicts
    page.key(Qt.Key.Key_T)
    assert not page.row.conflicts and page.row.name == "Mask" and page.margin.why.startswith("Broad dark")
    page.key(Qt.Key.Key_Delete)
    assert page.own() == [] and page.row.name == "Clown"


def test_an_entry_left_out_is_shown_and_can_be_taken_back(page: Page) -> None:
    page.add(name="Lantern", inheritance="recessive")
    page.key(Qt.Key.Key_L)
    page.fill(words="Line Q")
    assert page.row.key == "lantern (line q)"
    page.focus("lantern")
    page.key(Qt.Key.Key_Delete)
    assert page.screen.model.row_at(0) is not None and page.names()[0] == "lantern (line q)"
    page.screen.table.setCurrentIndex(page.screen.model.index(0, 0))
    assert page.row.kind is EntryKind.LEFT_OUT and "left out" in page.margin.verdict
    page.key(Qt.Key.Key_Delete)
    assert page.own() == []


def test_pairs_combinations_and_refusals(page: Page) -> None:
    page.focus("clown")
    page.key(Qt.Key.Key_P)
    assert page.screen.forms.form is None  # it shares its locus with nobody
    page.focus("vanilla")
    page.key(Qt.Key.Key_P)
    page.fill(other="Disco", name="Cold Flame", how="not seen")
    assert "Cold Flame, not seen" in [
        fact.value for section in page.margin.sections for fact in section.rows if isinstance(fact, Fact)
    ]
    page.key(Qt.Key.Key_C)
    page.fill(name="Harvest Moon", parts="super Enchi zzyx")
    assert page.screen.forms.form is not None
    page.fill(parts="super Enchi Ghost")
    assert (page.row.kind, page.row.parts) == (EntryKind.COMBINATION, "Super Enchi Ghost")
    page.key(Qt.Key.Key_F2)
    page.fill(name="Moonrise")
    assert (page.row.name, page.row.aliases) == ("Moonrise", ("harvest moon",))


def test_what_a_gene_hides_is_said_in_its_form(page: Page) -> None:
    page.focus("enchi")
    page.key(Qt.Key.Key_H)
    page.fill(hides="Pastel, zzyx")
    assert page.screen.forms.form is not None and page.own() == []  # the complaint stands at its line
    page.fill(source="from memory", hides="Pastel, ghost", two_hides="everything")
    text = next(section.text for section in page.margin.sections if section.heading == "Hides")
    assert text == "Enchi: one dose of Ghost, Pastel; Super Enchi: every other gene (from memory)"
    page.key(Qt.Key.Key_H)
    page.fill(hides="Pastel, Ghost")
    assert page.screen.forms.form is not None  # nothing was changed
    page.fill(hides="")
    assert "one dose of" not in next(s.text for s in page.margin.sections if s.heading == "Hides")
    page.undo()
    page.undo()
    assert page.own() == []
    page.focus("albino")
    page.key(Qt.Key.Key_H)
    assert page.screen.forms.form is not None and "two_hides" not in page.screen.forms.form.rows


def test_a_caution_is_said_corrected_and_taken_out_in_its_form(page: Page) -> None:
    page.focus("ghost")
    page.key(Qt.Key.Key_W)
    page.fill(evidence="B, reported by many keepers", text="Thin skin.", source="published")
    assert page.screen.forms.form is not None and page.own() == []  # published needs its citation
    page.fill(citation="An invented paper 2020")
    told = {section.heading: section.text for section in page.margin.sections}
    grade = "Evidence B, reported by many keepers. Published: An invented paper 2020."
    assert told["Caution"] == f"Thin skin. {grade}"
    page.key(Qt.Key.Key_W)
    page.fill(text="Thin skin in all of them.")
    told = {section.heading: section.text for section in page.margin.sections}
    assert told["Caution"] == f"Thin skin in all of them. {grade}"
    page.key(Qt.Key.Key_W)
    page.fill(which="a new one: with another gene", **{"with": "enchi", "text": "Small eyes."})
    told = {section.heading: section.text for section in page.margin.sections}
    assert told["Caution, with Enchi"] == "Small eyes. Evidence C, hearsay. Your own."
    page.key(Qt.Key.Key_W)
    page.fill(citation="", source="your own", text="")
    assert "Caution" not in {section.heading for section in page.margin.sections}
    page.focus("enchi")
    assert "Caution, with Ghost" in {section.heading for section in page.margin.sections}
    page.key(Qt.Key.Key_Delete)
    assert not [entry for entry in page.own() if entry.startswith("caution")]


def test_two_alleles_keep_what_is_known_of_them_when_one_thing_is_said_otherwise(page: Page) -> None:
    page.focus("vanilla")
    page.key(Qt.Key.Key_P)
    page.fill(other="Disco", name="Cold Flame", how="do not hatch", hides="pastel")
    page.key(Qt.Key.Key_P)
    form = page.screen.forms.form
    assert form is not None
    page.screen.forms.form.rows["other"].editor.setCurrentIndex(form.rows["other"].editor.findText("Disco"))
    assert (form.typed("name"), form.chosen("how"), form.typed("hides")) == ("Cold Flame", "lethal", "Pastel")
    page.fill(how="seen", hides="")
    catalogue = page.screen.book.catalogue
    look = catalogue.look_of("vanilla", "disco")
    assert (look.name, look.lethal) == ("Cold Flame", False)
    assert not catalogue.masks.get((catalogue.genes["vanilla"].locus, look.key))


def test_of_a_line_its_gene_is_asked(page: Page) -> None:
    page.focus("axanthic")
    page.key(Qt.Key.Key_L)
    page.fill(words="Line Q")
    page.key(Qt.Key.Key_W)
    notice = page.screen.desk.notices.current
    assert page.screen.forms.form is None and notice is not None and "is a line" in str(notice.message)


def test_another_species_has_its_own_catalogue(page: Page) -> None:
    page.key(Qt.Key.Key_S)
    assert "Amelanistic" in page.names() and "Spider" not in page.names()
    page.add(name="Lantern", inheritance="recessive")
    assert page.row.name == "Lantern" and page.own() == []
    page.undo()
    page.key(Qt.Key.Key_S)
    assert "Spider" in page.names()


class Pair:
    """A female and a male, and what the outlook says of them."""

    def __init__(self, page: Page) -> None:
        ids: list[AnimalId] = []
        for keeper_id, sex in (("F-071", Sex.FEMALE), ("M-071", Sex.MALE)):
            details = AnimalDetails(keeper_id=keeper_id, sex=sex, genetics="100% het lantern")
            ids.append(add_animal(page.book, details=details).value)
        self.pairing = Pairing(ids[0], ((ids[1], 100),))
        screen = page.window.made("outlook")
        assert isinstance(screen, OutlookScreen)
        self.screen = screen

    def outlook(self, page: Page) -> tuple[list[str], str]:
        """The looks the outlook counts, and the number over the column."""
        page.window.open_screen("outlook")
        if not self.screen.pairings:
            self.screen.add(self.pairing)
        shown = self.screen.columns.shown[0]
        found = [row.title for row, _ in shown.looks], shown.number
        page.window.open_screen("genes")
        return found


def test_an_own_gene_from_its_first_word_to_the_outlook_and_back(page: Page) -> None:
    """Journey: add a recessive, two animals carry it, the outlook counts it; rename, merge; undo all."""
    pair = Pair(page)
    assert not any("antern" in look for look in pair.outlook(page)[0])  # a word nobody knows yet
    page.add(name="Lantern", inheritance="recessive")
    assert (page.row.name, page.row.carry) == ("Lantern", 2)
    looks, number = pair.outlook(page)
    assert "Lantern" in looks and number == "82.2%"  # 1 - (3/4)^6, at least one of six
    page.focus("lantern")
    page.key(Qt.Key.Key_F2)
    page.fill(name="Ember")
    looks, number = pair.outlook(page)
    assert "Ember" in looks and "Lantern" not in looks and number == "82.2%"
    page.focus("lantern")
    page.key(Qt.Key.Key_M)
    page.fill(into="sunset")
    assert (page.row.key, page.row.carry) == ("sunset", 2)
    assert {s.heading: s.text for s in page.margin.sections}["Merged into it"] == "lantern"
    looks, number = pair.outlook(page)
    assert "Sunset" in looks and "Ember" not in looks and number == "82.2%"
    for entries in (["gene lantern"], ["gene lantern"], []):
        page.undo()
        assert page.own() == entries
    assert not any("antern" in look or "unset" in look for look in pair.outlook(page)[0])


@pytest.fixture
def update(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, book: Collection) -> Iterator[Callable[..., None]]:
    """Another edition of the shipped catalogues, as a newer program brings it."""

    def install(old: str, new: str, file: str = "ball_python") -> None:
        folder = tmp_path / "species"
        folder.mkdir()
        for each in resource_path("species").glob("*.toml"):
            text = each.read_text(encoding="utf-8")
            assert each.stem != file or old in text
            (folder / each.name).write_text(text.replace(old, new), encoding="utf-8")
        monkeypatch.setattr(species, "resource_path", lambda _name: folder)
        species.shipped_texts.cache_clear()
        book_of(book).forget()

    yield install
    monkeypatch.undo()
    species.shipped_texts.cache_clear()


def test_a_correction_survives_an_update_and_a_new_word_of_it_is_a_conflict(
    page: Page, update: Callable[..., None]
) -> None:
    page.focus("clown")
    page.key(Qt.Key.Key_E)
    page.fill(description="Mine.", two="Harlequin Mask")
    assert not page.row.conflicts
    update("Broad dark back stripe", "A wide dark stripe")
    page.screen.reload()
    page.focus("clown")
    assert [conflict.what for conflict in page.row.conflicts] == ["description"]
    assert page.margin.why == "Mine." and page.names()[0] == "Clown"
    assert any(section.text.startswith("A wide dark stripe") for section in page.margin.sections)
    page.key(Qt.Key.Key_K)
    assert not page.row.conflicts and page.margin.why == "Mine."


def test_ways_to_and_from_the_animals(page: Page) -> None:
    pair = Pair(page)
    page.add(name="Lantern", inheritance="recessive")
    page.key(Qt.Key.Key_A)
    animals = page.window.screen_open
    assert animals is not None and animals.key == "animals" and animals.line_text() == "Lantern"
    page.window.desk.go_animal(pair.pairing.dam)
    page.window.desk.go("genes", gene="lantern")
    assert page.window.screen_open is page.screen and page.row.key == "lantern"


def test_only_animals_in_care_are_counted(page: Page, room: Room) -> None:
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Clown"))
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="66% het clown"))
    page.screen.reload()
    page.focus("clown")
    assert (page.row.carry, page.row.may) == (1, 1)
    sell(room.book, animal=room.female)
    page.screen.reload()
    page.focus("clown")
    assert (page.row.carry, page.row.may) == (0, 1)
