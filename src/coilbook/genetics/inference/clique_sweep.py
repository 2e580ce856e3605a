"""Large tables that hold joint chances already, brought up to a finding at one of them: one sweep outwards from there.

What a clique and its neighbour share is the only way from one to the other. So a table is multiplied by what the law of
the shared variables became over what it was, and says the same to its other neighbours (Jensen, Lauritzen and Olesen
1990, from memory). That is one pass over every table in place of two, and nothing is made of its small arrays again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.clique_passes import Upward
from coilbook.genetics.inference.clique_plans import Plan, plans_of
from coilbook.genetics.inference.cliques import Cliques
from coilbook.genetics.states import Floats

#: sweeps after one another before everything is summed anew, and cliques at which one change may begin
_SWEEPS, _BEGINS = 250, 2
#: how far findings may go against each other's odds, as a logarithm, in all sweeps: beyond, what float64 rounded away
#: (708) could have become likely
_AGAINST = 460.0
#: what stands for none in a divisor: beside it nothing is left of what may be rounded away
_NONE = 1e-300


@dataclass(frozen=True)
class Held:
    """Joint chances of all cliques: `tables`, and `shares` of what each has in common with the one above.

    `entries` (cells,) are the logarithms that went in, `joint` (cells,) the chances of the cells that are wanted.
    `grown` (cliques,): what the log of the chance of all that was seen in its family grew by in `sweeps` sweeps, and
    `against` by how much of it chances were lost that may have been rounded away.
    """

    tables: list[Floats]
    shares: list[Floats]
    entries: Floats
    joint: Floats
    grown: Floats
    sweeps: int = 0
    against: float = 0.0


def held_of(found: Upward, joint: Floats) -> Held | None:
    """What to keep of both passes; None where the evidence cannot be."""
    if any(message.scale == -np.inf for message in found.messages):
        return None
    shares = [np.asarray(share) + _NONE for share in found.shares]
    tables = [table.reshape(-1).copy() for table in found.tables]
    return Held(tables, shares, found.entries, joint, np.zeros(len(tables)))


def swept(cliques: Cliques, held: Held, entries: Floats) -> Held | None:
    """The same with other logarithms in the cells; None where it is better, or only safe, to sum everything anew."""
    with np.errstate(invalid="ignore"):
        change = entries - held.entries
    change[np.isnan(change)] = 0.0
    at = np.flatnonzero(change)
    if not len(at):
        return held
    homes = sorted(set(cliques.clique_at[at].tolist()))
    if len(homes) > _BEGINS or held.sweeps >= _SWEEPS or float(change[at].max()) == np.inf:
        return None
    sweep = _Sweep(cliques, held)
    for home in homes:
        if not sweep.begin(home, change):
            return None
    joint = plans_of(cliques).joint(sweep.tables, sweep.shares, cliques.size)
    return Held(
        sweep.tables, sweep.shares, entries, joint, held.grown + sweep.grown, held.sweeps + len(homes), sweep.against
    )


class _Sweep:
    """Tables under way; those of `held` are left as they are."""

    def __init__(self, cliques: Cliques, held: Held) -> None:
        self._cliques = cliques
        self._plans: tuple[Plan, ...] = plans_of(cliques).each
        self.tables, self.shares = list(held.tables), list(held.shares)
        self.grown, self.against = np.zeros(len(self.tables)), held.against

    def begin(self, home: int, change: Floats) -> bool:
        """Multiply changes (cells,), as logarithms, into one clique and tell all others; False where it is unsafe."""
        table, clique, grown = self.tables[home], self._cliques.cliques[home], 0.0
        for (low, high), cell in zip(clique.cells, self._plans[home].cells, strict=True):
            mine = change[low:high]
            if mine.any():
                top = float(mine.max())
                if top == -np.inf:
                    return False
                grown += top
                table = cell.times(table, np.exp(mine - top))
        total = float(table.sum())
        self.against -= float(np.log(total)) if total > 0.0 else -np.inf
        if self.against > _AGAINST:
            return False
        table *= 1.0 / total
        self.tables[home] = table
        todo = [(home, -1)]
        for at, came in todo:
            self._up(at, came, todo)
            for child in self._cliques.cliques[at].children:
                if child != came:
                    ratio = self._became(child, self._plans[at].to_child(child, self.tables[at]))
                    self.tables[child] = (self.tables[child].reshape(-1, len(ratio)) * ratio).reshape(-1)
                    todo.append((child, at))
        self.grown[[at for at, _ in todo]] += grown + float(np.log(total))
        return True

    def _up(self, at: int, came: int, todo: list[tuple[int, int]]) -> None:
        above = self._cliques.above[at]
        if above < 0 or above == came:
            return
        clique, plan = self._cliques.cliques[at], self._plans[above]
        ratio = self._became(at, np.ones(clique.own) @ self.tables[at].reshape(clique.own, -1))
        self.tables[above] = plan.children[at].times(self.tables[above], plan.from_child(at, ratio))
        todo.append((above, at))

    def _became(self, number: int, now: Floats) -> Floats:
        """What the law a clique shares with the one above became over what it was; of nothing comes nothing."""
        now += _NONE
        before, self.shares[number] = self.shares[number], now
        return now / before
