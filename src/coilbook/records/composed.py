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


#: signs that show nothing and come along with what is pasted: control signs, marks of width nought and of direction.
#: The joiners U+200C and U+200D belong to words and pictures.
_UNSEEN = re.compile("[\x00-\x1f\x7f-\x9f\u00ad\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


def seen(text: str) -> str:
    """A name as it looks, in one line: two that look alike are then one.

    >>> seen(" F-014\u200b ")
    'F-014'
    """
    return " ".join(_UNSEEN.sub("", " ".join(text.split())).split())


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
