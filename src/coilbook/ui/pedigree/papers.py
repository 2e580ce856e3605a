"""The tree on paper and as pictures to share, written into the papers of the collection."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QImage, QPainter

from coilbook.records.ids import AnimalId
from coilbook.records.message import CoilbookError, StorageTrouble, say
from coilbook.records.settings import Theme as ThemeName
from coilbook.ui.background import Control
from coilbook.ui.pedigree.heads import title
from coilbook.ui.pedigree.painter import PedigreePainter, Sight
from coilbook.ui.pedigree.tools import gene_name
from coilbook.ui.theme import SMALL, TITLE, Theme
from coilbook.ui.written_file import tell_written
from coilbook.wording.language import translated

if TYPE_CHECKING:
    from coilbook.ui.desk import Desk
    from coilbook.ui.screens.pedigree import PedigreeScreen

#: pixels around a shared picture, and the height of its title
EDGE, HEAD = 24, 64
#: longest side of a PNG; a larger family is drawn smaller
LONGEST = 8_000
#: least width of a shared picture
NARROWEST = 760


def print_pedigree(screen: PedigreeScreen) -> None:
    """Write the sheet of the animal in view and say where it lies."""
    made, desk = screen.made, screen.desk
    if made is None or made.of_animal is None or made.wanted.animal is None:
        return
    animal, generations, gene = made.wanted.animal, made.wanted.generations, made.wanted.gene
    folder: Path = desk.collection.folder / "papers"

    def work(_control: Control) -> Path:
        return write_sheet(desk, animal, generations, folder, gene)

    def done(path: Path) -> None:
        text = "The pedigree of {animal} is ready: {file} in the folder papers of the collection."
        tell_written(desk, say(text, animal=made.book.lines.names[animal], file=path.name), path)

    def failed(error: CoilbookError) -> None:
        desk.notices.refuse(error)

    # it tells odds, which may have to be worked out first
    desk.background.work_out(work, done, failed, say("Printing"))


def write_sheet(desk: Desk, animal: int, generations: int, folder: Path, gene: str = "") -> Path:
    """Write the sheet of an animal into a folder; three to five generations."""
    from coilbook.printing.pedigree_sheet import pedigree_pdf
    from coilbook.printing.sheets import write_pdf
    from coilbook.reads.pedigree_sheet import pedigree_sheet

    sheet = pedigree_sheet(desk.collection, AnimalId(animal), desk.clock().date(), generations, gene)
    back = len(sheet.inbreeding.known)
    path = folder / f"{_file_name(sheet.who.keeper_id)} pedigree {back} {sheet.printed.isoformat()}.pdf"
    write_pdf(pedigree_pdf(sheet, desk.style, desk.settings.paper), path)
    return path


def share_pictures(screen: PedigreeScreen) -> None:
    """Write what is drawn as PNG and SVG and say where they lie."""
    desk = screen.desk
    if screen.made is None:
        return
    try:
        files = write_pictures(screen, desk.collection.folder / "papers")
    except CoilbookError as error:
        desk.notices.refuse(error)
        return
    text = "The tree is ready to share: {files} in the folder papers of the collection."
    desk.notices.tell(say(text, files=", ".join(file.name for file in files)))


def write_pictures(screen: PedigreeScreen, folder: Path) -> list[Path]:
    """The whole of what is drawn, light on white, as PNG and SVG."""
    from PySide6.QtSvg import QSvgGenerator

    made, desk = screen.made, screen.desk
    if made is None:
        return []
    folder.mkdir(parents=True, exist_ok=True)
    head = title(made)
    stem = folder / f"{_file_name(head)} {desk.clock().date().isoformat()}"
    # a small tree still leaves room for the words over it
    width, height = max(made.scene.width, NARROWEST) + 2 * EDGE, made.scene.height + 2 * EDGE + HEAD
    scale = min(1.0, LONGEST / max(width, height))
    image = QImage(QSize(round(width * scale), round(height * scale)), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    with QPainter(image) as painter:
        painter.scale(scale, scale)
        _paint(screen, painter, head, (width, height))
    png, svg = stem.with_name(stem.name + ".png"), stem.with_name(stem.name + ".svg")
    if not image.save(str(png)):
        raise StorageTrouble(say("{file} could not be written.", file=png.name))
    generator = QSvgGenerator()
    generator.setFileName(str(svg))
    generator.setSize(QSize(width, height))
    generator.setViewBox(QRect(0, 0, width, height))
    generator.setTitle(head)
    with QPainter(generator) as painter:
        _paint(screen, painter, head, (width, height))
    return [png, svg]


def _paint(screen: PedigreeScreen, painter: QPainter, head: str, size: tuple[int, int]) -> None:
    made = screen.made
    assert made is not None
    settings = replace(screen.desk.settings, theme=ThemeName.LIGHT)
    theme = Theme(replace(settings, text_scale_percent=round(screen.desk.theme.scale * 100)))
    painter.fillRect(0, 0, *size, theme.colour("surface"))
    painter.setFont(theme.font(TITLE, bold=True))
    painter.setPen(theme.colour("ink"))
    painter.drawText(EDGE, EDGE + theme.px(TITLE), head)
    painter.setFont(theme.font(SMALL))
    painter.setPen(theme.colour("second"))
    painter.drawText(EDGE, EDGE + theme.px(TITLE) + theme.px(20), _explained(screen))
    shown = replace(screen.view.shown, focus=0, found=frozenset(), places=False)
    sight = Sight(1.0, EDGE, EDGE + HEAD, size[0], size[1])
    PedigreePainter(theme, screen.desk.style).paint(painter, made.scene, shown, sight)


def _explained(screen: PedigreeScreen) -> str:
    """What the lines, the bars and the figures mean, since a picture travels without its screen."""
    parts = [translated("Lines: solid known, dashed possible, dotted not known.")]
    gene = gene_name(screen.made) if screen.made is not None else ""
    if gene:
        text = translated("{gene} on paper, from the parents.") if screen.view.shown.on_paper else translated(
            "{gene} with all evidence the keeper has; the tick is on paper, from the parents."
        )  # fmt: skip
        parts.append(text.format(gene=gene))
    else:
        parts.append(translated("Inbreeding is the least it can be: an unknown ancestor counts as unrelated."))
    return " ".join(parts)


def _file_name(text: str) -> str:
    return re.sub(r"[^\w .-]+", "_", text).strip() or "pedigree"
