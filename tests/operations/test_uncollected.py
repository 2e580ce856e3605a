"""The collector rests while a long work runs, and is back afterwards, errors and overlapping works included."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import pytest

from coilbook.operations.uncollected import FREED_TOGETHER, free_by_and_by, without_collector


@pytest.fixture(autouse=True)
def nothing_left_aside() -> Iterator[None]:
    """A test leaves the collector as it found it."""
    yield
    gc.unfreeze()
    assert gc.isenabled()


def test_off_until_the_last_of_two_works_ends() -> None:
    with without_collector():
        with without_collector():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()


def test_back_after_an_error() -> None:
    with pytest.raises(LookupError), without_collector():
        raise LookupError
    assert gc.isenabled()


def test_what_stands_at_the_end_is_not_walked_through_again_and_handed_back_by_the_next() -> None:
    with without_collector():
        kept = [[n] for n in range(1_000)]
    assert gc.get_freeze_count() >= len(kept)
    with without_collector():
        assert gc.get_freeze_count() == 0


def test_one_that_was_off_stays_off() -> None:
    gc.disable()
    try:
        with without_collector():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()


def test_parts_are_freed_a_few_at_a_time() -> None:
    class Part:
        pass

    parts: list[object] = [Part() for _ in range(3 * FREED_TOGETHER + 1)]
    left: list[int] = []
    weakref.finalize(parts[0], lambda: left.append(len(parts)))
    watched = [weakref.finalize(part, lambda: left.append(len(parts))) for part in parts[1:]]
    free_by_and_by(parts)
    assert parts == []
    assert len(left) == len(watched) + 1
    assert {left.count(size) for size in set(left)} <= {1, FREED_TOGETHER}
