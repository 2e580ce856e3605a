"""Making the PDF in the background, and printing: nothing holds the window, nothing made is lost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter

from coilbook.labels.code import check_prefix
from coilbook.labels.stock import StockForm, page_size, place_labels
from coilbook.operations.printed import note_printed
from coilbook.printing.offset_sheet import offset_test_pdf
from coilbook.printing.sheets import PrintedRun, label_pdf, write_pdf
from coilbook.records.message import CoilbookError, Message, Refusal, StorageTrouble, say
from coilbook.ui.background import Cancelled, Control, Job
from coilbook.ui.desk import Desk
from coilbook.ui.labels.paint_label import paint_label
from coilbook.ui.labels.run import Queue, pdf_path
from coilbook.ui.written_file import tell_written

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter
    from PySide6.QtWidgets import QWidget


def make_pdf(desk: Desk, queue: Queue, *, told: Message | None = None) -> Job:
    """Lay the run out and write it into the collection's papers; then note it and say where it lies."""
    path, run = pdf_path(desk, queue), queue.run()

    def work(control: Control) -> PrintedRun:
        made = label_pdf(run, progress=control.progress, cancelled=control.cancelled)
        if made is None:
            raise Cancelled
        path.parent.mkdir(parents=True, exist_ok=True)
        write_pdf(made.pdf, path)
        return made

    def done(made: PrintedRun) -> None:
        note(desk, queue, lambda: tell_pdf(desk, path, told, made.problems))

    return desk.background.read(work, done, desk.notices.refuse, say("Making labels"))


def note(desk: Desk, queue: Queue, then: object) -> None:
    """Write down that these labels went to paper."""

    def noted(_outcome: object) -> None:
        if callable(then):
            then()

    desk.run(note_printed, noted, labels=queue.noted(), stock=queue.stock.name)


def tell_pdf(desk: Desk, path: Path, told: Message | None, problems: tuple[Message, ...] = ()) -> None:
    """Say where the PDF lies, with Open; first what did not fit on it."""
    words = say("{file} is in the folder papers of the collection.", file=path.name)
    sentence = words if told is None else say("{told} {file}", told=told, file=words)
    if problems:
        more = say("{what} ({n} remark)", "{what} ({n} remarks)", what=problems[0], n=len(problems))
        sentence = say("{file} {remark}", file=sentence, remark=problems[0] if len(problems) == 1 else more)
    tell_written(desk, sentence, path)


def make_test_sheet(desk: Desk, queue: Queue) -> Path:
    """Write the test sheet of the stock and printer; it takes a moment and is said with Open."""
    made = offset_test_pdf(queue.stock, queue.printer)
    folder: Path = desk.collection.folder / "papers"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"test sheet {queue.stock.key}.pdf"
    write_pdf(made.pdf, path)
    tell_pdf(desk, path, None)
    return path


def printer_names() -> list[str]:
    """The printers the system knows."""
    from PySide6.QtPrintSupport import QPrinterInfo

    return [str(name) for name in QPrinterInfo.availablePrinterNames()]


def print_queue(desk: Desk, queue: Queue, parent: QWidget) -> None:
    """Ask for the printer and print; without one the PDF is made instead and nothing is lost."""
    if not printer_names():
        told = say("No printer is set up here, so the PDF is ready for one.")
        make_pdf(desk, queue, told=told)
        return
    from PySide6.QtPrintSupport import QPrintDialog, QPrinter

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    if queue.printer.name in printer_names():
        printer.setPrinterName(queue.printer.name)
    dialog = QPrintDialog(printer, parent)
    if dialog.exec() != QPrintDialog.DialogCode.Accepted:
        return
    try:
        paint_pages(printer, queue)
    except CoilbookError as error:
        desk.notices.refuse(error)
        return
    note(desk, queue, None)


def paint_pages(printer: QPrinter, queue: Queue) -> None:
    """Paint the run on a printer in millimetres, the measured offset included; nothing is scaled to fit."""
    width, height = page_size(queue.stock, queue.printer)
    size = QPageSize(
        QSizeF(width, height), QPageSize.Unit.Millimeter, queue.stock.name, QPageSize.SizeMatchPolicy.FuzzyMatch
    )
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF())
    layout.setMode(QPageLayout.Mode.FullPageMode)
    printer.setPageLayout(layout)
    printer.setFullPage(True)
    painter = QPainter()
    if not painter.begin(printer):
        raise StorageTrouble(say("The printer did not answer; make the PDF instead, nothing is lost."), "printer")
    try:
        scale = printer.resolution() / 25.4
        painter.scale(scale, scale)
        _paint_all(painter, printer, queue)
    finally:
        painter.end()


def _paint_all(painter: QPainter, printer: QPrinter, queue: Queue) -> None:
    page = 0
    rows = queue.printed
    for place in place_labels(len(rows), queue.stock, queue.first):
        if place.page != page:
            printer.newPage()
            page = place.page
        layout = queue.layout_of(rows[place.index])
        if layout is None:
            continue
        painter.save()
        roll = queue.stock.form is StockForm.ROLL
        painter.translate(0 if roll else place.x, 0 if roll else place.y)
        painter.translate(queue.printer.offset_right, queue.printer.offset_down)
        paint_label(painter, layout)
        painter.restore()


def usable_prefix(desk: Desk) -> str:
    """The keeper's prefix; one that cannot be printed is refused with the reason and left away."""
    prefix = desk.settings.code_prefix
    try:
        check_prefix(prefix)
    except Refusal as refusal:
        desk.notices.refuse(refusal)
        return ""
    return prefix
