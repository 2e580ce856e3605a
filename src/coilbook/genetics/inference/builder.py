"""Collects the variables and factors of a network before they are laid out."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from coilbook.genetics.inference.layout import FactorGroup
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats


@dataclass
class Builder:
    """Variables by their number of states, and groups of factors one after the other in one array."""

    sizes: list[int]
    groups: list[FactorGroup] = field(default_factory=list)
    entries: int = 0
    _fixed: list[tuple[FactorGroup, Floats]] = field(default_factory=list)

    def variable(self, states: int) -> int:
        """A new variable."""
        self.sizes.append(states)
        return len(self.sizes) - 1

    def add(self, scope: Ints, shape: tuple[int, ...], read: bool = True) -> FactorGroup:
        """Factors over `scope` (N, a), each a table of `shape`. An axis of 1 is nobody: its column is dropped."""
        axes = [axis for axis, states in enumerate(shape) if states > 1]
        group = FactorGroup(scope[:, axes], tuple(shape[axis] for axis in axes), self.entries, read=read)
        self.groups.append(group)
        self.entries += len(scope) * group.entries
        return group

    def add_fixed(self, scope: Ints, logs: Floats) -> FactorGroup:
        """Factors that all have the one table `logs`, which evidence does not change."""
        group = self.add(scope, logs.shape, read=False)
        self._fixed.append((group, logs))
        return group

    def base(self) -> Floats:
        """(entries,) all factors, zero but for the fixed ones."""
        base = np.zeros(self.entries)
        for group, logs in self._fixed:
            end = group.offset + len(group.scope) * group.entries
            base[group.offset : end].reshape(-1, group.entries)[...] = logs.reshape(-1)
        return base
