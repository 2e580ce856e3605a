"""The room as it stands: racks with their slots and who lives in them, walked with the arrows."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget

from coilbook.drawing.rack_map import Box, Measures, RackMap, lay_out
from coilbook.reads.places import NOTHING_YET, PlaceRow, PlacesPage
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.ui.parts.arrows import STEPS
from coilbook.ui.parts.shapes import paint_shape
from coilbook.ui.theme import BODY, SMALL, Theme
from coilbook.wording.language import translated, translated_plural

_NOTHING: Mapping[AnimalId, str] = MappingProxyType({})


def apart_words(place: PlaceRow) -> str:
    """That a place is of quarantine, and by whose mark where it is not its own."""
    if place.quarantine:
        return translated("quarantine")
    return translated("quarantine, as all of {place}").format(place=place.apart_by)


class RoomMap(QWidget):
    """Paints the map; `at_hand` is the slot (or the empty rack) in focus."""

    walked = Signal()
    opened = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._page = NOTHING_YET
        self._map = RackMap()
        self._health = _NOTHING
        self.at_hand: PlaceId | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(translated("Racks and slots"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.MinimumExpanding)
        theme.changed.connect(self._lay_out)

    def show_places(self, page: PlacesPage, health: Mapping[AnimalId, str] = _NOTHING) -> None:
        """Show these; the slot in focus stays when it is still there. `health` has a shape for each on a course."""
        self._health, self._page = health, page
        if self.at_hand not in page.places:
            first = next((slot for rack in page.racks for row in rack.rows for slot in row), None)
            self.at_hand = first or (page.racks[0].id if page.racks else None)
        self._lay_out()
        self.walked.emit()

    @property
    def place(self) -> PlaceRow | None:
        """The place in focus."""
        return self._page.places.get(self.at_hand) if self.at_hand is not None else None

    def focus_on(self, place: PlaceId) -> None:
        """Put the focus on a place."""
        self.at_hand = place
        self._show_focus()

    def _lay_out(self) -> None:
        theme = self._theme
        room = theme.room
        measures = Measures(
            theme.px(128 if room else 104), theme.px(64 if room else 44), theme.px(8), theme.px(36), theme.px(20)
        )
        page = self._page
        self._map = lay_out(page.racks, max(self.width(), theme.px(200)), measures, page.rack_of)
        self.setMinimumHeight(self._map.height)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(600), self._map.height)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = STEPS.get(Qt.Key(event.key()))
        if step is not None and self.at_hand is not None and not event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self.at_hand = self._map.neighbour(self.at_hand, *step)
            self._show_focus()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        found = self._map.at(event.position().x(), event.position().y())
        if found is not None:
            self.at_hand = found
            self._show_focus()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.opened.emit()

    def _show_focus(self) -> None:
        box = self._map.box_of(self.at_hand) if self.at_hand is not None else None
        around = self.parent()
        area = around.parent() if around is not None else None
        if box is not None and isinstance(area, QScrollArea):
            area.ensureVisible(box.x, box.y + box.height // 2, 0, box.height + self._theme.px(48))
        place = self.place
        if place is not None:
            self.setAccessibleDescription(f"{place.label} {', '.join(name for _, name in place.dwellers)}")
        self.update()
        self.walked.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setClipRect(event.rect())
            top, bottom = event.rect().top(), event.rect().bottom()
            heads, slots = self._map.between(top, bottom)
            for head in heads:
                if head.y <= bottom and head.y + head.height > top:
                    self._paint_head(painter, head)
            for box in slots:
                if box.y <= bottom and box.y + box.height > top:
                    self._paint_slot(painter, box)

    def _paint_head(self, painter: QPainter, box: Box) -> None:
        theme, rack = self._theme, self._page.places[box.id]
        slots = self._page.slots[rack.id]
        lived_in = sum(bool(p.dwellers) for p in slots)
        text = translated_plural("{n} slot", "{n} slots", len(slots))
        text = translated("{slots}, {lived} lived in").format(slots=text, lived=lived_in)
        room = self._page.places.get(rack.parent) if rack.parent is not None else None
        about = [text] if slots else [translated("no slots yet")]
        about += [room.label] if room is not None else []
        about += [apart_words(rack)] if rack.apart_by else []
        about += [rack.note] if rack.note else []
        area = QRect(box.x, box.y, box.width, box.height - theme.px(8))
        painter.setPen(theme.colour("accent" if box.id == self.at_hand else "ink"))
        painter.setFont(theme.font(BODY, bold=True))
        painter.drawText(area, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, rack.label)
        left = QFontMetrics(painter.font()).horizontalAdvance(rack.label) + theme.px(12)
        painter.setPen(theme.colour("second"))
        painter.setFont(theme.font(BODY))
        rest = area.adjusted(left, 0, 0, 0)
        shown = QFontMetrics(painter.font()).elidedText(", ".join(about), Qt.TextElideMode.ElideRight, rest.width())
        painter.drawText(rest, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)

    def _paint_slot(self, painter: QPainter, box: Box) -> None:
        theme, slot = self._theme, self._page.places[box.id]
        in_focus = box.id == self.at_hand
        area = QRectF(box.x + 0.5, box.y + 0.5, box.width - 1, box.height - 1)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(theme.colour("tint" if in_focus else "surface" if slot.dwellers else "ground"))
        pen = QPen(theme.colour("accent" if in_focus else "edge" if slot.dwellers else "rule"), 2 if in_focus else 1)
        if not slot.dwellers and not in_focus:
            pen.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.drawRoundedRect(area, 4, 4)
        if slot.apart_by:
            strip = QRectF(area.right() - theme.px(14), area.top() + 3, theme.px(11), area.height() - 6)
            painter.fillRect(strip, QBrush(theme.colour("second"), Qt.BrushStyle.BDiagPattern))
        shapes = [self._health[animal] for animal, _ in slot.dwellers if animal in self._health]
        if shapes:
            # one that asks for something now before one that goes on
            shape = "triangle" if "triangle" in shapes else shapes[0]
            side = theme.px(12)
            paint_shape(painter, shape, QRectF(area.right() - theme.px(30), area.top() + 4, side, side), theme)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        inner = QRect(box.x + theme.px(8), box.y + theme.px(4), box.width - theme.px(24), box.height - theme.px(8))
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, slot.name)
        names = ", ".join(name for _, name in slot.dwellers)
        painter.setFont(theme.font(BODY, bold=True))
        painter.setPen(theme.colour("ink"))
        shown = QFontMetrics(painter.font()).elidedText(names, Qt.TextElideMode.ElideRight, inner.width())
        painter.drawText(inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, shown)
