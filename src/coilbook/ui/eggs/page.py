"""The page of eggs laid out: shelves at the left, the open box and its eggs, water and weight at the right."""

from __future__ import annotations

import datetime as dt

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QStackedWidget, QVBoxLayout, QWidget

from coilbook.husbandry.hatch_result import hatch_result
from coilbook.reads.clutch_story import clutch_story
from coilbook.reads.egg_rows import ClutchNow, Parent
from coilbook.reads.incubator_readings import noted_extremes, readings_of
from coilbook.reads.sire_odds import SireOdds
from coilbook.records.egg_vocabulary import Verdict
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.eggs.candling import Candling
from coilbook.ui.eggs.chart_view import CourseChart
from coilbook.ui.eggs.courses import TEMPERATURE_DAYS, temperature_course, weight_course
from coilbook.ui.eggs.egg_table import EggTable
from coilbook.ui.eggs.lists import DoneLines, DoubtLines, LookLines, StoryLines
from coilbook.ui.eggs.open_box import OpenBox
from coilbook.ui.eggs.shelves import ShelvesView
from coilbook.ui.eggs.water_panel import WaterPanel
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.sire_words import moved
from coilbook.wording.chances import percent
from coilbook.wording.language import translated, translated_plural

SHELVES, LEAST_SHELVES, WATER = 276, 256, 196
#: the open box is no narrower, and the page no lower
LEAST_BOX, LEAST_HEIGHT = 356, 360


