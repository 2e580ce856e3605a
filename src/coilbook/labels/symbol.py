"""The QR symbol of a code as plain geometry: dark modules merged into few rectangles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from coilbook.labels.code import LARGEST_MODULES, LabelCode
from coilbook.records.message import Refusal, say

#: modules kept light on each side (ISO/IEC 18004, quiet zone; `from memory`)
QUIET_MODULES = 4
#: one mask for every symbol: choosing the best of eight costs eight times the time and decodes no better here
_MASK = 2


@dataclass(frozen=True, slots=True)
class Run:
    """A rectangle of dark modules, in modules from the top left corner of the symbol."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of `modules` by `modules`, without its quiet zone."""

    payload: str
    modules: int
    dark: tuple[Run, ...]

    @property
    def modules_with_quiet(self) -> int:
        """Modules a side, quiet zone included."""
        return self.modules + 2 * QUIET_MODULES


def payload_of(code: LabelCode, prefix: str = "") -> str:
    """What a symbol of this code carries: the keeper's prefix and the code."""
    return prefix + code.text


#: least modules a side where the label carries the symbol twice, and where it stands alone. A code by itself
#: would fit into 21; the larger symbols hold more correction at the same module. Read with a stain of 10% of the
#: symbol anywhere, at 0.5 mm a module: 21 modules 8 to 13%, 25: 42 to 46%, 29: 63 to 67% (`decode_table`)
LEAST_TWICE = 25
LEAST_ALONE = 29


@lru_cache(maxsize=4096)
def symbol(payload: str, least_modules: int = LEAST_TWICE) -> Symbol:
    """The symbol of an upper-case alphanumeric `payload`, level Q, at least so many modules a side.

    Raises `Refusal` when it would pass 29 modules (a prefix that was not checked).
    """
    matrix = _matrix(payload, least_modules)
    if len(matrix) > LARGEST_MODULES:
        raise Refusal(
            say(
                "'{payload}' makes a code of {n} modules a side; a label has room for {most}. Shorten the prefix.",
                payload=payload,
                n=len(matrix),
                most=LARGEST_MODULES,
            )
        )
    return Symbol(payload, len(matrix), merge_runs(matrix))


def _matrix(payload: str, least_modules: int) -> list[list[bool]]:
    from qrcode.constants import ERROR_CORRECT_Q
    from qrcode.main import QRCode

    made: QRCode[object] = QRCode(  # type: ignore
        version=(least_modules - 17) // 4, error_correction=ERROR_CORRECT_Q, border=0, mask_pattern=_MASK
    )
    made.add_data(payload, optimize=0)
    made.make()
    return [[bool(dark) for dark in row] for row in made.modules]


def merge_runs(matrix: Sequence[Sequence[bool]]) -> tuple[Run, ...]:
    """Dark cells as rectangles: runs along a row, equal runs of following rows joined.

    >>> merge_runs([[True, True], [True, True]])
    (Run(x=0, y=0, width=2, height=2),)
    """
    done: list[Run] = []
    growing: dict[tuple[int, int], Run] = {}
    for y, row in enumerate(matrix):
        here: dict[tuple[int, int], Run] = {}
        for x, width in _row_runs(row):
            above = growing.pop((x, width), None)
            here[x, width] = Run(x, y, width, 1) if above is None else Run(x, above.y, width, above.height + 1)
        done.extend(growing.values())
        growing = here
    done.extend(growing.values())
    return tuple(sorted(done, key=lambda run: (run.y, run.x)))


def _row_runs(row: Sequence[bool]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    start = -1
    for x, dark in enumerate([*row, False]):
        if dark and start < 0:
            start = x
        elif not dark and start >= 0:
            runs.append((start, x - start))
            start = -1
    return runs
