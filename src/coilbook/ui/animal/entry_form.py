"""A form for one entry, built from a list of what it asks; what was typed is read back as values for an act."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCompleter, QLineEdit, QPlainTextEdit, QWidget

from coilbook.records.composed import composed
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import parse_mass
from coilbook.ui.animal.choice_strip import ChoiceStrip, Option
from coilbook.ui.desk import Desk, Operation
from coilbook.ui.parts.inline_form import InlineForm
from coilbook.ui.typed import typed_date, typed_day_ahead, typed_moment, typed_money
from coilbook.wording.language import translated

#: what was typed into a form, by name
Values = dict[str, Any]
#: what no id holds, so that nothing is completed
_NOBODY = "\n"


@dataclass(frozen=True, slots=True)
class Call:
    """An act ready to run."""

    operation: Operation
    arguments: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing a form asks. `kind` says how it is typed and read; `start` is the value it begins with."""

    name: str
    words: str
    kind: str = "text"
    start: Any = ""
    hint: str = ""
    span: int = 1
    options: tuple[Option, ...] = ()
    #: words to complete from, and what they stand for
    known: tuple[tuple[str, Any], ...] = ()
    required: str = ""
    #: shown only while the choice of this name is one of `only_for`
    only_with: str = ""
    only_for: frozenset[Any] = frozenset()


def when() -> Ask:
    """When it happened; empty means now."""
    return Ask("at", translated("When"), "moment", hint=translated("now; yesterday 20:00"))


class EntryForm(InlineForm):
    """`values` reads everything typed; a field that cannot be read says so itself and None comes back."""

    def __init__(self, desk: Desk, title: str, asks: Sequence[Ask], save_words: str = "") -> None:
        super().__init__(desk.theme, title, save_words)
        self._desk, self._asks = desk, tuple(asks)
        for ask in asks:
            self.add(ask.name, ask.words, self._editor(ask), hint=ask.hint, span=ask.span)
        self._first = self._typed()
        for ask in asks:
            if ask.only_with:
                other = self.rows[ask.only_with].editor
                assert isinstance(other, ChoiceStrip)
                other.chosen.connect(self._show_fitting)
        self._show_fitting()

    def _show_fitting(self, _chosen: object = None) -> None:
        for ask in self._asks:
            self.rows[ask.name].setVisible(self._asked(ask))

    def _asked(self, ask: Ask) -> bool:
        """False for a field that has no meaning beside what was chosen in another."""
        return not ask.only_with or _shown(self.rows[ask.only_with].editor) in ask.only_for

    def _editor(self, ask: Ask) -> QWidget:
        if ask.kind == "choice":
            return ChoiceStrip(self._desk.theme, ask.options, ask.start)
        if ask.kind == "long":
            long = QPlainTextEdit(str(ask.start))
            long.setTabChangesFocus(True)
            long.setPlaceholderText(ask.hint)
            return long
        field = QLineEdit(str(ask.start))
        if ask.known:
            kind = _AnimalCompleter if ask.kind == "animal" else QCompleter
            completer = kind([word for word, _ in ask.known], field)
            completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            field.setCompleter(completer)
        return field

    def _typed(self) -> dict[str, Any]:
        return {ask.name: _shown(self.rows[ask.name].editor) for ask in self._asks}

    @property
    def dirty(self) -> bool:
        """True when anything differs from how the form began."""
        return self._typed() != self._first

    def set_text(self, name: str, text: str) -> None:
        """Put a text in a field, as if it had been typed."""
        editor = self.rows[name].editor
        if isinstance(editor, QLineEdit):
            editor.setText(text)

    def changed(self) -> set[str]:
        """Names of the fields that differ from how the form began."""
        now = self._typed()
        return {a.name for a in self._asks if self._asked(a) and now[a.name] != self._first[a.name]}

    def half_typed(self) -> list[str]:
        """What differs from how the form began: texts as typed, choices by the head of their field."""
        now, changed = self._typed(), self.changed()
        words = {ask.name: ask.words for ask in self._asks if ask.kind == "choice"}
        return [words.get(ask.name) or str(now[ask.name]) for ask in self._asks if ask.name in changed]

    def values(self) -> dict[str, Any] | None:
        """Everything typed, read; None when a field could not be, which then says why."""
        self.accept()
        read: dict[str, Any] = {}
        for ask in self._asks:
            try:
                read[ask.name] = self._read(ask) if self._asked(ask) else None
            except Refusal as wrong:
                self.refuse(self._desk.render(wrong.message), ask.name)
                return None
        return read

    def _read(self, ask: Ask) -> Any:
        shown = _shown(self.rows[ask.name].editor)
        if ask.kind == "choice":
            if shown is None and ask.required:
                raise Refusal(say(ask.required))
            return shown
        text = str(shown).strip()
        if not text and ask.required:
            raise Refusal(say(ask.required))
        reader = _READERS.get(ask.kind)
        if ask.kind == "known":
            return _of_known(composed(text), ask)
        if ask.kind == "animal":
            return _animal(composed(text), ask)
        if ask.kind == "person":
            text = composed(text)
            return text, next((value for word, value in ask.known if word.casefold() == text.casefold()), None)
        return reader(text, self._desk) if reader else text


