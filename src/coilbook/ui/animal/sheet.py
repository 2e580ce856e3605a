"""The animal sheet from the page to a PDF in the collection's papers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Control
from coilbook.ui.written_file import tell_written

if TYPE_CHECKING:
    from coilbook.reads.animal_rows import AnimalPage
    from coilbook.ui.desk import Desk
    from coilbook.ui.screens.animal import AnimalScreen


def print_sheet(screen: AnimalScreen) -> None:
    """Write the sheet of the animal in view and say where it lies."""
    page, desk = screen.page, screen.desk
    if page is None:
        return
    folder: Path = desk.collection.folder / "papers"

    def work(_control: Control) -> Path:
        return write_sheet(desk, page, folder)

    def done(path: Path) -> None:
        text = "The sheet of {animal} is ready: {file} in the folder papers of the collection."
        tell_written(desk, say(text, animal=page.who.keeper_id, file=path.name), path)

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    # it tells odds, which may have to be worked out first
    desk.background.work_out(work, done, failed, say("Printing"))


def write_sheet(desk: Desk, page: AnimalPage, folder: Path) -> Path:
    """Write the sheet into a folder; the id and the day name the file."""
    from coilbook.printing.animal_sheet import sheet_pdf
    from coilbook.printing.sheets import write_pdf
    from coilbook.reads.animal_sheet import animal_sheet
    from coilbook.reads.genetics_card import card_texts

    today = desk.clock().date()
    name = re.sub(r"[^\w.-]+", "_", page.who.keeper_id) or "animal"
    path = folder / f"{name} {today.isoformat()}.pdf"
    genes = card_texts(desk.collection, [page.who.id]).get(page.who.id)
    write_pdf(sheet_pdf(animal_sheet(page, today, genes), desk.style, desk.settings.paper), path)
    return path
