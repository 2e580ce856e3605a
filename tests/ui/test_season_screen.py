"""The Season screen in the real window: a season entered by keys, read as lines, explained, and written out."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import pytest
from icalendar import Calendar
from openpyxl import load_workbook
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.eggs import EggSeen, look_at_eggs
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.operations.pairing_plans import PlanDetails, plan_pairing
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.settings import change_settings
from coilbook.operations.stays import enter_stay
from coilbook.operations.weighing import weigh
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import HatchEvent, Verdict
from coilbook.records.ids import EggId
from coilbook.records.quantities import Mass
from coilbook.records.season_vocabulary import LockCertainty, PlanState
from coilbook.records.vocabulary import Sex
from coilbook.ui.animal.choice_strip import ChoiceStrip
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.season import SeasonScreen
from coilbook.ui.season.tables import CLOSE_HEADS
from tests.operations.conftest import Room
from tests.operations.test_season import another, on


class Page:
    """The screen and the hands on it."""

    def __init__(self, room: Room, window: MainWindow) -> None:
        self.room, self.window = room, window
        screen = window.made("season")
        assert isinstance(screen, SeasonScreen)
        self.screen = screen
        window.open_screen("season")

    def key(self, key: Qt.Key, *, shift: bool = False) -> None:
        held = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
        QTest.keyClick(self.window.focusWidget() or self.window, key, held)
        # a letter held back while it may have been a scanner's is let go
        QTest.qWait(60)
        QCoreApplication.processEvents()

    def fill(self, **texts: object) -> None:
        form = self.screen.room.form
        assert form is not None
        for name, value in texts.items():
            editor = form.rows[name].editor
            if isinstance(editor, ChoiceStrip):
                editor.choose(value)
            else:
                assert isinstance(editor, QLineEdit)
                editor.setText(str(value))
        QTest.keyClick(form.save, Qt.Key.Key_Return)

    def focus(self, keeper_id: str) -> None:
        rows = [row.keeper_id for row in self.screen.lines._all]
        self.screen.lines.focus_on(rows.index(keeper_id))


@pytest.fixture
def page(room: Room, window: MainWindow) -> Iterator[Page]:
    on(room, 2026, 2, 20)
    weigh(room.book, animal=room.female, mass=Mass(21_000), sure=True)
    weigh(room.book, animal=room.male, mass=Mass(8_800), sure=True)
    return iter([Page(room, window)])


@pytest.fixture
def at(page: Iterator[Page]) -> Page:
    return next(page)


def test_the_first_stay_from_an_empty_season_by_keys(at: Page) -> None:
    assert at.screen.stack.currentWidget() is at.screen.empty
    at.key(Qt.Key.Key_I)
    at.fill(female="f-014", male="M-03")
    assert at.room.book.read("SELECT count(*) FROM stay WHERE until IS NULL") == [(1,)]
    assert at.screen.stack.currentWidget() is at.screen.lines
    assert [row.keeper_id for row in at.screen.lines._all] == ["F-014", "M-03"]
    assert at.screen.room.form is None
    margin = at.screen.margin_content()
    assert margin.whose == "F-014" and "M-03 is with her" in margin.why


def test_a_lock_an_end_and_undo(at: Page) -> None:
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    at.screen.reload()
    at.room.clock.pass_(hours=5)
    at.screen.ask("lock")
    at.fill()
    at.focus("M-03")
    at.screen.ask("out")
    at.fill()
    assert at.room.book.read("SELECT certainty FROM lock_seen") == [("lock",)]
    assert at.room.book.read("SELECT until IS NULL FROM stay") == [(0,)]
    at.window.desk.undo()
    assert at.room.book.read("SELECT until IS NULL FROM stay") == [(1,)]


def test_a_male_elsewhere_is_asked_in_the_place_of_the_form(at: Page) -> None:
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    another(at.room, "F-020")
    at.room.clock.pass_(days=1)
    at.screen.reload()
    at.screen.ask("stay")
    at.fill(female="F-020", male="M-03")
    question = at.screen.room.question
    assert question is not None and "Is he out of there?" in question.accessibleName()
    QTest.keyClick(question, Qt.Key.Key_1)
    # a digit held back while it may have been a scanner's is let go
    QTest.qWait(60)
    assert at.room.book.read("SELECT until IS NULL FROM stay ORDER BY id") == [(0,), (1,)]


def test_an_ovulation_gives_windows_and_the_margin_explains_them(at: Page) -> None:
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    at.screen.reload()
    at.focus("F-014")
    at.screen.ask("ovulation")
    at.fill(at="12 Feb 21:00")
    # he was put in on the 20th: the stay is after it and sires nothing
    margin = at.screen.margin_content()
    assert margin.verdict.startswith("Pre-lay shed ")
    assert margin.chart is not None
    chart = margin.chart()
    chart.resize(300, 132)
    assert chart.grab().width() == 300
    chart.deleteLater()
    headings = [section.heading for section in margin.sections]
    assert "Windows, 80%, with what they hold" in headings and "What goes wrong now" in headings
    assert at.screen.lines.line_of(0).bands


def test_planned_against_happened(at: Page) -> None:
    at.screen.ask("plan")
    at.fill(female="F-014", male="M-03", target="Clown", day="1 Mar")
    at.key(Qt.Key.Key_H)
    assert at.screen.stack.currentWidget() is at.screen.plan_table
    at.screen.plan_table.setCurrentIndex(at.screen.plan_table.rows.index(0, 0))
    assert at.screen.plan_table.rows.look(0, 6).text == "not together yet"
    at.screen.drop_plan()
    assert at.screen.page is not None and at.screen.page.plans[0].state is PlanState.DROPPED
    at.screen.drop_plan()
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    at.screen.reload()
    assert at.screen.plan_table.rows.look(0, 6).text == "1 stay since 20 Feb"
    assert at.screen.margin_content().verdict == "M-03 \u00d7 F-014"


def test_other_years_and_the_axis(at: Page) -> None:
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    see_ovulation(at.room.book, animal=at.room.female, at=dt.datetime(2025, 2, 12, 20))
    at.screen.reload()
    assert at.screen.head.title.text() == "Season 2025\u201326"
    at.screen.lines.setFocus()
    at.key(Qt.Key.Key_Y)
    assert at.screen.head.title.text() == "Season 2024\u201325"
    at.key(Qt.Key.Key_Y)
    before = at.screen.lines.scale
    at.key(Qt.Key.Key_Plus)
    assert at.screen.lines.scale.a_day > before.a_day
    at.key(Qt.Key.Key_Right)
    assert at.screen.lines.scale.first > before.first
    at.key(Qt.Key.Key_0)
    assert at.screen.lines.scale == before


def test_the_calendar_is_read_back_by_another_library(at: Page) -> None:
    see_ovulation(at.room.book, animal=at.room.female, at=dt.datetime(2026, 2, 12, 20))
    at.screen.reload()
    at.screen.write_calendar()
    file = at.room.book.folder / "papers" / "season.ics"
    first = {str(e["UID"]): e for e in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}
    assert [str(e["SUMMARY"]) for e in first.values()] == [
        "F-014: pre-lay shed", "F-014: laying", "F-014: first pip",
    ]  # fmt: skip
    at.room.clock.pass_(days=38)
    at.screen.write_calendar()
    later = {str(e["UID"]): e for e in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}
    assert set(later) <= set(first)
    laying = next(uid for uid in later if uid.startswith("laying"))
    assert int(later[laying]["SEQUENCE"]) > int(first[laying]["SEQUENCE"])
    assert later[laying]["DTSTART"].dt > first[laying]["DTSTART"].dt


def test_the_close_is_shown_and_written(at: Page) -> None:
    lay_clutch(at.room.book, laying=Laying(dam=at.room.female, eggs=read_egg_line("78 84 78 79 54 81 76 36s")))
    at.room.clock.pass_(days=56)
    look_at_eggs(at.room.book, looks={EggId(egg): EggSeen(verdict=Verdict.GOOD) for egg in range(1, 8)})
    at.room.clock.pass_(days=1)
    for egg in range(1, 7):
        hatch_eggs(at.room.book, eggs=[OfEgg(EggId(egg))], event=HatchEvent.OUT)
    hatch_eggs(at.room.book, eggs=[OfEgg(EggId(7))], event=HatchEvent.DEAD_IN_SHELL)
    at.screen.reload()
    at.screen.show_part("close")
    at.screen.close_table.setCurrentIndex(at.screen.close_table.rows.index(0, 0))
    # 6 of 7 and its range as in the worked example of the season (Wilson 1927)
    assert at.screen.close_table.rows.look(0, 5).text == "6 of 7, 86%; 55\u201397%"
    assert at.screen.margin_content().why.startswith("8 laid: 7 judged good, 1 slug.")
    _weights_yield_where_words_would_be_cut(at)
    at.screen.write_close(".csv")
    at.screen.write_close(".xlsx")
    papers = at.room.book.folder / "papers"
    with (papers / "season-2025.csv").open(encoding="utf-8-sig", newline="") as stream:
        (row,) = csv.DictReader(stream)
    assert (row["female"], row["ever_good"], row["hatched"], row["days_laying_to_pip"]) == ("F-014", "7", "6", "56")
    assert (row["range_90_low"], row["range_90_high"]) == ("0.548", "0.967")
    sheet = load_workbook(papers / "season-2025.xlsx").active
    assert sheet is not None and sheet["A2"].value == "F-014"


def _weights_yield_where_words_would_be_cut(at: Page) -> None:
    table, weights = at.screen.close_table, list(CLOSE_HEADS).index("Weight")
    for width, hidden in ((1440, False), (1280, True), (1440, False)):
        at.window.resize(width, 900)
        at.window.settle()
        assert table.isColumnHidden(weights) is hidden, width
        shown = [column for column in range(len(CLOSE_HEADS)) if not table.isColumnHidden(column)]
        wide = {column: (table.sizeHintForColumn(column), table.columnWidth(column)) for column in shown}
        assert all(wanted <= given for wanted, given in wide.values()), f"{width} {wide!r}"


def test_letters_of_a_choice_come_before_commands_of_the_page(at: Page) -> None:
    enter_stay(at.room.book, female=at.room.female, male=at.room.male)
    at.screen.reload()
    at.screen.ask("lock")
    form = at.screen.room.form
    assert form is not None
    strip = form.rows["certainty"].editor
    assert isinstance(strip, ChoiceStrip)
    strip.setFocus()
    at.key(Qt.Key.Key_C)
    assert at.screen.room.form is form
    assert strip.value is LockCertainty.COURTING
    # a letter that is no option's is the page's: C cools a rack, Y turns the year
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert at.screen.room.form is None


def test_a_plan_with_a_male_who_lost_too_much_is_flagged_with_who_stands_in(at: Page) -> None:
    backup = another(at.room, "M-11", Sex.MALE)
    details = PlanDetails(backup=backup, day=dt.date(2026, 3, 1))
    plan_pairing(at.room.book, female=at.room.female, male=at.room.male, details=details)
    on(at.room, 2025, 8, 20)
    weigh(at.room.book, animal=at.room.male, mass=Mass(8_700), sure=True)
    on(at.room, 2026, 2, 22)
    # 870 g to 765 g: -12.1% (job.md, S2)
    weigh(at.room.book, animal=at.room.male, mass=Mass(7_650), sure=True)
    at.screen.reload()
    look = at.screen.plan_table.rows.look(0, 6)
    assert look.shape == "triangle" and look.text is not None
    assert look.text.startswith("M-03: -12.1% this season: stop pairing") and look.text.endswith("Stands in: M-11.")


def test_a_rack_is_cooled_in_the_keepers_degrees(at: Page) -> None:
    """24 typed in a Fahrenheit field can only be Celsius; what is kept is said in the keeper's degrees."""
    rack = at.room.book.read("SELECT label FROM place WHERE kind = 'rack'")[0][0]
    keeper = replace(at.screen.desk.settings, fahrenheit=True)
    at.screen.desk.run(change_settings, settings=keeper)
    for typed, kept, told in (("75.2", 240, "75.2 \u00b0F"), ("22", 220, "71.6 \u00b0F")):
        at.screen.ask("cooling")
        at.fill(place=rack, night=typed)
        assert at.room.book.read("SELECT night_tenths FROM rack_cooling") == [(kept,)]
        notice = at.screen.desk.notices.current
        assert notice is not None and told in at.screen.desk.render(notice.message)
        at.screen.desk.undo()


