"""The newest picture of the egg or box in focus, small, made beside the window."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from shiboken6 import isValid

from coilbook.reads.egg_rows import PhotoTaken
from coilbook.reads.photos import thumbnail
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.parts.photo_shade import shade_photo
from coilbook.wording.language import translated

WIDTH, HEIGHT = 288, 200
#: small pictures kept, so that one that is shown again is there at once
_KEPT = 40
_SMALL: dict[str, QImage] = {}


class PhotoView(QWidget):
    """Paints one picture whole, toned down in the dim room."""

    def __init__(self, desk: Desk, photo: PhotoTaken) -> None:
        super().__init__()
        self._desk, self._photo, self._trouble = desk, photo, ""
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(desk.theme.px(HEIGHT))
        self.setAccessibleName(translated("Photo: {what}").format(what=photo.caption or desk.style.moment(photo.at)))
        if photo.sha256 not in _SMALL:
            self._fetch()

    def sizeHint(self) -> QSize:
        return QSize(self._desk.theme.px(WIDTH), self._desk.theme.px(HEIGHT))

    def _fetch(self) -> None:
        photo, side = self._photo, self._desk.theme.px(WIDTH) * 2
        collection = self._desk.collection

        def work(_control: Control) -> QImage:
            return QImage.fromData(thumbnail(collection, photo.sha256, photo.ending, side))

        def made(image: QImage) -> None:
            _SMALL[photo.sha256] = image
            while len(_SMALL) > _KEPT:
                del _SMALL[next(iter(_SMALL))]
            self._again("")

        def failed(error: CoilbookError) -> None:
            self._again(self._desk.render(error.message))

        self._desk.background.read(work, made, failed)

    def _again(self, trouble: str) -> None:
        """The margin may show something else by now."""
        if isValid(self):
            self._trouble = trouble
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, image = self._desk.theme, _SMALL.get(self._photo.sha256)
        frame = QRectF(self.rect())
        with QPainter(self) as painter:
            painter.fillRect(frame, theme.colour("tint"))
            if image is None or image.isNull():
                painter.setPen(theme.colour("second"))
                flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
                painter.drawText(frame, flags, self._trouble)
                return
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            scale = min(frame.width() / image.width(), frame.height() / image.height())
            whole = QRectF(0, 0, image.width() * scale, image.height() * scale)
            whole.moveCenter(frame.center())
            painter.drawImage(whole, image)
            shade_photo(painter, theme, whole)
