"""Small photos of the animals in a tree, read from their files off the window's thread, a few at a time."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable

from PySide6.QtGui import QImage, QPixmap

from coilbook.reads.pedigree import CardFacts
from coilbook.reads.photos import thumbnail
from coilbook.records.message import CoilbookError
from coilbook.ui.background import Control, Job
from coilbook.ui.desk import Desk
from coilbook.ui.pedigree.card_painter import PHOTO

LOG = logging.getLogger(__name__)

#: photos read in one job, so that the first stand soon; and photos kept
TOGETHER, KEPT = 12, 600


class TreePhotos:
    """Thumbnails by the SHA-256 of their file; `arrived` is called when there are more to paint."""

    def __init__(self, desk: Desk, arrived: Callable[[], None]) -> None:
        self._desk, self._arrived = desk, arrived
        self._small: dict[str, QPixmap | None] = {}
        self._wanted: list[tuple[str, str]] = []
        self._job: Job | None = None

    def of(self, card: CardFacts) -> QPixmap | None:
        """The photo of a card; None when there is none, or not yet."""
        return self._small.get(card.photo[0]) if card.photo is not None else None

    def want(self, cards: Iterable[CardFacts]) -> None:
        """Read the photos of these cards that are not here yet, instead of those wanted before."""
        photos = dict.fromkeys(card.photo for card in cards if card.photo is not None)
        self._wanted = [photo for photo in photos if photo[0] not in self._small]
        if self._job is None:
            self._next()

    def _next(self) -> None:
        part, self._wanted = self._wanted[:TOGETHER], self._wanted[TOGETHER:]
        self._job = None
        if not part:
            return
        collection, side = self._desk.collection, self._desk.theme.px(PHOTO) * 2

        def work(_control: Control) -> dict[str, QImage | None]:
            found: dict[str, QImage | None] = {}
            for sha, ending in part:
                try:
                    found[sha] = _square(QImage.fromData(thumbnail(collection, sha, ending, side * 2)), side)
                except CoilbookError as error:
                    # the animal's page says what is the matter with the file
                    LOG.warning("a card of the tree has no photo: %s", error)
                    found[sha] = None
            return found

        self._job = self._desk.background.read(work, self._keep, lambda _error: self._next())

    def _keep(self, found: dict[str, QImage | None]) -> None:
        for sha, image in found.items():
            self._small[sha] = None if image is None or image.isNull() else QPixmap.fromImage(image)
        while len(self._small) > KEPT:
            del self._small[next(iter(self._small))]
        self._arrived()
        self._next()


def _square(image: QImage, side: int) -> QImage:
    """The middle of a picture as a square."""
    least = min(image.width(), image.height())
    if not least:
        return image
    from PySide6.QtCore import Qt

    middle = image.copy((image.width() - least) // 2, (image.height() - least) // 2, least, least)
    return middle.scaled(side, side, mode=Qt.TransformationMode.SmoothTransformation)
