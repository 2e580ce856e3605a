"""Writes `v1.sqlite.gz`: a collection of format 1 with rows in every table, journaled acts and an undo in force.

Uses nothing of the program, so that the file stays what it was: run as `python -m tests.storage.frozen.make_v1`.
The picture its one photo row names is `PICTURE`.
"""

from __future__ import annotations

import gzip
import hashlib
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

HERE = Path(__file__).parent
APPLICATION_ID = 0x43424B31
#: a whole PNG of one grey pixel
PICTURE = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c63680000008200814d"
    "17d7b20000000049454e44ae426082"
)

ROWS: tuple[tuple[str, dict[str, object]], ...] = (
    ("person", {"name": "Wren", "role": "keeper", "contact": "", "note": "", "active": 1}),
    ("place", {"kind": "room", "parent_id": None, "name": "Room", "label": "Room", "walk": 0, "quarantine": 0,
               "note": ""}),
    ("place", {"kind": "rack", "parent_id": 1, "name": "R2", "label": "R2", "walk": 0, "quarantine": 0, "note": ""}),
    ("place", {"kind": "slot", "parent_id": 2, "name": "A3", "label": "R2-A3", "walk": 3, "quarantine": 0, "note": ""}),
    ("acquisition", {"animal_id": 1, "date": "2024-01-01", "date_precision": "year", "how": "bought", "person_id": 1,
                     "price_minor": 12000, "currency": "EUR", "country": "", "papers": "", "feeding_claim": "eats ft",
                     "quarantine_from": None, "note": ""}),
    ("sire", {"animal_id": 3, "sire_id": 2, "percent": 100}),
    ("claim", {"animal_id": 1, "text": "het clown", "source": "seller", "said_on": None}),
    ("tag", {"animal_id": 1, "word": "proven"}),
    ("move", {"animal_id": 1, "at": "2025-02-01T08:00", "from_place_id": None, "to_place_id": 3, "reason": "unsaid",
              "return_by": None, "note": ""}),
    ("feeding", {"animal_id": 1, "at": "2025-02-02T19:00", "result": "taken", "reason": "", "prey": "rat",
                 "prey_state": "ft", "prey_dg": 900, "pieces": 1, "closed_at": "2025-02-03T07:00", "note": ""}),
    ("regurgitation", {"animal_id": 1, "at": "2025-02-04T19:00", "feeding_id": 1, "note": ""}),
    ("weight", {"animal_id": 1, "at": "2025-02-01T08:00", "mass_dg": 18420, "typed": "1842", "tag": "unsaid",
                "doubted": 0, "note": ""}),
    ("shed", {"animal_id": 1, "at": "2025-02-10T08:00", "kind": "complete", "note": ""}),
    ("sign_seen", {"animal_id": 1, "at": "2025-02-10T08:00", "sign": "glow", "note": ""}),
    ("cleaning", {"place_id": 3, "at": "2025-02-11T08:00", "extent": "full", "product": "", "note": ""}),
    ("note", {"animal_id": 1, "place_id": None, "at": "2025-02-11T08:00", "text": "calm"}),
    ("photo", {"animal_id": 1, "at": "2025-02-11T08:00", "sha256": hashlib.sha256(PICTURE).hexdigest(), "ending": "png",
               "angle": "top", "caption": "", "original_name": "grey.png"}),
    ("departure", {"animal_id": 2, "at": "2025-03-01T08:00", "kind": "loaned", "status_before": "here",
                   "person_id": 1, "price_minor": None, "currency": "", "reason": "", "note": ""}),
    ("label_print", {"code": "A0014", "animal_id": 1, "place_id": None, "at": "2025-02-11T08:00", "stock": "85x54"}),
    ("setting", {"name": "theme", "value": "dark"}),
    ("saved_view", {"name": "Fasting", "query": "last meal over 30 days", "columns": "", "sort": ""}),
    ("import_batch", {"file_name": "old.csv", "sha256": "00", "at": "2025-01-01T08:00", "rows": 3, "report": "{}"}),
    ("import_answer", {"fingerprint": "weight", "answer": "g"}),
)  # fmt: skip


