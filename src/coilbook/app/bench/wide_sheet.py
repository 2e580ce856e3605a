"""A sheet of 20,000 rows and 12 columns, as CSV and XLSX, for the import lines of the benchmark. All invented."""

from __future__ import annotations

import csv
import datetime as dt
import random
from pathlib import Path

ROWS = 20_000
HEADER = ("ID", "Name", "Sex", "Genetics", "Hatched", "Weight", "Rack", "Dam", "Sire", "Bought", "From", "Notes")
_LOOKS = ("Pastel", "Enchi", "Fire", "Leopard", "Yellow Belly", "Clown", "Piebald", "Albino", "Ghost")
_HETS = ("", "het clown", "66% het clown", "het piebald", "50% het albino", "pos het ghost")
_FROM = ("", "Ines", "Rolf", "Mika", "Jana")
_NOTES = ("", "feeds well", "shy", "prefers small rats", "hold back", "nice blushing")


def sheet_rows(rows: int = ROWS, seed: int = 7) -> list[tuple[str, ...]]:
    """The rows under the header, the same for the same seed."""
    chance = random.Random(seed)
    made: list[tuple[str, ...]] = []
    for number in range(rows):
        hatched = dt.date(2016, 5, 1) + dt.timedelta(chance.randrange(3400))
        female = number % 2 == 0
        made.append(
            (
                f"{'F' if female else 'M'}-{number:05d}",
                f"Name {number}" if number % 5 == 0 else "",
                "f" if female else "m",
                f"{chance.choice(_LOOKS)} {chance.choice(_HETS)}".strip(),
                hatched.isoformat(),
                str(chance.randrange(80, 2600)),
                f"R{number // 40 + 1}-{number % 40 + 1}",
                f"F-{chance.randrange(0, number, 2):05d}" if number > 400 and number % 3 == 0 else "",
                f"M-{chance.randrange(1, number, 2):05d}" if number > 400 and number % 3 == 0 else "",
                (hatched + dt.timedelta(90)).isoformat() if number % 4 == 0 else "",
                chance.choice(_FROM) if number % 4 == 0 else "",
                chance.choice(_NOTES),
            )
        )
    return made


def write_csv(path: Path, rows: int = ROWS) -> None:
    """The sheet as CSV."""
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(HEADER)
        writer.writerows(sheet_rows(rows))


def write_xlsx(path: Path, rows: int = ROWS) -> None:
    """The same sheet as a workbook, with dates and weights as cells of their own kind."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Animals")
    sheet.append(HEADER)
    for row in sheet_rows(rows):
        cells: list[object] = list(row)
        cells[5] = int(row[5])
        for column in (4, 9):
            cells[column] = dt.date.fromisoformat(row[column]) if row[column] else None
        sheet.append(cells)
    book.save(path)
