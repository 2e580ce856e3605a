"""The genes of an animal's page: lines, margin, findings typed in place, and who else changed."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from coilbook.operations.departures import DepartureDetails, sell
from coilbook.operations.people import add_person
from coilbook.records.vocabulary import PersonRole
from coilbook.ui.animal.sheet import write_sheet
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.changed import ChangedScreen
from tests.derived.family import Family, s5
from tests.operations.conftest import Room
from tests.ui.conftest import MakeWindow

Key = Qt.Key


@pytest.fixture
def family(room: Room) -> Family:
    found = Family(room.book)
    s5(found)
    return found


@pytest.fixture
def window(make_window: MakeWindow, family: Family) -> MainWindow:
    return make_window(AnimalScreen, ChangedScreen)


def page_of(window: MainWindow, family: Family, name: str) -> AnimalScreen:
    window.desk.go_animal(family.ids[name])
    screen = window.screen_open
    assert isinstance(screen, AnimalScreen)
    QApplication.processEvents()
    return screen


def lines(page: AnimalScreen) -> list[tuple[str, str]]:
    return [(row.name, str(row.what)) for row in page.body.genes.list.shown]


def press(qtbot: QtBot, key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    widget = QApplication.focusWidget()
    assert widget is not None
    qtbot.keyClick(widget, key, modifiers)
    QApplication.processEvents()


def type_words(qtbot: QtBot, words: str) -> None:
    widget = QApplication.focusWidget()
    assert widget is not None
    qtbot.keyClicks(widget, words)


def test_one_line_a_gene_and_the_margin_explains_it(window: MainWindow, family: Family) -> None:
    page = page_of(window, family, "D-12")
    assert lines(page) == [("Pastel", "one dose, seen"), ("Piebald", "possible het")]
    page.body.to_genes()
    page.body.genes.list.go("piebald")
    content = page.margin_content()
    assert content.verdict == "Piebald: 67% with evidence"
    assert "Both parents proven het Piebald" in content.why
    card = next(s for s in content.sections if s.heading == "The card will say")
    assert card.text.startswith("66% het piebald")
    settles = [s.rows[0].name for s in content.sections if s.rows and s.rows[0].name.startswith("Young")]  # type: ignore[union-attr]
    assert settles[0] == "Young by M-15"
    assert "66%" in page.body.genes.list.accessibleDescription()


def test_letters_on_the_lines_begin_a_finding_and_enter_keeps_it(
    window: MainWindow, family: Family, qtbot: QtBot
) -> None:
    page = page_of(window, family, "D-12")
    page.body.to_genes()
    type_words(qtbot, "t")
    type_words(qtbot, "est piebald none")
    press(qtbot, Key.Key_Return)
    assert family.book.read("SELECT kind, gene, copies, ppm FROM finding") == [("test", "piebald", 0, 10_000)]
    row = next(r for r in page.body.genes.list.shown if r.gene == "piebald")
    assert row.evidence == pytest.approx(0.01 / (0.01 + 0.99), abs=1e-4)
    assert not page.body.genes.entry.editing
    window.desk.undo()
    QApplication.processEvents()
    row = next(r for r in page.body.genes.list.shown if r.gene == "piebald")
    assert row.evidence == pytest.approx(2 / 3)


def test_what_is_not_understood_is_said_at_the_line(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    page = page_of(window, family, "D-12")
    page.body.add_finding()
    type_words(qtbot, "blorpfen")
    press(qtbot, Key.Key_Return)
    field = page.body.genes.entry.field
    assert field is not None
    assert "no gene of the catalogue" in field.accessibleDescription()
    assert not page.may_leave()
    press(qtbot, Key.Key_Escape)
    assert page.may_leave()


def test_a_claim_goes_to_the_claims(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    page = page_of(window, family, "M-40")
    page.body.add_finding()
    type_words(qtbot, "66% het clown; the seller")
    press(qtbot, Key.Key_Return)
    assert family.book.read("SELECT text, source FROM claim") == [("66% het clown", "the seller")]
    assert ("Clown", "possible het") in lines(page)


def test_a_finding_is_taken_back_from_the_margin(window: MainWindow, family: Family, qtbot: QtBot) -> None:
    page = page_of(window, family, "D-13")
    page.body.add_finding()
    type_words(qtbot, "proven piebald")
    press(qtbot, Key.Key_Return)
    page.body.genes.list.go("piebald")
    assert lines(page)[0] == ("Piebald", "het")
    link = next(one for one in page.margin_content().links if one.words == "Take the newest finding back")
    link.run()
    QApplication.processEvents()
    assert lines(page)[0] == ("Piebald", "possible het")


def test_the_head_says_what_follows_and_f2_corrects_the_label(window: MainWindow, family: Family) -> None:
    page = page_of(window, family, "D-12")
    head = page.body.head.genetics
    assert head.value == "Pastel 66% het piebald"
    head.edit()
    assert head.field is not None
    assert head.field.text() == "Pastel"
    head.done()


def test_particulars_stand_under_the_genes_and_are_corrected_there(
    window: MainWindow, family: Family, qtbot: QtBot
) -> None:
    page = page_of(window, family, "D-12")
    details, genes = page.body.details, page.body.genes
    assert details.isVisible() and genes.isVisible()
    assert details.lines["name"].isVisible() and details.lines["microchip"].isVisible()
    # without a claim there is no line of it; the command opens one
    assert not details.lines["claim"].isVisible()
    details.lines["claim"].edit()
    assert details.lines["claim"].isVisible() and details.lines["claim"].field is not None
    press(qtbot, Key.Key_Escape)
    assert not details.lines["claim"].isVisible()
    # a line that is open takes its whole row, as wide as what is typed needs
    closed = details.lines["tags"].width()
    details.lines["tags"].edit()
    QApplication.processEvents()
    assert details.lines["tags"].width() > 2 * closed
    press(qtbot, Key.Key_Escape)
    QApplication.processEvents()
    assert details.lines["tags"].width() == closed and details.lines["came"].isVisible()


@pytest.mark.parametrize("size", [(1440, 900), (1280, 800)])
def test_the_columns_of_the_genes_share_the_width(window: MainWindow, family: Family, size: tuple[int, int]) -> None:
    window.resize(*size)
    page = page_of(window, family, "D-12")
    QApplication.processEvents()
    shown = page.body.genes.list
    edges = shown._columns()
    assert list(edges) == sorted(edges)
    assert shown.width() - edges[-1] >= round(0.27 * shown.width())


def test_the_margin_folds_before_a_page_in_large_type_is_cut_off(window: MainWindow, family: Family) -> None:
    from dataclasses import replace

    window.resize(1440, 900)
    window.desk.theme.follow(replace(window.desk.settings, text_scale_percent=150))
    page = page_of(window, family, "D-12")
    window.settle()
    QApplication.processEvents()
    assert page.body.widget().width() <= page.body.viewport().width()
    head = page.body.head
    assert head.keeper_id.width() >= head.keeper_id.sizeHint().width()


def test_the_foot_offers_who_else_changed_with_notes_for_the_buyers(window: MainWindow, family: Family) -> None:
    buyer = add_person(family.book, name="Ida", role=PersonRole.BUYER).value
    for name in ("24-2", "24-5"):
        sell(family.book, animal=family.ids[name], details=DepartureDetails(person=buyer))
    page_of(window, family, "D-12")
    from coilbook.operations.animals import AnimalDetails, add_animal

    details = AnimalDetails(keeper_id="25-1", genetics="Piebald", dam_id=family.ids["D-12"])
    window.desk.run(add_animal, details=details, sires={family.ids["M-15"]: 100})
    QApplication.processEvents()
    notice = window.desk.notices.current
    assert notice is not None
    assert [window.desk.render(choice.words) for choice in notice.choices] == ["7 animals changed, 2 sold"]
    assert notice.act is not None
    window.foot.choose(0)
    QApplication.processEvents()
    screen = window.screen_open
    assert isinstance(screen, ChangedScreen)
    shown = {screen.model.look(n, 0).text: screen.model.look(n, 3).text for n in range(screen.model.rowCount())}
    assert shown == {"D-12": "100%", **{f"24-{egg}": "50%" for egg in range(1, 7)}}
    screen.copy_all()
    copied = QGuiApplication.clipboard().text()
    assert copied.count("To Ida:") == 2
    assert "50% with everything known now" in copied


def test_a_card_in_the_queue_says_both_numbers_and_the_margin_warns(make_window: MakeWindow, family: Family) -> None:
    from coilbook.labels.content import CageCard
    from coilbook.ui.screens.labels import LabelsScreen

    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15")
    window = make_window(LabelsScreen)
    window.open_screen("labels", animals=(family.ids["D-12"], family.ids["D-13"]))
    screen = window.screen_open
    assert isinstance(screen, LabelsScreen)
    assert screen.queue is not None
    said = {
        row.name: (row.content.genetics, row.content.doubt)
        for row in screen.queue.rows
        if isinstance(row.content, CageCard)
    }
    assert said == {
        "D-12": ("Pastel", "66% het piebald from parents; 0 of 6 shown"),
        "D-13": ("", "66% het piebald"),
    }
    content = screen.margin_content()
    assert content.needs_you
    assert "66% from parents is more than the 3% with evidence" in content.sections[0].text


def test_a_contradiction_is_told_with_the_mistakes_that_would_explain_it(window: MainWindow, family: Family) -> None:
    family.add("J-7", "Pastel", dam="D-05", sire="M-40")
    page = page_of(window, family, "J-7")
    page.body.genes.list.go("pastel")
    QApplication.processEvents()
    content = page.margin_content()
    assert content.needs_you and "contradiction" in content.verdict
    assert "J-7 has another sire." in content.sections[0].text
    # the rest of the page works
    assert ("Piebald", "possible het") in lines(page)
    assert page.body.head.genetics.value == "Pastel"


def test_what_of_a_label_is_not_counted_is_said(window: MainWindow, family: Family) -> None:
    family.add("J-8", "Pastel Blorpfen")
    assert "Not understood in the label: Blorpfen" in page_of(window, family, "J-8").body.genes.key.text()
    family.add("J-9", "Pastal")
    assert "not counted until this is answered" in page_of(window, family, "J-9").body.genes.key.text()
    family.add("J-10", 'Pastel "the pretty one"')
    assert "Not understood" not in page_of(window, family, "J-10").body.genes.key.text()
    assert page_of(window, family, "D-12").body.genes.key.text().startswith("Bar: with evidence")


def test_who_else_changed_says_so_when_it_is_nobody(window: MainWindow, family: Family) -> None:
    window.open_screen("changed")
    screen = window.screen_open
    assert isinstance(screen, ChangedScreen)
    assert screen.stack.currentWidget() is screen.empty and not screen.table.isVisible()
    assert "moves the odds of relatives" in screen.empty.sentence.text()
    assert "Copy" not in screen.foot_hint() and "copies" not in screen.foot_hint()


def test_the_tour_shows_a_real_list_of_who_changed_and_takes_its_act_back(window: MainWindow, family: Family) -> None:
    buyer = add_person(family.book, name="Ida", role=PersonRole.BUYER).value
    family.add("24-7", "50% het piebald", dam="D-13", sire="T-01")
    sell(family.book, animal=family.ids["24-7"], details=DepartureDetails(person=buyer))
    window.open_screen("changed")
    screen = window.screen_open
    assert isinstance(screen, ChangedScreen)
    before = family.book.read("SELECT count(*) FROM finding")
    target = screen.tour_target()
    assert target["moved"]
    screen.open(**target)
    assert screen.stack.currentWidget() is screen.table and screen.model.rowCount() > 0
    for _, go in screen.tour_states():
        go()
    assert screen.stack.currentWidget() is screen.empty
    assert family.book.read("SELECT count(*) FROM finding") == before


def test_the_folded_margin_names_a_contradiction(window: MainWindow, family: Family) -> None:
    # a Piebald sire gives every one of his young a copy
    family.add("25-9", "normal", dam="D-13", sire="M-15")
    page = page_of(window, family, "25-9")
    page.genes.keep("test piebald none 0%")
    QApplication.processEvents()
    assert page.body.genes.list.go("piebald")
    content = page.margin_content()
    assert content.strip == content.verdict == "Piebald: contradiction"


def test_the_printed_sheet_says_both_numbers_and_what_they_rest_on(
    window: MainWindow, family: Family, tmp_path: Path
) -> None:
    """The label says "Pastel"; from her parents 2 in 3 carry, and six young have shown nothing."""
    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15")
    page = page_of(window, family, "D-12").page
    assert page is not None
    document = pypdfium2.PdfDocument(write_sheet(window.desk, page, tmp_path))
    text = " ".join(document[0].get_textpage().get_text_range().split())
    document.close()
    assert "Pastel, 66% het piebald from parents; 0 of 6 shown" in text
    assert "0 of 6 shown: both parents proven het Piebald" in text
