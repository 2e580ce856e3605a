"""The genetics of a collection as today's book would have them without one act.

Everything is worked out anew on a copy of what odds rest on, so that nothing the collection keeps is touched; at a
keeper's size that takes a second at most. The two states are of one moment: what was done meanwhile is in neither.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing

from coilbook.derived.genetics_book import Genetics, GeneticsBook, book_of, solve_again
from coilbook.records.changes import ODDS_REST_ON
from coilbook.records.ids import ActId
from coilbook.records.message import Refusal, say
from coilbook.storage.collection import Collection
from coilbook.storage.without_act import WithoutAct

#: a clutch on record says which young are of one litter
COPIED = (*ODDS_REST_ON, "hatchling", "egg")
#: how often a moment without an act in between is waited for
TRIES = 3


def without_and_with(collection: Collection, act: ActId, cancelled: Callable[[], bool]) -> tuple[Genetics, Genetics]:
    """Genetics of today's book without an act, and as they are. Raises `Cancelled` between two loci.

    Raises `Refusal` for an act that is not in the book, and where acts follow one another all the while.
    """
    for _ in range(TRIES):
        now = book_of(collection).current(cancelled)
        with closing(WithoutAct(collection, act, COPIED)) as copy:
            # an act between the two would be compared along with the one that is asked about
            if copy.newest == now.revision:
                return GeneticsBook(copy, solve_again).current(cancelled), now
    raise Refusal(say("The book is being written to. Ask again in a moment."))
