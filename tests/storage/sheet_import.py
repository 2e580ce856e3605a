"""A sheet of many rows, planned and accepted as the program does it, for tests that kill it on the way."""

from __future__ import annotations

import hashlib
from pathlib import Path

from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.workbook import read_sheets
from coilbook.reads.import_known import known_for_import, remembered_answers
from coilbook.storage.collection import Collection
from coilbook.storage.layout import IMPORTS

_HEAD = "ID,Sex,Genetics,Hatched,Weight,Rack,Slot,Tags,Notes,2026-03-01,2026-03-08"
#: what a keeper would answer for the two marks of the sheet
_ANSWERS = {"mark|x": "taken", "mark|r": "refused"}


def write_sheet(folder: Path, token: str, rows: int) -> Path:
    """A CSV file `token.csv`: each animal with a place of its own in a rack named by the token, a weight, two meals."""
    lines = [
        f"{token}-{n},{'fm'[n % 2]},Clown,202{n % 5},{900 + n},{token},A{n},hatch {n % 7},row {n},x,r"
        for n in range(1, rows + 1)
    ]
    file = folder / f"{token}.csv"
    file.write_text("\n".join([_HEAD, *lines]) + "\n", encoding="utf-8")
    return file


def plan_of(collection: Collection, file: Path) -> ImportPlan:
    """The plan of a sheet over what the collection holds, its questions answered."""
    answers = {**remembered_answers(collection), **_ANSWERS}
    return propose(read_sheets(file), answers, known_for_import(collection))


#: batches of which everything stands there: as many animals as rows, each in its rack with its weight and two meals
_WHOLE = """SELECT b.sha256 FROM import_batch b JOIN place r ON r.label || '.csv' = b.file_name WHERE b.rows = (
    SELECT count(*) FROM animal a JOIN place s ON s.id = a.place_id JOIN weight w ON w.animal_id = a.id
    JOIN claim c ON c.animal_id = a.id JOIN tag t ON t.animal_id = a.id JOIN animal_now n ON n.animal = a.id
    WHERE s.parent_id = r.id AND n.weight_dg = w.mass_dg
    AND (SELECT group_concat(result, ' ') FROM (SELECT result FROM feeding f WHERE f.animal_id = a.id ORDER BY f.at))
        = 'taken refused'
    AND EXISTS (SELECT 1 FROM code k WHERE k.kind = 'A' AND k.target = a.id))"""


def whole_imports(collection: Collection) -> tuple[set[str], set[str]]:
    """SHA-256 of the imports of which everything is there, and of those that lack something, the original included."""
    batches = {str(sha256) for (sha256,) in collection.read("SELECT sha256 FROM import_batch")}
    whole = {str(sha256) for (sha256,) in collection.read(_WHOLE) if _kept(collection.folder, str(sha256))}
    return whole, batches - whole


def _kept(folder: Path, sha256: str) -> bool:
    file = folder / IMPORTS / f"{sha256}.csv"
    return file.is_file() and hashlib.sha256(file.read_bytes()).hexdigest() == sha256
