"""Writes `v2.sqlite.gz`: a collection of format 2 with rows in every table, journaled acts and an undo in force.

Uses nothing of the program, so that the file stays what it was: run as `python -m tests.storage.frozen.make_v2`.
Its one picture is `PICTURE` of the frozen file before it.
"""

from __future__ import annotations

import gzip
import hashlib
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from tests.storage.frozen.make_v1 import APPLICATION_ID, HERE, PICTURE
from tests.storage.frozen.make_v1 import Writer as WriterBefore
from tests.storage.frozen.make_v1 import animal as animal_before

DAY = "2026-02-10"
AT = f"{DAY}T08:00"
_SHA256 = hashlib.sha256(PICTURE).hexdigest()

PLACES: tuple[tuple[str, dict[str, object]], ...] = (
    ("person", {"name": "Wren", "role": "keeper", "contact": "", "note": "", "active": 1}),
    ("place", {"kind": "room", "parent_id": None, "name": "Room", "label": "Room", "walk": 0, "quarantine": 0,
               "note": ""}),
    ("place", {"kind": "rack", "parent_id": 1, "name": "Q1", "label": "Q1", "walk": 0, "quarantine": 1, "note": ""}),
    ("place", {"kind": "slot", "parent_id": 2, "name": "A3", "label": "Q1-A3", "walk": 3, "quarantine": 1, "note": ""}),
)  # fmt: skip
CARE: tuple[tuple[str, dict[str, object]], ...] = (
    ("acquisition", {"animal_id": 1, "date": "2026-01-04", "date_precision": "day", "how": "bought", "person_id": 1,
                     "price_minor": 12000, "currency": "EUR", "country": "", "papers": "", "feeding_claim": "",
                     "quarantine_from": "2026-01-04", "note": ""}),
    ("sire", {"animal_id": 3, "sire_id": 2, "percent": 100, "each_own": 0}),
    ("claim", {"animal_id": 1, "text": "het clown", "source": "seller", "said_on": None}),
    ("tag", {"animal_id": 1, "word": "proven"}),
    ("move", {"animal_id": 1, "at": AT, "from_place_id": None, "to_place_id": 3, "reason": "quarantine",
              "return_by": None, "note": ""}),
    ("feeding", {"animal_id": 1, "at": AT, "result": "taken", "reason": "", "prey": "rat", "prey_state": "ft",
                 "prey_dg": 900, "pieces": 1, "closed_at": AT, "note": ""}),
    ("regurgitation", {"animal_id": 1, "at": AT, "feeding_id": 1, "note": ""}),
    ("weight", {"animal_id": 1, "at": AT, "mass_dg": 18420, "typed": "1842", "tag": "unsaid", "doubted": 0,
                "note": ""}),
    ("shed", {"animal_id": 1, "at": AT, "kind": "complete", "note": ""}),
    ("shed_mark", {"shed_id": 1, "was": "ordinary"}),
    ("sign_seen", {"animal_id": 1, "at": AT, "sign": "wheeze", "note": ""}),
    ("cleaning", {"place_id": 3, "animal_id": 1, "at": AT, "extent": "full", "product": "", "note": ""}),
    ("note", {"animal_id": 1, "place_id": None, "at": AT, "text": "at the vet on Monday"}),
    ("photo", {"animal_id": 1, "egg_id": None, "box_id": None, "at": AT, "sha256": _SHA256, "ending": "png",
               "angle": "top", "caption": "", "original_name": "grey.png"}),
    ("departure", {"animal_id": 2, "at": AT, "kind": "loaned", "status_before": "here", "person_id": 1,
                   "price_minor": None, "currency": "", "reason": "", "note": ""}),
    ("label_print", {"code": "A0014", "animal_id": 1, "place_id": None, "at": AT, "stock": "85x54"}),
    ("finding", {"animal_id": 1, "at": AT, "kind": "seen", "locus": "clown", "gene": "", "looks": '["clown"]',
                 "copies": None, "ppm": 1000000, "person_id": 1, "source": "", "note": "", "corrects_id": None}),
    ("own_gene", {"species": "ball_python", "kind": "gene", "key": "heather", "body": ""}),
    ("setting", {"name": "theme", "value": "dark"}),
    ("saved_view", {"name": "Apart", "query": "in quarantine", "columns": "", "sort": ""}),
    ("import_batch", {"file_name": "old.csv", "sha256": "00", "at": AT, "rows": 3, "report": "{}"}),
    ("import_answer", {"fingerprint": "weight", "answer": "g"}),
)  # fmt: skip
EGGS: tuple[tuple[str, dict[str, object]], ...] = (
    ("incubator", {"name": "I1", "set_tenths": 315, "shelves": "[]", "per_shelf": 4, "note": ""}),
    ("incubator_reading", {"incubator_id": 1, "at": AT, "tenths": 315, "least_tenths": None, "most_tenths": None,
                           "humidity": 90, "shelf": None, "source": "probe", "typed": "", "note": ""}),
    ("logger_day", {"incubator_id": 1, "day": DAY, "readings": "[]"}),
    ("egg_box", {"label": "EB-1", "incubator_id": 1, "shelf": 1, "spot": 1, "set_up": DAY, "medium": "perlite",
                 "dry_dg": 5000, "water_dg": 4000, "start_dg": 18000, "lid": "with", "emptied": None, "note": ""}),
    ("clutch", {"label": "C-1", "dam_id": 1, "laid": DAY, "laid_precision": "day", "laid_doubt_days": 0,
                "mass_dg": None, "mass_kind": "eggs", "maternal": 0, "each_own": 0, "note": ""}),
    ("clutch_sire", {"clutch_id": 1, "sire_id": 2, "percent": 90}),
    ("egg", {"clutch_id": 1, "number": 1, "box_id": 1, "x": None, "y": None, "mass_dg": 800, "length_mm": None,
             "width_mm": None, "twin_suspected": 0, "stuck": 0, "note": ""}),
    ("box_look", {"box_id": 1, "at": AT, "fine": 1, "total_dg": None, "lid": "with", "eggs_dg": None,
                  "drops_under_lid": None, "smell": 0, "note": ""}),
    ("box_water", {"box_id": 1, "at": AT, "added_dg": 100, "note": ""}),
    ("egg_look", {"egg_id": 1, "at": AT, "verdict": "good", "veins": "clear", "dents": "none", "thin_shell": 0,
                  "wet": 0, "mould": 0, "turned": 0, "mass_dg": None, "note": ""}),
    ("egg_done", {"egg_id": 1, "box_id": None, "at": AT, "what": "wiped", "how": "", "why": "mould", "away_dg": None,
                  "came_of_it": "better", "seen_at": AT, "note": ""}),
    ("hatching", {"egg_id": 1, "twin": "", "event": "pip", "at": AT, "not_yet_at": None, "assisted": 0, "note": ""}),
    ("hatchling", {"animal_id": 3, "egg_id": 1, "twin": "", "navel": "closed", "defects": "", "note": ""}),
    ("doubt", {"kind": "sire", "clutch_id": 1, "egg_id": None, "box_id": None, "animal_id": None, "asked_on": DAY,
               "question": "whose?", "candidates": "", "settles_by": "", "look_again": None, "settled_on": None,
               "settled_by": "", "answer": ""}),
)  # fmt: skip
SEASON: tuple[tuple[str, dict[str, object]], ...] = (
    ("pairing_plan", {"female_id": 1, "male_id": 2, "backup_id": None, "made_on": DAY, "day": None, "target": "",
                      "reason": "", "state": "open", "note": ""}),
    ("stay", {"female_id": 1, "male_id": 2, "place_id": 3, "at": AT, "until": None, "in_spite": "known and meant",
              "note": ""}),
    ("lock_seen", {"stay_id": 1, "at": AT, "certainty": "lock", "note": ""}),
    ("follicle", {"animal_id": 1, "at": AT, "method": "ultrasound", "mm_tenths": 320, "grade": None,
                  "count_left": None, "count_right": None, "typed": "32", "note": ""}),
    ("ovulation", {"animal_id": 1, "at": AT, "certainty": "seen", "doubt_days": None, "note": ""}),
    ("rack_cooling", {"place_id": 2, "since": DAY, "until": None, "night_tenths": 240, "note": ""}),
    ("season_outcome", {"animal_id": 1, "at": AT, "outcome": "skipped", "note": ""}),
    ("forecast_made", {"animal_id": 1, "season": "2025-08-01", "event": "laying", "anchor": "ovulation",
                       "made_on": DAY, "first_50": "2026-03-26", "last_50": "2026-04-01", "ppm_50": 520000,
                       "first_80": "2026-03-24", "last_80": "2026-04-04", "ppm_80": 810000,
                       "first_95": "2026-03-20", "last_95": "2026-04-08", "ppm_95": 955000}),
)  # fmt: skip


