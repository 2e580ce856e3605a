"""Codes out of pictures: a file, the bytes of one, an array of pixels, or raw RGB from a camera."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from coilbook.records.message import Refusal, say

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

#: a larger picture is made smaller before it is searched; a code on it would still be hundreds of pixels wide
_LARGEST_SIDE = 4000
#: refuse what would take gigabytes when unpacked (a bomb), in pixels
_MOST_PIXELS = 200_000_000


def texts_in_array(pixels: npt.NDArray[np.uint8]) -> tuple[str, ...]:
    """Texts of the QR symbols in a grey (h, w) or RGB (h, w, 3) array, each once, from top to bottom."""
    import zxingcpp

    found = zxingcpp.read_barcodes(pixels, formats=zxingcpp.BarcodeFormat.QRCode)
    placed = sorted((code for code in found if code.text), key=_from_the_top)
    return tuple(dict.fromkeys(code.text for code in placed))


def _from_the_top(code: Any) -> tuple[int, int]:
    corner = code.position.top_left
    return corner.y, corner.x


def texts_in_rgb(data: bytes, width: int, height: int, stride: int | None = None) -> tuple[str, ...]:
    """Texts in raw RGB of 8 bits a channel; `stride` is the length of a line in bytes when lines are padded."""
    import numpy as np

    line = stride or width * 3
    if len(data) < line * height or line < width * 3:
        raise ValueError(f"{len(data)} bytes are no RGB picture of {width} x {height}")
    rows = np.frombuffer(data, dtype=np.uint8, count=line * height).reshape(height, line)
    return texts_in_array(np.ascontiguousarray(rows[:, : width * 3].reshape(height, width, 3)))


def texts_in_file(path: Path) -> tuple[str, ...]:
    """Texts of the QR symbols in a picture file; `Refusal` when it is no picture that can be read."""
    import numpy as np
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(path) as picture:
            if picture.width * picture.height > _MOST_PIXELS:
                raise Refusal(say("{file} is too large a picture to search for a code.", file=path.name))
            picture.draft("L", (_LARGEST_SIDE, _LARGEST_SIDE))
            grey = ImageOps.exif_transpose(_on_white(picture)).convert("L")
    except Image.DecompressionBombError as error:
        raise Refusal(say("{file} is too large a picture to search for a code.", file=path.name)) from error
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise Refusal(say("{file} is not a picture that can be read.", file=path.name)) from error
    grey.thumbnail((_LARGEST_SIDE, _LARGEST_SIDE))
    return texts_in_array(np.asarray(grey))


def _on_white(picture: Any) -> Any:
    """The picture with transparent parts white: black modules on nothing would vanish in black."""
    from PIL import Image

    if "A" not in picture.getbands() and "transparency" not in picture.info:
        return picture
    layer = picture.convert("RGBA")
    white = Image.new("RGBA", layer.size, "white")
    white.alpha_composite(layer)
    return white.convert("RGB")
