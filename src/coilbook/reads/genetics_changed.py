"""Who changed by an act: the kept genetics before and after it, compared. Computes: on a worker."""

from __future__ import annotations

from coilbook.derived.genetics_book import book_of
from coilbook.reads.consequences import Moved, consequences
from coilbook.records.ids import ActId
from coilbook.storage.collection import Collection


def changed_by(collection: Collection, act: ActId, *, besides: frozenset[int] = frozenset()) -> tuple[Moved, ...]:
    """Animals besides those the act was about whose numbers it changed; nothing for an act that is long ago.

    Nothing either where nobody had asked for a number before it: there is nothing to compare with.
    """
    book = book_of(collection)
    if book.ready() is None:
        return ()
    book.current()
    step = book.step_of(act)
    return consequences(collection, *step, besides=besides) if step is not None else ()


def begin_to_compare(collection: Collection) -> None:
    """Work the numbers out as they are, so that there is something to compare the next act with."""
    book_of(collection).current()
