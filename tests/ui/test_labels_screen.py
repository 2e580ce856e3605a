"""Labels in the real window: a queue becomes a PDF whose codes read back as the queue, where the sheet says."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from coilbook.labels.code import parse
from coilbook.labels.lay_out import canvas_for, lay_out
from coilbook.labels.stock import LabelKind, Printer, shipped_stock
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.places import add_rack
from coilbook.operations.settings import remember
from coilbook.reads.codes import code_of
from coilbook.reads.label_rows import PRINTER_PREFIX, cage_card_rows, split_doubt, stored_printer
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import CodeKind, Sex
from coilbook.ui.desk import Desk
from coilbook.ui.labels import making
from coilbook.ui.labels.fields import Entries, FieldsRow
from coilbook.ui.labels.paint_label import paint_label
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.labels import LabelsScreen
from tests.operations.conftest import Room

MakeWindow = Callable[..., MainWindow]
DPI = 300


class Labels:
    """The screen, and what came out of it."""

    def __init__(self, room: Room, window: MainWindow) -> None:
        self.room, self.window = room, window
        screen = window.made("labels")
        assert isinstance(screen, LabelsScreen)
        self.screen = screen

    def papers(self) -> list[Path]:
        return sorted((self.room.book.folder / "papers").glob("*.pdf"))

    def pdf(self) -> Path:
        (path,) = self.papers()
        return path

    def open(self, *animals: AnimalId) -> None:
        self.window.open_screen("labels", animals=animals)


@pytest.fixture
def labels(room: Room, make_window: MakeWindow, monkeypatch: pytest.MonkeyPatch) -> Labels:
    # the machine's own printers must not decide what a test sees
    monkeypatch.setattr(making, "printer_names", list)
    return Labels(room, make_window(LabelsScreen))


def pages_of(path: Path) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(path)
    try:
        return [np.ascontiguousarray(page.render(scale=DPI / 72).to_numpy()[:, :, :3]) for page in document]
    finally:
        document.close()


def codes_in(image: np.ndarray) -> list[tuple[str, float, float]]:
    """(text, left, top) in mm of every symbol on a page, from the top."""
    found = []
    for read in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode):
        corner = read.position.top_left
        found.append((read.text, corner.x / DPI * 25.4, corner.y / DPI * 25.4))
    return sorted(found, key=lambda one: (round(one[2]), one[1]))


def more_animals(room: Room, count: int) -> list[AnimalId]:
    made = []
    for number in range(count):
        details = AnimalDetails(keeper_id=f"J-{number + 1:02d}", genetics="Clown", prey_kind="weaned rat")
        made.append(add_animal(room.book, details=details).value)
    return made


def test_queue_to_pdf_reads_back_as_the_queue(labels: Labels) -> None:
    animals = [labels.room.female, labels.room.male, *more_animals(labels.room, 12)]
    labels.open(*animals)
    QTest.keyClick(labels.window, "s", modifier=_control())
    pages = pages_of(labels.pdf())
    assert len(pages) == 2
    read = [text for page in pages for text, _, _ in codes_in(page)]
    wanted = [code_of(labels.room.book, CodeKind.ANIMAL, a) for a in animals]
    assert sorted(read) == sorted(code.text for code in wanted if code is not None for _ in range(2))


def _control() -> object:
    from PySide6.QtCore import Qt

    return Qt.KeyboardModifier.ControlModifier


def test_first_free_position_and_order(labels: Labels) -> None:
    labels.open(labels.room.male, labels.room.female)
    stock = labels.screen.queue.stock  # type: ignore[union-attr]
    scale = labels.screen.work.sheet.scale()
    x, y = stock.corner_of(3)
    labels.screen.work._press(labels.screen.work.sheet.position_at(QPointF((x + 5) * scale, (y + 5) * scale)) or 0)
    labels.screen.make_pdf()
    first = codes_in(pages_of(labels.pdf())[0])[0]
    female = code_of(labels.room.book, CodeKind.ANIMAL, labels.room.female)
    assert female is not None and first[0] == female.text, "the walk comes first, not the order of the selection"
    assert first[1] == pytest.approx(x + 4, abs=1.5)
    assert first[2] == pytest.approx(y + 4, abs=1.5)


def test_offset_of_the_test_sheet_is_kept_and_moves_the_print(labels: Labels) -> None:
    labels.open(labels.room.female)
    labels.screen.make_pdf()
    before = codes_in(pages_of(labels.pdf())[0])[0]
    labels.pdf().unlink()
    labels.screen.test_sheet()
    form = labels.screen.forms.form
    assert form is not None
    for name, text in (("right", "2.5"), ("down", "\u22121,5"), ("name", "Room printer")):
        editor = form.rows[name].editor
        assert isinstance(editor, QLineEdit)
        editor.setText(text)
    form.saved.emit()
    for path in labels.papers():
        path.unlink()
    labels.screen.make_pdf()
    after = codes_in(pages_of(labels.pdf())[0])[0]
    assert after[1] - before[1] == pytest.approx(2.5, abs=0.1)
    assert after[2] - before[2] == pytest.approx(-1.5, abs=0.1)
    again = LabelsScreen(labels.window.desk)
    again.open(animals=(labels.room.female,))
    assert again.queue is not None and again.queue.printer.offset_right == 2.5
    again.deleteLater()


def test_a_wrong_offset_is_told_at_its_field(labels: Labels) -> None:
    labels.open(labels.room.female)
    labels.screen.test_sheet()
    form = labels.screen.forms.form
    assert form is not None
    editor = form.rows["right"].editor
    assert isinstance(editor, QLineEdit)
    editor.setText("far")
    form.saved.emit()
    assert labels.screen.forms.form is form and editor.text() == "far"
    editor.setText("80")
    form.saved.emit()
    assert labels.screen.forms.form is form


def test_preview_is_drawn_from_the_boxes_of_the_pdf(labels: Labels) -> None:
    """The same layout object feeds both; and what Qt paints of it reads back as the same code in the same place."""
    labels.open(labels.room.female)
    queue = labels.screen.queue
    assert queue is not None
    layout = queue.page(0)[0]
    run = queue.run()
    assert layout == lay_out(run.contents[0], canvas_for(run.stock, run.printer, run.prefix))
    scale = DPI / 25.4
    image = QImage(round(85 * scale), round(54 * scale), QImage.Format.Format_Grayscale8)
    image.fill(255)
    with QPainter(image) as painter:
        painter.scale(scale, scale)
        paint_label(painter, layout)
    grey = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())[:, : image.width()]
    painted = codes_in(np.ascontiguousarray(grey))
    labels.screen.make_pdf()
    printed = codes_in(pages_of(labels.pdf())[0])
    assert [text for text, _, _ in painted] == [text for text, _, _ in printed]
    for (_, x, y), (_, left, top) in zip(painted, printed):
        assert (x + 15, y + 13.5) == (pytest.approx(left, abs=0.2), pytest.approx(top, abs=0.2))


def test_print_paints_the_same_sheet(labels: Labels, tmp_path: Path) -> None:
    labels.open(labels.room.female, *more_animals(labels.room, 11))
    queue = labels.screen.queue
    assert queue is not None
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    making.paint_pages(printer, queue)
    labels.screen.make_pdf()
    for painted, written in zip(pages_of(tmp_path / "printed.pdf"), pages_of(labels.pdf()), strict=True):
        theirs, ours = codes_in(painted), codes_in(written)
        assert [t for t, _, _ in theirs] == [t for t, _, _ in ours]
        assert max(abs(a[1] - b[1]) for a, b in zip(theirs, ours)) < 0.2


def test_without_a_printer_the_pdf_is_ready(labels: Labels) -> None:
    labels.open(labels.room.female)
    labels.screen.print_labels()
    assert labels.pdf().is_file()
    notice = labels.window.desk.notices.current
    assert notice is not None and "No printer" in labels.window.desk.render(notice.message)


def test_printed_today_is_told_and_noted(labels: Labels) -> None:
    labels.open(labels.room.female)
    labels.screen.make_pdf()
    assert labels.room.book.read("SELECT animal_id FROM label_print") == [(labels.room.female,)]
    row = labels.screen.current_row()
    assert row is not None and row.printed_at is not None
    model = labels.screen.work.model
    assert model._after(row, 2) == "printed today"
    assert "Last printed" in labels.screen.margin_content().rests_on


def test_rows_leave_and_change_places(labels: Labels) -> None:
    young = more_animals(labels.room, 3)
    labels.open(labels.room.female, *young)
    screen = labels.screen
    screen.work.table.setCurrentIndex(screen.work.model.index(1, 1))
    screen.move_row(1)
    assert [row.name for row in screen.queue.rows] == ["F-014", "J-02", "J-01", "J-03"]  # type: ignore[union-attr]
    screen.toggle()
    assert [row.name for row in screen.queue.printed] == ["F-014", "J-02", "J-03"]  # type: ignore[union-attr]
    screen.take_out()
    assert [row.name for row in screen.queue.rows] == ["F-014", "J-02", "J-03"]  # type: ignore[union-attr]
    screen.reload()
    assert [row.name for row in screen.queue.rows] == ["F-014", "J-02", "J-03"]  # type: ignore[union-attr]


def test_slots_of_a_rack_and_back_to_their_dwellers(labels: Labels) -> None:
    labels.window.open_screen("labels", slots=tuple(labels.room.slots.values()))
    labels.screen.make_pdf()
    read = {parse(text).kind for text, _, _ in codes_in(pages_of(labels.pdf())[0])}
    assert read == {CodeKind.SLOT}
    assert len(labels.screen.queue.rows) == 6  # type: ignore[union-attr]
    labels.screen.choose_kind(LabelKind.CAGE_CARD)
    assert {row.name for row in labels.screen.queue.rows} == {"F-014", "M-03"}  # type: ignore[union-attr]


def test_whole_rack_as_source(labels: Labels) -> None:
    other = add_rack(labels.room.book, name="R7", rows=("A",), columns=2).value
    labels.screen.choose_kind(LabelKind.SLOT)
    labels.screen.choose_source(int(other))
    assert [row.name for row in labels.screen.queue.rows] == ["R7-A1", "R7-A2"]  # type: ignore[union-attr]


def test_a_card_never_carries_a_price(labels: Labels) -> None:
    edit_animal(labels.room.book, animal=labels.room.female, details=AnimalDetails(genetics="Pastel 250 EUR"))
    labels.open(labels.room.female, labels.room.male)
    assert [row.name for row in labels.screen.queue.printed] == ["M-03"]  # type: ignore[union-attr]
    labels.screen.work.table.setCurrentIndex(labels.screen.work.model.index(0, 1))
    margin = labels.screen.margin_content()
    assert margin.needs_you and "no price" in margin.verdict


def test_card_says_what_is_sure_and_what_is_possible(labels: Labels) -> None:
    details = AnimalDetails(genetics="Pastel het albino 66% het clown", sex=Sex.MALE, sex_percent=80, name="Umber")
    edit_animal(labels.room.book, animal=labels.room.male, details=details)
    (row,) = cage_card_rows(labels.room.book, [labels.room.male])
    assert row.content is not None
    assert (row.content.genetics, row.content.doubt) == ("Pastel het albino", "66% het clown")  # type: ignore[union-attr]
    assert row.content.name == "Umber"  # type: ignore[union-attr]
    assert row.content.sex_unsure and row.content.prey == "small rat, f/t"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Clown", ("Clown", "")),
        ("100% het clown", ("100% het clown", "")),
        ("Enchi poss het desert ghost", ("Enchi", "poss het desert ghost")),
        ("66% het clown 50% het piebald", ("", "66% het clown, 50% het piebald")),
        ("Clown ph albino", ("Clown", "ph albino")),
    ],
)
def test_doubt_is_told_apart(text: str, parts: tuple[str, str]) -> None:
    assert split_doubt(text) == parts


def test_remembered_printer_round_trip(labels: Labels) -> None:
    printer = Printer("Roll printer", 203, 0.4, -0.2, 2.0)
    remember(labels.room.book, name=f"{PRINTER_PREFIX}{printer.name}", value=stored_printer(printer))
    labels.open(labels.room.female)
    labels.screen.choose_printer("Roll printer")
    assert labels.screen.queue is not None and labels.screen.queue.printer == printer
    labels.screen.choose_stock("roll-85x54")
    assert labels.screen.queue.printer.dpi == 203
    assert labels.screen.queue.stock == shipped_stock("roll-85x54")


def test_a_cancelled_run_leaves_no_file_and_no_note(labels: Labels) -> None:
    labels.open(*more_animals(labels.room, 40))
    background = labels.window.desk.background
    start = background._start

    def stopped(job: object) -> None:
        job.cancel()  # type: ignore[attr-defined]
        start(job)  # type: ignore[arg-type]

    background._start = stopped  # type: ignore[method-assign]
    labels.screen.make_pdf()
    assert labels.papers() == []
    assert labels.room.book.read("SELECT id FROM label_print") == []


def test_empty_queue_offers_everybody(labels: Labels) -> None:
    labels.window.open_screen("labels")
    assert labels.screen.empty.isVisible()
    labels.screen._fill_all(LabelKind.CAGE_CARD)
    assert [row.name for row in labels.screen.queue.rows] == ["F-014", "M-03"]  # type: ignore[union-attr]


def test_thousands_of_racks_to_choose_from_cost_the_first_opening_nothing(desk: Desk) -> None:
    """Qt would ask each of them for its icon and its words before the field is laid out."""
    asked: list[int] = []

    class Counted(Entries):
        def data(self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
            asked.append(role)
            return super().data(index, role)

    fields = FieldsRow(desk.theme)
    fields._sources = Counted()
    fields.source.setModel(fields._sources)
    fields.show_sources([(f"R{n}", n) for n in range(5_000)], 4_000)
    fields.show()
    fields.setFont(desk.theme.font(20))
    assert fields.source.currentText() == "R4000" and len(asked) < 100
    chosen: list[object] = []
    fields.source_chosen.connect(chosen.append)
    fields.source.activated.emit(17)
    assert chosen == [17]
    fields.close()
    fields.deleteLater()
