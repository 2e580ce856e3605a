"""Builds the demo's old spreadsheet: 214 rows as messy as a keeper's own, the same every time.

Everything in it is invented. Of the 214 rows 12 cannot be animals, 4 use an id again, 6 have a hatch date with two
readings, 2 stand for groups, and 17 have genetics with an open question, in 41 different genetics texts. Where the
genes of both parents are in the sheet, the young can come from them.
`python -m coilbook.app.demo_sheet demo` writes both files anew.
"""

from __future__ import annotations

import csv
import datetime as dt
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.genetics.notation_reader import read
from coilbook.intake.genetics_cells import unexplained
from coilbook.intake.values import identity_key
from coilbook.storage.species import shipped_texts

SEED = 20_140
FILE_STEM = "old-records"
TAB = "Collection 2025"

_WEEKS = ("1/3", "1/10", "1/17", "1/24", "1/31", "2/7", "2/14", "2/21")
HEADER = (
    "Snake #",
    "Name",
    "Sex",
    "Genes",
    "DOB",
    "Weight",
    "Tub",
    "Mother",
    "Father",
    "From",
    "Got",
    "$",
    "Notes",
    *_WEEKS,
)
_SECTION_COLOUR, _HOLDBACK_COLOUR = "BDD7EE", "FFFF99"

#: texts with one reading
PLAIN_GENETICS = (
    "normal", "pastel", "Pastel Clown", "super pastel clown", "100% het clown", "66% het clown",
    "50% poss het albino", "Enchi Fire 100% het clown/pied", "DH clown pied", "100% het clown 50% het pied",
    "Clown 66% het pied, 50% het albino", "clown", "PIEBALD", "pied", "enchi", "Fire", "Leopard", "leopard clown",
    "Axanthic (line B)", "line A ax pastel", "killer clown", "yb gravel", "Butter", "Lesser pastel",
    "Orange Dream Enchi", "Ghost", "albino", "Yellow Belly", "het pied proven",
)  # fmt: skip
#: texts that need one click: a percentage, a line, a spelling or a scope is open
DOUBTFUL_GENETICS = (
    "pos het clown", "ph clown", "het axanthic", "Pastel? Clown", "pastal clwon het peid", "snow",
    "het clown pastel enchi", "super clown", "poss het albino", "maybe het pied", "axanthic", "ph ghost",
)  # fmt: skip
_DOUBTFUL_ROWS = 17
#: hatch dates of females, by number, that could be read either way
_TWO_READINGS = {15: "03/04/21", 17: "05/02/19", 29: "11/08/20", 41: "01/07/18", 55: "04/09/21", 77: "06/10/19"}
#: the first animals of the room, older than all others and parents of many
_FOUNDERS = frozenset({*(f"F-{number:03d}" for number in range(1, 10)), *(f"M-{number:02d}" for number in range(1, 6))})

_NAMES = (
    "Juniper", "Biscuit", "Pebble", "Maple", "Olive", "Thistle", "Bramble", "Clover", "Hazel", "Sorrel", "Fern",
    "Acorn", "Nutmeg", "Saffron", "Marble", "Umber", "Willow", "Sedge", "Tansy", "Rowan", "Barley", "Teasel",
)  # fmt: skip


#: what one cell of the sheet can be
Cell = str | int | float | dt.date


