"""Two lists over the whole collection: every open doubt, and what was done to eggs and what came of it."""

from __future__ import annotations

import datetime as dt

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget

from coilbook.reads.egg_rows import OpenDoubt
from coilbook.reads.eggs_now import EggsNow
from coilbook.reads.what_helped import Helped, what_helped
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control, Job
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import Fact, MarginContent, MarginSection
from coilbook.ui.parts.share_table import ShareTable
from coilbook.ui.parts.table import CellLook
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.texts import words

DOUBTS, HELPED = "doubts", "helped"
_DOUBT_HEADS = ("About", "What is not known", "Asked", "What it could be", "What would settle it", "Look again")
_DOUBT_SHARES = (0.14, 0.24, 0.1, 0.2, 0.2)
_HELPED_HEADS = ("What was done", "How", "Times", "Next look", "Hatched, 90% range", "Clutches")
_HELPED_SHARES = (0.19, 0.19, 0.08, 0.17, 0.26)
#: which clutches it was stands in the margin too
_HELPED_YIELDS = {5: 800}


class DoubtTable(ShareTable):
    """Every open doubt, the one to look at first on top."""

    def __init__(self, desk: Desk) -> None:
        heads = [translated(head) for head in _DOUBT_HEADS]
        super().__init__(desk.theme, translated("Open doubts"), heads, _DOUBT_SHARES)
        self._desk = desk
        self.doubts: tuple[OpenDoubt, ...] = ()

    @property
    def doubt(self) -> OpenDoubt | None:
        """The one in focus."""
        at = self.current_row()
        return self.doubts[at] if 0 <= at < len(self.doubts) else None

    def show_doubts(self, doubts: tuple[OpenDoubt, ...], today: dt.date) -> None:
        """Show these, as they stand on a day."""
        self.doubts = doubts
        self.show_rows([self._cells(doubt, today) for doubt in doubts])

    def _cells(self, doubt: OpenDoubt, today: dt.date) -> tuple[CellLook, ...]:
        again = doubt.look_again
        late = again is not None and again <= today
        asked = self._desk.style.date(doubt.asked_on, year=doubt.asked_on.year != today.year)
        return (
            CellLook(doubt.about or translated("the collection"), bold=True),
            CellLook(" ".join(part for part in (words(doubt.kind), doubt.question) if part)),
            CellLook(asked, token="second"),
            CellLook(doubt.candidates),
            CellLook(doubt.settles_by),
            CellLook(
                self._desk.style.date(again, year=False) if again is not None else "",
                token="clay" if late else "ink",
                shape="triangle" if late else "",
            ),
        )


def doubt_margin(desk: Desk, doubt: OpenDoubt | None) -> MarginContent:
    """The doubt in focus in full."""
    heading = translated("Why, for the doubt in focus")
    if doubt is None:
        return MarginContent(
            heading=heading,
            verdict=translated("Nothing is in doubt"),
            why=translated("A doubtful egg asks by itself; any other question is noted with Y."),
        )
    style = desk.style
    facts = [Fact(translated("Asked"), style.date(doubt.asked_on))]
    if doubt.look_again is not None:
        facts.append(Fact(translated("Look again"), style.date(doubt.look_again)))
    parts = ((translated("What it could be"), doubt.candidates), (translated("What would settle it"), doubt.settles_by))
    return MarginContent(
        heading=heading,
        whose=doubt.about,
        verdict=words(doubt.kind),
        why=doubt.question,
        facts=tuple(facts),
        sections=tuple(MarginSection(head, (), text) for head, text in parts if text),
        rests_on=translated("A settled doubt stays in the story of its clutch, with what it was and by what."),
    )


class HelpedTable(ShareTable):
    """Every way of treating eggs, the one used most first."""

    def __init__(self, desk: Desk) -> None:
        heads = [translated(head) for head in _HELPED_HEADS]
        super().__init__(
            desk.theme, translated("What was done, and what helped"), heads, _HELPED_SHARES, (2,), _HELPED_YIELDS
        )
        self.ways: tuple[Helped, ...] = ()

    @property
    def way(self) -> Helped | None:
        """The one in focus."""
        at = self.current_row()
        return self.ways[at] if 0 <= at < len(self.ways) else None

    def show_ways(self, ways: tuple[Helped, ...]) -> None:
        """Show these."""
        self.ways = ways
        self.show_rows([self._cells(way) for way in ways])

    def _cells(self, way: Helped) -> tuple[CellLook, ...]:
        return (
            CellLook(words(way.what), bold=True),
            CellLook(way.how),
            CellLook(str(way.times), right=True),
            CellLook(came_words(way)),
            CellLook(hatched_words(way, short=True)),
            CellLook(", ".join(way.labels), token="second"),
        )


