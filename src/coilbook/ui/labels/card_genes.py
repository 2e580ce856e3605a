"""What cards say of genes, worked out beside the window and brought into the queue when it is there."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from coilbook.reads.genetics_card import CardText, card_texts
from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Job
from coilbook.ui.desk import Desk
from coilbook.ui.labels.run import Queue

Texts = Mapping[AnimalId, CardText]


class CardGenes:
    """`told` gets the texts of the animals asked for last."""

    def __init__(self, desk: Desk, told: Callable[[Texts], None]) -> None:
        self._desk, self._told = desk, told
        self._job: Job | None = None

    def ask(self, queue: Queue) -> None:
        """Work out the cards of a queue; an earlier question is dropped."""
        animals = [row.animal for row in queue.rows if row.animal is not None]
        if self._job is not None:
            self._job.cancel()
            self._job = None
        if not animals:
            return
        collection = self._desk.collection

        def arrived(texts: Texts) -> None:
            if job is None or not job.stopped.is_set():
                self._job = None
                self._told(texts)

        def failed(error: CoilbookError) -> None:
            if job is None or not job.stopped.is_set():
                self._job = None
                self._desk.tell_failed(error)

        job: Job | None = None
        what = say("Working out what cards may say") if len(animals) > 100 else None
        job = self._desk.background.work_out(
            lambda control: card_texts(collection, animals, control.cancelled), arrived, failed, what
        )
        self._job = job if job in self._desk.background.jobs else None
