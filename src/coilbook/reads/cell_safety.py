"""Texts in an exported CSV that a spreadsheet must not take for a formula.

A text that begins with ``= + - @`` (the wide ones of East Asian fonts too), a tab or a carriage return gets an
apostrophe before it, and so does one that begins with an apostrophe: whoever reads the file takes one apostrophe off
such a text. Numbers are written as numbers and never touched. Source of the list of signs: OWASP, "CSV Injection"
(`from memory`).
"""

from __future__ import annotations

#: first signs that make spreadsheets compute instead of show
RISKY = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
GUARD = "'"


def guarded(value: object) -> object:
    """A cell as it is written to a CSV file.

    >>> guarded("=1+1"), guarded("F-014"), guarded(-3), guarded("'twas")
    ("'=1+1", 'F-014', -3, "''twas")
    """
    if isinstance(value, str) and value.startswith((*RISKY, GUARD)):
        return GUARD + value
    return value
