"""Exact marginals of discrete factors in two passes over a tree of tables.

It knows nothing of genetics: variables with so many states, factors (tables over a few of them, as logarithms), and the
exact marginal of every factor. Upwards everything is a logarithm, so that thousands of findings never underflow;
downwards the tables are conditional laws, so that nothing is ever divided.
"""

from __future__ import annotations

import numpy as np

from coilbook.genetics.inference.layout import Layout, Level, View
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Floats


def run(layout: Layout, logs: Floats) -> tuple[Floats, Floats]:
    """(marginal of every factor that is read, log of the chance of the evidence in each variable's family).

    `logs` (entries,) holds every factor's table as `layout` was told. A family whose evidence cannot be has -inf and
    marginals of 0; a variable that is in no table has NaN.
    """
    tables, messages = upward(layout, logs, layout.factor_source)
    family = np.full(len(layout.sizes), np.nan)
    family[layout.sorted] = messages[layout.message_at[layout.root[layout.sorted]]]
    downward(layout, tables)
    return marginals_of(layout, tables), family


def upward(layout: Layout, logs: Floats, source: Ints) -> tuple[Floats, Floats]:
    """(tables holding each variable's law given those above, messages); `source` is where factor entries are read."""
    tables = _counted(layout.factor_entry, logs[source], layout.size)
    for bucket, view in layout.factor_views:
        _add(_table(layout, tables, bucket), logs, view)
    messages = np.zeros(layout.message_size)
    with np.errstate(divide="ignore"):
        for level in layout.levels:
            _up(layout, level, tables, messages)
    return tables, messages


def downward(layout: Layout, tables: Floats) -> None:
    """Turn the conditional laws that `upward` left into joint ones, in place."""
    for level in reversed(layout.levels):
        _down(layout, level, tables)


def marginals_of(layout: Layout, tables: Floats) -> Floats:
    """(entries,) marginals of the factors that are read, from joint tables."""
    marginals = _counted(layout.read_source, tables[layout.read_entry], layout.entries)
    for bucket, view in layout.read_views:
        marginals[view.low : view.high] += _summed(_table(layout, tables, bucket), view)
    return marginals


def _up(layout: Layout, level: Level, tables: Floats, messages: Floats) -> None:
    """Fill one level's tables with what lies below; leave the conditional laws there, hand the messages on."""
    low, high = level.tables
    entry, source = level.into
    if len(entry):
        tables[low:high] += _counted(entry, messages[source], high - low)
    for states, start, end, at, to in level.runs:
        messages[at:to] = _sum_out(tables[start:end].reshape(-1, states))
    for bucket in level.large:
        table = _table(layout, tables, bucket)
        for view in layout.message_views.get(bucket, ()):
            _add(table, messages, view)
        at = int(layout.message_at[bucket])
        to = at + int(layout.message[bucket])
        messages[at:to] = _sum_out(table.reshape(-1, int(layout.sizes[bucket])))


def _down(layout: Layout, level: Level, tables: Floats) -> None:
    """Turn one level's conditional laws into joint ones, the tables above being joint already."""
    low, high = level.messages
    entry, source = level.out_of
    over = level.roots
    if len(entry):
        over = over + _counted(source, tables[entry], high - low)
    for view, above in level.under_large:
        over = over.copy() if over is level.roots else over
        over[view.low - low : view.high - low] = _summed(_table(layout, tables, above), view)
    for states, start, end, at, to in level.runs:
        tables[start:end].reshape(-1, states)[...] *= over[at - low : to - low, None]
    for bucket in level.large:
        at = int(layout.message_at[bucket]) - low
        flat = _table(layout, tables, bucket).reshape(-1, int(layout.sizes[bucket]))
        flat *= over[at : at + int(layout.message[bucket]), None]


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


def _counted(where: Ints, weights: Floats, size: int) -> Floats:
    """Weights summed by place. (`bincount` of nothing would be whole numbers.)"""
    return np.bincount(where, weights=weights, minlength=size).astype(np.float64, copy=False)


def _table(layout: Layout, tables: Floats, bucket: int) -> Floats:
    """A large table (a view)."""
    low = int(layout.offset[bucket])
    return tables[low : low + int(layout.table[bucket])]


def _seen(values: Floats, view: View) -> Floats:
    """A small array spread over the axes of a large table."""
    return values[view.low : view.high].reshape(view.shape).transpose(view.axes).reshape(view.spread)


def _add(table: Floats, values: Floats, view: View) -> None:
    """Add a small array to every part of a large table that it bears on."""
    seen = table.reshape(view.whole)
    seen += _seen(values, view)


def _summed(table: Floats, view: View) -> Floats:
    """A large table summed to a small array, flat, in the small array's own order of axes."""
    small = table.reshape(view.whole)
    for axis in sorted(view.gone, key=lambda one: -view.whole[one]):
        # the longest first, so that little is left for the short ones
        small = small.sum(axis=axis, keepdims=True)
    back = small.reshape([view.shape[axis] for axis in view.axes]).transpose(np.argsort(view.axes))
    return np.ascontiguousarray(back).reshape(-1)
