"""The order a keeper expects of ids: F-2 before F-14, whatever the letters' case."""

from __future__ import annotations

import re

_DIGITS = re.compile(r"\d+")
_WIDTH = 9


def _padded(digits: re.Match[str]) -> str:
    return digits[0].lstrip("0").rjust(_WIDTH, "0")


def natural_key(text: str) -> str:
    """Text to sort by, in which numbers sort by their value.

    >>> sorted(["F-14", "f-2", "F-014b"], key=natural_key)
    ['f-2', 'F-14', 'F-014b']
    """
    return _DIGITS.sub(_padded, text.casefold())