# not the calendar's own names: those follow the language of the machine
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of the sheet: its cells (texts, numbers, dates), its colour, and whether it is a title across."""

    cells: tuple[Cell, ...]
    colour: str = ""
    title: bool = False


def lines() -> tuple[SheetLine, ...]:
    """All lines of the sheet, title and header first."""
    return _with_likely_parents(tuple(_Builder(random.Random(SEED)).lines()))


def write_demo_sheet(folder: Path) -> tuple[Path, Path]:
    """Write the workbook and its CSV twin into `folder`; returns both paths."""
    folder.mkdir(parents=True, exist_ok=True)
    workbook, text = folder / f"{FILE_STEM}.xlsx", folder / f"{FILE_STEM}.csv"
    _write_workbook(workbook, lines())
    with text.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\r\n").writerows([_shown(cell) for cell in line.cells] for line in lines())
    return workbook, text


def _shown(cell: Cell) -> str:
    """What a spreadsheet program writes into a CSV for a cell."""
    if isinstance(cell, dt.date):
        return cell.isoformat()
    if cell == 1.0 and isinstance(cell, float):
        return "1.0"
    return str(cell)


def _write_workbook(path: Path, content: tuple[SheetLine, ...]) -> None:
    from openpyxl import Workbook  # on first use
    from openpyxl.styles import Font, PatternFill

    book = Workbook()
    tab = book.active
    assert tab is not None
    tab.title = TAB
    for number, line in enumerate(content, 1):
        for column, value in enumerate(line.cells, 1):
            if value == "":
                continue
            cell = tab.cell(number, column, value)
            if isinstance(value, float):
                cell.number_format = "0.0"
            elif isinstance(value, dt.date):
                cell.number_format = "yyyy-mm-dd"
            if line.colour:
                cell.fill = PatternFill("solid", fgColor=f"FF{line.colour}")
        if line.title:
            tab.merge_cells(start_row=number, end_row=number, start_column=1, end_column=len(HEADER))
            tab.cell(number, 1).font = Font(bold=True)
    book.save(path)


_DAMS = ("F-001", "f 002", "F-003", "F9")
_SIRES = ("M-01", "m 02", "M-03 or M-05")
_GENETICS_AT, _DAM_AT, _SIRE_AT = 3, 7, 8


def _with_likely_parents(drawn: tuple[SheetLine, ...]) -> tuple[SheetLine, ...]:
    """The lines with other parents where those drawn have none of the genes of the young."""
    catalogue = read_catalogue(shipped_texts()["ball_python"])
    readings = {
        identity_key(str(line.cells[0])): read(str(line.cells[_GENETICS_AT]), catalogue)
        for line in reversed(drawn)  # the first row of an id is the one that counts
        if len(line.cells) > _GENETICS_AT and line.cells[_GENETICS_AT]
    }

    def fits(genetics: str, dam: str, sires: str) -> bool:
        parents = [readings.get(identity_key(name)) for name in (dam, *sires.split(" or "))]
        known = [parent for parent in parents if parent is not None]
        return len(known) < len(parents) or not unexplained(read(genetics, catalogue), known, catalogue)

    def likely(line: SheetLine) -> SheetLine:
        if len(line.cells) <= _SIRE_AT or not (line.cells[_DAM_AT] and line.cells[_SIRE_AT]):
            return line
        genetics, dam, sire = (str(line.cells[at]) for at in (_GENETICS_AT, _DAM_AT, _SIRE_AT))
        pairs = [(dam, sire), *((dam, other) for other in _SIRES), *((d, s) for d in _DAMS for s in _SIRES)]
        dam, sire = next((pair for pair in pairs if fits(genetics, *pair)), (dam, ""))
        return replace(line, cells=(*line.cells[:_DAM_AT], dam, sire, *line.cells[_SIRE_AT + 1 :]))

    return tuple(likely(line) for line in drawn)


class _Builder:
    """Draws the lines in order from one source of chance."""

    def __init__(self, chance: random.Random) -> None:
        self._chance = chance
        self._names = iter(_NAMES)
        doubtful = [*DOUBTFUL_GENETICS, *DOUBTFUL_GENETICS[: _DOUBTFUL_ROWS - len(DOUBTFUL_GENETICS)]]
        self._doubtful = iter(doubtful)
        self._plain = 0
        self._slot = 0

    def lines(self) -> Iterator[SheetLine]:
        """Title, header, then four racks with what a keeper scribbles between the animals."""
        yield SheetLine(("My snakes, copied from the cards",))
        yield SheetLine(HEADER)
        yield self._section("RACK 1 - females")
        yield from self._females(1, 48)
        yield self._stray("Total females", "", 48)
        yield self._stray("F-014 x M-07", "7+1", "3/31", note="due 5/28")
        yield self._section("RACK 2 - females")
        yield from self._females(49, 92)
        yield self._again("F14", "0.1", "Juniper again?")
        yield self._again("F-020", "0.1", "copied twice")
        yield self._stray("F-009 x M-02", note="planned for next season")
        yield self._stray("F-101, F-102", "", "0.2", note="both in one tub for now")
        yield self._stray("order more substrate before the cold comes")
        yield self._section("RACK 3 - males")
        yield from self._males()
        yield self._again("m 03", "1.0", "")
        yield self._stray("pastel clown x enchi het clown", note="from the show list")
        yield self._stray("Heat tape 3 m", price="$24")
        yield self._stray("ask Teo about the loan of the male!")
        yield self._section("RACK 4 - hatchlings 2024")
        yield from self._hatchlings()
        yield self._again("H-07", "0.0.1", "")
        yield self._group("H-90", "1.2", "Pastel Clown")
        yield self._group("H-91", "0.0.4", "normal")
        yield self._stray("H-61 + H-62 + H-63", note="sold together, see the book")
        yield self._stray("egg 4", "", "", "albino", note="went bad in week 5")
        yield self._stray("?", note="found in the wrong tub, who is this")
        yield self._stray("Total", "", 199)

    def _section(self, title: str) -> SheetLine:
        self._slot = 0
        return SheetLine((title,), _SECTION_COLOUR, title=True)

    def _stray(self, *first: Cell, note: str = "", price: str = "") -> SheetLine:
        cells: list[Cell] = [*first, *[""] * (13 - len(first))]
        cells[11], cells[12] = price, note
        while cells[-1] == "":
            cells.pop()
        return SheetLine(tuple(cells))

    def _females(self, first: int, last: int) -> Iterator[SheetLine]:
        for number in range(first, last + 1):
            sex: Cell = self._chance.choice(("0.1", "0.1", 0.1, "f", "♀"))
            born = _TWO_READINGS.get(number, "")
            clear = bool(born) or number in (14, 20)
            holdback = number % 13 == 0
            yield self._animal(f"F-{number:03d}", sex, born, plain=clear, colour=_HOLDBACK_COLOUR if holdback else "")

    def _males(self) -> Iterator[SheetLine]:
        for number in range(1, 34):
            sex: Cell = self._chance.choice(("1.0", "1.0", 1.0, "m", "male?"))
            yield self._animal(f"M-{number:02d}", sex, "", plain=number == 3)

    def _hatchlings(self) -> Iterator[SheetLine]:
        for number in range(1, 72):
            sex: Cell = self._chance.choice(("1.0", "0.1", "0.0.1", "u"))
            yield self._animal(f"H-{number:02d}", sex, "", plain=number == 7, young=True)

    def _again(self, keeper_id: str, sex: str, note: str) -> SheetLine:
        return SheetLine(
            (keeper_id, "", sex, self._genetics(plain=True), "", self._weight(young=False), "", *[""] * 5, note)
        )

    def _group(self, keeper_id: str, sex: str, genetics: str) -> SheetLine:
        return SheetLine((keeper_id, "", sex, genetics, "2024", "", "", "F-003", "M-01"))

    def _animal(
        self, keeper_id: str, sex: Cell, born: Cell, *, plain: bool, young: bool = False, colour: str = ""
    ) -> SheetLine:
        chance = self._chance
        name = next(self._names, "") if not young and chance.random() < 0.2 else ""
        founder = keeper_id in _FOUNDERS
        bought = founder or (not young and chance.random() < 0.4)
        year = chance.randint(2012, 2015) if founder else 2024 if young else chance.randint(2017, 2022)
        cells: tuple[Cell, ...] = (
            keeper_id,
            name,
            sex,
            self._genetics(plain=plain),
            born or self._born(year),
            self._weight(young=young),
            self._tub(),
            "" if bought else chance.choice(("", *_DAMS)),
            "" if bought else chance.choice(("", *_SIRES, "Teo's male")),
            chance.choice(("Wren", "Teo", "swap at the show")) if bought else "",
            dt.date(2016 if founder else 2023, chance.randint(1, 12), chance.randint(1, 28)) if bought else "",
            chance.choice(("$350", "€400", "150 + ship", "220", "trade")) if bought else "",
            chance.choice(("", "", "", "strikes first, looks later", "small hide", "ask about her claws, haha")),
            *(self._meal() for _ in _WEEKS),
        )
        while cells[-1] == "":
            cells = cells[:-1]
        return SheetLine(cells, colour)

    def _tub(self) -> str:
        """Tubs in walking order; now and then one is not written down, or two snakes share a tub."""
        self._slot += 1
        if self._slot in (31, 60) and self._chance.random() < 0.5:
            self._slot -= 1
        return "" if self._chance.random() < 0.05 else str(self._slot)

    def _genetics(self, *, plain: bool) -> str:
        if not plain and self._chance.random() < 0.11:
            doubtful = next(self._doubtful, "")
            if doubtful:
                return doubtful
        if not plain and self._plain > len(PLAIN_GENETICS) and self._chance.random() < 0.04:
            return ""
        self._plain += 1
        return PLAIN_GENETICS[self._plain % len(PLAIN_GENETICS)]

    def _born(self, year: int) -> Cell:
        """A hatch date of that year's summer, in one of the three ways dates are written here."""
        born = dt.date(year, self._chance.randint(5, 10), self._chance.randint(1, 28))
        month = _MONTHS[born.month - 1]
        style = self._chance.random()
        if style < 0.35:
            return born
        if style < 0.65:
            return f"{born.day:02d}-{month[:3]}-{year % 100}"
        return self._chance.choice(
            (f"{month[:3]} {year}", str(year), f"late {month} {year}", f"summer {year}", f"{year}?")
        )

    def _weight(self, *, young: bool) -> Cell:
        grams = self._chance.randint(55, 420) if young else self._chance.randint(900, 2600)
        style = self._chance.random()
        if style < 0.7:
            return grams
        if style < 0.85:
            return f"{grams / 1000:.3f}kg"
        if style < 0.93:
            return f"{grams / 28.3495:.0f} oz"
        return f"~{grams}" if young else f"{grams // 454}lb {grams % 454 // 29}oz"

    def _meal(self) -> str:
        return self._chance.choices(("X", "R", "sm", "2m", "✓", "-", ""), (50, 12, 8, 3, 6, 5, 16))[0]


if __name__ == "__main__":
    write_demo_sheet(Path(sys.argv[1]))
