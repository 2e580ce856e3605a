"""Whether the bounded method's errors hold what they say: families that are also answered exactly, blocks cut small.

Run `python -m tests.reference.bounded_coverage` for the table (`--times 3` draws three times as many families).
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from random import Random
from unittest.mock import patch

import numpy as np
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem

from coilbook.genetics.inference import blocks, solve

#: the entries of one table that a block may have here, so that much is held fast in families of this size
SMALL = 48
SHAPES = (Shape(32, 4, litters=0.2), Shape(40, 5, litters=0.2), Shape(26, 3, litters=0.1, one_parent=0.0))
#: a family of a locus of very many states, which has to be smaller to be counted exactly
FEW = Shape(20, 3, litters=0.1)


def apart(name: str, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """(animals,) by how much laws are off and the errors told, of one family: of animals whose law is not settled."""
    states = kind(name)
    shape = SHAPES[seed % len(SHAPES)] if len(states.states) <= 15 else FEW
    problem = random_problem(states, shape, Random(f"{name} s {seed}"))
    exact = solve(problem)
    with patch.object(blocks, "_TABLE", SMALL):
        sampled = solve(problem, width_limit=1)
    assert exact.exact, (name, seed)
    laws = exact.all_posteriors()
    off = np.abs(laws - sampled.all_posteriors()).max(axis=1)
    errors = np.array([sampled.error(animal) for animal in range(problem.pedigree.size)])
    open_ = (errors > 0) & (laws.max(axis=1) < 1 - 1e-12)
    assert (off[~open_] <= np.maximum(errors[~open_], 1e-9)).all(), (name, seed)
    return off[open_], errors[open_]


def rows(times: int) -> Iterator[tuple[str, list[np.ndarray], list[np.ndarray]]]:
    """For every inheritance: its name, what each family is off by, the errors told."""
    for name in KINDS:
        found = [apart(name, seed) for seed in range(12 * times)]
        yield name, [off for off, _ in found], [errors for _, errors in found]


def held(off: np.ndarray, errors: np.ndarray) -> bool:
    """Whether few laws are further off than twice the error told (one in twenty), and next to none than four times."""
    ratios = off / errors
    return bool((ratios > 2).mean() <= 0.05 and (ratios > 4).mean() <= 0.002)


def line(told: str, off: list[np.ndarray], errors: list[np.ndarray], spent: float) -> str:
    """One row of the table."""
    ratios = [one / error for one, error in zip(off, errors, strict=True)]
    every, told_errors = np.concatenate(ratios), np.concatenate(errors)
    worst = np.array([one.max(initial=0.0) for one in ratios])
    cells = [f"{told:<30} {len(off):>8} {len(every):>6}"]
    cells += [f"{value:>9.4f}" for value in (np.concatenate(off).max(), np.median(told_errors), told_errors.max())]
    cells += [f"{(every > bound).sum():>5}" for bound in (1, 2, 3, 4)]
    cells += [f"{every.max():>6.1f}", *(f"{(worst > bound).sum():>8}" for bound in (2, 4)), f"{spent:>6.1f}"]
    return " ".join(cells)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=1)
    times = parser.parse_args().times
    heads = [f"{'inheritance':<30} families {'laws':>6}", *(f"{head:>9}" for head in ("most off", "error", "largest"))]
    heads += [*(f"{'>' + str(bound):>5}" for bound in (1, 2, 3, 4)), " worst", "famil.>2", "famil.>4", "CPU s"]
    print(" ".join(heads))
    all_off: list[np.ndarray] = []
    all_errors: list[np.ndarray] = []
    begun = at = time.process_time()
    for name, off, errors in rows(times):
        now = time.process_time()
        print(line(name, off, errors, now - at), flush=True)
        at = now
        all_off += off
        all_errors += errors
    print(line("all", all_off, all_errors, at - begun))
    if not held(np.concatenate(all_off), np.concatenate(all_errors)):
        raise SystemExit("The errors told are too small.")


if __name__ == "__main__":
    main()
