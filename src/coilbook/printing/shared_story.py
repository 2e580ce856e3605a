"""A story to share as a folder: plain text, and every picture with its caption under it."""

from __future__ import annotations

import logging
import tempfile
from collections.abc import Callable
from pathlib import Path

from coilbook.labels.type_fit import Weight, font_path
from coilbook.reads.photos import write_stripped
from coilbook.reads.story_to_share import SharedPicture, SharedStory
from coilbook.records.message import StorageTrouble, say
from coilbook.storage.collection import Collection
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render

LOG = logging.getLogger(__name__)

#: letters of a caption, as a share of the width of the picture, and never smaller than can be read (pixels)
_LETTERS, _LEAST = 1 / 36, 14
_QUALITY = 90


def write_shared_story(collection: Collection, story: SharedStory, style: Style, folder: Path) -> list[Path]:
    """Write text and pictures into a new folder; the files. A picture whose file is gone is said so in the text.

    Raises `StorageTrouble` when the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lines = [render(told, style) for told in (*story.head, *story.lines, *story.doubts)]
        files = []
        for number, picture in enumerate(story.pictures, 1):
            caption = render(picture.caption, style)
            target = folder / f"{number:02d} day {picture.day}.jpg"
            there = _write_picture(collection, picture, caption, target)
            files += [target] if there else []
            name = target.name if there else translated("the picture is missing")
            lines.append(f"{caption} ({name})")
        text = folder / "story.txt"
        text.write_text("\n".join(lines) + "\n", encoding="utf-8")
    except OSError as error:
        raise StorageTrouble(
            say("The story could not be written to {path}: {why}.", path=folder, why=error.strerror or error)
        ) from error
    return [text, *files]


def _write_picture(collection: Collection, picture: SharedPicture, caption: str, target: Path) -> bool:
    """The picture as JPEG on a white strip with its caption; False when its file is gone."""
    from PIL import Image, ImageDraw, ImageFont

    with tempfile.TemporaryDirectory(prefix="coilbook-share-") as place:
        plain = Path(place) / f"picture.{picture.ending.lstrip('.')}"
        try:
            write_stripped(collection, picture.sha256, picture.ending, plain)
        except StorageTrouble as error:
            LOG.warning("a picture of the story is missing: %s", error)
            return False
        with Image.open(plain) as opened:
            image = opened.convert("RGB")
    size = max(round(image.width * _LETTERS), _LEAST)
    font = ImageFont.truetype(font_path(Weight.REGULAR), size)
    lines = _wrapped(caption, font.getlength, image.width - 2 * size)
    made = Image.new("RGB", (image.width, image.height + round(size * (1.4 * len(lines) + 1))), "white")
    made.paste(image, (0, 0))
    pen = ImageDraw.Draw(made)
    for number, line in enumerate(lines):
        pen.text((size, image.height + size * (0.4 + 1.4 * number)), line, fill="black", font=font)
    made.save(target, "JPEG", quality=_QUALITY)
    return True


def _wrapped(text: str, measure: Callable[[str], float], room: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and measure(longer) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