def animal(keeper_id: str, sex: str, **more: object) -> dict[str, object]:
    """A row of the table of animals as format 1 had it."""
    return {
        "keeper_id": keeper_id, "name": "", "species": "ball_python", "sex": sex, "sex_percent": 100,
        "sex_basis": "popped", "genetics": "", "hatched": "2021-08-01", "hatched_precision": "month",
        "origin": "bought", "status": "here", "dam_id": None, "place_id": None, "microchip": "", "temperament": "",
        "holdback": "", "retired": 0, "breeder_male_only": 0, "interval_days": None, "prey_kind": "rat",
        "prey_state": "ft", "feeding_remark": "", "cover_photo": None, **more,
    }  # fmt: skip


class Writer:
    """Writes acts as the program of format 1 did."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection

    @contextmanager
    def act(self, kind: str, undoes: int | None = None) -> Iterator[None]:
        """One act in one transaction, with the triggers of format 1 filling the journal."""
        self.connection.execute("BEGIN IMMEDIATE")
        sql = (
            "INSERT INTO act (kind, at, device, person, person_name, detail, undoes, in_force) VALUES (?,?,?,?,?,?,?,1)"
        )
        cursor = self.connection.execute(sql, (kind, "2025-02-01T08:00:00Z", "desk", 1, "Wren", "", undoes))
        self.connection.execute("INSERT INTO current_act (act) VALUES (?)", (cursor.lastrowid,))
        yield
        self.connection.execute("DELETE FROM current_act")
        self.connection.execute("COMMIT")

    def insert(self, table: str, row: dict[str, object]) -> None:
        """Add a row."""
        names = ", ".join(f'"{c}"' for c in row)
        marks = ", ".join("?" * len(row))
        self.connection.execute(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', tuple(row.values()))


def write(connection: sqlite3.Connection) -> None:
    """Fill an empty file."""
    connection.executescript((HERE / "v1.sql").read_text(encoding="utf-8"))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 1")
    connection.execute("PRAGMA foreign_keys = ON")
    book = Writer(connection)
    with book.act("import"):  # act 1
        for table, row in ROWS[:4]:
            book.insert(table, row)
        book.insert("animal", animal("F-014", "female", place_id=3, feeding_remark="small rats only"))
        book.insert("animal", animal("M-03", "male", sex_percent=30, status="loan"))
        book.insert("animal", animal("J-22", "unsexed", dam_id=1))
        for table, row in ROWS[4:]:
            book.insert(table, row)
    with book.act("edit_animal"):  # act 2: can be undone after the upgrade
        connection.execute("UPDATE animal SET feeding_remark = 'takes mice too', sex_percent = 95 WHERE id = 1")
    with book.act("edit_entry"):  # act 3
        connection.execute("UPDATE cleaning SET extent = 'spot' WHERE id = 1")
    with book.act("add_animal"):  # act 4: an animal that is gone again; its number stays used up
        book.insert("animal", animal("J-23", "unsexed"))
    with book.act("undo", undoes=4):  # act 5
        connection.execute("UPDATE act SET in_force = 0 WHERE id = 4")
        connection.execute("DELETE FROM animal WHERE id = 4")
    with book.act("edit_animal"):  # act 6: before it the sex was less sure than a guess, which format 2 does not hold
        connection.execute("UPDATE animal SET sex_percent = 60 WHERE id = 2")
    with connection:
        connection.execute("BEGIN")
        connection.execute(
            "INSERT INTO code (body, kind, target, issued_at) VALUES ('001', 'A', 1, '2025-02-11T08:00')"
        )
        connection.execute("INSERT INTO code_counter (kind, last) VALUES ('A', 1)")
        connection.execute("INSERT INTO animal_now (animal, weight_dg) VALUES (1, 18420)")


def main() -> None:
    """Write the file beside this one."""
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / "v1.sqlite"
        with closing(sqlite3.connect(file, isolation_level=None)) as connection:
            write(connection)
            connection.execute("VACUUM")
        (HERE / "v1.sqlite.gz").write_bytes(gzip.compress(file.read_bytes(), mtime=0))


if __name__ == "__main__":
    main()
