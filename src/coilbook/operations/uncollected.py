"""Long work over many lasting objects, done without Python's search for reference cycles.

The sheet, plan and rows of an import are hundreds of thousands of objects that refer to each other in no circle. Each
full search of the collector walks through all of them while it holds the interpreter, and the window waits for it.
"""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator
from contextlib import contextmanager

#: objects freed in one step of `free_by_and_by`
FREED_TOGETHER = 50

_lock = threading.Lock()
_under_way = 0
_was_on = True


@contextmanager
def without_collector() -> Iterator[None]:
    """Switch the collector off until the last of the works under way, in whatever thread, has ended.

    What stands then is set aside (`gc.freeze`): otherwise the very next search would walk through all of it at once.
    The beginning of the next such work hands it back.
    """
    _begin()
    try:
        yield
    finally:
        _end()


def _begin() -> None:
    global _under_way, _was_on
    with _lock:
        if _under_way == 0:
            _was_on = gc.isenabled()
            gc.disable()
            gc.unfreeze()
        _under_way += 1


def _end() -> None:
    global _under_way
    with _lock:
        _under_way -= 1
        if _under_way == 0:
            gc.freeze()
            if _was_on:
                gc.enable()


def free_by_and_by(parts: list[object]) -> None:
    """Let go of the parts of something large, a few at a time, so that the window can step in between; for a worker.

    The last reference to a plan of 20,000 rows, let go at once, holds the interpreter for as long as all of it takes.
    """
    while parts:
        del parts[-FREED_TOGETHER:]
