"""The forms of the places screen: a new rack, another name, an animal to move in."""

from __future__ import annotations

import re
from collections.abc import Sequence

from PySide6.QtWidgets import QCheckBox, QLineEdit

from coilbook.records.message import Refusal, say
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated

_SPAN = re.compile(r"^([A-Z])\s*-\s*([A-Z])$", re.IGNORECASE)


def row_names(typed: str) -> tuple[str, ...]:
    """Row letters of a rack as typed: "A-D", "A B C" or "4".

    >>> row_names("A-D"), row_names("x, y"), row_names("2")
    (('A', 'B', 'C', 'D'), ('X', 'Y'), ('A', 'B'))
    """
    plain = typed.strip()
    span = _SPAN.match(plain)
    if span:
        first, last = ord(span[1].upper()), ord(span[2].upper())
        if first <= last:
            return tuple(chr(code) for code in range(first, last + 1))
    if plain.isdecimal() and 1 <= int(plain) <= 26:
        return tuple(chr(ord("A") + number) for number in range(int(plain)))
    names = tuple(part.upper() for part in re.split(r"[\s,;]+", plain) if part)
    if not names or any(len(name) > 4 for name in names):
        raise Refusal(say("Rows are letters, like A-D, or how many there are, like 4; not '{typed}'.", typed=typed))
    return names


class RackForm(InlineForm):
    """Name, rows and columns of a new rack."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, translated("A new rack"), translated("Add the rack"), columns=4)
        self.name, self.rows_typed, self.columns_typed = QLineEdit(), QLineEdit(), QLineEdit()
        self.quarantine = QCheckBox(translated("for quarantine"))
        self.add("name", translated("Name"), self.name, hint="R1")
        self.add("rows", translated("Rows, top to bottom"), self.rows_typed, hint="A-D")
        self.add("columns", translated("Tubs in a row"), self.columns_typed, hint="5")
        self.add("quarantine", translated("Use"), self.quarantine)

    def asked(self) -> tuple[str, tuple[str, ...], int, bool]:
        """Name, row names, columns, quarantine as typed; a refusal for what cannot be."""
        columns = self.columns_typed.text().strip()
        if not columns.isdecimal() or not 1 <= int(columns) <= 40:
            raise Refusal(say("How many tubs stand in a row is a number from 1 to 40, not '{typed}'.", typed=columns))
        return self.name.text(), row_names(self.rows_typed.text()), int(columns), self.quarantine.isChecked()


def next_name(names: Sequence[str]) -> str:
    """The name that goes on where the last one ends, empty when it ends in no number.

    >>> next_name(["A1", "A2"]), next_name(["B09"]), next_name(["shelf"]), next_name([])
    ('A3', 'B10', '', '')
    """
    last = re.fullmatch(r"(.*?)(\d+)", names[-1]) if names else None
    return f"{last[1]}{int(last[2]) + 1:0{len(last[2])}d}" if last else ""


class OneLineForm(InlineForm):
    """One field: another name for a rack, the id of an animal to move, a note."""

    def __init__(self, theme: Theme, title: str, words: str, save_words: str, typed: str = "") -> None:
        super().__init__(theme, title, save_words, columns=2)
        self.line = QLineEdit(typed)
        self.add("line", words, self.line)
        self.line.selectAll()
