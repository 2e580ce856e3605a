"""The clutch sheet and the shelf list from the page to a PDF in the collection's papers."""

from __future__ import annotations

import re
from pathlib import Path

from coilbook.reads.eggs_now import EggsNow
from coilbook.records.message import CoilbookError, say
from coilbook.ui.background import Control
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.at import AtHand
from coilbook.ui.written_file import tell_written


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
            tell_written(desk, say(text, clutch=label, file=path.name), path)

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    # it tells odds, which may have to be worked out first
    desk.background.work_out(work, done, failed, say("Printing"))


def write_clutch_sheet(desk: Desk, at: AtHand, folder: Path) -> Path | None:
    """Write the sheet into a folder; the clutch and the day name the file. None without a clutch."""
    from coilbook.printing.clutch_sheet import clutch_sheet_pdf
    from coilbook.printing.sheets import write_pdf
    from coilbook.reads.clutch_sheet import clutch_sheet
    from coilbook.reads.sire_odds import sire_odds

    if at.clutch is None:
        return None
    window = at.now.windows.get(at.clutch.id)
    # printed before they were worked out beside the page, the odds are asked for here
    odds = at.now.sires or sire_odds(desk.collection, [at.clutch.id])
    sheet = clutch_sheet(
        desk.collection, at.clutch, at.box, window, at.now.today, boxes=at.boxes, odds=odds.get(at.clutch.id)
    )
    name = re.sub(r"[^\w.-]+", "_", at.clutch.label) or "clutch"
    path = folder / f"{name} {at.now.today.isoformat()}.pdf"
    write_pdf(clutch_sheet_pdf(sheet, desk.style, desk.settings.paper), path)
    return path


def print_shelf_list(desk: Desk, now: EggsNow) -> None:
    """Write the shelf list of every incubator and say where it lies."""
    folder: Path = desk.collection.folder / "papers"

    def work(_control: Control) -> Path:
        return write_shelf_list(desk, now, folder)

    def done(path: Path) -> None:
        text = "The shelf list is ready: {file} in the folder papers of the collection."
        tell_written(desk, say(text, file=path.name), path)

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    desk.background.read(work, done, failed, say("Printing"))


def write_shelf_list(desk: Desk, now: EggsNow, folder: Path) -> Path:
    """Write the list into a folder; the day names the file."""
    from coilbook.printing.sheets import write_pdf
    from coilbook.printing.shelf_list import shelf_list_pdf
    from coilbook.reads.shelf_list import shelf_list

    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"shelf list {now.today.isoformat()}.pdf"
    write_pdf(shelf_list_pdf(shelf_list(now), desk.style, desk.settings.paper), path)
    return path
