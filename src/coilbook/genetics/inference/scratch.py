"""Memory that one run after the other uses: fresh pages cost more than the sums that are written to them."""

from __future__ import annotations

import threading
from math import prod

import numpy as np

from coilbook.genetics.states import Floats

#: entries kept for each thread, at most: 16 MB
_MOST = 2_000_000


class Scratch:
    """Arrays that live until `begin` is called again. Beyond what is kept they are fresh ones."""

    def __init__(self) -> None:
        self._memory = np.empty(0)
        self._used = 0

    def begin(self) -> None:
        """All arrays taken so far are given back; as much as they needed is kept from now on."""
        if len(self._memory) < min(self._used, _MOST):
            self._memory = np.empty(min(self._used, _MOST))
        self._used = 0

    def take(self, shape: tuple[int, ...]) -> Floats:
        """An array of this shape; what stands in it is left over."""
        size = prod(shape)
        low, self._used = self._used, self._used + size
        if self._used > len(self._memory):
            return np.empty(shape)
        return self._memory[low : self._used].reshape(shape)


class _Local(threading.local):
    def __init__(self) -> None:
        self.scratch = Scratch()


_LOCAL = _Local()


def scratch() -> Scratch:
    """The scratch memory of this thread."""
    return _LOCAL.scratch