def animal(keeper_id: str, sex: str, **more: object) -> dict[str, object]:
    """A row of the table of animals as format 2 had it."""
    row = {**animal_before(keeper_id, sex), "feeding_note": "", **more}
    del row["feeding_remark"]
    return row


class Writer(WriterBefore):
    """Writes acts as the program of format 2 did."""

    @contextmanager
    def act(self, kind: str, undoes: int | None = None) -> Iterator[None]:
        """One act in one transaction, with the triggers of format 2 filling the journal."""
        run = self.connection.execute
        run("BEGIN IMMEDIATE")
        sql = (
            "INSERT INTO act (kind, at, device, person, person_name, detail, undoes, undoes_also, size, in_force)"
            " VALUES (?,?,?,?,?,?,?,'',0,1)"
        )
        act = run(sql, (kind, "2026-02-10T08:00:00Z", "desk", 1, "Wren", "", undoes)).lastrowid
        run("INSERT INTO current_act (act) VALUES (?)", (act,))
        yield
        run("UPDATE act SET size = (SELECT count(*) FROM change WHERE act = ?1) WHERE id = ?1", (act,))
        run("DELETE FROM current_act")
        run("COMMIT")


def write(connection: sqlite3.Connection) -> None:
    """Fill an empty file."""
    connection.executescript((HERE / "v2.sql").read_text(encoding="utf-8"))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 2")
    connection.execute("PRAGMA foreign_keys = ON")
    book = Writer(connection)
    with book.act("import"):  # act 1
        for table, row in PLACES:
            book.insert(table, row)
        book.insert("animal", animal("F-014", "female", place_id=3))
        book.insert("animal", animal("M-03", "male", status="loan"))
        book.insert("animal", animal("J-22", "unsexed", dam_id=1))
        for table, row in (*CARE, *EGGS, *SEASON):
            book.insert(table, row)
    with book.act("edit_animal"):  # act 2: can be undone after the upgrade
        connection.execute("UPDATE animal SET name = 'Moss' WHERE id = 1")
    with book.act("add_animal"):  # act 3: an animal that is gone again; its number stays used up
        book.insert("animal", animal("J-23", "unsexed"))
    with book.act("undo", undoes=3):  # act 4
        connection.execute("UPDATE act SET in_force = 0 WHERE id = 3")
        connection.execute("DELETE FROM animal WHERE id = 4")
    with connection:
        connection.execute("BEGIN")
        connection.execute("INSERT INTO code (body, kind, target, issued_at) VALUES ('001', 'A', 1, ?)", (AT,))
        connection.execute("INSERT INTO code_counter (kind, last) VALUES ('A', 1)")
        connection.execute("INSERT INTO animal_now (animal, weight_dg) VALUES (1, 18420)")
        connection.execute("INSERT INTO derived_state (name, value) VALUES ('summary 1', '4')")
        connection.execute("INSERT INTO restored (act, came_from, before) VALUES (1, 'a', 'b')")


def main() -> None:
    """Write the file beside this one."""
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / "v2.sqlite"
        with closing(sqlite3.connect(file, isolation_level=None)) as connection:
            write(connection)
            connection.execute("VACUUM")
        (HERE / "v2.sqlite.gz").write_bytes(gzip.compress(file.read_bytes(), mtime=0))


if __name__ == "__main__":
    main()
