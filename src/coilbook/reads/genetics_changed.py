"""Who else changed by an act: the genetics with and without it, compared. Computes: on a worker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from coilbook.derived.genetics_book import book_of
from coilbook.derived.genetics_without import without_and_with
from coilbook.reads.consequences import Moved, consequences
from coilbook.records.ids import ActId
from coilbook.storage.collection import Collection


def changed_by(
    collection: Collection,
    act: ActId,
    cancelled: Callable[[], bool] = lambda: False,
    *,
    besides: frozenset[int] = frozenset(),
) -> tuple[Moved, ...]:
    """Animals besides those the act was about whose numbers it changed, compared with how the book stood before it.

    For an act just made: nothing for one that is long ago (see `changed_without`), and nothing where nobody had asked
    for a number before it.
    """
    book = book_of(collection)
    if book.ready() is None:
        return ()
    book.current(cancelled)
    step = book.step_of(act)
    return consequences(collection, *step, besides=besides) if step is not None else ()


def changed_without(
    collection: Collection, act: ActId, cancelled: Callable[[], bool] = lambda: False
) -> tuple[Moved, ...]:
    """Animals besides those an act was about, whose numbers of today rest on it: `before` is today's without the act.

    Whoever was sold after it gets no note: it was known then. Raises `Refusal` for an act that is not in the book.
    """
    without, now = without_and_with(collection, act, cancelled)
    about = {int(a) for (a,) in collection.read("SELECT DISTINCT animal FROM change WHERE act = ?", (act,)) if a}
    ((at,),) = collection.read("SELECT at FROM act WHERE id = ?", (act,))
    # by days: an act is stored in UTC, a sale by the clock on the wall
    return tuple(
        replace(one, sold_before=one.sold_on[:10] <= str(at)[:10])
        for one in consequences(collection, without, now, besides=about)
    )


def begin_to_compare(collection: Collection) -> None:
    """Work the numbers out as they are, so that there is something to compare the next act with."""
    book_of(collection).current()
