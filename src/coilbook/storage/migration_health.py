"""Part of the step to format 3, frozen: treatments and quarantines as courses."""

from __future__ import annotations

HEALTH_TO_3: tuple[str, ...] = (
    """CREATE TABLE "health_course" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL,
    "kind" TEXT NOT NULL CHECK (kind IN ('treatment', 'quarantine')), "at" TEXT NOT NULL, "what_for" TEXT NOT NULL,
    "done" TEXT NOT NULL, "person_id" INTEGER, "next_due" TEXT, "planned_until" TEXT, "note" TEXT NOT NULL,
    FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("person_id") REFERENCES "person" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "health_course_person_id" ON "health_course" ("person_id")',
    'CREATE INDEX "health_course_animal_id_at" ON "health_course" ("animal_id", "at")',
    """CREATE TABLE "course_step" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "course_id" INTEGER NOT NULL,
    "animal_id" INTEGER NOT NULL, "at" TEXT NOT NULL, "kind" TEXT NOT NULL CHECK (kind IN ('noted', 'ended')),
    "words" TEXT NOT NULL, FOREIGN KEY ("course_id") REFERENCES "health_course" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "course_step_course_id" ON "course_step" ("course_id")',
    'CREATE INDEX "course_step_animal_id" ON "course_step" ("animal_id")',
)