class _AnimalCompleter(QCompleter):
    """Completes a word, never a number: "4" is animal 4 or nobody, not 40 that happens to begin with it."""

    def splitPath(self, path: str) -> list[str]:
        return [_NOBODY] if path[-1:].isdigit() else super().splitPath(path)


def _shown(editor: QWidget) -> Any:
    if isinstance(editor, ChoiceStrip):
        return editor.value
    if isinstance(editor, QPlainTextEdit):
        return editor.toPlainText()
    return editor.text() if isinstance(editor, QLineEdit) else None


def _of_known(text: str, ask: Ask) -> Any:
    if not text:
        return None
    found = next((value for word, value in ask.known if word.casefold() == text.casefold()), None)
    if found is None:
        near = next((word for word, _ in ask.known if word.casefold().startswith(text.casefold()[:2])), "")
        if near:
            raise Refusal(say("{text} is not a place here. There is {near}.", text=text, near=near))
        raise Refusal(say("{text} is not a place here. Places are added on the Places screen.", text=text))
    return found


def _animal(text: str, ask: Ask) -> Any:
    if not text:
        return None
    found = next((value for word, value in ask.known if word.casefold() == text.casefold()), None)
    if found is None:
        raise Refusal(say("No animal {id} that fits here.", id=text))
    return found


def _amount(text: str, _desk: Desk) -> int | None:
    if not text:
        return None
    if not text.isdecimal() or int(text) > 99:
        raise Refusal(say("'{text}' is not a number from 0 to 99.", text=text))
    return int(text)


def _mass(text: str, desk: Desk) -> Any:
    return parse_mass(text, desk.settings.mass_unit) if text else None


def _count(text: str, _desk: Desk) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 99:
        raise Refusal(say("'{text}' is not a number of pieces.", text=text))
    return int(text)


def _degrees(text: str, desk: Desk) -> Any:
    """A temperature in the keeper's degrees; one that can only be of the other scale is taken for it."""
    from coilbook.husbandry.incubator import typed_temperature

    return typed_temperature(text, desk.settings.fahrenheit).temperature if text else None


_READERS: dict[str, Callable[[str, Desk], Any]] = {
    "moment": lambda text, desk: typed_moment(text, desk.clock(), desk.settings),
    "date": lambda text, desk: typed_date(text, desk.clock(), desk.settings),
    "later": lambda text, desk: typed_day_ahead(text, desk.clock(), desk.settings),
    "money": lambda text, desk: typed_money(text, desk.settings.currency),
    "mass": _mass,
    "degrees": _degrees,
    "count": _count,
    "amount": _amount,
}