def came_words(way: Helped) -> str:
    """What the next looks found."""
    said = [f"{n} {words(outcome)}" for outcome, n in way.came_of]
    unsaid = way.times - sum(n for _, n in way.came_of)
    return ", ".join([*said, *([translated("{n} not said").format(n=unsaid)] if unsaid else [])])


def hatched_words(way: Helped, *, short: bool = False) -> str:
    """ "3 of 4; 90% range 35-94%; 2 to come", never a bare share; `short` where the head says which range."""
    span, parts = way.range(), []
    if span is not None:
        long = translated("{n} of {ended}; 90% range {low:.0f}\u2013{high:.0f}%")
        told = translated("{n} of {ended}, {low:.0f}\u2013{high:.0f}%") if short else long
        parts.append(told.format(n=way.hatched, ended=way.ended, low=100 * span[0], high=100 * span[1]))
    if way.open:
        parts.append(translated("{n} to come").format(n=way.open))
    return "; ".join(parts)


def helped_margin(desk: Desk, way: Helped | None) -> MarginContent:
    """The way of treating in focus, and how far it can be trusted."""
    heading = translated("Why, for what was done")
    if way is None:
        return MarginContent(
            heading=heading,
            verdict=translated("Nothing was done to eggs yet"),
            why=translated("O on an egg or a box notes what was done; the next look says what came of it."),
        )
    eggs = translated_plural("{n} egg", "{n} eggs", way.eggs)
    days = [desk.style.date(dt.date.fromisoformat(day)) for day in dict.fromkeys((way.since, way.last))]
    facts = [
        Fact(translated("Done"), translated("{n}\u00d7 to {eggs}").format(n=way.times, eggs=eggs)),
        Fact(translated("Next look"), came_words(way)),
        Fact(translated("When"), " \u2013 ".join(days)),
        Fact(translated("Clutches"), ", ".join(way.labels)),
    ]
    return MarginContent(
        heading=heading,
        whose=words(way.what),
        about=way.how,
        verdict=hatched_words(way) or translated("Nothing hatched yet"),
        why=translated("Why it was done: {whys}.").format(whys=", ".join(way.whys)) if way.whys else "",
        facts=tuple(facts),
        rests_on=translated(
            "Eggs are treated because something is wrong with them: hold one way against another for the same trouble, "
            "not against eggs left alone. Range: Wilson's interval at 90%, of eggs whose end is known."
        ),
    )


class Overall(QStackedWidget):
    """The two lists in one place of the page: `DOUBTS` or `HELPED`."""

    walked = Signal()
    #: a doubt to go to
    opened = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._job: Job | None = None
        self.doubts, self.helped = DoubtTable(desk), HelpedTable(desk)
        for table in (self.doubts, self.helped):
            self.addWidget(table)
            table.walked.connect(self.walked)
        self.doubts.opened.connect(lambda _index: self.opened.emit(self.doubts.doubt))

    @property
    def part(self) -> str:
        """Which list stands there."""
        return DOUBTS if self.currentWidget() is self.doubts else HELPED

    def turn_to(self, part: str, now: EggsNow) -> None:
        """Show one of the lists."""
        self.setCurrentWidget(self.doubts if part == DOUBTS else self.helped)
        self.show_now(now)

    def show_now(self, now: EggsNow) -> None:
        """What stood in the list that is shown is read again; the ways of treating beside the window."""
        if self.part == DOUBTS:
            self.doubts.show_doubts(now.doubts, now.today)
            return
        if self._job is not None:
            self._job.cancel()
        collection = self._desk.collection

        def work(_control: Control) -> tuple[Helped, ...]:
            return what_helped(collection)

        def arrived(ways: tuple[Helped, ...]) -> None:
            self.helped.show_ways(ways)
            self.walked.emit()

        def failed(error: CoilbookError) -> None:
            if job is None or not job.stopped.is_set():
                self._desk.tell_failed(error)

        job: Job | None = None
        job = self._desk.background.read(work, arrived, failed)
        self._job = job

    def title(self) -> str:
        """The name of the list."""
        return translated("Open doubts") if self.part == DOUBTS else translated("What helped")

    def sentence(self) -> str:
        """What stands on the page."""
        if self.part == DOUBTS:
            count = len(self.doubts.doubts)
            return translated_plural("{n} open doubt in the collection", "{n} open doubts in the collection", count)
        return translated("What was done to eggs over all clutches, the next look, and what hatched")

    def hint(self) -> str:
        """The keys that matter here."""
        if self.part == DOUBTS:
            return translated(
                "`Enter` goes there  `Z` settle  `Shift Z` look again  `Y` note one  `J` back to the eggs"
            )
        return translated("`Ctrl J` back to the eggs")

    def margin(self) -> MarginContent:
        """Why, for the row in focus."""
        if self.part == DOUBTS:
            return doubt_margin(self._desk, self.doubts.doubt)
        return helped_margin(self._desk, self.helped.way)
