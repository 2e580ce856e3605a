"""What the camera sees, small, over the page; a code held up counts once and goes where the scanner's would."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRect, Qt, QTimer
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from coilbook.records.message import CoilbookError
from coilbook.scanning.camera import FrameSource, HeldUp, scan_frame
from coilbook.ui.desk import Desk
from coilbook.ui.theme import SMALL
from coilbook.wording.language import translated

#: how often a picture is taken and searched; a search takes a few milliseconds on the worker
EVERY_MS = 150
WIDTH, HEIGHT = 320, 216


class CameraPanel(QWidget):
    """Opened and closed by one command. `read` is called with the text of each code that comes into sight."""

    def __init__(self, desk: Desk, source: FrameSource, read: Callable[[str], None], parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._source, self._read = desk, source, read
        self._held_up = HeldUp()
        self._shown = QImage()
        self._searching = False
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(translated("What the camera sees"))
        self.hide()

    def toggle(self) -> None:
        """Open or close the camera; a camera that is not there is told in the foot."""
        if self.isVisible():
            self.close_camera()
            return
        try:
            self._source.start()
        except CoilbookError as error:
            self._desk.notices.refuse(error)
            return
        self.place()
        self.show()
        self.raise_()
        self._timer.start()

    def close_camera(self) -> None:
        """Let go of the camera."""
        self._timer.stop()
        self._source.stop()
        self.hide()

    def place(self) -> None:
        """Stand at the lower right of the page."""
        theme, around = self._desk.theme, self.parentWidget()
        self.resize(theme.px(WIDTH), theme.px(HEIGHT))
        if around is not None:
            gap = theme.px(48)
            self.move(around.width() - self.width() - gap, around.height() - self.height() - gap)

    def look(self) -> None:
        """Take the newest picture; search it on the worker, one at a time."""
        if self._searching:
            return
        frame = self._source.latest()
        if frame is None:
            return
        self._shown = QImage(frame.data, frame.width, frame.height, frame.stride, QImage.Format.Format_RGB888).copy()
        self.update()
        self._searching = True
        self._desk.background.read(lambda _control: scan_frame(frame, self._held_up), self._found, self._failed)

    def _found(self, texts: tuple[str, ...]) -> None:
        self._searching = False
        for text in texts:
            self._read(text)

    def _failed(self, error: CoilbookError) -> None:
        self._searching = False
        self._desk.notices.refuse(error)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._desk.theme
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), theme.colour("surface"))
            box = QRect(0, 0, self.width(), self.height() - theme.px(28))
            if not self._shown.isNull():
                painter.drawImage(box, self._shown)
            painter.setPen(theme.colour("edge"))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
            painter.setFont(theme.font(SMALL))
            painter.setPen(theme.colour("ink"))
            words = QRect(theme.px(8), box.bottom(), self.width() - theme.px(16), theme.px(28))
            painter.drawText(
                words, Qt.AlignmentFlag.AlignVCenter, translated("Hold the code about 20 cm away, in good light")
            )
