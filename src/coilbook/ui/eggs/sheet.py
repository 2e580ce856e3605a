"""The clutch sheet from the page to a PDF in the collection's papers."""

from __future__ import annotations

import re
from pathlib import Path

from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand


def print_clutch_sheet(desk: Desk, at: AtHand) -> None:
    """Write the sheet of the clutch in focus and say where it lies."""
    if at.clutch is None:
        return
    folder: Path = desk.collection.folder / "papers"
    label = at.clutch.label

    def work(_control: Control) -> Path | None:
        return write_clutch_sheet(desk, at, folder)

    def done(path: Path | None) -> None:
        if path is not None:
            text = "The sheet of {clutch} is ready: {file} in the folder papers of the collection."
            desk.notices.tell(say(text, clutch=label, file=path.name))

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    desk.background.read(work, done, failed, say("Printing"))


def write_clutch_sheet(desk: Desk, at: AtHand, folder: Path) -> Path | None:
    """Write the sheet into a folder; the clutch and the day name the file. None without a clutch."""
    from coilbook.printing.clutch_sheet import clutch_sheet_pdf
    from coilbook.printing.sheets import write_pdf
    from coilbook.reads.clutch_sheet import clutch_sheet

    if at.clutch is None:
        return None
    window = at.now.windows.get(at.clutch.id)
    sheet = clutch_sheet(desk.collection, at.clutch, at.box, window, at.now.today)
    name = re.sub(r"[^\w.-]+", "_", at.clutch.label) or "clutch"
    path = folder / f"{name} {at.now.today.isoformat()}.pdf"
    write_pdf(clutch_sheet_pdf(sheet, desk.style, desk.settings.paper), path)
    return path
