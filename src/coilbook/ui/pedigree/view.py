"""The tree under the keeper's hands: arrows along the lines, wheel and keys for nearer and farther, a press travels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from coilbook.reads.pedigree_genes import GeneWords
from coilbook.reads.pedigree_words import inbred_text, look_text, sex_text, unknown_text, where_text
from coilbook.ui.pedigree.painter import PedigreePainter, Shown, Sight, whole_from
from coilbook.ui.pedigree.scene import Scene
from coilbook.ui.theme import SMALL, Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style

#: pixels at 100 percent: the band with the names of the columns, and room around the picture
BAND, ROOM = 24, 8
STEP = 1.25
NEAREST = 2.0
#: share of the view that is passed over with PgUp and PgDn
PAGE = 0.8


@dataclass
class _Grip:
    """A press: where, what was in sight, and whether it has become a drag."""

    at: QPointF
    sight: Sight
    dragging: bool = False


class PedigreeView(QWidget):
    """Shows a scene; `focus` is the card the margin explains."""

    walked = Signal()
    #: the keeper wants the tree of this animal
    travelled = Signal(int)

    def __init__(self, theme: Theme, style: Style) -> None:
        super().__init__()
        self._theme, self._style = theme, style
        self.painter = PedigreePainter(theme, style)
        self.scene: Scene | None = None
        self.shown = Shown()
        self.headings: tuple[tuple[int, str], ...] = ()
        self._sight = Sight(1.0, 0.0, 0.0, 1.0, 1.0)
        #: what the picture is brought to when the view gets its size
        self._wish = "fit"
        self._grip: _Grip | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(theme.px(320), theme.px(240))
        self.setAccessibleName(translated("Pedigree"))
        theme.changed.connect(self._theme_changed)

    def show_scene(
        self, scene: Scene | None, shown: Shown, headings: tuple[tuple[int, str], ...] = (), *, keep: bool = False
    ) -> None:
        """Show a family; with `keep` what is in sight stays where it is as far as the focus does."""
        before = self._place_of(self.shown.focus) if keep else None
        self.scene, self.shown, self.headings = scene, shown, headings
        self.painter.forget()
        after = self._place_of(shown.focus)
        if keep and before is not None and after is not None:
            by = before - after
            self._see(replace(self._sight, left=self._sight.left + by.x(), top=self._sight.top + by.y()))
        else:
            self._begin()
        self.tell_focus()
        self.update()

    def show_genes(self, words: Mapping[int, GeneWords]) -> None:
        """Other bars on the same cards."""
        self.shown.genes = words
        self.painter.forget()
        self.update()

    # --- looking -------------------------------------------------------------------------------------------
    @property
    def sight(self) -> Sight:
        """How the picture is looked at."""
        return self._sight

    def _area(self) -> QRectF:
        """The part of the widget the picture has."""
        band = self._theme.px(BAND) if self.headings else 0
        return QRectF(0, band, self.width(), max(self.height() - band, 1))

    def _begin(self) -> None:
        """At reading size when all of it has room, else fitted while it can be read, else at the animal."""
        scale = self._fitting()
        if scale >= 1:
            self._wish = "begin"
            self._see(self._centred(1.0))
        elif scale >= whole_from(self._theme) or not self.headings:
            self.fit()
        else:
            self._wish = "begin"
            self._see(self._centred(1.0))
            self.bring(self.shown.focus, middle=True)

    def _fitting(self) -> float:
        if self.scene is None or not self.scene.keys:
            return 1.0
        area, room = self._area(), 2 * self._theme.px(ROOM)
        return min((area.width() - room) / self.scene.width, (area.height() - room) / self.scene.height)

    def _centred(self, scale: float) -> Sight:
        area = self._area()
        width, height = (self.scene.width, self.scene.height) if self.scene is not None else (0, 0)
        # a tree begins at the left, where its animal stands
        left = max((area.width() - width * scale) / 2, 0) if not self.headings else self._theme.px(1)
        return Sight(
            scale, round(left), round(area.y() + (area.height() - height * scale) / 2), self.width(), self.height()
        )

    def fit(self) -> None:
        """All of it in sight."""
        self._wish = "fit"
        self._see(self._centred(min(self._fitting(), 1.0)))

    def reading(self) -> None:
        """At reading size, the animal in focus in the middle."""
        self._wish = ""
        self._see(replace(self._sight, scale=1.0))
        self.bring(self.shown.focus, middle=True)

    def zoom(self, factor: float, around: QPointF | None = None) -> None:
        """Nearer or farther around a spot, the card in focus by default."""
        if self.scene is None:
            return
        self._wish = ""
        at = around or self._place_of(self.shown.focus) or self._area().center()
        least = min(self._fitting(), 1.0) * 0.8
        scale = min(max(self._sight.scale * factor, least), NEAREST)
        by = scale / self._sight.scale
        left, top = at.x() - (at.x() - self._sight.left) * by, at.y() - (at.y() - self._sight.top) * by
        self._see(replace(self._sight, scale=scale, left=left, top=top))

    def pan(self, right: float, down: float) -> None:
        """Look further right and down, by pixels."""
        self._wish = ""
        self._see(replace(self._sight, left=self._sight.left - right, top=self._sight.top - down))

    def bring(self, key: int, *, middle: bool = False) -> None:
        """Have a card in sight."""
        rect = self.scene.rect(key) if self.scene is not None else None
        if rect is None:
            return
        box, area = self._sight.at(rect), self._area()
        room = self._theme.px(ROOM)
        inner = area.adjusted(room, room, -room, -room)
        if middle:
            by = inner.center() - box.center()
        else:
            by = QPointF(
                max(inner.left() - box.left(), 0.0) + min(inner.right() - box.right(), 0.0),
                max(inner.top() - box.top(), 0.0) + min(inner.bottom() - box.bottom(), 0.0),
            )
        sight = replace(self._sight, left=self._sight.left + by.x(), top=self._sight.top + by.y())
        self._see(self._filled(sight, inner) if middle else sight)

    def _filled(self, sight: Sight, inner: QRectF) -> Sight:
        """The same with no empty room on one side while there is more of the picture on the other."""
        scene = self.scene
        if scene is None:
            return sight

        def within(at: float, length: float, low: float, high: float) -> float:
            least, most = min(low, high - length), max(low, high - length)
            return min(max(at, least), most)

        left = within(sight.left, scene.width * sight.scale, inner.left(), inner.right())
        top = within(sight.top, scene.height * sight.scale, inner.top(), inner.bottom())
        return replace(sight, left=left, top=top)

    def _see(self, sight: Sight) -> None:
        """Look so, with some of the picture always in sight."""
        area, scene = self._area(), self.scene
        left, top = sight.left, sight.top
        if scene is not None:
            keep = self._theme.px(64)
            left = min(max(left, area.left() + keep - scene.width * sight.scale), area.right() - keep)
            top = min(max(top, area.top() + keep - scene.height * sight.scale), area.bottom() - keep)
        self._sight = Sight(sight.scale, round(left), round(top), self.width(), self.height())
        self.update()

    def _place_of(self, key: int) -> QPointF | None:
        rect = self.scene.rect(key) if self.scene is not None else None
        return self._sight.at(rect).center() if rect is not None else None

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._wish == "fit":
            self.fit()
        elif self._wish == "begin":
            self._begin()
        else:
            self._see(self._sight)

    def sizeHint(self) -> QSize:
        # it takes what room there is, and asks for no more than its least: the page is then never scrolled
        return self.minimumSize()

    # --- focus ---------------------------------------------------------------------------------------------
    def focus_on(self, key: int) -> None:
        """Put the focus on a card and have it in sight."""
        if self.scene is not None and key in self.scene.at:
            self.shown.focus = key
            self.bring(key)
            self.tell_focus()
            self.walked.emit()
            self.update()

    def tell_focus(self) -> None:
        """Say in words what is in focus, for those who listen."""
        shown, key = self.shown, self.shown.focus
        card = shown.facts.get(key)
        if card is None:
            unknown = self.scene.unknown.get(key) if self.scene is not None else None
            self.setAccessibleDescription(unknown_text(unknown, shown.names) if unknown is not None else "")
            return
        mark = self.scene.loop_of(key) if self.scene is not None else None
        words = shown.genes.get(key)
        parts = [
            f"{card.keeper_id} {sex_text(card, self._style)}",
            look_text(card),
            where_text(card),
            inbred_text(shown.inbreeding.get(key, 0.0), self._style),
            "" if words is None else words.paper_text if shown.on_paper else words.text,
            translated("end of loop {n}").format(n=mark.number) if mark is not None else "",
        ]
        self.setAccessibleDescription(", ".join(part for part in parts if part))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, scene, focus = event.key(), self.scene, self.shown.focus
        if scene is None:
            super().keyPressEvent(event)
            return
        found: int | None = None
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            found = scene.along(focus, key == Qt.Key.Key_Right)
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            found = scene.beside(focus, 1 if key == Qt.Key.Key_Down else -1)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.pan(0, self._area().height() * (PAGE if key == Qt.Key.Key_PageDown else -PAGE))
            return
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and focus > 0:
            self.travelled.emit(focus)
            return
        else:
            super().keyPressEvent(event)
            return
        if found is not None:
            self.focus_on(found)

    # --- hands ---------------------------------------------------------------------------------------------
    def _key_under(self, place: QPointF) -> int | None:
        if self.scene is None:
            return None
        s = self._sight
        return self.scene.key_at((place.x() - s.left) / s.scale, (place.y() - s.top) / s.scale, 2 / s.scale)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._grip = _Grip(event.position(), self._sight)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        grip = self._grip
        if grip is None:
            return
        by = event.position() - grip.at
        grip.dragging = grip.dragging or by.manhattanLength() >= QApplication.startDragDistance()
        if grip.dragging:
            self._wish = ""
            self._see(replace(grip.sight, left=grip.sight.left + by.x(), top=grip.sight.top + by.y()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        grip, self._grip = self._grip, None
        key = self._key_under(event.position())
        if grip is None or grip.dragging or key is None:
            return
        if key == self.shown.focus and key > 0:
            self.travelled.emit(key)
        else:
            self.focus_on(key)

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom(STEP ** (turned.y() / 120), event.position())
        else:
            self.pan(-turned.x(), -turned.y())
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    # --- paint ---------------------------------------------------------------------------------------------
    def _theme_changed(self) -> None:
        self.painter.forget()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.scene is None:
            return
        with QPainter(self) as painter:
            painter.setClipRect(self._area())
            self.painter.paint(painter, self.scene, self.shown, self._sight)
            painter.setClipping(False)
            self._paint_headings(painter)
            if self.hasFocus():
                painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
                painter.setPen(QPen(self._theme.colour("rule"), 1))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(self._area().adjusted(0, 0, -1, -1))

    def _paint_headings(self, painter: QPainter) -> None:
        theme, sight = self._theme, self._sight
        painter.setFont(theme.font(SMALL))
        painter.setPen(theme.colour("second"))
        metrics = QFontMetrics(painter.font())
        edges = [x * sight.scale + sight.left for x, _ in self.headings] + [float(self.width())]
        for (_, words), left, right in zip(self.headings, edges, edges[1:]):
            said = metrics.elidedText(words, Qt.TextElideMode.ElideRight, round(right - left) - theme.px(8))
            box = QRectF(left, 0, right - left, theme.px(BAND))
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, said)
