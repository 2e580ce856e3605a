"""A camera through Qt Multimedia, which is the optional extra `coilbook[camera]`; nothing else imports it."""

from __future__ import annotations

import importlib.util
import time
from typing import Any

from PySide6.QtCore import QObject
from PySide6.QtGui import QImage

from coilbook.records.message import Refusal, say
from coilbook.scanning.camera import Frame


def is_installed() -> bool:
    """True when the optional extra is there."""
    return importlib.util.find_spec("PySide6.QtMultimedia") is not None


def frame_of(image: QImage, at: float) -> Frame:
    """A Qt picture as the scanning room wants it."""
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    return Frame(bytes(plain.constBits()), plain.width(), plain.height(), plain.bytesPerLine(), at)


class QtCamera(QObject):
    """The machine's first camera as a `scanning.camera.FrameSource`."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._camera: Any = None
        self._session: Any = None
        self._sink: Any = None
        self._newest: QImage | None = None

    def start(self) -> None:
        """Open the camera; `Refusal` when the extra or a camera is missing."""
        if not is_installed():
            raise Refusal(say("The camera needs the optional part: install 'coilbook[camera]'."))
        from PySide6 import QtMultimedia

        devices = QtMultimedia.QMediaDevices.videoInputs()
        if not devices:
            raise Refusal(say("No camera was found."))
        self._camera = QtMultimedia.QCamera(devices[0], self)
        self._sink = QtMultimedia.QVideoSink(self)
        self._session = QtMultimedia.QMediaCaptureSession(self)
        self._session.setCamera(self._camera)
        self._session.setVideoSink(self._sink)
        self._sink.videoFrameChanged.connect(self._arrived)
        self._camera.start()

    def stop(self) -> None:
        """Let go of the camera."""
        if self._camera is not None:
            self._camera.stop()
            self._camera = self._session = self._sink = self._newest = None

    def latest(self) -> Frame | None:
        """The newest picture not handed out yet."""
        image, self._newest = self._newest, None
        return frame_of(image, time.monotonic()) if image is not None else None

    def _arrived(self, frame: Any) -> None:
        image = frame.toImage()
        if not image.isNull():
            self._newest = image
