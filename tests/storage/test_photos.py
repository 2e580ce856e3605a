"""Pictures: whole on the disk before a row names them, unchanged for ever, bare when they leave."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

import pytest
from PIL import Image

from coilbook.records.message import Refusal, StorageTrouble
from coilbook.storage import photos
from coilbook.storage.collection import Collection
from coilbook.storage.layout import PHOTOS, photo_place
from tests.storage.conftest import jpeg


def with_place(colour: str = "olive") -> bytes:
    """A picture lying on its side with a place, a time and a camera in it."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "camera"
    exif[0x0132] = "2026:03:29 20:14:00"
    exif.get_ifd(0x8825).update({1: "N", 2: (52.0, 31.0, 12.0), 3: "E", 4: (13.0, 24.0, 18.0)})
    return jpeg(colour, (64, 48), exif=exif)


def picture(kind: str, mode: str = "RGB", size: tuple[int, int] = (40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(("kind", "ending"), [("JPEG", "jpg"), ("PNG", "png"), ("WEBP", "webp")])
def test_a_picture_is_kept_byte_for_byte_under_its_hash(collection: Collection, kind: str, ending: str) -> None:
    content = picture(kind)
    stored = photos.store(collection.folder, content)
    assert (stored.ending, stored.bytes, stored.width, stored.height) == (ending, len(content), 40, 30)
    assert (collection.folder / PHOTOS / photo_place(stored.sha256, ending)).read_bytes() == content
    assert photos.read(collection.folder, stored.sha256, ending) == content


def test_the_kind_is_judged_by_content_not_by_name(collection: Collection, tmp_path: Path) -> None:
    file = tmp_path / "IMG_2041.JPG"
    file.write_bytes(picture("PNG"))
    assert photos.store(collection.folder, file).ending == "png"


def test_the_same_picture_twice_is_one_file(collection: Collection) -> None:
    first, second = (photos.store(collection.folder, jpeg()) for _ in range(2))
    assert first == second
    assert len([p for p in (collection.folder / PHOTOS).rglob("*") if p.is_file()]) == 1


def test_a_half_written_file_of_the_same_name_is_written_anew(collection: Collection) -> None:
    stored = photos.store(collection.folder, jpeg())
    file = collection.folder / PHOTOS / photo_place(stored.sha256, "jpg")
    file.write_bytes(b"half")
    photos.store(collection.folder, jpeg())
    assert file.read_bytes() == jpeg()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "JPEG, PNG and WebP can"),
        (b"just text, not a picture", "JPEG, PNG and WebP can"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(200), "HEIC"),
        (picture("GIF", "P"), "JPEG, PNG and WebP can"),
        (picture("TIFF"), "JPEG, PNG and WebP can"),
        (jpeg(size=(400, 300))[:900], "cut off or damaged"),
        (picture("PNG", size=(400, 300))[:-40], "cut off or damaged"),
        (bytes(photos.LARGEST_BYTES + 1), "too large"),
        (picture("PNG", "1", (20_000, 10_000)), "too large"),
    ],
    ids=["empty", "text", "phone", "gif", "tiff", "cut jpeg", "cut png", "bytes", "pixels"],
)
def test_what_cannot_be_kept_is_refused_with_the_reason(collection: Collection, content: bytes, said: str) -> None:
    with warnings.catch_warnings(), pytest.raises(Refusal, match=said):
        photos.store(collection.folder, content)
    assert [p for p in (collection.folder / PHOTOS).rglob("*") if p.is_file()] == []


def test_a_missing_file_is_refused_by_name(collection: Collection, tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"no picture grey\.png"):
        photos.store(collection.folder, tmp_path / "grey.png")


def test_a_changed_picture_is_not_shown_as_the_right_one(collection: Collection) -> None:
    stored = photos.store(collection.folder, jpeg())
    (collection.folder / PHOTOS / photo_place(stored.sha256, "jpg")).write_bytes(jpeg("red"))
    with pytest.raises(StorageTrouble, match="missing or was changed") as caught:
        photos.read(collection.folder, stored.sha256, "jpg")
    assert caught.value.kind == "photo"


def test_a_thumbnail_is_upright_small_and_bare(collection: Collection) -> None:
    stored = photos.store(collection.folder, with_place())
    small = Image.open(io.BytesIO(photos.thumbnail(collection.folder, stored.sha256, "jpg", 32)))
    assert small.size == (24, 32)
    assert not small.getexif()


def test_a_see_through_thumbnail_stays_see_through(collection: Collection) -> None:
    stored = photos.store(collection.folder, picture("PNG", "RGBA"))
    small = Image.open(io.BytesIO(photos.thumbnail(collection.folder, stored.sha256, "png", 16)))
    assert small.mode == "RGBA"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_leaves_carries_no_place_time_or_camera(collection: Collection, tmp_path: Path, kind: str) -> None:
    out = io.BytesIO()
    source = Image.open(io.BytesIO(with_place()))
    extra = {"pnginfo": _png_text()} if kind == "PNG" else {}
    source.save(out, kind, exif=source.getexif(), **extra)
    stored = photos.store(collection.folder, out.getvalue())
    assert b"camera" in photos.read(collection.folder, stored.sha256, stored.ending)
    target = tmp_path / "for the buyer"
    photos.export_stripped(collection.folder, stored.sha256, stored.ending, target)
    content = target.read_bytes()
    for secret in (b"camera", b"2026:03:29", b"Exif", b"a place in words"):
        assert secret not in content
    with Image.open(target) as image:
        assert image.format == kind
        assert image.size == (48, 64), "turned upright, since the mark that said so is gone"
        assert not image.getexif()


def _png_text() -> object:
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_text("Comment", "a place in words")
    return info


def test_colours_keep_their_meaning_when_a_picture_leaves(collection: Collection, tmp_path: Path) -> None:
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    stored = photos.store(collection.folder, jpeg(icc_profile=profile))
    photos.export_stripped(collection.folder, stored.sha256, "jpg", tmp_path / "out.jpg")
    with Image.open(tmp_path / "out.jpg") as image:
        assert image.info["icc_profile"] == profile
