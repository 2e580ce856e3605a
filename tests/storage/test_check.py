"""`check` finds every kind of harm, and nothing where there is none."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from coilbook.records.vocabulary import Act
from coilbook.storage import check
from coilbook.storage import tables as t
from coilbook.storage.collection import Collection
from coilbook.storage.connection import TrackedDatabase
from coilbook.storage.health_tables import CourseStep, HealthCourse
from coilbook.storage.layout import PHOTOS, photo_place
from tests.storage.workload import add_animal, bring_in, put_photo, weigh


@pytest.fixture
def lived_in(collection: Collection) -> Collection:
    animal = add_animal(collection)
    bring_in(collection, "R1", 20)
    weigh(collection, animal, "w")
    put_photo(collection, animal, b"picture")
    with collection.act(Act.EDIT_ANIMAL) as act:
        act.update(t.Animal, animal, name="Fern")
        act.run("INSERT INTO code (body, kind, target, issued_at) VALUES ('0a1', 'A', 1, '')")
    return collection


def said(collection: Collection) -> str:
    return "\n".join(str(f) for f in check.check(collection).findings)


def test_a_whole_collection_has_no_findings(lived_in: Collection) -> None:
    report = check.check(lived_in)
    assert report.clean
    assert report.facts["animal"] == 21
    assert report.facts["photo_files"] == 1
    assert report.facts["acts"] == 5


def test_a_missing_and_a_changed_picture(lived_in: Collection) -> None:
    sha256 = put_photo(lived_in, 1, b"another")
    (lived_in.folder / PHOTOS / photo_place(sha256, "png")).write_bytes(b"changed")
    first = lived_in.read("SELECT sha256 FROM photo WHERE id = 1")[0][0]
    (lived_in.folder / PHOTOS / photo_place(first, "png")).unlink()
    assert f"{first}.png () is missing" in said(lived_in)
    assert f"{sha256}.png () was changed or is damaged" in said(lived_in)


def test_an_entry_of_a_course_of_another_animal(lived_in: Collection) -> None:
    def course(animal: int) -> int:
        return act.insert(
            HealthCourse, animal_id=animal, kind="treatment", at="2026-03-01T09:00", what_for="x", done="y"
        )

    with lived_in.act(Act.BEGIN_TREATMENT) as act:
        row = course(1)
        act.insert(CourseStep, course_id=row, animal_id=1, at="2026-03-02T09:00", words="seen")
    assert said(lived_in) == ""
    with lived_in.act(Act.NOTE_COURSE) as act:
        act.insert(CourseStep, course_id=row, animal_id=2, at="2026-03-03T09:00", words="seen")
    assert said(lived_in) == "Row 2 of course_step is of another animal than its course."


HARMS: dict[str, tuple[Callable[[TrackedDatabase], object], str]] = {
    "a trigger gone": (lambda db: db.execute_sql("DROP TRIGGER journal_weight_update"), "does not watch weight"),
    "a trigger changed": (
        lambda db: [
            db.execute_sql("DROP TRIGGER journal_weight_delete"),
            db.execute_sql("CREATE TRIGGER journal_weight_delete AFTER DELETE ON weight BEGIN SELECT 1; END"),
        ],
        "does not watch weight",
    ),
    "a half written act": (lambda db: db.execute_sql("INSERT INTO current_act VALUES (1)"), "left half written"),
    "a row behind the journal's back": (
        lambda db: [
            db.execute_sql("DROP TRIGGER journal_tag_insert"),
            db.execute_sql("INSERT INTO tag (animal_id, word) VALUES (1, 'x')"),
        ],
        "Row 1 of tag is not in the journal",
    ),
    "a row removed behind its back": (
        lambda db: [
            db.execute_sql("DROP TRIGGER journal_weight_delete"),
            db.execute_sql("DELETE FROM weight WHERE id = 1"),
        ],
        "Row 1 of weight is in the journal and not in its table",
    ),
    "a lost change": (lambda db: db.execute_sql("DELETE FROM change WHERE id = 1"), "Act 1 says 1 changes and has 0"),
    "a lost act": (lambda db: db.execute_sql("DELETE FROM act WHERE id = 3"), "changes of act 3, which is not in it"),
    "an unknown kind of act": (lambda db: db.execute_sql("UPDATE act SET kind = 'dance' WHERE id = 1"), "know: dance"),
    "an unknown table": (
        lambda db: db.execute_sql("UPDATE change SET tbl = 'ledger' WHERE id = 1"),
        "speaks of ledger",
    ),
    "a before without a column": (
        lambda db: db.execute_sql("UPDATE change SET before = json_remove(before, '$.name') WHERE before IS NOT NULL"),
        "of other columns than now",
    ),
    "a before that is no row": (
        lambda db: db.execute_sql("UPDATE change SET before = '{' WHERE before IS NOT NULL"),
        "does not hold what stood before",
    ),
    "a counter set back": (
        lambda db: db.execute_sql("UPDATE sqlite_sequence SET seq = 1 WHERE name = 'animal'"),
        "The counter of animal is behind its rows",
    ),
    "a code twice": (
        lambda db: db.execute_sql("INSERT INTO code (body, kind, target, issued_at) VALUES ('0A1', 'A', 2, '')"),
        "The code 0A1 was issued more than once",
    ),
    "a column of another kind": (
        lambda db: db.execute_sql("ALTER TABLE tag ADD COLUMN share REAL"),
        "tag.share is of a kind",
    ),
}


@pytest.mark.parametrize("harm", HARMS)
def test_every_kind_of_harm_is_found(lived_in: Collection, harm: str) -> None:
    do, expected = HARMS[harm]
    with lived_in.writing() as db:
        do(db)
    assert expected in said(lived_in)


def test_a_reference_to_nothing_is_found(lived_in: Collection) -> None:
    with lived_in.writing() as db:
        db.execute_sql("DROP TRIGGER journal_weight_update")
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(lived_in.file)) as raw, raw:
        raw.execute("UPDATE weight SET animal_id = 999 WHERE id = 1")
    assert "Row 1 of weight points at a row of animal that is not there" in said(lived_in)


def test_many_findings_of_one_kind_are_counted(lived_in: Collection) -> None:
    with lived_in.writing() as db:
        db.execute_sql("DROP TRIGGER journal_tag_insert")
        for n in range(50):
            db.execute_sql("INSERT INTO tag (animal_id, word) VALUES (1, ?)", (str(n),))
    assert "... and 30 more of this kind." in said(lived_in)
