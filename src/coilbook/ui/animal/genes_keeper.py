"""Brings the genes of the animal in view onto the page, explains the one in focus, and keeps what is typed of them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from coilbook.reads.animal_rows import AnimalPage, Entry
from coilbook.records.changes import ODDS_REST_ON, Changes, Outcome
from coilbook.records.ids import AnimalId, FindingId
from coilbook.records.message import CoilbookError, WorkStopped
from coilbook.ui.animal.genes_part import GenesPart
from coilbook.ui.background import AFTER_PAINT_MS, Job, Lane
from coilbook.ui.desk import Desk
from coilbook.ui.margin_content import MarginContent
from coilbook.ui.parts.held_paint import HeldPaint
from coilbook.wording.language import translated

# what computes genes is loaded by the worker that first asks for some: the first page does not wait for it
if TYPE_CHECKING:
    from coilbook.reads.genetics_rows import GeneRow, GeneticsPart
    from coilbook.reads.genetics_why import Why

#: until the first genes stand there, working them out also loads what does it, which takes a page of its own time:
#: it waits until the keeper stays on a page
FIRST_REST_MS = 400


class GenesKeeper:
    """`page` gives the animal in view; `told` is called when the margin has more to say."""

    def __init__(
        self, desk: Desk, part: GenesPart, page: Callable[[], AnimalPage | None], told: Callable[[], None]
    ) -> None:
        self._desk, self._part, self._page, self._told = desk, part, page, told
        self._of: AnimalId | None = None
        self._job: Job | None = None
        self._rest_ms = FIRST_REST_MS
        #: counts what was asked: only the answer to the last is shown
        self._round = 0
        self._asked: tuple[AnimalId, int, str] | None = None
        self._whys: dict[tuple[AnimalId, int, str], Why | None] = {}
        self._why_job: Job | None = None
        self._held = HeldPaint(part)
        part.entry.saved.connect(self.keep)
        part.asks.answered.connect(self.answer)

    # --- the lines -----------------------------------------------------------------------------------------
    def read(self, animal: AnimalId) -> None:
        """Ask for the genes of an animal; what stands there stays until they come."""
        same = self._of == animal
        self._of = animal
        word = translated("working out the genes ...")
        at_hand = same and self._part.part is not None and _at_hand(self._desk)
        if at_hand:
            # the act has brought the numbers with it: the page is painted once, with them
            self._held.hold()
        else:
            self._part.show_part(self._part.part if same else None, self._desk.style, word, same=same)
        for job in (self._job, self._why_job):
            if job is not None:
                job.cancel()
        self._why_job, self._asked = None, None
        desk = self._desk
        self._round += 1
        number = self._round
        background = desk.background
        # after an act the numbers are what is waited for; another page is drawn first
        after_paint = partial(background.read_after_paint, rest_ms=self._rest_ms, lane=Lane.ODDS)
        ask = background.work_out if same else after_paint
        job = ask(
            lambda control: _genes(desk, animal, control.cancelled),
            lambda part: self._show(part) if number == self._round else None,
            lambda error: self._failed(error) if number == self._round else None,
        )
        self._job = job if job in background.jobs else None

    @property
    def waiting(self) -> bool:
        """True while new numbers are on their way."""
        return self._job is not None

    def rests_on(self, changes: Changes) -> bool:
        """True when a change may have moved a number of anybody."""
        return changes.touches(*ODDS_REST_ON)

    def _show(self, part: GeneticsPart | None) -> None:
        self._job, self._rest_ms = None, AFTER_PAINT_MS
        self._part.show_part(part, self._desk.style)
        self._told()
        self._held.let_go()

    def _failed(self, error: CoilbookError) -> None:
        self._job = None
        self._part.show_part(self._part.part, self._desk.style, self._desk.render(error.message))
        self._held.let_go()

    # --- explaining ----------------------------------------------------------------------------------------
    def margin(self, page: AnimalPage) -> MarginContent | None:
        """The margin for the line in focus; None when there is none."""
        part, row = self._part.part, self._part.list.row
        if part is None or row is None:
            return None
        from coilbook.ui.animal.genes_margin import GeneMargin, GeneWays

        ways = GeneWays(self._part.begin, self.retract, lambda gene: self._desk.go("genes", gene=gene))
        return GeneMargin(self._desk.theme, self._desk.style, page, part, ways).of(row, self._why(part, row))

    def _why(self, part: GeneticsPart, row: GeneRow) -> Why | None:
        key = (part.animal, part.revision, row.gene)
        # while new numbers are on their way the old ones are not explained: they would come first
        if key not in self._whys and self._asked != key and _explained(row) and self._job is None:
            if self._why_job is not None:
                self._why_job.cancel()
            self._asked, desk = key, self._desk
            job = self._desk.background.read_after_paint(
                lambda control: _reasons(desk, row, part.animal, control.cancelled),
                lambda found: self._explained(key, found),
                lambda error: self._not_explained(key, row, error),
                lane=Lane.ODDS,
            )
            self._why_job = job if job in self._desk.background.jobs else None
        return self._whys.get(key)

    def _explained(self, key: tuple[AnimalId, int, str], found: Why | None) -> None:
        if key != self._asked:
            return
        if len(self._whys) > 40:
            self._whys.clear()
        self._whys[key] = found
        self._asked = None
        part, row = self._part.part, self._part.list.row
        if part is not None and row is not None and key == (part.animal, part.revision, row.gene):
            self._told()

    def _not_explained(self, key: tuple[AnimalId, int, str], row: GeneRow, error: CoilbookError) -> None:
        """The margin says why there is no explanation, in place of "working out"; one that was stopped says nothing."""
        from coilbook.reads.genetics_why import Why

        if isinstance(error, WorkStopped):
            return
        animal, revision, gene = key
        number = row.evidence or 0.0
        self._explained(key, Why(animal, gene, revision, number, error.message, number, (), (error.message,), ()))

    # --- keeping -------------------------------------------------------------------------------------------
    def keep(self, text: str) -> None:
        """Keep what was typed in the last line."""
        from coilbook.operations.finding_typed import enter_typed

        page, line = self._page(), self._part.entry
        if page is None:
            return
        if not text.strip():
            line.done()
            return

        def refused(error: CoilbookError) -> bool:
            line.refuse(self._desk.render(error.message))
            return True

        def kept(_outcome: Outcome[Any]) -> None:
            line.done()
            self._part.list.setFocus()

        self._desk.run(enter_typed, kept, on_refused=refused, animal=page.who.id, text=text)

    def answer(self, key: str, value: str) -> None:
        """Answer what the label asks."""
        from coilbook.operations.label_answers import answer_label

        page = self._page()
        if page is not None:
            self._part.list.setFocus()
            self._desk.run(answer_label, animal=page.who.id, key=key, answer=value)

    def retract(self, entry: Entry) -> None:
        """Take a finding back; it stays in the history."""
        from coilbook.operations.findings import retract_finding

        self._desk.run(retract_finding, finding=FindingId(entry.row))


def _at_hand(desk: Desk) -> bool:
    """Whether the numbers of everybody are worked out as the book stands; asked where a part of them has been shown."""
    from coilbook.derived.genetics_book import book_of

    return book_of(desk.collection).is_current()


def _genes(desk: Desk, animal: AnimalId, cancelled: Callable[[], bool]) -> GeneticsPart | None:
    # what the lines and the margin need is loaded here too, not when they are painted
    import coilbook.reads.genetics_card
    import coilbook.reads.genetics_why
    import coilbook.ui.animal.genes_words  # noqa: F401
    from coilbook.reads.genetics import genetics_part

    return genetics_part(desk.collection, animal, cancelled)


def _reasons(desk: Desk, row: GeneRow, animal: AnimalId, cancelled: Callable[[], bool]) -> Why | None:
    from coilbook.reads.genetics_why import why

    return why(desk.collection, row, animal, cancelled)


def _explained(row: GeneRow) -> bool:
    return row.numbered or row.contradiction is not None
