"""The camera over the page: frames with a real symbol in them, seen once while held up."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

import pytest
from PySide6.QtGui import QImage, QPainter

from coilbook.labels.symbol import symbol
from coilbook.reads.codes import code_of
from coilbook.records.vocabulary import CodeKind
from coilbook.scanning.camera import Frame
from coilbook.ui.camera_panel import CameraPanel
from coilbook.ui.camera_source import QtCamera, frame_of, is_installed
from coilbook.ui.main_window import MainWindow
from tests.operations.conftest import Room


class Film:
    """Frames handed out one by one, as a camera does."""

    def __init__(self) -> None:
        self.frames: deque[Frame] = deque()
        self.running = False

    def start(self) -> None:
        self.running = True

    def stop(self) -> None:
        self.running = False

    def latest(self) -> Frame | None:
        return self.frames.popleft() if self.frames else None


def _picture(text: str | None, at: float) -> Frame:
    image = QImage(640, 480, QImage.Format.Format_RGB888)
    image.fill(0xFFB0A090)
    if text is not None:
        side = 6
        with QPainter(image) as painter:
            painter.fillRect(150, 100, 340, 340, 0xFFFFFFFF)
            for rect in symbol(text).dark:
                painter.fillRect(
                    180 + rect.x * side, 130 + rect.y * side, rect.width * side, rect.height * side, 0xFF000000
                )
    return frame_of(image, at)


def test_a_code_held_up_is_read_once_and_again_when_it_comes_back(
    room: Room, make_window: Callable[..., MainWindow]
) -> None:
    window = make_window()
    code = code_of(room.book, CodeKind.ANIMAL, room.female)
    assert code is not None
    film, read = Film(), []
    panel = CameraPanel(window.desk, film, read.append, window)
    panel.toggle()
    assert film.running and panel.isVisible()
    for at in (0.0, 0.2, 0.4):
        film.frames.append(_picture(code.text, at))
        panel.look()
    assert read == [code.text]
    film.frames.append(_picture(None, 1.0))
    panel.look()
    film.frames.append(_picture(code.text, 3.0))
    panel.look()
    assert read == [code.text, code.text]
    panel.toggle()
    assert not film.running and not panel.isVisible()


@pytest.mark.skipif(is_installed(), reason="the optional part is installed here, so a camera might be there")
def test_without_the_optional_part_one_sentence_says_what_to_install(make_window: Callable[..., MainWindow]) -> None:
    window = make_window()
    window.toggle_camera()
    told = window.desk.notices.current
    assert told is not None and "coilbook[camera]" in window.desk.render(told.message)
    assert window.camera is not None and not window.camera.isVisible()


def test_a_camera_never_started_stops_quietly(make_window: Callable[..., MainWindow]) -> None:
    camera = QtCamera(make_window())
    camera.stop()
    assert camera.latest() is None
