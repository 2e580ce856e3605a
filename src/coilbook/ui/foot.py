"""The foot: what was just done, with Undo; long work with what, how many and Cancel; at the right what keys do now."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QSizePolicy, QWidget

from coilbook.records.message import say
from coilbook.ui.background import Job
from coilbook.ui.desk import Desk
from coilbook.ui.notices import Notice, NoticeKind
from coilbook.ui.parts.buttons import QuietButton
from coilbook.ui.parts.key_hint import KeyHint
from coilbook.ui.parts.shapes import ShapeMark
from coilbook.ui.parts.text import ElidedLabel, label
from coilbook.ui.room_size import foot_height
from coilbook.wording.language import translated

_HEAD = {
    NoticeKind.DONE: "Done:",
    NoticeKind.INFO: "",
    NoticeKind.QUESTION: "",
    NoticeKind.WARNING: "Mind:",
    NoticeKind.REFUSED: "Not done:",
    NoticeKind.TROUBLE: "Trouble:",
}
_SHAPE = {NoticeKind.WARNING: "triangle", NoticeKind.REFUSED: "triangle", NoticeKind.TROUBLE: "cross"}

#: answers a question in the foot can have
MOST_CHOICES = 3
#: px a button is drawn lower than it is, above and below
INSET = 4


class Foot(QWidget):
    """One line, never higher."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setObjectName("foot")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName(translated("What was just done"))
        self._desk, theme = desk, desk.theme
        self._mark = ShapeMark(theme, "")
        self._head, self._text = label("", "strong"), ElidedLabel(theme)
        self._time, self._before = label("", "second"), ElidedLabel(theme, token="second")
        self._undo = QuietButton(theme, translated("Undo"), "Ctrl+Z", inset=INSET)
        self._undo.clicked.connect(lambda: desk.undo())
        self._choices = [QuietButton(theme, "", f"Alt+{number}", inset=INSET) for number in range(1, MOST_CHOICES + 1)]
        for number, button in enumerate(self._choices):
            button.clicked.connect(lambda _checked=False, number=number: self.choose(number))
        self._work = _Work(desk)
        self._hint = KeyHint(theme)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.px(16), 1, theme.px(16), 0)
        row.setSpacing(theme.px(8))
        for widget in (self._mark, self._head, self._text, self._time, self._undo, *self._choices, self._before):
            row.addWidget(widget)
        row.addWidget(self._hint, 1)
        row.addWidget(self._work)
        desk.notices.changed.connect(self.refresh)
        desk.settings_changed.connect(self.refresh)
        theme.changed.connect(self._resize)
        self._resize()

    def say_hint(self, hint: str) -> None:
        """What the keys do now; keys between backticks are set in bold."""
        self._hint.say(hint)

    def refresh(self) -> None:
        """Show the present line."""
        notice = self._desk.notices.current
        for widget in (self._mark, self._head, self._time, self._undo, *self._choices, self._before):
            widget.hide()
        if notice is None:
            self._text.set_text("")
            return
        bad = notice.kind in _SHAPE
        self._mark.set_shape(_SHAPE.get(notice.kind, ""))
        self._mark.setVisible(bad)
        head = _HEAD[notice.kind]
        self._head.setText(translated(head) if head else "")
        self._head.setVisible(bool(head))
        self._text.set_text(self._desk.render(notice.message), token="clay" if bad else "ink", bold=bad)
        self._time.setText(self._desk.style.time(notice.at))
        self._time.setVisible(not bad)
        self._undo.setVisible(notice.act is not None)
        self._offer(notice)
        self._tell_before()

    def _offer(self, notice: Notice) -> None:
        for button, choice in zip(self._choices, notice.choices, strict=False):
            button.set_words(self._desk.render(choice.words))
            button.show()

    def choose(self, number: int) -> None:
        """Give the answer at this place, from 0; nothing when there is none."""
        notice = self._desk.notices.current
        if notice is not None and number < len(notice.choices):
            notice.choices[number].run()

    def _tell_before(self) -> None:
        lines = self._desk.notices.lines
        if self._desk.theme.room and len(lines) > 1:
            before = self._desk.render(lines[-2].message)
            self._before.set_text(translated("before that: {what}").format(what=before))
            self._before.show()

    def _resize(self) -> None:
        self.setFixedHeight(foot_height(self._desk.theme))
        self.refresh()


class _Work(QWidget):
    """A long job: what, how far, Cancel."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._job: Job | None = None
        self._words = label("", "second")
        self._bar = QProgressBar()
        self._bar.setTextVisible(False)
        self._bar.setFixedWidth(desk.theme.px(120))
        self._bar.setAccessibleName(translated("How far the work is"))
        self._cancel = QuietButton(desk.theme, translated("Cancel"), inset=INSET)
        self._cancel.clicked.connect(self._stop)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(desk.theme.px(8))
        for widget in (self._words, self._bar, self._cancel):
            row.addWidget(widget)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self.hide()
        desk.background.moved.connect(self._moved)

    def _moved(self, _job: Job) -> None:
        long_ones = [job for job in self._desk.background.jobs if job.what is not None]
        self._job = long_ones[0] if long_ones else None
        if self._job is None or self._job.what is None:
            self.hide()
            return
        what, number = self._desk.render(self._job.what), self._desk.style.number
        if self._job.total:
            counted = say("{what}: {at} of {total}", what=what, at=number(self._job.at), total=number(self._job.total))
            self._words.setText(self._desk.render(counted))
        else:
            self._words.setText(what)
        self._bar.setMaximum(self._job.total)
        self._bar.setValue(self._job.at)
        self._cancel.setEnabled(not self._job.stopped.is_set())
        self.show()

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._cancel.setEnabled(False)
