"""Tables of equal shape: which entry of another array each of their entries meets, worked out for all at once."""

from __future__ import annotations

from itertools import accumulate, pairwise

import numpy as np

from coilbook.genetics.problem import Ints

#: numbers of shapes are made smaller again before they pass this
_MOST = 2**62


class Shapes:
    """Tables given by the numbers of states of their axes (tables, axes), the first axis fastest, 1 beyond the last.

    `number` (tables,) is the same for those of one shape.
    """

    def __init__(self, states: Ints) -> None:
        self._states = states
        base = int(states.max(initial=1)) + 1
        number = np.zeros(len(states), dtype=np.int64)
        for axis in range(states.shape[1]):
            if int(number.max(initial=0)) > _MOST // base:
                number = np.unique(number, return_inverse=True)[1].reshape(-1)
            number = number * base + states[:, axis]
        self.number = number

    def addresses(self, tables: Ints, strides: Ints, base: Ints) -> Ints:
        """For every entry of some tables (N,), one after the other: base plus the sum of its places times the strides.

        `strides` (N, axes) and `base` (N,) are those of the array that is met. Tables of one shape stand together.
        """
        number = self.number[tables]
        cuts = np.flatnonzero(np.diff(number, prepend=-1, append=-1)).tolist()
        found: list[Ints] = []
        for low, high in pairwise(cuts):
            # tables side by side: a row of many is added at once, where the axes are short
            met = base[None, low:high]
            for axis, size in enumerate(self._states[tables[low]].tolist()):
                if size > 1:
                    along = strides[low:high, axis]
                    met = np.concatenate(list(accumulate([met] + [along] * (size - 1), np.add)))
            found.append(met.T.reshape(-1))
        return np.concatenate([np.zeros(0, dtype=np.int64), *found])
