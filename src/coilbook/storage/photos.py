"""Pictures of a collection: files named by their SHA-256, on the disk before any row names them, never deleted.

Pillow decodes; nothing here runs on the window's thread. A picture is kept byte for byte as it came; what leaves the
collection is written anew without its hidden data (place, camera, time, embedded preview).
"""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.records.message import Refusal, StorageTrouble, say
from coilbook.storage import disk
from coilbook.storage.layout import PHOTOS, photo_place
from coilbook.storage.trouble import plainly

if TYPE_CHECKING:
    from PIL.Image import Image

#: larger files are no photographs of a snake: a phone's are 2 to 12 MB (common practice)
LARGEST_BYTES = 60 * 1024 * 1024
#: kinds kept, by what Pillow finds in the file, never by its name; MPO is a phone's JPEG with a second view
# A JPEG of several pictures (MPO, from phones) is opened by Pillow's JPEG reader and only then named so.
OPENED_AS = ("JPEG", "PNG", "WEBP")
ENDINGS = {"JPEG": "jpg", "MPO": "jpg", "PNG": "png", "WEBP": "webp"}
#: brands in the first box of a HEIF file (ISO/IEC 23008-12, from memory)
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")
EXPORT_QUALITY = 92


@dataclass(frozen=True, slots=True)
class StoredPhoto:
    """A picture that lies in the collection: what its row needs to say."""

    sha256: str
    ending: str
    bytes: int
    width: int
    height: int


def store(folder: Path, picture: Path | bytes) -> StoredPhoto:
    """Keep a picture in a collection's folder, durably; the same picture twice is one file.

    Raises `Refusal` with the reason for anything but a whole JPEG, PNG or WebP of at most 60 MB.
    """
    content = picture if isinstance(picture, bytes) else _content_of(picture)
    ending, (width, height) = _judge(content)
    sha256 = hashlib.sha256(content).hexdigest()
    with plainly():
        target = folder / PHOTOS / photo_place(sha256, ending)
        if not (target.is_file() and target.stat().st_size == len(content)):
            disk.make_folder(folder / PHOTOS)
            disk.make_folder(target.parent)
            disk.write_whole(target, content)
    return StoredPhoto(sha256, ending, len(content), width, height)


def read(folder: Path, sha256: str, ending: str) -> bytes:
    """A stored picture's bytes; raises `StorageTrouble` of kind `photo` when the file is gone or another one."""
    with plainly():
        place = folder / PHOTOS / photo_place(sha256, ending)
        content = place.read_bytes() if place.is_file() else None
    if content is None or hashlib.sha256(content).hexdigest() != sha256:
        raise StorageTrouble(
            say("A picture's file is missing or was changed: {name}. A backup may hold it.", name=place.name), "photo"
        )
    return content


def thumbnail(folder: Path, sha256: str, ending: str, size: int) -> bytes:
    """A small upright picture that fits into `size` x `size` pixels, as JPEG, or PNG where it is see-through."""
    from PIL import ImageOps

    with _opened(read(folder, sha256, ending)) as image:
        image.draft("RGB", (size * 2, size * 2))
        small = ImageOps.exif_transpose(image)
        small.thumbnail((size, size))
        return _encoded(small, "PNG" if _see_through(small) else "JPEG", quality=85)


def export_stripped(folder: Path, sha256: str, ending: str, target: Path) -> None:
    """Write a picture for others: upright, with its colours, without place, time, camera or embedded preview."""
    from PIL import ImageOps

    with _opened(read(folder, sha256, ending)) as image:
        kind = "JPEG" if image.format == "MPO" else str(image.format)
        content = _encoded(ImageOps.exif_transpose(image), kind, quality=EXPORT_QUALITY)
    with plainly():
        disk.write_whole(target, content)


def _content_of(picture: Path) -> bytes:
    with plainly():
        if not picture.is_file():
            raise Refusal(say("There is no picture {name}.", name=picture.name))
        if picture.stat().st_size > LARGEST_BYTES:
            raise _too_large()
        return picture.read_bytes()


def _judge(content: bytes) -> tuple[str, tuple[int, int]]:
    """(ending, size in pixels) of a whole picture of a kind that is kept."""
    if len(content) > LARGEST_BYTES:
        raise _too_large()
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF_BRANDS:
        raise Refusal(
            say(
                "This picture is in a phone's own format (HEIC), which cannot be shown here. "
                "Send it as JPEG, or set the phone's camera to the most compatible format."
            )
        )
    with _opened(content) as image:
        ending, size = ENDINGS[str(image.format)], image.size
        try:
            image.load()
        except (OSError, ValueError, SyntaxError) as error:
            raise Refusal(say("The picture is cut off or damaged; it was not added.")) from error
    return ending, size


@contextmanager
def _opened(content: bytes) -> Iterator[Image]:
    from PIL import Image as pictures
    from PIL import UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", pictures.DecompressionBombWarning)
            image = pictures.open(io.BytesIO(content), formats=OPENED_AS)
    except (pictures.DecompressionBombError, pictures.DecompressionBombWarning) as error:
        raise _too_large() from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise Refusal(say("This is not a picture that can be kept: JPEG, PNG and WebP can.")) from error
    with image:
        yield image


def _see_through(image: Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info


def _encoded(image: Image, kind: str, *, quality: int) -> bytes:
    """The pixels as a new file; of what came with them only the colour profile goes along."""
    if kind == "JPEG" and image.mode not in ("RGB", "L", "CMYK"):
        image = image.convert("RGB")
    profile = image.info.get("icc_profile")
    bare = image.copy()
    bare.info = {k: v for k, v in image.info.items() if k == "transparency"}
    out = io.BytesIO()
    bare.save(out, kind, quality=quality, icc_profile=profile, exif=b"")
    return out.getvalue()


def _too_large() -> Refusal:
    return Refusal(say("The picture is too large; 60 MB and 89 million pixels are the most that is kept."))
