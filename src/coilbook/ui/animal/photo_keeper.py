"""Photos of the animal in view: added from files and the clipboard, taken off, chosen to open the page with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.photos import add_photo, remove_photo
from coilbook.reads.animal_rows import AnimalPage, Picture
from coilbook.records.changes import Outcome
from coilbook.records.message import say
from coilbook.ui.animal.body import AnimalBody
from coilbook.ui.animal.photo_intake import chosen_picture, pasted_picture, picture_paths
from coilbook.ui.desk import Desk


# bound methods of it are slots of Qt signals, which hold it weakly
@dataclass(frozen=True, eq=False)
class PhotoKeeper:
    """`page` gives the animal in view."""

    desk: Desk
    body: AnimalBody
    page: Callable[[], AnimalPage | None]

    def take(self, paths: list[Path]) -> bool:
        """Add the pictures among these files; False when there is none. One for an open photo form goes there."""
        pictures = picture_paths(paths)
        if self.page() is None or not pictures:
            return False
        form = self.body.log.form
        if self.body.log.kind == "photo" and form is not None and len(pictures) == 1:
            form.set_text("file", str(pictures[0]))
            return True
        for path in pictures:
            self._add(path)
        return True

    def choose(self) -> None:
        """A picture file, chosen in the file window of the desktop."""
        path = chosen_picture(self.body) if self.page() is not None else None
        if path is not None:
            self.take([path])

    def paste(self) -> None:
        """The picture on the clipboard goes to this animal."""
        picture = pasted_picture()
        if picture is None:
            self.desk.notices.tell(say("There is no picture on the clipboard."))
        elif isinstance(picture, Path):
            self.take([picture])
        else:
            self._add(picture)

    def open_with(self) -> None:
        """The photo in view is the one the page opens with from now on."""
        page, picture = self.page(), self.body.photo.picture
        if page is not None and picture is not None:
            self.desk.run(edit_animal, animal=page.who.id, details=AnimalDetails(cover_photo=picture.row))

    def remove(self, picture: Picture) -> None:
        """Take a photo off; Undo brings it back."""
        self.desk.run(remove_photo, photo=picture.row)

    def _add(self, picture: Path | bytes) -> None:
        page = self.page()
        if page is None:
            return

        def shown(_outcome: Outcome[Any]) -> None:
            self.body.photo.show_newest()

        self.desk.run(add_photo, shown, animal=page.who.id, picture=picture)