def test_what_is_entered_for_another_season_is_shown_in_that_one(at: Page) -> None:
    at.screen.ask("stay")
    at.fill(female="F-014", male="M-03", at="1 Jun 2025", until="5 Jun 2025")
    assert at.screen.page is not None and at.screen.page.start == dt.date(2024, 8, 1)
    assert at.screen.stack.currentWidget() is at.screen.lines
    at.focus("F-014")
    assert "Last together with a male 5 Jun 2025" in at.screen.margin_content().why


def test_a_number_is_nobody_elses_beginning(at: Page) -> None:
    another(at.room, "40")
    at.screen.ask("stay")
    form = at.screen.room.form
    assert form is not None
    editor = form.rows["female"].editor
    assert isinstance(editor, QLineEdit)
    QTest.keyClicks(editor, "4")
    assert editor.text() == "4"
    editor.clear()
    QTest.keyClicks(editor, "f-")
    assert editor.text() == "f-014"


def test_a_season_without_entries_names_the_others_and_leads_there(at: Page) -> None:
    before = at.screen.empty
    assert at.screen.stack.currentWidget() is before and "other season" not in before.sentence.text()
    assert [step.isVisible() for step in before.steps] == [True, True, False]
    room, day = at.room, dt.datetime(2024, 1, 10, 20)
    enter_stay(room.book, female=room.female, male=room.male, at=day, until=day + dt.timedelta(days=2))
    at.screen.reload()
    assert before.sentence.text().endswith("One other season is on record: 2023\u201324.")
    assert before.steps[-1].isVisible()
    QTest.mouseClick(before.steps[-1], Qt.MouseButton.LeftButton)
    assert at.screen.stack.currentWidget() is at.screen.lines
    assert at.screen.head.title.text() == "Season 2023\u201324"
    at.key(Qt.Key.Key_Y)
    assert at.screen.stack.currentWidget() is before
    at.key(Qt.Key.Key_Y, shift=True)
    assert at.screen.stack.currentWidget() is at.screen.lines
