"""The form of an exported book.

The file is one JSON object (RFC 8259, UTF-8):

* ``format``: ``"coilbook book"``; ``version``: 1, raised when a reader of the old form would misread the new one.
* ``written_at``: when, UTC, ISO 8601; ``schema``: version of the tables it was written from.
* ``tables``: an object with one array for each record table, parents before children; a row is an object with the
  columns of the table. ``id`` is unique within its table, a column ``x_id`` names the ``id`` of a row of table x (or
  of animal for dam_id, sire_id, female_id, male_id and backup_id, of place for from_place_id, to_place_id and
  parent_id, of finding for corrects_id, of egg_box for box_id, of health_course for course_id, of egg_done for
  before_id). ``finding`` and ``own_gene`` are described beside their tables in `storage.tables`, those of clutches,
  eggs and boxes in `storage.egg_tables`, of seasons in `storage.season_tables`, of health in `storage.health_tables`.
* ``codes``: printed codes as ``{kind, body, target, issued_at}``; ``target`` is the id of an animal (kinds A and H),
  of a place (kind S) or of an egg box (kind E). ``code_counters``: how far each kind has been counted, so that none is
  issued twice.
* ``photo_folder``: name of the folder beside the file that holds the pictures as ``<sha256>.<ending>``.
* ``missing_photos``, where there are any: SHA-256 of pictures whose file was lost before the book was written.

Values: whole numbers, texts and null only. Columns ending in ``_dg`` are tenths of a gram, ``tenths`` tenths of a
degree Celsius, ``_minor`` hundredths of the currency; ``at`` and ``closed_at`` are the keeper's wall time
``YYYY-MM-DDTHH:MM``; dates are the first day they can mean with their precision beside them; 0 and 1 stand for no and
yes. Codes of results, kinds and statuses are those of `records.vocabulary`, `records.egg_vocabulary`,
`records.season_vocabulary` and `records.health_vocabulary`. The journal (who changed what, and undo) is not part of
the file: a backup holds it.
"""

from __future__ import annotations

FORMAT = "coilbook book"
VERSION = 1
