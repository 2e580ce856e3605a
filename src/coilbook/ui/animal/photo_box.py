"""The photo by which a keeper checks that it is the right snake: shown small, dropped, pasted or chosen."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QFontMetrics,
    QIcon,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from coilbook.reads.animal_facts import day_of
from coilbook.reads.animal_rows import Picture
from coilbook.reads.photos import thumbnail
from coilbook.records.message import CoilbookError
from coilbook.records.vocabulary import PhotoAngle
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.parts.icons import icon
from coilbook.ui.parts.photo_shade import shade_photo
from coilbook.ui.theme import BODY, SMALL
from coilbook.wording.language import translated
from coilbook.wording.texts import words

WIDTH, HEIGHT, CAPTION = 208, 184, 20
#: thumbnails kept by the file they are of; a keeper walks through many animals
KEPT = 64


class PhotoBox(QWidget):
    """One of the photos of an animal with its angle and date; Left and Right show the others."""

    focused = Signal()
    shown = Signal()
    #: the keeper wants to choose a file
    wanted = Signal()
    removed = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._pictures: tuple[Picture, ...] = ()
        self._at = -1
        self._small: dict[str, QImage] = {}
        self._trouble: dict[str, str] = {}
        #: drawn once for its colours and size
        self._icon: QIcon | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        desk.theme.changed.connect(self._follow_theme)

    def _follow_theme(self) -> None:
        self._icon = None
        self.updateGeometry()

    def show_pictures(self, pictures: tuple[Picture, ...], cover: int | None) -> None:
        """Show an animal's photos: the one chosen for the cover, else the newest; a photo in view stays in view."""
        here = self.picture
        self._pictures = pictures
        rows = [p.row for p in pictures]
        if here is not None and here.row in rows:
            self._at = rows.index(here.row)
        else:
            self._at = next((n for n, row in enumerate(rows) if row == cover), len(pictures) - 1)
        self._fetch()

    def show_newest(self) -> None:
        """Show the photo added last."""
        self._at = max(range(len(self._pictures)), key=lambda n: self._pictures[n].row, default=-1)
        self._fetch()

    @property
    def picture(self) -> Picture | None:
        """The photo in view."""
        return self._pictures[self._at] if 0 <= self._at < len(self._pictures) else None

    @property
    def ready(self) -> bool:
        """True when the picture in view has been read from its file."""
        picture = self.picture
        return picture is not None and picture.sha256 in self._small

    def step(self, by: int) -> None:
        """The next or the previous photo."""
        if self._pictures:
            self._at = (self._at + by) % len(self._pictures)
            self._fetch()
            self.shown.emit()

    def caption(self) -> str:
        """Angle, date, and which of how many."""
        picture = self.picture
        if picture is None:
            return ""
        day = self._desk.style.date(day_of(picture.at))
        parts = [day] if picture.angle is PhotoAngle.UNSAID else [words(picture.angle), day]
        if len(self._pictures) > 1:
            parts.append(translated("{n} of {all}").format(n=self._at + 1, all=len(self._pictures)))
        return ", ".join(parts)

    # --- files ---------------------------------------------------------------------------------------------
    def _fetch(self) -> None:
        """Have the picture in view made small, off this thread, unless it is here already."""
        picture = self.picture
        self.setAccessibleName(translated("Photo: {what}").format(what=self.caption() or translated("none")))
        self.update()
        if picture is None or picture.sha256 in self._small:
            return
        sha, ending, side = picture.sha256, picture.ending, self._desk.theme.px(max(WIDTH, HEIGHT)) * 2

        def work(_control: Control) -> tuple[str, QImage]:
            return sha, QImage.fromData(thumbnail(self._desk.collection, sha, ending, side))

        def failed(error: CoilbookError) -> None:
            self._trouble[sha] = self._desk.render(error.message)
            self.update()

        self._desk.background.read(work, self._keep, failed)

    def _keep(self, made: tuple[str, QImage]) -> None:
        sha, image = made
        self._small[sha] = image
        while len(self._small) > KEPT:
            del self._small[next(iter(self._small))]
        self.update()

    # --- widget --------------------------------------------------------------------------------------------
    def sizeHint(self) -> QSize:
        theme = self._desk.theme
        return QSize(theme.px(WIDTH), theme.px(HEIGHT + CAPTION))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.step(-1 if key == Qt.Key.Key_Left else 1)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.picture is not None:
            self.removed.emit(self.picture)
        elif key in (Qt.Key.Key_Space, Qt.Key.Key_F2):
            self.wanted.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if self._pictures:
            self.step(-1 if event.position().x() < self.width() / 3 else 1)
        else:
            self.wanted.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._desk.theme
        frame = QRectF(0, 0, self.width(), self.height() - theme.px(CAPTION))
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.fillRect(frame, theme.colour("tint"))
            picture = self.picture
            image = self._small.get(picture.sha256) if picture is not None else None
            if image is not None and not image.isNull():
                self._paint_image(painter, frame, image)
            else:
                self._paint_place(painter, frame)
            painter.setPen(QPen(theme.colour("accent"), 2) if self.hasFocus() else QPen(theme.colour("rule"), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(frame.adjusted(0.5, 0.5, -0.5, -0.5))
            painter.setFont(theme.font(SMALL))
            painter.setPen(theme.colour("second"))
            box = QRectF(0, frame.bottom() + theme.px(2), self.width(), theme.px(CAPTION - 2))
            shown = QFontMetrics(theme.font(SMALL)).elidedText(
                self.caption(), Qt.TextElideMode.ElideRight, self.width()
            )
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, shown)

    def _paint_image(self, painter: QPainter, frame: QRectF, image: QImage) -> None:
        """The picture fills the frame, its middle in the middle; toned down in the dim room."""
        scale = max(frame.width() / image.width(), frame.height() / image.height())
        wide, high = frame.width() / scale, frame.height() / scale
        part = QRectF((image.width() - wide) / 2, (image.height() - high) / 2, wide, high)
        painter.drawImage(frame, image, part)
        shade_photo(painter, self._desk.theme, frame)

    def _paint_place(self, painter: QPainter, frame: QRectF) -> None:
        theme, picture = self._desk.theme, self.picture
        said = self._trouble.get(picture.sha256, "") if picture is not None else ""
        if picture is None:
            said = translated(
                "Drop a photo here,\nor scan the card, then drop.\n\nCtrl V pastes, Space chooses a file."
            )
            side = theme.px(28)
            place = QRect(round(frame.center().x() - side / 2), round(frame.top()) + theme.px(18), side, side)
            if self._icon is None:
                self._icon = icon(theme, "image-plus", "second", 28)
            self._icon.paint(painter, place)
        painter.setFont(theme.font(BODY))
        painter.setPen(theme.colour("second"))
        inner = frame.adjusted(theme.px(10), theme.px(36), -theme.px(10), -theme.px(10))
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(inner, flags, said)
