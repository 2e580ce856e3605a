"""One spelling for a letter with its mark: "é" may be one sign or two, which look alike and compare as different.

Texts go into the book and are looked for in Unicode's composed form (NFC, Unicode Standard Annex 15), so that what was
typed on one system is found by what is typed on another.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Any

#: halves of a pair: what a file's name is made of that its system cannot spell, or half of a sign that was pasted
_HALVES = re.compile("[\ud800-\udfff]")


def composed(text: str) -> str:
    """The text in composed form, as a file can hold it: what is no sign at all stands as the sign for that, U+FFFD.

    >>> composed("Ze\\u0301lie") == "Z\\u00e9lie"
    True
    """
    return text if text.isascii() else unicodedata.normalize("NFC", _HALVES.sub("\ufffd", text))


def composed_values(values: Iterable[Any]) -> tuple[Any, ...]:
    """The values for a statement, their texts in composed form."""
    # a plain text keeps what it is (a member of a list of codes is a text too)
    return tuple(composed(v) if isinstance(v, str) and not v.isascii() else v for v in values)


def cases(text: str) -> tuple[str, ...]:
    """The spellings of a text to compare without regard to case where only ASCII letters are compared so (SQLite).

    >>> cases("\u00e9mile"), cases("F-014")
    (('émile', 'ÉMILE', 'Émile'), ('F-014',))
    """
    return (text,) if text.isascii() else tuple(dict.fromkeys((text.lower(), text.upper(), text.title(), text)))
