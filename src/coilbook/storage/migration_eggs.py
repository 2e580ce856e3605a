"""Parts of the steps to formats 2 and 3, frozen: clutches, eggs, their boxes and incubators, hatching, open doubts."""

from __future__ import annotations

EGGS_TO_2: tuple[str, ...] = (
    # photo: also of an egg or a box
    """CREATE TABLE "photo_2" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER, "egg_id" INTEGER,
    "box_id" INTEGER, "at" TEXT NOT NULL, "sha256" TEXT NOT NULL, "ending" TEXT NOT NULL, "angle" TEXT NOT NULL CHECK
    (angle IN ('top', 'side', 'belly', 'head', 'tail', 'unsaid')), "caption" TEXT NOT NULL,
    "original_name" TEXT NOT NULL, FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("egg_id") REFERENCES "egg" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("box_id") REFERENCES "egg_box" ("id") ON DELETE RESTRICT) STRICT""",
    """INSERT INTO photo_2 SELECT id, animal_id, NULL, NULL, at, sha256, ending, angle, caption, original_name
    FROM photo""",
    "DROP TABLE photo",
    "ALTER TABLE photo_2 RENAME TO photo",
    'CREATE INDEX "photo_animal_id" ON "photo" ("animal_id")',
    'CREATE INDEX "photo_egg_id" ON "photo" ("egg_id")',
    'CREATE INDEX "photo_box_id" ON "photo" ("box_id")',
    'CREATE INDEX "photo_sha256" ON "photo" ("sha256")',
    """UPDATE change SET before = json_set(before, '$.egg_id', NULL, '$.box_id', NULL)
    WHERE tbl = 'photo' AND before IS NOT NULL""",
    """CREATE TABLE "incubator" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "name" TEXT NOT NULL, "set_tenths"
    INTEGER, "shelves" TEXT NOT NULL, "per_shelf" INTEGER NOT NULL CHECK (per_shelf BETWEEN 1 AND 12), "note"
    TEXT NOT NULL) STRICT""",
    'CREATE UNIQUE INDEX "incubator_name" ON "incubator" ("name")',
    """CREATE TABLE "incubator_reading" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "incubator_id" INTEGER NOT
    NULL, "at" TEXT NOT NULL, "tenths" INTEGER NOT NULL, "least_tenths" INTEGER, "most_tenths" INTEGER,
    "humidity" INTEGER CHECK (humidity IS NULL OR humidity BETWEEN 0 AND 100), "shelf" INTEGER, "source" TEXT
    NOT NULL CHECK (source IN ('probe', 'eye')), "typed" TEXT NOT NULL, "note" TEXT NOT NULL,
    FOREIGN KEY ("incubator_id") REFERENCES "incubator" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "incubator_reading_incubator_id_at" ON "incubator_reading" ("incubator_id", "at")',
    """CREATE TABLE "logger_day" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "incubator_id" INTEGER NOT NULL,
    "day" TEXT NOT NULL, "readings" TEXT NOT NULL, FOREIGN KEY ("incubator_id") REFERENCES "incubator" ("id") ON
    DELETE RESTRICT) STRICT""",
    'CREATE INDEX "logger_day_incubator_id" ON "logger_day" ("incubator_id")',
    'CREATE UNIQUE INDEX "logger_day_incubator_id_day" ON "logger_day" ("incubator_id", "day")',
    """CREATE TABLE "egg_box" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "label" TEXT NOT NULL, "incubator_id"
    INTEGER, "shelf" INTEGER, "spot" INTEGER, "set_up" TEXT NOT NULL, "medium" TEXT NOT NULL CHECK (medium IN
    ('vermiculite', 'perlite', 'mix', 'grid')), "dry_dg" INTEGER CHECK (dry_dg IS NULL OR dry_dg > 0),
    "water_dg" INTEGER CHECK (water_dg IS NULL OR water_dg > 0), "start_dg" INTEGER CHECK (start_dg IS NULL OR
    start_dg > 0), "lid" TEXT NOT NULL CHECK (lid IN ('with', 'without')), "emptied" TEXT, "note" TEXT NOT NULL,
    FOREIGN KEY ("incubator_id") REFERENCES "incubator" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "egg_box_label" ON "egg_box" ("label")',
    'CREATE INDEX "egg_box_incubator_id" ON "egg_box" ("incubator_id")',
    """CREATE TABLE "clutch" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "label" TEXT NOT NULL, "dam_id" INTEGER,
    "laid" TEXT NOT NULL, "laid_precision" TEXT NOT NULL CHECK (laid_precision IN ('day', 'month', 'season',
    'year')), "laid_doubt_days" INTEGER NOT NULL CHECK (laid_doubt_days >= 0), "mass_dg" INTEGER CHECK (mass_dg
    IS NULL OR mass_dg > 0), "mass_kind" TEXT NOT NULL CHECK (mass_kind IN ('eggs', 'clump')), "maternal"
    INTEGER NOT NULL, "each_own" INTEGER NOT NULL, "note" TEXT NOT NULL, FOREIGN KEY ("dam_id") REFERENCES
    "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "clutch_label" ON "clutch" ("label")',
    'CREATE INDEX "clutch_dam_id" ON "clutch" ("dam_id")',
    """CREATE TABLE "clutch_sire" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "clutch_id" INTEGER NOT NULL,
    "sire_id" INTEGER NOT NULL, "percent" INTEGER NOT NULL CHECK (percent BETWEEN 1 AND 100), FOREIGN KEY
    ("clutch_id") REFERENCES "clutch" ("id") ON DELETE RESTRICT, FOREIGN KEY ("sire_id") REFERENCES "animal"
    ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "clutch_sire_clutch_id" ON "clutch_sire" ("clutch_id")',
    'CREATE INDEX "clutch_sire_sire_id" ON "clutch_sire" ("sire_id")',
    'CREATE UNIQUE INDEX "clutch_sire_clutch_id_sire_id" ON "clutch_sire" ("clutch_id", "sire_id")',
    """CREATE TABLE "egg" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "clutch_id" INTEGER NOT NULL, "number"
    INTEGER NOT NULL CHECK (number > 0), "box_id" INTEGER, "x" INTEGER CHECK (x IS NULL OR x BETWEEN 0 AND
    1000), "y" INTEGER CHECK (y IS NULL OR y BETWEEN 0 AND 1000), "mass_dg" INTEGER CHECK (mass_dg IS NULL OR
    mass_dg > 0), "length_mm" INTEGER CHECK (length_mm IS NULL OR length_mm > 0), "width_mm" INTEGER CHECK
    (width_mm IS NULL OR width_mm > 0), "twin_suspected" INTEGER NOT NULL, "stuck" INTEGER NOT NULL, "note" TEXT
    NOT NULL, FOREIGN KEY ("clutch_id") REFERENCES "clutch" ("id") ON DELETE RESTRICT, FOREIGN KEY ("box_id")
    REFERENCES "egg_box" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "egg_clutch_id" ON "egg" ("clutch_id")',
    'CREATE INDEX "egg_box_id" ON "egg" ("box_id")',
    'CREATE UNIQUE INDEX "egg_clutch_id_number" ON "egg" ("clutch_id", "number")',
    """CREATE TABLE "box_look" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "box_id" INTEGER NOT NULL, "at" TEXT
    NOT NULL, "fine" INTEGER NOT NULL, "total_dg" INTEGER CHECK (total_dg IS NULL OR total_dg > 0), "lid" TEXT
    NOT NULL CHECK (lid IN ('with', 'without')), "eggs_dg" INTEGER CHECK (eggs_dg IS NULL OR eggs_dg > 0),
    "drops_under_lid" INTEGER CHECK (drops_under_lid IN (0, 1)), "smell" INTEGER CHECK (smell IN (0, 1)), "note"
    TEXT NOT NULL, FOREIGN KEY ("box_id") REFERENCES "egg_box" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "box_look_box_id_at" ON "box_look" ("box_id", "at")',
    """CREATE TABLE "box_water" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "box_id" INTEGER NOT NULL, "at" TEXT
    NOT NULL, "added_dg" INTEGER NOT NULL CHECK (added_dg > 0), "note" TEXT NOT NULL, FOREIGN KEY ("box_id")
    REFERENCES "egg_box" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "box_water_box_id_at" ON "box_water" ("box_id", "at")',
    """CREATE TABLE "egg_look" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "egg_id" INTEGER NOT NULL, "at" TEXT
    NOT NULL, "verdict" TEXT NOT NULL CHECK (verdict IN ('good', 'doubtful', 'slug', 'dead', 'unsaid')), "veins"
    TEXT NOT NULL CHECK (veins IN ('clear', 'faint', 'none', 'unsaid')), "dents" TEXT NOT NULL CHECK (dents IN
    ('none', 'slight', 'deep', 'unsaid')), "thin_shell" INTEGER CHECK (thin_shell IN (0, 1)), "wet" INTEGER
    CHECK (wet IN (0, 1)), "mould" INTEGER CHECK (mould IN (0, 1)), "turned" INTEGER CHECK (turned IN (0, 1)),
    "mass_dg" INTEGER CHECK (mass_dg IS NULL OR mass_dg > 0), "note" TEXT NOT NULL, FOREIGN KEY ("egg_id")
    REFERENCES "egg" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "egg_look_egg_id_at" ON "egg_look" ("egg_id", "at")',
    """CREATE TABLE "egg_done" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "egg_id" INTEGER, "box_id" INTEGER,
    "at" TEXT NOT NULL, "what" TEXT NOT NULL CHECK (what IN ('wiped', 'treated', 'damp_cover', 'cover_off',
    'water', 'vented', 'moved', 'separated', 'cut_before_pip', 'cut_after_pip', 'removed', 'other')), "how" TEXT
    NOT NULL, "why" TEXT NOT NULL, "away_dg" INTEGER CHECK (away_dg IS NULL OR away_dg > 0), "came_of_it" TEXT
    NOT NULL CHECK (came_of_it IN ('better', 'same', 'worse', 'unsaid')), "seen_at" TEXT, "note" TEXT NOT NULL,
    FOREIGN KEY ("egg_id") REFERENCES "egg" ("id") ON DELETE RESTRICT, FOREIGN KEY ("box_id") REFERENCES
    "egg_box" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "egg_done_egg_id" ON "egg_done" ("egg_id")',
    'CREATE INDEX "egg_done_box_id" ON "egg_done" ("box_id")',
    """CREATE TABLE "hatching" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "egg_id" INTEGER NOT NULL, "twin" TEXT
    NOT NULL CHECK (twin IN ('', 'a', 'b')), "event" TEXT NOT NULL CHECK (event IN ('pip', 'out',
    'dead_in_shell')), "at" TEXT NOT NULL, "not_yet_at" TEXT, "assisted" INTEGER NOT NULL, "note" TEXT NOT NULL,
    FOREIGN KEY ("egg_id") REFERENCES "egg" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "hatching_egg_id" ON "hatching" ("egg_id")',
    'CREATE UNIQUE INDEX "hatching_egg_id_twin_event" ON "hatching" ("egg_id", "twin", "event")',
    """CREATE TABLE "hatchling" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL,
    "egg_id" INTEGER NOT NULL, "twin" TEXT NOT NULL CHECK (twin IN ('', 'a', 'b')), "navel" TEXT NOT NULL CHECK
    (navel IN ('closed', 'open', 'yolk', 'unsaid')), "defects" TEXT NOT NULL, "note" TEXT NOT NULL, FOREIGN KEY
    ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT, FOREIGN KEY ("egg_id") REFERENCES "egg" ("id")
    ON DELETE RESTRICT) STRICT""",
    'CREATE UNIQUE INDEX "hatchling_animal_id" ON "hatchling" ("animal_id")',
    'CREATE INDEX "hatchling_egg_id" ON "hatchling" ("egg_id")',
    'CREATE UNIQUE INDEX "hatchling_egg_id_twin" ON "hatchling" ("egg_id", "twin")',
    """CREATE TABLE "doubt" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" TEXT NOT NULL CHECK (kind IN
    ('fertile', 'alive', 'smell', 'sire', 'sex', 'gene', 'other')), "clutch_id" INTEGER, "egg_id" INTEGER,
    "box_id" INTEGER, "animal_id" INTEGER, "asked_on" TEXT NOT NULL, "question" TEXT NOT NULL, "candidates" TEXT
    NOT NULL, "settles_by" TEXT NOT NULL, "look_again" TEXT, "settled_on" TEXT CHECK ((settled_on IS NULL) =
    (answer = '')), "settled_by" TEXT NOT NULL, "answer" TEXT NOT NULL, FOREIGN KEY ("clutch_id") REFERENCES
    "clutch" ("id") ON DELETE RESTRICT, FOREIGN KEY ("egg_id") REFERENCES "egg" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("box_id") REFERENCES "egg_box" ("id") ON DELETE RESTRICT, FOREIGN KEY ("animal_id") REFERENCES
    "animal" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "doubt_clutch_id" ON "doubt" ("clutch_id")',
    'CREATE INDEX "doubt_egg_id" ON "doubt" ("egg_id")',
    'CREATE INDEX "doubt_box_id" ON "doubt" ("box_id")',
    'CREATE INDEX "doubt_animal_id" ON "doubt" ("animal_id")',
)

EGGS_TO_3: tuple[str, ...] = (
    # egg: whether its top was marked; photo: what was done after it was taken
    'ALTER TABLE egg ADD COLUMN "up_mark" INTEGER CHECK (up_mark IN (0, 1))',
    "UPDATE change SET before = json_set(before, '$.up_mark', NULL) WHERE tbl = 'egg' AND before IS NOT NULL",
    'ALTER TABLE photo ADD COLUMN "before_id" INTEGER REFERENCES "egg_done" ("id") ON DELETE RESTRICT',
    'CREATE INDEX "photo_before_id" ON "photo" ("before_id")',
    "UPDATE change SET before = json_set(before, '$.before_id', NULL) WHERE tbl = 'photo' AND before IS NOT NULL",
)