class EggsPage(QWidget):
    """Shows what is at hand; it decides nothing."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        px = desk.theme.px
        self.shelves, self.open_box, self.table = ShelvesView(desk), OpenBox(desk), EggTable(desk)
        self.water, self.done, self.doubts = WaterPanel(desk), DoneLines(desk), DoubtLines(desk)
        self.looks, self.story = LookLines(desk), StoryLines(desk)
        style = desk.style
        self.weight = CourseChart(desk.theme, translated("Box weight"), 208, lambda day: f"d {day:.0f}",
                                  lambda dg: style.mass(round(dg), unit=False))  # fmt: skip
        self.warmth = CourseChart(
            desk.theme, translated("Temperature"), 120, _short_day, lambda tenths: f"{tenths / 10:g}"
        )
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(px(20))
        self._shelf_side, self._side = self._left(), self._right()
        self._narrow = False
        #: day, reading and incubator of the temperatures shown
        self._warmth_of: tuple[object, object, object] | None = None
        row.addWidget(self._shelf_side)
        row.addLayout(self._middle(), 1)
        row.addWidget(self._side)
        desk.theme.changed.connect(self._arrange)
        self._arrange()

    def minimumSizeHint(self) -> QSize:
        px = self._desk.theme.px
        return QSize(px(LEAST_SHELVES + 20 + LEAST_BOX), px(LEAST_HEIGHT))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """Where there is no room for three columns, the water stands under the open box; then the shelves give way."""
        px = self._desk.theme.px
        left = self.width() - px(20 + LEAST_BOX)
        self._shelf_side.setFixedWidth(min(max(left, px(LEAST_SHELVES)), px(SHELVES)))
        self._side.setFixedWidth(px(WATER))
        narrow = self.width() < px(SHELVES + WATER + 40 + LEAST_BOX)
        if narrow == self._narrow:
            return
        self._narrow = narrow
        inside = self._side_inside
        if narrow:
            self._side.takeWidget()
            self._eggs_column.insertWidget(1, inside)
            inside.show()
        else:
            self._eggs_column.removeWidget(inside)
            self._side.setWidget(inside)
        self._side.setVisible(not narrow)

    def _left(self) -> QScrollArea:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._desk.theme.px(8))
        column.addWidget(self.shelves)
        self._warm_head = label("", "strong", wrap=True)
        self._warm_note = label("", "small")
        for part in (self._warm_head, self._warm_note, self.warmth, self.looks):
            column.addWidget(part)
        column.addStretch(1)
        return _scrolled(inside)

    def _middle(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(self._desk.theme.px(6))
        first = QHBoxLayout()
        self._name, self._day = label("", "id"), label("", "verdict")
        self._where, self._window = ElidedLabel(self._desk.theme, token="second"), label("", "strong")
        for part in (self._name, self._day, self._where):
            first.addWidget(part, 0, Qt.AlignmentFlag.AlignBottom)
        first.addStretch(1)
        first.addWidget(self._window, 0, Qt.AlignmentFlag.AlignBottom)
        self._parents, self._laid = label("", wrap=True), label("", "second", wrap=True)
        self._views = QStackedWidget()
        self._views.addWidget(_scrolled(self._eggs()))
        self._views.addWidget(_scrolled(self.story))
        column.addLayout(first)
        for part in (self._parents, self._laid):
            column.addWidget(part)
        column.addWidget(self._views, 1)
        return column

    def _eggs(self) -> QWidget:
        inside = QWidget()
        self._eggs_column = column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._desk.theme.px(10))
        below = QHBoxLayout()
        below.setSpacing(self._desk.theme.px(20))
        below.addWidget(self.done, 3, Qt.AlignmentFlag.AlignTop)
        below.addWidget(self.doubts, 2, Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.open_box)
        column.addWidget(self.table)
        column.addLayout(below)
        column.addStretch(1)
        return inside

    def _right(self) -> QScrollArea:
        self._side_inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._desk.theme.px(8))
        column.addWidget(self.water)
        self._weight_head = label(translated("Box weight").upper(), "head")
        column.addWidget(self._weight_head)
        column.addWidget(self.weight)
        column.addStretch(1)
        return _scrolled(inside)

    # --- showing -------------------------------------------------------------------------------------------
    def tell_story(self, story: bool) -> None:
        """The story of the clutch in the place of its box and table, or back."""
        self._views.setCurrentIndex(1 if story else 0)

    @property
    def is_story(self) -> bool:
        """True while the story stands there."""
        return self._views.currentIndex() == 1

    def show_at(self, at: AtHand, candling: Candling | None) -> None:
        """Show what is at hand, with the verdicts of a candling that is not kept yet."""
        self.shelves.show_now(at.now)
        self.open_box.show_box(at.box, at.egg.id if at.egg is not None else None)
        judged = candling.words() if candling is not None else {}
        self.table.show_clutch(at.clutch, at.box, at.egg.id if at.egg is not None else None, judged)
        self.water.show_water(at.box, at.now.water(at.box) if at.box is not None else None)
        self.done.show_deeds(at.box, at.clutch)
        self.doubts.show_doubts(at.box.doubts if at.box is not None else (), len(at.now.doubts))
        self.looks.show_looks(at.now.looks, at.now.today)
        self.story.show_story(clutch_story(at.clutch, at.boxes) if at.clutch is not None else ())
        course, told = weight_course(self._desk, at.box, at.now)
        lid = translated("with lid") if at.box is None or at.box.lid == "with" else translated("without lid")
        self._weight_head.setText(translated("Box weight, {lid}").format(lid=lid).upper())
        self.weight.show_course(course, told)
        for part in (self._weight_head, self.weight):
            part.setVisible(bool(course.runs))
        self._show_head(at, candling is not None)
        self._show_warmth(at)

    def _show_head(self, at: AtHand, candling: bool) -> None:
        clutch, box = at.clutch, at.box
        if clutch is None:
            self._name.setText(box.label if box is not None else "")
            self._where.set_text("")
            for part in (self._day, self._window, self._parents, self._laid):
                part.setText("")
            self._laid.setText(translated("Empty: N enters a clutch into it.") if box is not None else "")
            return
        self._name.setText(clutch.label)
        self._day.setText(translated("day {n}").format(n=clutch.day_word(at.now.today)))
        where = translated("in {box}").format(box=box.label) if box is not None else translated("with her dam")
        self._where.set_text(translated("candling") if candling else where)
        self._window.setText(self._hatch_words(at, clutch))
        self._parents.setText(self._parent_words(clutch, at.now.sires.get(clutch.id)))
        self._laid.setText(self._laid_words(clutch))

    def _hatch_words(self, at: AtHand, clutch: ClutchNow) -> str:
        window = at.now.windows.get(clutch.id)
        if window is None:
            return ""
        style = self._desk.style
        if window.pipped is not None:
            return translated("first pip {day}").format(day=style.date(window.pipped.latest, year=False))
        ahead = window.ahead
        if ahead is None:
            return translated("past every window")
        days = f"{style.date(ahead.first, year=False)} - {style.date(ahead.last, year=False)}"
        late = translated(", late") if window.forecast is not None and window.forecast.late else ""
        return translated("pips {days} ({odds}){late}").format(days=days, odds=percent(ahead.probability, 0), late=late)

    def _parent_words(self, clutch: ClutchNow, odds: SireOdds | None) -> str:
        dam = self._parent(clutch.dam) if clutch.dam is not None else translated("dam not known")
        if not clutch.sires:
            return f"{dam} \u00d7 {translated('sire not known')}"
        now = dict(zip(odds.sires, odds.now)) if odds is not None else {}
        sires = [self._parent(s) + _share(s.percent, now.get(s.name)) for s in clutch.sires]
        return f"{dam} \u00d7 {', '.join(sires)}"

    def _parent(self, parent: Parent) -> str:
        sign = " ".join(self._desk.style.sex_sign(parent.sex, 100))
        return " ".join(part for part in (parent.name, sign, parent.genetics) if part)

    def _laid_words(self, clutch: ClutchNow) -> str:
        style = self._desk.style
        slugs = sum(bool(e.looks) and e.looks[0].verdict is Verdict.SLUG for e in clutch.eggs)
        eggs = translated_plural("{n} egg", "{n} eggs", len(clutch.eggs) - slugs)
        eggs += " + " + translated_plural("{n} slug", "{n} slugs", slugs) if slugs else ""
        doubt = f" \u00b1 {clutch.doubt_days} d" if clutch.doubt_days else ""
        text = translated("Laid {day} = day 0: {eggs}").format(day=style.date(clutch.laid) + doubt, eggs=eggs)
        text += f", {style.mass(clutch.mass_dg)}" if clutch.mass_dg is not None else ""
        result = hatch_result([egg.story for egg in clutch.eggs])
        now = translated("Ever judged good {good}; hatched {hatched}, dead {dead}, still open {open}.").format(
            good=result.ever_good, hatched=result.hatched, dead=result.dead, open=result.still_open
        )
        return f"{text}. {now}"

    def _show_warmth(self, at: AtHand) -> None:
        incubator = next((i for i in at.now.incubators if at.box is not None and i.id == at.box.incubator), None)
        incubator = incubator or (at.now.incubators[0] if at.now.incubators else None)
        for part in (self._warm_head, self._warm_note, self.warmth):
            part.setVisible(incubator is not None)
        if incubator is None:
            return
        if self._warmth_of == (at.now.today, at.now.read, incubator.id):
            return
        self._warmth_of = (at.now.today, at.now.read, incubator.id)
        until = dt.datetime.combine(at.now.today + dt.timedelta(1), dt.time())
        week = incubator.id, until - dt.timedelta(TEMPERATURE_DAYS), until
        readings = readings_of(self._desk.collection, *week)
        noted = noted_extremes(self._desk.collection, *week)
        course, told = temperature_course(self._desk, at.now.profile, readings, at.now.today, noted)
        self._warm_head.setText(incubator.name)
        set_at = self._desk.style.temperature(incubator.set_tenths) if incubator.set_tenths is not None else "?"
        self._warm_note.setText(translated("set {c}; a week: {told}").format(c=set_at, told=told))
        self.warmth.show_course(course, told)


def _share(before: int, now: float | None) -> str:
    """ " 92%", or " 92% \u2192 98%" where what hatched has moved it; nothing of a sire that is sure."""
    if before == 100:
        return ""
    return f" {before}%" if now is None else " " + moved(before / 100, now)


def _short_day(ordinal: float) -> str:
    return str(dt.date.fromordinal(max(int(ordinal), 1)).day)


def _scrolled(inside: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(inside)
    return area
