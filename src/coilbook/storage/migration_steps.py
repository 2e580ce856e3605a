"""The steps from one format of the file to the next, frozen: plain SQL that depends on nothing that changes.

A step never uses the models of today. Columns it renames, adds or drops it also renames, adds and drops in the
journal's `before` rows, so that the journal always speaks of the present columns and acts older than the step can be
undone.
Never edit a step that has been in a release; write the next one.
"""

from __future__ import annotations

from collections.abc import Mapping

from coilbook.storage.migration_eggs import EGGS_TO_2, EGGS_TO_3
from coilbook.storage.migration_health import HEALTH_TO_3
from coilbook.storage.migration_season import SEASON_TO_2

_TO_2 = (
    # animal: "feeding_remark" is called "feeding_note", and how sure a sex is lies between a guess and certain
    """CREATE TABLE "animal_2" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "keeper_id" TEXT NOT NULL,
    "name" TEXT NOT NULL, "species" TEXT NOT NULL, "sex" TEXT NOT NULL CHECK (sex IN ('male', 'female', 'unsexed')),
    "sex_percent" INTEGER NOT NULL CHECK (sex_percent BETWEEN 50 AND 100), "sex_basis" TEXT NOT NULL CHECK
    (sex_basis IN ('popped', 'probed', 'bred', 'shed_test', 'seller', 'looks', 'unknown')), "genetics" TEXT NOT NULL,
    "hatched" TEXT, "hatched_precision" TEXT CHECK (hatched_precision IN ('day', 'month', 'season', 'year')),
    "origin" TEXT NOT NULL CHECK (origin IN ('bred_here', 'bought', 'swapped', 'loan', 'rescue', 'gift', 'unknown')),
    "status" TEXT NOT NULL CHECK (status IN ('here', 'sold', 'dead', 'loan', 'lost', 'outside')),
    "dam_id" INTEGER, "place_id" INTEGER, "microchip" TEXT NOT NULL, "temperament" TEXT NOT NULL,
    "holdback" TEXT NOT NULL, "retired" INTEGER NOT NULL, "breeder_male_only" INTEGER NOT NULL,
    "interval_days" INTEGER CHECK (interval_days IS NULL OR interval_days > 0), "prey_kind" TEXT NOT NULL,
    "prey_state" TEXT NOT NULL CHECK (prey_state IN ('ft', 'pk', 'live')), "feeding_note" TEXT NOT NULL,
    "cover_photo" INTEGER, FOREIGN KEY ("dam_id") REFERENCES "animal" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("place_id") REFERENCES "place" ("id") ON DELETE RESTRICT) STRICT""",
    """INSERT INTO animal_2 SELECT id, keeper_id, name, species, sex, min(max(sex_percent, 50), 100), sex_basis,
    genetics, hatched, hatched_precision, origin, status, dam_id, place_id, microchip, temperament, holdback, retired,
    breeder_male_only, interval_days, prey_kind, prey_state, feeding_remark, cover_photo FROM animal""",
    "DROP TABLE animal",
    "ALTER TABLE animal_2 RENAME TO animal",
    'CREATE INDEX "animal_keeper_id" ON "animal" ("keeper_id")',
    'CREATE INDEX "animal_dam_id" ON "animal" ("dam_id")',
    'CREATE INDEX "animal_place_id" ON "animal" ("place_id")',
    """UPDATE change SET before = json_remove(json_set(before,
    '$.feeding_note', json_extract(before, '$.feeding_remark'),
    '$.sex_percent', min(max(json_extract(before, '$.sex_percent'), 50), 100)), '$.feeding_remark')
    WHERE tbl = 'animal' AND before IS NOT NULL""",
    # cleaning: who lived in the tub then
    'ALTER TABLE cleaning ADD COLUMN "animal_id" INTEGER REFERENCES "animal" ("id") ON DELETE RESTRICT',
    'CREATE INDEX "cleaning_animal_id" ON "cleaning" ("animal_id")',
    "UPDATE change SET before = json_set(before, '$.animal_id', NULL) WHERE tbl = 'cleaning' AND before IS NOT NULL",
    # act: how many rows it changed, and further acts an undo took back
    """CREATE TABLE "act_2" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" TEXT NOT NULL, "at" TEXT NOT NULL,
    "device" TEXT NOT NULL, "person" INTEGER, "person_name" TEXT NOT NULL, "detail" TEXT NOT NULL, "undoes" INTEGER,
    "undoes_also" TEXT NOT NULL, "size" INTEGER NOT NULL, "in_force" INTEGER NOT NULL) STRICT""",
    """INSERT INTO act_2 SELECT id, kind, at, device, person, person_name, detail, undoes, '',
    (SELECT count(*) FROM change WHERE change.act = act.id), in_force FROM act""",
    "DROP TABLE act",
    "ALTER TABLE act_2 RENAME TO act",
    'CREATE INDEX "act_undoes" ON "act" ("undoes")',
    # what a restore came from, and the backup that was made before it
    """CREATE TABLE "restored" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "act" INTEGER NOT NULL,
    "came_from" TEXT NOT NULL, "before" TEXT NOT NULL) STRICT""",
    'CREATE UNIQUE INDEX "restored_act" ON "restored" ("act")',
    # sire: whether every egg of a litter may have its own
    'ALTER TABLE sire ADD COLUMN "each_own" INTEGER NOT NULL DEFAULT 0',
    "UPDATE change SET before = json_set(before, '$.each_own', 0) WHERE tbl = 'sire' AND before IS NOT NULL",
    # feeding: its index also answers how an offer ended
    'DROP INDEX "feeding_animal_id_at"',
    'CREATE INDEX "feeding_animal_id_at_result" ON "feeding" ("animal_id", "at", "result")',
    # what was found out of an animal's genetics, and the keeper's own catalogue
    """CREATE TABLE "finding" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "animal_id" INTEGER NOT NULL,
    "at" TEXT NOT NULL, "kind" TEXT NOT NULL CHECK
    (kind IN ('seen', 'not_seen', 'test', 'proven', 'assumed', 'card', 'retracted')), "locus" TEXT NOT NULL,
    "gene" TEXT NOT NULL, "looks" TEXT NOT NULL,
    "copies" INTEGER CHECK (copies IS NULL OR copies BETWEEN 0 AND 2),
    "ppm" INTEGER NOT NULL CHECK (ppm BETWEEN 0 AND 1000000), "person_id" INTEGER, "source" TEXT NOT NULL,
    "note" TEXT NOT NULL, "corrects_id" INTEGER,
    FOREIGN KEY ("animal_id") REFERENCES "animal" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("person_id") REFERENCES "person" ("id") ON DELETE RESTRICT,
    FOREIGN KEY ("corrects_id") REFERENCES "finding" ("id") ON DELETE RESTRICT) STRICT""",
    'CREATE INDEX "finding_animal_id_locus" ON "finding" ("animal_id", "locus")',
    'CREATE INDEX "finding_person_id" ON "finding" ("person_id")',
    'CREATE INDEX "finding_corrects_id" ON "finding" ("corrects_id")',
    """CREATE TABLE "own_gene" ("id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, "species" TEXT NOT NULL,
    "kind" TEXT NOT NULL CHECK
    (kind IN ('gene', 'complex', 'pair', 'caution', 'combination', 'line', 'merge')),
    "key" TEXT NOT NULL, "body" TEXT NOT NULL) STRICT""",
    'CREATE UNIQUE INDEX "own_gene_species_kind_key" ON "own_gene" ("species", "kind", "key")',
    *EGGS_TO_2,
    *SEASON_TO_2,
)

_TO_3 = (*HEALTH_TO_3, *EGGS_TO_3)

#: statements that bring a file to the format named, from the one before it
STEPS: Mapping[int, tuple[str, ...]] = {2: _TO_2, 3: _TO_3}
OLDEST_KNOWN = 1
