"""Part of the step to format 2, frozen: pairings, what is seen of females in season, and forecasts as made."""

from __future__ import annotations

SEASON_TO_2: tuple[str, ...] = (
    """CREATE TABLE "shed_mark" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "shed_id" INTEGER NOT NULL, "was"
    TEXT NOT NULL CHECK (was IN ('pre_lay', 'ordinary', 'unsure')), FOREIGN KEY ("shed_id") REFERENCES "shed"
    ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE UNIQUE INDEX "shed_mark_shed_id" ON "shed_mark" ("shed_id")',
    """CREATE TABLE "pairing_plan" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "female_id" INTEGER NOT NULL,
    "male_id" INTEGER NOT NULL, "backup_id" INTEGER, "made_on" TEXT NOT NULL, "day" TEXT, "target" TEXT NOT
    NULL, "reason" TEXT NOT NULL, "state" TEXT NOT NULL CHECK (state IN ('open', 'done', 'dropped')), "note"
    TEXT NOT NULL, FOREIGN KEY ("female_id") REFERENCES "animal" ("id") ON DELETE RESTRICT, FOREIGN KEY
    ("male_id") REFERENCES "animal" ("id") ON DELETE RESTRICT, FOREIGN KEY ("backup_id") REFERENCES "animal"
    ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "pairing_plan_female_id" ON "pairing_plan" ("female_id")',
    'CREATE INDEX "pairing_plan_male_id" ON "pairing_plan" ("male_id")',
    'CREATE INDEX "pairing_plan_backup_id" ON "pairing_plan" ("backup_id")',
    """CREATE TABLE "stay" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "female_id" INTEGER NOT NULL,
    "male_id" INTEGER NOT NULL, "place_id" INTEGER, "at" TEXT NOT NULL, "until" TEXT CHECK (until IS NULL OR
    until >= at), "in_spite" TEXT NOT NULL, "note" TEXT NOT NULL, FOREIGN KEY ("female_id") REFERENCES "animal"
    ("id") ON DELETE RESTRICT, FOREIGN KEY ("male_id") REFERENCES "animal" ("id") ON DELETE RESTRICT, FOREIGN
    KEY ("place_id") REFERENCES "place" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "stay_place_id" ON "stay" ("place_id")',
    'CREATE INDEX "stay_female_id_at" ON "stay" ("female_id", "at")',
    'CREATE INDEX "stay_male_id_at" ON "stay" ("male_id", "at")',
    """CREATE TABLE "lock_seen" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "stay_id" INTEGER NOT NULL, "at"
    TEXT NOT NULL, "certainty" TEXT NOT NULL CHECK (certainty IN ('lock', 'likely', 'courting')), "note" TEXT
    NOT NULL, FOREIGN KEY ("stay_id") REFERENCES "stay" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "lock_seen_stay_id" ON "lock_seen" ("stay_id")',
    """CREATE TABLE "follicle" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL, "at"
    TEXT NOT NULL, "method" TEXT NOT NULL CHECK (method IN ('palpation', 'ultrasound')), "mm_tenths" INTEGER
    CHECK ((mm_tenths IS NULL) = (method = 'palpation')), "grade" INTEGER CHECK ((grade IS NULL) = (method =
    'ultrasound')), "count_left" INTEGER, "count_right" INTEGER, "typed" TEXT NOT NULL, "note" TEXT NOT NULL,
    FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "follicle_animal_id_at" ON "follicle" ("animal_id", "at")',
    """CREATE TABLE "ovulation" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL,
    "at" TEXT NOT NULL, "certainty" TEXT NOT NULL CHECK (certainty IN ('seen', 'photo', 'inferred', 'unsure')),
    "doubt_days" INTEGER CHECK (doubt_days IS NULL OR doubt_days >= 0), "note" TEXT NOT NULL, FOREIGN KEY
    ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "ovulation_animal_id_at" ON "ovulation" ("animal_id", "at")',
    """CREATE TABLE "rack_cooling" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "place_id" INTEGER NOT NULL,
    "since" TEXT NOT NULL, "until" TEXT CHECK (until IS NULL OR until >= since), "night_tenths" INTEGER, "note"
    TEXT NOT NULL, FOREIGN KEY ("place_id") REFERENCES "place" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "rack_cooling_place_id" ON "rack_cooling" ("place_id")',
    """CREATE TABLE "season_outcome" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT
    NULL, "at" TEXT NOT NULL, "outcome" TEXT NOT NULL CHECK (outcome IN ('resorbed', 'did_not_take',
    'skipped')), "note" TEXT NOT NULL, FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT)
    STRICT""",
    'CREATE INDEX "season_outcome_animal_id" ON "season_outcome" ("animal_id")',
    """CREATE TABLE "forecast_made" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL,
    "season" TEXT NOT NULL, "event" TEXT NOT NULL, "anchor" TEXT NOT NULL, "made_on" TEXT NOT NULL, "first_50"
    TEXT NOT NULL, "last_50" TEXT NOT NULL, "ppm_50" INTEGER NOT NULL, "first_80" TEXT NOT NULL, "last_80" TEXT
    NOT NULL, "ppm_80" INTEGER NOT NULL, "first_95" TEXT NOT NULL, "last_95" TEXT NOT NULL, "ppm_95" INTEGER NOT
    NULL, FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "forecast_made_animal_id_season_event" ON "forecast_made" ("animal_id", "season", "event")',
)
