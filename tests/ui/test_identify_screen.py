"""Scenario S4 in the real window: an ambiguous hatchling, kept as what was seen, resolved later by its young."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.inference import weighing
from coilbook.operations.animals import AnimalDetails, add_animal, set_parents
from coilbook.operations.undo import undo_last
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.main_window import MainWindow
from coilbook.ui.parts.buttons import PrimaryButton
from coilbook.ui.screens.identify import IdentifyScreen

MakeWindow = Callable[..., MainWindow]
SPECIES = "ball_python"


class Hatchling:
    """Sire Pastel Enchi het clown, dam Enchi het clown; egg 6 is a Clown, male; egg 5 its plain sister."""

    def __init__(self, book: Collection, window: MainWindow) -> None:
        self.book, self.window = book, window
        self.ids: dict[str, AnimalId] = {}
        self.add("M-01", Sex.MALE, "Pastel Enchi 100% het clown")
        self.add("F-01", Sex.FEMALE, "Enchi 100% het clown")
        self.add("C-1-6", Sex.MALE, "Clown", "F-01", "M-01")
        self.add("C-1-5", Sex.FEMALE, "Enchi", "F-01", "M-01")
        screen = window.made("identify")
        assert isinstance(screen, IdentifyScreen)
        self.screen = screen

    def add(self, keeper_id: str, sex: Sex, genetics: str, dam: str = "", sire: str = "") -> AnimalId:
        details = AnimalDetails(keeper_id=keeper_id, sex=sex, genetics=genetics)
        animal = self.ids[keeper_id] = add_animal(self.book, details=details).value
        if dam:
            set_parents(self.book, animal=animal, dam=self.ids[dam], sires={self.ids[sire]: 100})
        return animal

    def open(self, keeper_id: str = "C-1-6") -> None:
        self.window.open_screen("identify", animal=self.ids[keeper_id])

    def on(self, gene: str) -> None:
        """Put the focus on a gene."""
        row = next(n for n, trait in enumerate(self.screen.traits.traits) if trait.name == gene)
        self.screen.table.setCurrentIndex(self.screen.traits.index(row, 2))

    def type(self, text: str) -> None:
        QTest.keyClicks(self.screen.table, text)

    def both(self, gene: str) -> tuple[float, float, float]:
        return next(trait for trait in self.screen.traits.traits if trait.name == gene).doubt.both

    def law(self, keeper_id: str, locus: str) -> list[float]:
        """No, one and two copies with everything known."""
        genetics = kept_genetics(self.book, SPECIES)
        states = genetics.states_of(locus)
        law = genetics.joint(locus, self.ids[keeper_id], self.ids[keeper_id]).sum(axis=1)
        return [float(law[states.copies(1) == count].sum()) for count in (0, 1, 2)]


@pytest.fixture
def hatchling(book: Collection, window: MainWindow) -> Hatchling:
    return Hatchling(book, window)


def test_said_from_the_keyboard(hatchling: Hatchling) -> None:
    hatchling.open()
    assert hatchling.both("Pastel") == pytest.approx((0.5, 0.5, 0.0))
    hatchling.on("Enchi")
    hatchling.type("y")
    hatchling.on("Pastel")
    hatchling.type("60")
    QTest.keyClick(hatchling.screen.table, Qt.Key.Key_Return)
    assert hatchling.both("Pastel") == pytest.approx((0.4, 0.6, 0.0))
    assert hatchling.both("Enchi") == pytest.approx((0.0, 2 / 3, 1 / 3))
    assert hatchling.screen.card.text() == "So far, with evidence: Pastel? poss super Enchi Clown"
    assert "60.0%" in hatchling.screen.margin_content().why
    chances = [candidate.chance for _, candidate in hatchling.screen.identity.candidates]  # type: ignore[union-attr]
    assert chances == pytest.approx([0.4, 0.8 / 3, 0.2, 0.4 / 3])
    hatchling.type("u")
    assert hatchling.both("Pastel") == pytest.approx((0.5, 0.5, 0.0))


def test_kept_and_resolved_later(hatchling: Hatchling) -> None:
    """Kept: 60% and 33%; after 6 young by a normal mate, 6 Enchi and 0 Pastel: 97% and 2.3%; nothing old rewritten."""
    parents = [hatchling.law(name, locus) for name in ("M-01", "F-01") for locus in ("pastel", "enchi")]
    hatchling.open()
    hatchling.on("Enchi")
    hatchling.type("y")
    hatchling.on("Pastel")
    hatchling.type("60")
    QTest.keyClick(hatchling.screen.table, Qt.Key.Key_Return)
    QTest.keyClick(hatchling.window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert hatchling.law("C-1-6", "pastel") == pytest.approx([0.4, 0.6, 0.0])
    assert hatchling.law("C-1-6", "enchi") == pytest.approx([0.0, 2 / 3, 1 / 3])
    # the panel starts from the parents again, with what was kept: never counted twice
    assert hatchling.both("Pastel") == pytest.approx((0.4, 0.6, 0.0))
    sister = hatchling.law("C-1-5", "enchi")
    hatchling.add("F-09", Sex.FEMALE, "normal")
    for number in range(6):
        hatchling.add(f"C-2-{number}", Sex.FEMALE, "Enchi", "F-09", "C-1-6")
    assert round(100 * hatchling.law("C-1-6", "enchi")[2]) == 97
    assert round(100 * hatchling.law("C-1-6", "pastel")[1], 1) == 2.3
    after = [hatchling.law(name, locus) for name in ("M-01", "F-01") for locus in ("pastel", "enchi")]
    for before, now in zip(parents, after):
        assert now == pytest.approx(before, abs=1e-9)
    assert hatchling.law("C-1-5", "enchi") == pytest.approx(sister)
    assert hatchling.book.read_one("SELECT genetics FROM animal WHERE keeper_id = 'C-1-6'") == ("Clown",)
    assert len(hatchling.book.read("SELECT id FROM finding")) == 2
    # the panel is about what its parents can give, and says that its young say more
    hatchling.open()
    assert hatchling.both("Enchi") == pytest.approx((0.0, 2 / 3, 1 / 3))
    assert "its page has everything" in hatchling.screen.margin_content().rests_on


def test_another_word_corrects_and_both_stay(hatchling: Hatchling) -> None:
    hatchling.open()
    hatchling.on("Pastel")
    for text in ("60", "90"):
        hatchling.type(text)
        QTest.keyClick(hatchling.screen.table, Qt.Key.Key_Return)
        QTest.keyClick(hatchling.window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert hatchling.law("C-1-6", "pastel") == pytest.approx([0.1, 0.9, 0.0])
    assert [ppm for (ppm,) in hatchling.book.read("SELECT ppm FROM finding ORDER BY id")] == [600_000, 900_000]
    undo_last(hatchling.book)
    assert hatchling.law("C-1-6", "pastel") == pytest.approx([0.4, 0.6, 0.0])


def test_it_cannot_come_from_them(hatchling: Hatchling) -> None:
    hatchling.add("M-05", Sex.MALE, "normal")
    hatchling.add("C-3-1", Sex.FEMALE, "normal", "F-01", "M-05")
    hatchling.open("C-3-1")
    hatchling.on("Clown")
    hatchling.type("y")
    content = hatchling.screen.margin_content()
    assert content.needs_you and content.verdict == "Cannot come from these parents"
    said = " ".join(row.word for row in content.sections[0].rows)  # type: ignore[union-attr]
    assert all(word in said for word in ("misread", "another sire", "swapped", "dam alone"))
    assert not hatchling.screen.warning.isHidden()
    hatchling.type("n")
    assert hatchling.screen.warning.isHidden()


def test_without_parents_there_is_nothing_to_go_by(hatchling: Hatchling) -> None:
    hatchling.open("M-01")
    assert hatchling.screen.stack.currentWidget() is hatchling.screen.empty
    assert "Name its dam" in hatchling.screen.empty.sentence.text()


def test_a_sire_that_may_be_nobody_on_record(hatchling: Hatchling) -> None:
    """70% M-01, the rest a male not on record: the share is kept, and a Clown settles it."""
    young = hatchling.add("C-4-1", Sex.FEMALE, "")
    set_parents(hatchling.book, animal=young, dam=hatchling.ids["F-01"], sires={hatchling.ids["M-01"]: 70})
    hatchling.open("C-4-1")
    assert hatchling.both("Pastel") == pytest.approx((0.65, 0.35, 0.0))
    hatchling.on("Clown")
    hatchling.type("y")
    assert hatchling.both("Pastel") == pytest.approx((0.5, 0.5, 0.0))
    sires = next(s for s in hatchling.screen.margin_content().sections if s.heading == "Which sire")
    assert [(row.name, row.value) for row in sires.rows] == [  # type: ignore[union-attr]
        ("M-01", "100%"),
        ("a male not on record", "0%"),
    ]


def test_too_many_sires_to_weigh_together_are_told(hatchling: Hatchling, monkeypatch: pytest.MonkeyPatch) -> None:
    """At a hatchling of such a family; where all sires are weighed together, or known, there is nothing to say."""

    def said() -> list[str]:
        sections = hatchling.screen.margin_content().sections
        return [section.text for section in sections if section.heading == "The odds of its parents"]

    hatchling.open()
    assert hatchling.screen.margin_content().verdict and said() == []
    hatchling.add("M-07", Sex.MALE, "normal")
    young = hatchling.add("C-5-1", Sex.FEMALE, "")
    either = {hatchling.ids["M-01"]: 60, hatchling.ids["M-07"]: 40}
    set_parents(hatchling.book, animal=young, dam=hatchling.ids["F-01"], sires=either)
    hatchling.open("C-5-1")
    assert said() == []
    monkeypatch.setattr(weighing, "MOST_COMBINATIONS", 1)
    book_of(hatchling.book).forget()
    hatchling.add("M-08", Sex.MALE, "normal")
    hatchling.open()
    hatchling.open("C-5-1")
    assert said() == [str(SIRES_BY_GENE)]


def test_an_animal_without_parents_is_told_why_with_a_way_on(hatchling: Hatchling) -> None:
    hatchling.open("M-01")
    screen = hatchling.screen
    assert screen.stack.currentWidget() is screen.empty and screen.foot_hint().startswith("`P`")
    content = screen.margin_content()
    assert content.whose == "M-01" and "dam and its sire" in content.why
    focus = hatchling.window.focusWidget()
    assert isinstance(focus, PrimaryButton) and screen.empty.isAncestorOf(focus)
    QTest.keyClick(focus, Qt.Key.Key_Return)
    assert hatchling.window.screen_open is hatchling.window.made("animal")


def test_what_no_parents_can_give_leaves_no_empty_table(hatchling: Hatchling) -> None:
    hatchling.open()
    hatchling.on("Pastel")
    assert hatchling.screen.list.isVisible() and hatchling.screen.bar_key.isVisible()
    hatchling.type("S")
    assert hatchling.screen.warning.isVisible() and not hatchling.screen.list.isVisible()
    hatchling.type("U")
    assert hatchling.screen.list.isVisible()
