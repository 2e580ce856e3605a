"""Codes out of files, arrays and raw frames; one held-up code counts once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from coilbook.labels.symbol import symbol
from coilbook.records.message import Refusal
from coilbook.scanning.camera import AWAY_S, Frame, HeldUp, scan_frame
from coilbook.scanning.pictures import texts_in_array, texts_in_file, texts_in_rgb

ONE, TWO = "AFKT38F", "S2Q6X87"


def drawn(*payloads: str, scale: int = 5) -> npt.NDArray[np.uint8]:
    """Symbols under each other, black on white."""
    parts = []
    for payload in payloads:
        made = symbol(payload)
        side = made.modules_with_quiet
        cells = np.full((side, side), 255, dtype=np.uint8)
        for run in made.dark:
            cells[4 + run.y : 4 + run.y + run.height, 4 + run.x : 4 + run.x + run.width] = 0
        parts.append(np.kron(cells, np.ones((scale, scale), dtype=np.uint8)))
    return np.vstack(parts)


def test_an_array_gives_each_text_once_from_the_top() -> None:
    assert texts_in_array(drawn(TWO, ONE, TWO)) == (TWO, ONE)
    assert texts_in_array(np.full((200, 200), 255, dtype=np.uint8)) == ()


@pytest.mark.parametrize("suffix", [".png", ".jpg", ".bmp", ".tif", ".webp"])
def test_a_picture_file_is_read_whatever_its_format(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"card{suffix}"
    Image.fromarray(drawn(ONE)).convert("RGB").save(path)
    assert texts_in_file(path) == (ONE,)


def test_a_symbol_on_a_transparent_ground_is_read(tmp_path: Path) -> None:
    grey = drawn(ONE)
    layer = Image.fromarray(np.dstack([np.zeros((*grey.shape, 3), dtype=np.uint8), 255 - grey]))
    layer.save(tmp_path / "clear.png")
    assert texts_in_file(tmp_path / "clear.png") == (ONE,)


def test_a_large_photo_is_read(tmp_path: Path) -> None:
    photo = np.full((4600, 6000), 200, dtype=np.uint8)
    code = drawn(ONE, scale=12)
    photo[900 : 900 + code.shape[0], 2000 : 2000 + code.shape[1]] = code
    Image.fromarray(photo).save(tmp_path / "photo.jpg")
    assert texts_in_file(tmp_path / "photo.jpg") == (ONE,)


@pytest.mark.parametrize("content", [b"", b"no picture at all", b"\x89PNG\r\n\x1a\n broken"])
def test_what_is_no_picture_is_refused_by_name(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.png"
    path.write_bytes(content)
    with pytest.raises(Refusal, match=r"odd\.png is not a picture"):
        texts_in_file(path)
    with pytest.raises(Refusal, match=r"gone\.png is not a picture"):
        texts_in_file(tmp_path / "gone.png")


def test_half_a_picture_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "half.png"
    Image.fromarray(np.random.default_rng(1).integers(0, 255, (400, 400), dtype=np.uint8)).save(path)
    path.write_bytes(path.read_bytes()[:5000])
    with pytest.raises(Refusal, match=r"half\.png"):
        texts_in_file(path)


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    Image.new("1", (20000, 20000)).save(tmp_path / "bomb.png")
    with pytest.raises(Refusal, match="too large"):
        texts_in_file(tmp_path / "bomb.png")


@pytest.mark.parametrize("padding", [0, 7])
def test_raw_rgb_with_and_without_padded_lines(padding: int) -> None:
    grey = drawn(ONE)
    height, width = grey.shape
    lines = np.zeros((height, width * 3 + padding), dtype=np.uint8)
    lines[:, : width * 3] = np.repeat(grey, 3, axis=1)
    assert texts_in_rgb(lines.tobytes(), width, height, width * 3 + padding) == (ONE,)
    with pytest.raises(ValueError, match="no RGB picture"):
        texts_in_rgb(b"\0" * 10, width, height)


def frame(payloads: tuple[str, ...], time: float) -> Frame:
    grey = drawn(*payloads) if payloads else np.full((300, 300), 255, dtype=np.uint8)
    rgb = np.repeat(grey, 3, axis=1)
    return Frame(rgb.tobytes(), grey.shape[1], grey.shape[0], grey.shape[1] * 3, time)


def test_a_held_up_code_counts_once_and_again_after_it_was_away() -> None:
    seen = [((ONE,), n * 0.1) for n in range(20)]
    seen += [((), 2.0 + n * 0.1) for n in range(5)]  # it flickers
    seen += [((ONE,), 2.5), ((ONE, TWO), 2.6), ((TWO,), 2.7)]
    seen += [((ONE,), 2.6 + AWAY_S + 0.2)]
    held = HeldUp()
    counted = [scan_frame(frame(*each), held) for each in seen]
    assert [texts for texts in counted if texts] == [(ONE,), (TWO,), (ONE,)]
