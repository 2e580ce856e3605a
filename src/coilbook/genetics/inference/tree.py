"""Exact marginals of discrete factors in two passes over a tree of tables.

It knows nothing of genetics: variables with so many states, factors (tables over a few of them, as logarithms), and the
exact marginal of every factor. Upwards everything is a logarithm, so that thousands of findings never underflow;
downwards the tables are conditional laws, so that nothing is ever divided.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coilbook.genetics.inference.clique_passes import cell_entries, clique_downward, clique_upward
from coilbook.genetics.inference.clique_sweep import Held, held_of, swept
from coilbook.genetics.inference.layout import Layout, Level
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats


@dataclass(frozen=True)
class Kept:
    """What a run leaves for the next: small tables holding the laws given those above, their messages, the cliques."""

    tables: Floats
    messages: Floats
    family: Floats
    held: Held


def run(layout: Layout, logs: Floats) -> tuple[Floats, Floats]:
    """(marginal of every factor that is read, log of the chance of the evidence in each variable's family).

    `logs` (entries,) holds every factor's table as `layout` was told. A family whose evidence cannot be has -inf and
    marginals of 0; a variable that is in no table has NaN.
    """
    marginals, family, _ = run_kept(layout, logs, keep=False)
    return marginals, family


def run_kept(layout: Layout, logs: Floats, *, keep: bool = True) -> tuple[Floats, Floats, Kept | None]:
    """As `run`, and what `run_again` can begin with; None where that would be no quicker, or too much to `keep`."""
    tables, messages = upward(layout, logs, layout.factor_source)
    family = np.full(len(layout.sizes), np.nan)
    family[layout.sorted] = messages[layout.message_at[layout.root[layout.sorted]]]
    if layout.cliques is None:
        downward(layout, tables)
        return marginals_of(layout, tables), family, None
    cliques = layout.cliques
    with np.errstate(divide="ignore"):
        above = clique_upward(cliques, logs, messages)
    tops = np.zeros(len(layout.sizes))
    for clique, message in zip(cliques.cliques, above.messages, strict=True):
        tops[list(clique.variables)] = message.scale
    high = np.flatnonzero(layout.under_cliques)
    family[high] = tops[layout.root[high]]
    joint = clique_downward(cliques, above)
    held = held_of(above, joint) if keep else None
    kept = Kept(tables.copy(), messages, family, held) if held is not None else None
    return _joined(layout, tables, joint), family, kept


def run_again(layout: Layout, logs: Floats, changed: Bools, kept: Kept) -> tuple[Floats, Floats, Kept] | None:
    """`run_kept` where only the entries `changed` (entries,) are others than in an earlier run; None where it must."""
    cliques = layout.cliques
    assert cliques is not None
    tables, messages = kept.tables, kept.messages
    if changed[layout.factor_source].any():
        tables, messages = upward(layout, logs, layout.factor_source)
    held = swept(cliques, kept.held, cell_entries(cliques, logs, messages))
    if held is None:
        return None
    family = np.full(len(layout.sizes), np.nan)
    family[layout.sorted] = messages[layout.message_at[layout.root[layout.sorted]]]
    grown = np.zeros(len(layout.sizes))
    for clique, more in zip(cliques.cliques, (held.grown - kept.held.grown).tolist(), strict=True):
        grown[list(clique.variables)] = more
    high = np.flatnonzero(layout.under_cliques)
    family[high] = kept.family[high] + grown[layout.root[high]]
    return _joined(layout, tables.copy(), held.joint), family, Kept(tables, messages, family, held)


def _joined(layout: Layout, tables: Floats, joint: Floats) -> Floats:
    """(entries,) the marginals, from small tables that hold laws given those above and the joint cells of the large."""
    cliques = layout.cliques
    assert cliques is not None
    given = counted(cliques.message_at, joint[cliques.message_cell], layout.message_size)
    downward(layout, tables, given)
    marginals = marginals_of(layout, tables)
    marginals += counted(cliques.factor_at[cliques.read], joint[cliques.factor_cell[cliques.read]], layout.entries)
    return marginals


def upward(layout: Layout, logs: Floats, source: Ints) -> tuple[Floats, Floats]:
    """(small tables holding each variable's law given those above, messages); factor entries are read at `source`."""
    tables = counted(layout.factor_entry, logs[source], layout.size)
    return tables, passed_up(layout, tables)


def passed_up(layout: Layout, tables: Floats) -> Floats:
    """(messages,) of small tables that hold their factors; they are left holding the laws given those above."""
    messages = np.zeros(layout.message_size)
    with np.errstate(divide="ignore"):
        for level in layout.levels:
            _up(level, tables, messages)
    return messages


def downward(layout: Layout, tables: Floats, given: Floats | None = None) -> None:
    """Turn the conditional laws that `upward` left into joint ones, in place.

    `given` (messages,): the joint laws of what lies above in the cliques, 0 for messages to small tables.
    """
    for level in reversed(layout.levels):
        _down(level, tables, given)


def marginals_of(layout: Layout, tables: Floats) -> Floats:
    """(entries,) marginals of the factors that are read in small tables, from joint ones."""
    return counted(layout.read_source, tables[layout.read_entry], layout.entries)


def _up(level: Level, tables: Floats, messages: Floats) -> None:
    """Fill one level's tables with what lies below; leave the conditional laws there, hand the messages on."""
    low, high = level.tables
    entry, source = level.into
    if len(entry):
        tables[low:high] += counted(entry, messages[source], high - low)
    for states, start, end, at, to in level.runs:
        messages[at:to] = _sum_out(tables[start:end].reshape(-1, states))


def _down(level: Level, tables: Floats, given: Floats | None) -> None:
    """Turn one level's conditional laws into joint ones, the tables above being joint already."""
    low, high = level.messages
    entry, source = level.out_of
    over = level.roots if given is None else level.roots + given[low:high]
    if len(entry):
        over = over + counted(source, tables[entry], high - low)
    for states, start, end, at, to in level.runs:
        tables[start:end].reshape(-1, states)[...] *= over[at - low : to - low, None]


def _sum_out(logs: Floats) -> Floats:
    """(r,) log of the row sums of exp(logs (r, k)); leaves the rows' laws (sum 1, or 0 where nothing can be)."""
    columns = [logs[:, column] for column in range(logs.shape[1])]
    top = columns[0].copy()
    for column in columns[1:]:
        # column by column: a reduction over so few is several times slower
        np.maximum(top, column, out=top)
    top[top == -np.inf] = 0.0
    logs -= top[:, None]
    np.exp(logs, out=logs)
    total = columns[0].copy()
    for column in columns[1:]:
        total += column
    logs /= np.where(total > 0, total, 1.0)[:, None]
    return np.asarray(top + np.log(total))


def counted(where: Ints, weights: Floats, size: int) -> Floats:
    """(size,) weights summed by place. (`bincount` of nothing would be whole numbers.)"""
    return np.bincount(where, weights=weights, minlength=size).astype(np.float64, copy=False)
