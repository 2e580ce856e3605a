"""Imports the rooms below the window before Qt is.

The Qt binding reads the source text of every module imported after it (for a feature nothing here uses); importing
these first saves a fifth of a second of the start, measured with 100 modules. A test starts the window and names what
is missing here.
"""

from __future__ import annotations

import concurrent.futures.thread
import csv
import html

import coilbook.app.crash
import coilbook.derived.summary
import coilbook.intake.dates
import coilbook.operations.animals
import coilbook.operations.bulk
import coilbook.operations.moving
import coilbook.operations.undo
import coilbook.reads.behind_cell
import coilbook.reads.codes
import coilbook.reads.filter
import coilbook.reads.filter_next
import coilbook.reads.herd
import coilbook.reads.herd_rows
import coilbook.reads.herd_snapshot
import coilbook.reads.lookup
import coilbook.reads.named
import coilbook.reads.people
import coilbook.reads.places
import coilbook.reads.views
import coilbook.scanning.camera
import coilbook.scanning.wedge
import coilbook.storage.backup
import coilbook.wording.acts
import coilbook.wording.resources
import coilbook.wording.texts

ROOMS = (
    concurrent.futures.thread,
    csv,
    html,
    coilbook.app.crash,
    coilbook.derived.summary,
    coilbook.intake.dates,
    coilbook.operations.animals,
    coilbook.operations.bulk,
    coilbook.operations.moving,
    coilbook.operations.undo,
    coilbook.reads.behind_cell,
    coilbook.reads.codes,
    coilbook.reads.filter,
    coilbook.reads.filter_next,
    coilbook.reads.herd,
    coilbook.reads.herd_rows,
    coilbook.reads.herd_snapshot,
    coilbook.reads.lookup,
    coilbook.reads.named,
    coilbook.reads.people,
    coilbook.reads.places,
    coilbook.reads.views,
    coilbook.scanning.camera,
    coilbook.scanning.wedge,
    coilbook.storage.backup,
    coilbook.wording.acts,
    coilbook.wording.resources,
    coilbook.wording.texts,
)
