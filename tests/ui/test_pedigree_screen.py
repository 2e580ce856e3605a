"""The tree through the real window: opened, walked along its lines, travelled and come back, printed and shared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from coilbook.drawing.family import Certainty
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal, set_parents
from coilbook.operations.photos import add_photo
from coilbook.operations.undo import undo_last
from coilbook.records.ids import AnimalId
from coilbook.records.settings import Theme
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.ui.main_window import MainWindow
from coilbook.ui.pedigree import making
from coilbook.ui.pedigree.making import Kind
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.pedigree import PedigreeScreen

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

MakeWindow = Callable[..., MainWindow]
PARENTS: tuple[tuple[str, str, dict[str, int]], ...] = (
    ("X-01", "", {}), ("X-02", "", {}), ("X-03", "", {}), ("X-04", "", {}), ("X-05", "", {}),
    ("M-04", "X-02", {"X-01": 100}), ("F-003", "X-05", {"X-03": 66, "X-04": 34}), ("F-005", "", {}),
    ("M-08", "F-003", {"M-04": 100}), ("F-010", "F-005", {"M-04": 100}), ("F-023", "F-010", {"M-08": 100}),
)  # fmt: skip


@pytest.fixture
def family(book: Collection) -> dict[str, AnimalId]:
    """Half-sibs by M-04 mated; a list of two sires above the one, nobody above F-005."""
    at: dict[str, AnimalId] = {}
    for name, dam, sires in PARENTS:
        details = AnimalDetails(keeper_id=name, sex=Sex.MALE if name[0] == "M" else Sex.FEMALE, dam_id=at.get(dam))
        at[name] = add_animal(book, details=details, sires={at[s]: p for s, p in sires.items()}).value
    return at


@pytest.fixture
def window(family: dict[str, AnimalId], make_window: MakeWindow) -> MainWindow:
    return make_window(PedigreeScreen, AnimalScreen)


def tree(window: MainWindow, animal: int | None = None, **target: object) -> PedigreeScreen:
    window.open_screen("pedigree", **({"animal": animal} if animal else {}), **target)
    screen = window.screen_open
    assert isinstance(screen, PedigreeScreen)
    return screen


def in_focus(screen: PedigreeScreen) -> str:
    return screen.view.shown.names.get(screen.view.shown.focus, "")


def drawn(screen: PedigreeScreen) -> set[str]:
    assert screen.made is not None
    return {screen.view.shown.names[key] for key in screen.made.scene.animals}


def test_it_opens_on_the_whole_family(window: MainWindow) -> None:
    screen = tree(window)
    assert screen.tools.head.title.text() == "The whole family"
    assert drawn(screen) == {name for name, _, _ in PARENTS}
    assert window.margin.content.verdict == "11 animals in 1 family"


def test_the_tree_of_an_animal_says_its_inbreeding_and_how_much_is_known(
    window: MainWindow, family: dict[str, AnimalId]
) -> None:
    screen = tree(window, family["F-023"])
    assert screen.tools.head.title.text() == "Pedigree of F-023"
    content = window.margin.content
    assert content.verdict == "Inbreeding of F-023: at least 12.5%"
    assert [(fact.name, fact.value) for fact in content.facts] == [("F-010 – M-04 – M-08", "12.5%")]
    known = content.sections[0]
    assert [f.value for f in known.rows] == ["2 of 2", "4 of 4", "5 of 8, 1 possible"]  # type: ignore[union-attr]
    assert known.text.startswith("11 of 14 known, 1 possible, 2 not known.")
    assert [words for _, words in screen.view.headings] == [
        "The animal",
        "Parents, 2 of 2",
        "Grandparents, 4 of 4",
        "Great-grandparents, 5 of 8, 1 possible",
    ]
    assert "F-005" in content.sections[-1].text


def test_arrows_walk_along_the_lines(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["F-023"])
    steps = [
        (Qt.Key.Key_Right, {"M-08", "F-010"}), (Qt.Key.Key_Up, {"M-08"}), (Qt.Key.Key_Right, {"F-003", "M-04"}),
        (Qt.Key.Key_Down, {"M-04", "F-005"}), (Qt.Key.Key_Left, {"M-08", "F-010"}), (Qt.Key.Key_Left, {"F-023"}),
        (Qt.Key.Key_Left, {"F-023"}),
    ]  # fmt: skip
    for key, allowed in steps:
        qtbot.keyClick(screen.view, key)
        assert in_focus(screen) in allowed, key


def test_the_loop_in_focus_is_explained(window: MainWindow, family: dict[str, AnimalId]) -> None:
    screen = tree(window, family["F-023"])
    screen.view.focus_on(family["M-04"])
    content = window.margin.content
    assert content.heading == "Why, for the loop in focus" and content.whose == "M-04"
    assert content.why == "1 line from the dam to the sire of F-023 through M-04: 12.5% in all."
    assert screen.view.accessibleDescription() == "M-04 ♂ M, look not entered, end of loop 1"


def test_a_place_of_nobody_can_be_walked_to_and_filled(
    window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot
) -> None:
    screen = tree(window, family["F-023"])
    screen.view.focus_on(family["F-005"])
    qtbot.keyClick(screen.view, Qt.Key.Key_Right)
    assert screen.view.shown.focus < 0
    content = window.margin.content
    assert content.verdict in ("sire of F-005 not known", "dam of F-005 not known")
    content.links[0].run()
    assert isinstance(window.screen_open, AnimalScreen)
    assert window.screen_open.page is not None and window.screen_open.page.who.keeper_id == "F-005"


def test_enter_travels_and_backspace_comes_back(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["F-023"])
    screen.view.focus_on(family["M-04"])
    qtbot.keyClick(screen.view, Qt.Key.Key_Return)
    assert screen.tools.head.title.text() == "Pedigree of M-04" and in_focus(screen) == "M-04"
    assert screen.tools.back.isVisible() and screen.tools.back.text() == "back to F-023"
    qtbot.keyClick(window, Qt.Key.Key_Backspace)
    assert screen.tools.head.title.text() == "Pedigree of F-023" and in_focus(screen) == "M-04"
    qtbot.keyClick(screen.view, Qt.Key.Key_Return)
    window.go_back()
    assert screen.tools.head.title.text() == "Pedigree of F-023"


def test_a_press_focuses_and_a_second_travels(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["F-023"])
    rect = screen.view.scene.rect(family["M-08"]) if screen.view.scene is not None else None
    assert rect is not None
    place = screen.view.sight.at(rect).center().toPoint()
    qtbot.mouseClick(screen.view, Qt.MouseButton.LeftButton, pos=place)
    assert in_focus(screen) == "M-08"
    qtbot.mouseClick(screen.view, Qt.MouseButton.LeftButton, pos=place)
    assert screen.tools.head.title.text() == "Pedigree of M-08"


def test_a_drag_moves_the_picture_and_travels_nowhere(
    window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot
) -> None:
    screen = tree(window, family["F-023"])
    before = screen.view.sight
    qtbot.mousePress(screen.view, Qt.MouseButton.LeftButton, pos=QPoint(300, 300))
    qtbot.mouseMove(screen.view, QPoint(360, 340))
    qtbot.mouseRelease(screen.view, Qt.MouseButton.LeftButton, pos=QPoint(360, 340))
    assert (screen.view.sight.left - before.left, screen.view.sight.top - before.top) == (60, 40)
    assert in_focus(screen) == "F-023"


def test_kinds_and_generations_by_their_keys(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["M-04"])
    qtbot.keyClick(screen.view, Qt.Key.Key_D)
    assert drawn(screen) == {"M-04", "M-08", "F-010", "F-023"}
    qtbot.keyClick(screen.view, Qt.Key.Key_B)
    assert drawn(screen) == {"M-04", "M-08", "F-010", "F-023", "X-01", "X-02"}
    qtbot.keyClick(screen.view, Qt.Key.Key_BracketLeft)
    qtbot.keyClick(screen.view, Qt.Key.Key_BracketLeft)
    assert drawn(screen) == {"M-04", "M-08", "F-010", "X-01", "X-02"}
    qtbot.keyClick(screen.view, Qt.Key.Key_M)
    assert len(drawn(screen)) == 11 and not screen.tools.print.isVisible()
    qtbot.keyClick(screen.view, Qt.Key.Key_A)
    assert screen.made is not None and screen.made.wanted.kind is Kind.ANCESTORS


def test_zoom_and_fit_by_keys(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["F-023"])
    qtbot.keyClick(screen.view, Qt.Key.Key_1)
    assert screen.view.sight.scale == 1.0
    qtbot.keyClick(screen.view, Qt.Key.Key_Minus)
    assert screen.view.sight.scale == pytest.approx(0.8)
    for _ in range(30):
        qtbot.keyClick(screen.view, Qt.Key.Key_Minus)
    smallest = screen.view.sight
    scene = screen.view.scene
    assert scene is not None and smallest.scale > 0.1
    qtbot.keyClick(screen.view, Qt.Key.Key_0)
    fitted = screen.view.sight
    assert fitted.left >= 0 and fitted.left + scene.width * fitted.scale <= screen.view.width()
    assert fitted.top >= 0 and fitted.top + scene.height * fitted.scale <= screen.view.height()


def test_finding_frames_and_enter_goes_on(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    screen = tree(window, family["F-023"])
    window.search.begin()
    qtbot.keyClicks(window.line.field, "m-0")
    qtbot.waitUntil(lambda: len(screen.view.shown.found) == 2, timeout=2000)
    assert "2 found" in screen.tools.head._rest.text()
    screen.line_entered("m-0")
    first = in_focus(screen)
    screen.line_entered("m-0")
    assert {first, in_focus(screen)} == {"M-04", "M-08"}


def test_an_animal_that_is_not_drawn_has_its_own_tree_opened(window: MainWindow, family: dict[str, AnimalId]) -> None:
    screen = tree(window, family["X-01"])
    screen.line_entered("F-023")
    assert screen.tools.head.title.text() == "Pedigree of F-023"


def test_a_change_is_followed_and_undo_too(window: MainWindow, family: dict[str, AnimalId], book: Collection) -> None:
    screen = tree(window, family["F-023"])
    screen.view.focus_on(family["M-04"])
    window.desk.run(set_parents, animal=family["F-005"], dam=family["X-02"], sires={})
    assert "X-02" in drawn(screen) and in_focus(screen) == "M-04"
    assert screen.made is not None and screen.made.of_animal is not None
    assert screen.made.of_animal.coefficient > 0.125
    window.desk.run(undo_last)
    assert screen.made.of_animal.coefficient == 0.125


def test_a_collection_without_parents_says_how_a_tree_begins(make_window: MakeWindow, book: Collection) -> None:
    add_animal(book, details=AnimalDetails(keeper_id="F-1"))
    screen = tree(make_window(PedigreeScreen))
    assert screen.stack.currentWidget() is screen.empty
    assert not screen.tools.print.isVisible() and not screen.tools.kinds.isVisible()


def test_ctrl_t_on_the_page_opens_the_tree(window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot) -> None:
    window.open_screen("animal", animal=family["F-023"])
    qtbot.keyClick(window, Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    screen = window.screen_open
    assert isinstance(screen, PedigreeScreen) and screen.tools.head.title.text() == "Pedigree of F-023"


@pytest.fixture
def clown(book: Collection, family: dict[str, AnimalId]) -> None:
    """One animal at the top shows clown; it is with 66% the sire of F-003, whose mates have nothing said of them."""
    edit_animal(book, animal=family["X-03"], details=AnimalDetails(genetics="Clown"))


def test_where_nothing_is_said_of_any_gene_none_is_offered(window: MainWindow, family: dict[str, AnimalId]) -> None:
    screen = tree(window, family["F-023"])
    assert not screen.tools.gene.isVisible() and not screen.tools.paper.isVisible()


@pytest.mark.usefixtures("clown")
def test_a_gene_is_chosen_and_shown_with_evidence_or_on_paper(
    window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot
) -> None:
    """Two generations below F-003 it is 66% / 4 = 16.5%, on paper rounded down to what the trade writes."""
    screen = tree(window, family["F-023"])
    assert screen.tools.gene.isVisible()
    qtbot.keyClick(screen.view, Qt.Key.Key_G)
    qtbot.keyClick(screen.tools.genes, Qt.Key.Key_Right)
    words = screen.view.shown.genes
    assert [words[family[name]].text for name in ("X-03", "F-003", "F-023")] == [
        "visual", "66% poss het", "16.5% poss het",
    ]  # fmt: skip
    qtbot.keyClick(screen.tools.genes, Qt.Key.Key_Escape)
    assert screen.tools.genes is None
    gene = next(section for section in window.margin.content.sections if section.heading == "Clown")
    assert [row.value for row in gene.rows] == ["16.5% poss het", "16% poss het"]  # type: ignore[union-attr]
    qtbot.keyClick(screen.view, Qt.Key.Key_E)
    assert screen.view.shown.on_paper and screen.tools.paper.text() == "on paper"


@pytest.mark.usefixtures("clown")
@pytest.mark.parametrize(("width", "beside"), [(1280, False), (1920, True)])
def test_the_kinds_stand_on_one_line_with_a_gene_chosen(
    window: MainWindow, family: dict[str, AnimalId], width: int, beside: bool
) -> None:
    window.resize(width, 800)
    screen = tree(window, family["F-023"])
    screen.show_gene("clown")
    QApplication.processEvents()
    tools = screen.tools
    assert tools.paper.isVisible() and len({box.top() for box in tools.kinds._boxes(tools.kinds.width())}) == 1
    under = tools.gene.mapTo(tools, QPoint()).y() >= tools.kinds.mapTo(tools, tools.kinds.rect().bottomLeft()).y()
    assert under is not beside
    assert tools.paper.mapTo(tools, tools.paper.rect().topRight()).x() <= tools.width()


def test_the_sheet_and_the_pictures_are_written(
    window: MainWindow, family: dict[str, AnimalId], qtbot: QtBot, book: Collection
) -> None:
    tree(window, family["F-023"])
    qtbot.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    papers = {file.suffix: file for file in (book.folder / "papers").iterdir()}
    assert set(papers) == {".pdf", ".png", ".svg"}
    assert papers[".pdf"].read_bytes().startswith(b"%PDF")
    assert not QImage(str(papers[".png"])).isNull()
    _reads_as_svg(papers[".svg"])


def _reads_as_svg(file: Path) -> None:
    root = ElementTree.fromstring(file.read_text(encoding="utf-8"))
    said = " ".join(root.itertext())
    assert all(name in said for name in ("F-023", "M-04", "X-03", "possible 66%", "sire of F-005 not known"))
    assert "dashed possible" in said and "the least it can be" in said


def test_photos_stand_on_their_cards_and_a_lost_one_leaves_the_card(
    window: MainWindow, family: dict[str, AnimalId], book: Collection, tmp_path: Path
) -> None:
    file = tmp_path / "coil.png"
    picture = QImage(40, 30, QImage.Format.Format_RGB32)
    picture.fill(0x806020)
    picture.save(str(file))
    add_photo(book, animal=family["M-04"], picture=file)
    screen = tree(window, family["F-023"])
    assert screen.made is not None
    shown = screen.photos.of(screen.made.facts[family["M-04"]])
    assert shown is not None and shown.width() == shown.height()
    assert screen.photos.of(screen.made.facts[family["M-08"]]) is None
    other = tmp_path / "lost.png"
    picture.fill(0x203040)
    picture.save(str(other))
    add_photo(book, animal=family["M-08"], picture=other)
    for lost in (book.folder / "photos").rglob("*.png"):
        lost.unlink()
    screen = tree(window, family["F-010"])
    screen = tree(window, family["M-08"])
    assert screen.made is not None and screen.photos.of(screen.made.facts[family["M-08"]]) is None
    assert "M-08" in drawn(screen)


def test_certainty_is_a_style_of_line_that_can_be_seen(window: MainWindow, family: dict[str, AnimalId]) -> None:
    """Along a known line all is ink, along a possible or unknown one some is and some is not."""
    screen = tree(window, family["F-023"])
    view = screen.view
    view.reading()
    image = view.grab().toImage()
    scene, sight = view.scene, view.sight
    assert scene is not None
    seen: dict[Certainty, list[float]] = {}
    ground = view.window().desk.theme.colour("ground").lightness()  # type: ignore[attr-defined]
    for sure, lines in scene.lines.items():
        for line in lines.drawn:
            if line.length() < 30 or line.dx() != 0:
                continue
            x = round(line.x1() * sight.scale + sight.left)
            ys = [round(y + sight.top) for y in range(int(line.y1()) + 2, int(line.y2()) - 2)]
            dark = [
                min(image.pixelColor(x + by, y).lightness() for by in (-1, 0, 1)) < ground - 40
                for y in ys
                if y < image.height()
            ]
            if len(dark) > 20:
                seen.setdefault(sure, []).append(sum(dark) / len(dark))
    assert min(seen[Certainty.KNOWN]) > 0.97
    assert all(0.4 < share < 0.85 for share in seen[Certainty.POSSIBLE])
    assert all(0.15 < share < 0.7 for share in seen[Certainty.UNKNOWN])


def test_every_distance_paints_every_theme(window: MainWindow, family: dict[str, AnimalId]) -> None:
    screen = tree(window, family["F-023"])
    for theme in Theme:
        window.desk.change_settings(replace(window.desk.settings, theme=theme))
        for scale in (1.0, 0.5, 0.2, 0.05):
            screen.view.zoom(scale / screen.view.sight.scale)
            image = screen.view.grab().toImage()
            colours = {
                image.pixelColor(x, y).rgb() for x in range(0, image.width(), 3) for y in range(0, image.height(), 7)
            }
            assert len(colours) > 2


def test_a_family_too_large_for_one_map_is_told_of(
    window: MainWindow, family: dict[str, AnimalId], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(making, "MOST_DRAWN", 5)
    screen = tree(window)
    assert drawn(screen) == set()
    assert "a family of 11 is too large for the map" in screen.tools.head._rest.text()
    why = window.margin.content.why
    assert "One map holds 5 animals" in why and "a family of 11. Open the tree of one of their animals" in why
    screen.line_entered("F-023")
    assert screen.tools.head.title.text() == "Pedigree of F-023"
