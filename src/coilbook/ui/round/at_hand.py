"""The animal at hand in large type; or, in a slot of two, both side by side with one key each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, QSizeF, Qt, Signal
from PySide6.QtGui import QFontMetrics, QImage, QImageReader, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from coilbook.reads.round import RoundAnimal, RoundState, RoundTime, Tub
from coilbook.records.when import moment_from
from coilbook.ui.desk import Desk
from coilbook.ui.parts.shapes import RESULT_SHAPES, paint_shape
from coilbook.ui.round import telling
from coilbook.ui.round.keys import HEADS
from coilbook.ui.round.room_button import RoomButton
from coilbook.ui.theme import BODY, TITLE, Theme
from coilbook.wording.language import translated

_ID, _SLOT, _PREY, _HALF_ID = 104, 40, 40, 64
#: an id smaller than this in one line is broken into two
_TWO_LINES_UNDER = 56
_SIDE_WIDTH, _PHOTO_HEIGHT = 196, 216
#: px under the picture: up to two lines of genetics, the year, when it is due, last offer and interval
_SIDE_WORDS = 138
_AlignTop = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
_AlignBase = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)


@dataclass(frozen=True, slots=True)
class AtHand:
    """What the view shows: the tub, who of it is at hand, the tub that comes next."""

    tub: Tub
    animal: RoundAnimal | None
    then: Tub | None
    time: RoundTime
    separate: bool


def fitted_size(theme: Theme, text: str, width: float, largest: int, least: int) -> int:
    """The largest size in px, down by steps of 4, at which a bold text fits a width."""
    size = largest
    while size > least and QFontMetrics(theme.font(size, bold=True)).horizontalAdvance(text) > width:
        size -= 4
    return size


def id_lines(theme: Theme, keeper_id: str, mark: str, width: float) -> tuple[tuple[str, ...], int]:
    """The id in one line as large as it goes; a long one in two lines, never cut: it is what she is fed by."""
    one = fitted_size(theme, f"{keeper_id} {mark}", width, _ID, 16)
    if one >= _TWO_LINES_UNDER:
        return (keeper_id,), one
    breaks = [place + 1 for place, sign in enumerate(keeper_id[:-1]) if sign in "- ./_"] or [len(keeper_id) // 2]
    place = min(breaks, key=lambda at: abs(at - len(keeper_id) / 2 - len(mark) / 2))
    lines = keeper_id[:place].strip(), keeper_id[place:].strip()
    longest = max(lines[0], f"{lines[1]} {mark}", key=len)
    two = fitted_size(theme, longest, width, _TWO_LINES_UNDER - 8, 16)
    return (lines, two) if two > one else ((keeper_id,), one)


class AtHandView(QStackedWidget):
    """Shows one animal, or the heads of a shared slot; `chosen` carries the place of the head pressed."""

    chosen = Signal(int)

    def __init__(self, desk: Desk, theme: Theme) -> None:
        super().__init__()
        self._single = _Single(desk, theme)
        self._split = _Split(desk, theme, self.chosen.emit)
        self.addWidget(self._single)
        self.addWidget(self._split)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_at_hand(self, shown: AtHand) -> None:
        """Show who is at hand."""
        if len(shown.tub.animals) > 1:
            self._split.show_tub(shown)
            self.setCurrentWidget(self._split)
        else:
            self._single.show_animal(shown)
            self.setCurrentWidget(self._single)


class _Single(QWidget):
    """One animal."""

    def __init__(self, desk: Desk, theme: Theme) -> None:
        super().__init__()
        self._desk, self._theme = desk, theme
        self._shown: AtHand | None = None
        self._photo: QImage | None = None
        self._photo_name = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(480), self._theme.px(280))

    def show_animal(self, shown: AtHand) -> None:
        """Show an animal; its photo is read in the background."""
        self._shown = shown
        animal, style = shown.tub.animals[0], self._desk.style
        sex = style.sex_sign(animal.sex, animal.sex_percent)[1]
        held = telling.hold_words(animal, style)
        health = telling.health_words(animal, shown.time, style)
        parts = [shown.tub.label, animal.keeper_id, sex, telling.prey_words(animal), held, health]
        self.setAccessibleName(", ".join(part for part in parts if part))
        self._read_photo(animal)
        self.update()

    def _read_photo(self, animal: RoundAnimal) -> None:
        name = animal.photo or ""
        if name == self._photo_name:
            return
        self._photo_name, self._photo = name, None
        if not name:
            return
        path = Path(self._desk.collection.folder) / name
        side = self._theme.px(_SIDE_WIDTH), self._theme.px(_PHOTO_HEIGHT)
        self._desk.background.read(lambda _control: (name, _scaled(path, side)), self._take_photo)

    def _take_photo(self, found: tuple[str, QImage | None]) -> None:
        if found[0] == self._photo_name:
            self._photo = found[1]
            self.update()

    # --- painting -------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        if self._shown is None:
            return
        theme = self._theme
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            side = theme.px(_SIDE_WIDTH)
            width = self.width() - side - theme.px(24)
            spare = max(self.height() - theme.px(300), 0)
            top = self._paint_slot(painter, width, min(spare / 3, theme.px(20)))
            top = self._paint_id(painter, width, top)
            self._paint_prey(painter, width, top)
            self._paint_offers(painter, width + theme.px(20))
            self._paint_side(painter, QRectF(self.width() - side, 0, side, self.height()))

    def _paint_slot(self, painter: QPainter, width: float, top: float) -> float:
        assert self._shown is not None
        theme, tub, then = self._theme, self._shown.tub, self._shown.then
        height = theme.px(48)
        label = tub.label or translated("no slot")
        painter.setFont(theme.font(_SLOT, bold=True))
        painter.setPen(theme.colour("ink"))
        painter.drawText(QRectF(0, top, width, height), _AlignBase, label)
        x = QFontMetrics(painter.font()).horizontalAdvance(label) + theme.px(24)
        mark = telling.health_mark(tub, tub.animals[0], self._shown.time, self._desk.style)
        if mark:
            painter.setFont(theme.font(TITLE, bold=True))
            painter.setPen(theme.colour("clay"))
            said = QFontMetrics(painter.font()).elidedText(mark, Qt.TextElideMode.ElideRight, int(width - x))
            painter.drawText(QRectF(x, top + theme.px(6), width - x, height - theme.px(6)), _AlignBase, said)
            x += QFontMetrics(painter.font()).horizontalAdvance(said) + theme.px(16)
        painter.setFont(theme.font(TITLE))
        painter.setPen(theme.colour("second"))
        beside = self._beside(then)
        text = QFontMetrics(painter.font()).elidedText(beside, Qt.TextElideMode.ElideRight, int(width - x))
        painter.drawText(QRectF(x, top + theme.px(6), width - x, height - theme.px(6)), _AlignBase, text)
        return top + height

    def _beside(self, then: Tub | None) -> str:
        if then is None:
            return ""
        ids = " + ".join(a.keeper_id for a in then.animals)
        sex = " ".join(self._desk.style.sex_sign(then.animals[0].sex, then.animals[0].sex_percent)).strip()
        return translated("then {slot}  {animal} {sex}").format(slot=then.label, animal=ids, sex=sex)

    def _paint_id(self, painter: QPainter, width: float, top: float) -> float:
        assert self._shown is not None
        theme, animal = self._theme, self._shown.tub.animals[0]
        sign, letter = self._desk.style.sex_sign(animal.sex, animal.sex_percent)
        mark = f"{sign} {letter}".strip()
        height = theme.px(112)
        lines, size = id_lines(theme, animal.keeper_id, mark, width)
        painter.setPen(theme.colour("ink"))
        painter.setFont(theme.font(size, bold=True))
        metrics = QFontMetrics(painter.font())
        step = height / len(lines)
        baseline = 0.0
        for number, text in enumerate(lines):
            baseline = top + step * (number + 0.5) + metrics.capHeight() / 2
            painter.drawText(theme.px(3) - metrics.leftBearing(text[0]), round(baseline), text)
        painter.setFont(theme.font(max(round(size * 0.62), 20), bold=True))
        painter.drawText(round(metrics.horizontalAdvance(lines[-1]) + theme.px(20)), round(baseline), mark)
        return top + height

    def _paint_prey(self, painter: QPainter, width: float, top: float) -> None:
        assert self._shown is not None
        theme, animal = self._theme, self._shown.tub.animals[0]
        lines = self._lines_below(animal)
        size = fitted_size(theme, telling.prey_words(animal), width, 28 if lines else _PREY, 20)
        painter.setPen(theme.colour("ink"))
        painter.setFont(theme.font(size, bold=True))
        height = theme.px(34 if lines else 56)
        prey = QFontMetrics(painter.font()).elidedText(
            telling.prey_words(animal), Qt.TextElideMode.ElideRight, int(width)
        )
        painter.drawText(QRectF(0, top, width, height), _AlignBase, prey)
        top += height
        step = theme.px(26)
        room = max(int((self.height() - theme.px(70) - top) // step), 1)
        for text, shape, token, bold in lines[:room]:
            row = QRectF(theme.px(24), top, width - theme.px(24), step)
            paint_shape(painter, shape, QRectF(0, top, theme.px(16), step), theme, theme.colour(token))
            painter.setPen(theme.colour(token))
            painter.setFont(theme.font(TITLE, bold=bold))
            said = QFontMetrics(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, int(row.width()))
            painter.drawText(row, _AlignBase, said)
            top += step

    def _lines_below(self, animal: RoundAnimal) -> list[tuple[str, str, str, bool]]:
        """(words, shape, token, bold) of the lines under the prey, the one that must be seen first.

        What goes on of her health comes after a hold and what was written, and before the keeper's note; its two words
        beside the slot are there in any case.
        """
        assert self._shown is not None
        style, opened = self._desk.style, animal.state is RoundState.OPEN
        held, health = telling.hold_words(animal, style), telling.health_words(animal, self._shown.time, style)
        written = telling.state_words(animal, animal.state, style)
        lines = [
            (held, "pause", "clay", True),
            (written, "pending" if opened else "note", "ink" if opened else "moss", False),
            (health, "course", "ink", False),
            ("" if held or written else animal.feeding_note, "note", "ink", False),
        ]
        return [line for line in lines if line[0]]

    def _paint_offers(self, painter: QPainter, width: float) -> None:
        assert self._shown is not None
        theme, animal = self._theme, self._shown.tub.animals[0]
        top = self.height() - theme.px(66)
        step = min(width / 5, theme.px(112))
        if not animal.offers:
            painter.setPen(theme.colour("second"))
            painter.setFont(theme.font(BODY))
            box = QRectF(0, top + theme.px(24), width, theme.px(20))
            painter.drawText(box, _AlignTop, translated("No offer is on record."))
        for number, offer in enumerate(animal.offers):
            x = number * step
            shape = RESULT_SHAPES[offer.result]
            paint_shape(painter, shape, QRectF(x, top, theme.px(18), theme.px(20)), theme)
            painter.setFont(theme.font(BODY))
            painter.setPen(theme.colour("ink"))
            date = self._desk.style.date(moment_from(offer.at).date(), year=False)
            painter.drawText(QRectF(x, top + theme.px(23), step, theme.px(20)), _AlignTop, date)
            painter.setPen(theme.colour("second"))
            metrics = QFontMetrics(painter.font())
            said = metrics.elidedText(telling.offer_words(offer), Qt.TextElideMode.ElideRight, int(step) - theme.px(6))
            painter.drawText(QRectF(x, top + theme.px(43), step, theme.px(20)), _AlignTop, said)

    def _paint_side(self, painter: QPainter, box: QRectF) -> None:
        assert self._shown is not None
        theme, animal, style = self._theme, self._shown.tub.animals[0], self._desk.style
        top = box.top() + theme.px(4)
        if self._photo is not None and not self._photo.isNull():
            # the words below keep their room; a low window makes the picture smaller
            height = min(theme.px(_PHOTO_HEIGHT), max(box.height() - theme.px(_SIDE_WORDS), 0))
            frame = QRectF(box.left(), box.top(), box.width(), height)
            size = QSizeF(self._photo.size())
            if size.height() > height:
                size.scale(frame.size(), Qt.AspectRatioMode.KeepAspectRatio)
            image = QRectF(frame.topLeft(), size)
            image.moveCenter(frame.center())
            # a bright picture would blind in the dim room
            painter.setOpacity(0.6 if theme.name == "dim" else 1.0)
            painter.drawImage(image, self._photo)
            painter.setOpacity(1.0)
            top = frame.bottom() + theme.px(10)
        genetics, hatched = telling.look_words(animal, style)
        lines = [(genetics, True), (hatched, False), (telling.due_words(animal, self._shown.time), True)]
        lines.append((telling.fed_words(animal, self._shown.time, style), False))
        for text, bold in lines:
            if not text:
                continue
            painter.setFont(theme.font(BODY, bold=bold))
            painter.setPen(theme.colour("ink" if bold else "second"))
            room = QRectF(box.left(), top, box.width(), theme.px(84))
            flags = _AlignTop | int(Qt.TextFlag.TextWordWrap)
            used = painter.drawText(room, flags, text)
            height = used.height() if isinstance(used, QRectF) else QFontMetrics(painter.font()).height()
            top += max(min(height, room.height()), theme.px(18)) + theme.px(4)


def _scaled(path: Path, side: tuple[int, int]) -> QImage | None:
    """The picture small enough to show, upright; None when it cannot be read."""
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    image = reader.read()
    if image.isNull():
        return None
    return image.scaled(QSize(*side), Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)


class _Split(QWidget):
    """Two (or three) heads of one slot, each with its own key."""

    def __init__(self, desk: Desk, theme: Theme, choose: Callable[[int], None]) -> None:
        super().__init__()
        self._desk, self._theme = desk, theme
        self._heads = [_Head(desk, theme, number, choose) for number in range(len(HEADS))]
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, theme.px(8))
        row.setSpacing(theme.px(16))
        for head in self._heads:
            row.addWidget(head, 1)

    def show_tub(self, shown: AtHand) -> None:
        """Show the heads of a shared slot."""
        for number, head in enumerate(self._heads):
            present = number < len(shown.tub.animals)
            head.setVisible(present)
            if present:
                head.show_animal(shown, shown.tub.animals[number])


class _Head(QWidget):
    """One of those in the slot."""

    def __init__(self, desk: Desk, theme: Theme, number: int, choose: Callable[[int], None]) -> None:
        super().__init__()
        self._desk, self._theme = desk, theme
        self._shown: tuple[AtHand, RoundAnimal] | None = None
        self._button = RoomButton(theme, "", HEADS[number])
        self._button.clicked.connect(lambda: choose(number))
        column = QVBoxLayout(self)
        column.setContentsMargins(*(theme.px(14),) * 4)
        column.addStretch(1)
        column.addWidget(self._button)

    def show_animal(self, shown: AtHand, animal: RoundAnimal) -> None:
        """Show one head; the chosen one is framed."""
        self._shown = (shown, animal)
        chosen = self._is_chosen()
        words = translated("{animal} at hand") if chosen else translated("Weigh {animal}")
        self._button.say(words.format(animal=animal.keeper_id))
        self._button.set_done(chosen)
        self.setAccessibleName(animal.keeper_id)
        self.update()

    def _is_chosen(self) -> bool:
        return (
            self._shown is not None
            and self._shown[0].animal is not None
            and (self._shown[0].animal.id == self._shown[1].id)
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._shown is None:
            return
        theme, style = self._theme, self._desk.style
        shown, animal = self._shown
        pad = theme.px(16)
        inner = QRectF(self.rect()).adjusted(pad, theme.px(10), -pad, -pad)
        sex = " ".join(part for part in style.sex_sign(animal.sex, animal.sex_percent) if part)
        size = fitted_size(theme, f"{animal.keeper_id} {sex}", inner.width(), _HALF_ID, 24)
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            width = 3.0 if self._is_chosen() else 1.0
            painter.setPen(QPen(theme.colour("accent" if self._is_chosen() else "rule"), width))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5), 4, 4)
            lines: list[tuple[str, int, bool, str]] = [
                (shown.tub.label, TITLE, False, "second"),
                (f"{animal.keeper_id} {sex}", size, True, "ink"),
                (telling.prey_words(animal), TITLE, True, "ink"),
                (animal.genetics, BODY, True, "ink"),
                (telling.due_words(animal, shown.time), BODY, False, "second"),
                (telling.health_words(animal, shown.time, style), BODY, True, "clay"),
                (
                    telling.hold_words(animal, style) or telling.state_words(animal, animal.state, style),
                    BODY,
                    True,
                    "clay",
                ),
            ]
            top = inner.top()
            for text, points, bold, token in lines:
                if text and top < inner.bottom() - theme.px(60):
                    top = self._line(painter, inner, top, (text, points, bold, token))

    def _line(self, painter: QPainter, inner: QRectF, top: float, line: tuple[str, int, bool, str]) -> float:
        text, points, bold, token = line
        painter.setFont(self._theme.font(points, bold=bold))
        painter.setPen(self._theme.colour(token))
        metrics = QFontMetrics(painter.font())
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, int(inner.width()))
        painter.drawText(QRectF(inner.left(), top, inner.width(), metrics.height()), _AlignTop, shown)
        return top + metrics.height() + self._theme.px(2)
