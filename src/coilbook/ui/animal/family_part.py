"""Parents and young as far as known: Enter travels, F2 says who the parents are."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from coilbook.reads.animal_rows import Family, Relative
from coilbook.ui.animal.rows_model import Cell, Cells, RowsModel
from coilbook.ui.animal.short_list import ShortList
from coilbook.ui.animal.words import relative_sex, relative_words
from coilbook.ui.parts.text import SectionHead
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style


class FamilyPart(QWidget):
    """Dam, sires with their percent, siblings by number, young newest first."""

    walked = Signal()
    travelled = Signal(object)
    #: the keeper wants to say who the parents are
    edited = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._targets: list[Relative | None] = []
        self.list = ShortList(theme, translated("Family"), (60, 132, 0))
        self.model = RowsModel(3)
        self.list.setModel(self.model)
        self.list.fit_columns()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.px(4))
        head = SectionHead(translated("Family"), translated("F2 names the parents, Ctrl T opens the tree"))
        head.setFixedHeight(theme.px(30))
        self.head = head
        column.addWidget(head)
        column.addWidget(self.list, 1)
        self.list.walked.connect(self.walked)
        self.list.opened.connect(self._open)

    def show_family(self, family: Family, style: Style) -> None:
        """Show an animal's family."""
        self._targets = []
        rows: list[Cells] = []
        for word, relative in self._parents(family):
            rows.append(_row(word, relative, style))
            self._targets.append(relative)
        if family.full_siblings or family.half_siblings:
            text = translated("{full} full, {half} half").format(full=family.full_siblings, half=family.half_siblings)
            rows.append((Cell(translated("sibs"), token="second"), Cell(text), Cell()))
            self._targets.append(None)
        if not family.young:
            rows.append(
                (Cell(translated("young"), token="second"), Cell(translated("none here"), token="second"), Cell())
            )
            self._targets.append(None)
        for number, young in enumerate(family.young):
            rows.append(_row(translated("young") if number == 0 else "", young, style))
            self._targets.append(young)
        self.model.show(len(rows), rows.__getitem__)

    @property
    def relative(self) -> Relative | None:
        """The relative in focus."""
        row = self.list.current_row()
        return self._targets[row] if 0 <= row < len(self._targets) else None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_F2:
            self.edited.emit()
        else:
            super().keyPressEvent(event)

    def _open(self, _index: object) -> None:
        if self.relative is not None:
            self.travelled.emit(self.relative)
        elif self.list.current_row() < 2:
            self.edited.emit()

    @staticmethod
    def _parents(family: Family) -> list[tuple[str, Relative | None]]:
        sires: tuple[Relative | None, ...] = family.sires or (None,)
        return [
            (translated("dam"), family.dam),
            *[(translated("sire") if n == 0 else translated("or"), s) for n, s in enumerate(sires)],
        ]


def _row(word: str, relative: Relative | None, style: Style) -> Cells:
    if relative is None:
        return Cell(word, token="second"), Cell(translated("not known"), token="second"), Cell()
    sign = " ".join(part for part in relative_sex(relative, style) if part)
    text = relative_words(relative)
    if relative.percent < 100:
        text = f"{relative.percent}%  {text}"
    return Cell(word, token="second"), Cell(relative.keeper_id, bold=True, after=sign), Cell(text, whole=text)
