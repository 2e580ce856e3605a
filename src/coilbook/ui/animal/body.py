"""The page laid out: head, photo and lines (or the panel that logs), strip, curve, timeline and family."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from coilbook.reads.animal_rows import AnimalPage
from coilbook.ui.animal.asking import AskingRoom
from coilbook.ui.animal.chart_view import ChartView
from coilbook.ui.animal.details import Details
from coilbook.ui.animal.edit_in_place import EditInPlace
from coilbook.ui.animal.facts_strip import FactsStrip
from coilbook.ui.animal.family_part import FamilyPart
from coilbook.ui.animal.genes_part import GenesPart
from coilbook.ui.animal.head import AnimalHead
from coilbook.ui.animal.legend import ChartHead
from coilbook.ui.animal.log_panel import LogPanel
from coilbook.ui.animal.photo_box import PhotoBox
from coilbook.ui.animal.timeline_part import TimelinePart
from coilbook.ui.animal.words import strip
from coilbook.ui.commands import Command
from coilbook.ui.desk import Desk
from coilbook.ui.parts.text import label
from coilbook.ui.theme import PAGE_PADDING

#: a page lower than this gets the lower curve
LOW = 780
#: the least room beside the photo, in px at 100 percent, that holds genes and particulars
BESIDE = 440


class AnimalBody(QScrollArea):
    """Scrolls only when the window is too low for everything."""

    def __init__(self, desk: Desk, commands: Sequence[Command], log: Command) -> None:
        super().__init__()
        self._desk, theme = desk, desk.theme
        card = next(c for c in commands if c.id == "animal.card")
        self.head = AnimalHead(theme, card, log)
        self.photo, self.details, self.genes = PhotoBox(desk), Details(theme), GenesPart(theme)
        self.log, self.asking, self.editing = LogPanel(desk), AskingRoom(desk), AskingRoom(desk)
        self.strip, self.chart_head = FactsStrip(theme), ChartHead(theme)
        self.chart = ChartView(theme, lambda: desk.style)
        self.timeline, self.family = TimelinePart(theme), FamilyPart(theme)
        self._gone = label("", "second", wrap=True)
        self._high = 0
        self._details_beside: bool | None = None
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(self._build())
        self.log.hide()
        self.editing.hide()
        self._gone.hide()

    def _build(self) -> QWidget:
        theme = self._desk.theme
        self._about = QWidget()
        about = QHBoxLayout(self._about)
        about.setContentsMargins(0, 0, 0, 0)
        about.setSpacing(theme.px(16))
        about.addWidget(self.photo, 0, Qt.AlignmentFlag.AlignTop)
        self._beside = QVBoxLayout()
        self._beside.setSpacing(theme.px(8))
        self._beside.addWidget(self.genes)
        self._beside.addStretch(1)
        about.addLayout(self._beside, 1)
        lower = QHBoxLayout()
        lower.setSpacing(theme.px(24))
        lower.addWidget(self.timeline, 5)
        lower.addWidget(self.family, 3)
        self._whole = QWidget()
        whole = QVBoxLayout(self._whole)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(theme.px(8))
        upper = (self.head, self._about, self.log, self.asking, self.strip, self.chart_head, self.chart, self.editing)
        for widget in upper:
            whole.addWidget(widget)
        self._set_room(True)
        whole.addLayout(lower, 1)
        self._sheet = page = QWidget()
        column = QVBoxLayout(page)
        side = theme.px(PAGE_PADDING)
        column.setContentsMargins(side, theme.px(12), side, theme.px(8))
        column.addWidget(self._gone, 0, Qt.AlignmentFlag.AlignTop)
        column.addWidget(self._whole, 1)
        return page

    # --- what is shown -------------------------------------------------------------------------------------
    def to_genes(self) -> None:
        """The keyboard to the genes."""
        self.genes.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def add_finding(self) -> None:
        """Open the line that takes a finding."""
        self.genes.begin()

    def to_particulars(self) -> None:
        """The keyboard to the particulars: name, dates, prey and parents."""
        self.details.lines["name"].setFocus(Qt.FocusReason.OtherFocusReason)

    def show_page(self, page: AnimalPage, today: dt.date, same: bool) -> None:
        """Show an animal; `same` when it is the one already there, reread."""
        style = self._desk.style
        self._gone.hide()
        self._whole.show()
        self.head.show_page(page, today, style)
        if not same:
            self.photo.show_pictures((), None)
        self.photo.show_pictures(page.pictures, page.who.cover_photo)
        self.details.show_page(page, style)
        self.strip.show_facts(strip(page, today, style))
        self.timeline.show_entries(page.entries, today, style)
        self.family.show_family(page.family, style)
        self.log.show_page(page)

    def show_gone(self, sentence: str) -> None:
        """The animal is not in the book any more."""
        self._gone.setText(sentence)
        self._gone.show()
        self._whole.hide()

    def head_lines(self) -> dict[str, EditInPlace]:
        """Lines of the head that are corrected in place, by the name they are saved by."""
        return {"keeper_id": self.head.keeper_id, "sex": self.head.sex, "genetics": self.head.genetics}

    def close_lines(self) -> None:
        """Close every line that stands open."""
        for line in self._lines():
            line.done()
        self.asking.take_back()

    def focus_open_line(self) -> None:
        """The keyboard goes back to the line that stands open."""
        for line in self._lines():
            if line.field is not None:
                line.wait_no_longer()
                line.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def half_typed(self) -> str:
        """What stands in an open line or in the form that corrects an entry, and is not kept."""
        form = self.editing.form
        texts = [line.half_typed for line in self._lines()] + (form.half_typed() if form is not None else [])
        return ", ".join(text for text in texts if text)

    def _lines(self) -> tuple[EditInPlace, ...]:
        return (*self.head_lines().values(), *self.details.lines.values(), self.genes.entry)

    @property
    def busy(self) -> bool:
        """True while a form or a line stands open."""
        return self.log.isVisible() or self.editing.isVisible() or any(line.editing for line in self._lines())

    # --- the panel -----------------------------------------------------------------------------------------
    def open_log(self) -> None:
        """The panel takes the place of photo and lines."""
        self._about.hide()
        self.details.hide()
        self.log.show()
        self.to_top()

    def to_top(self) -> None:
        """Scroll to the head."""
        self.verticalScrollBar().setValue(0)

    def close_log(self) -> None:
        """Photo and lines stand there again."""
        self.log.hide()
        self._about.show()
        self.details.show()

    def show_widget(self, widget: QWidget) -> None:
        """Scroll until a widget can be seen, laid out where it will stand."""
        for layout in (self._whole.layout(), self._sheet.layout()):
            if layout is not None:
                layout.activate()
        self._sheet.adjustSize()
        self.ensureWidgetVisible(widget, 0, self._desk.theme.px(PAGE_PADDING))

    def fit(self, size: QSize) -> None:
        """Lay the page out for a size; the particulars go under the photo when there is no room beside it."""
        theme = self._desk.theme
        self._high = size.height()
        self.fit_curve()
        self._set_room(size.width() - 2 * theme.px(PAGE_PADDING) - self.photo.sizeHint().width() >= theme.px(BESIDE))

    def fit_curve(self) -> None:
        """Take the lower curve when the page is low, or many genes leave it little room."""
        self.genes.updateGeometry()
        used = self._beside.minimumSize().height() - self.photo.sizeHint().height()
        self.chart.set_low(self._high - max(0, used) < self._desk.theme.px(LOW))

    def _set_room(self, beside: bool) -> None:
        if beside == self._details_beside:
            return
        self._details_beside = beside
        if beside:
            self._beside.insertWidget(1, self.details)
        else:
            column = self._whole.layout()
            assert isinstance(column, QVBoxLayout)
            column.insertWidget(column.indexOf(self._about) + 1, self.details)

    def minimumSizeHint(self) -> QSize:
        """As wide as the page has to be: the window folds its margin before anything is cut off."""
        wanted = super().minimumSizeHint()
        bar = self.verticalScrollBar().sizeHint().width()
        return QSize(max(wanted.width(), self._sheet.minimumSizeHint().width() + bar), wanted.height())
