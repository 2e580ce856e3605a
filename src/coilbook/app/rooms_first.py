"""Imports the rooms below the window before Qt is.

The Qt binding reads the source text of every module imported after it (for a feature nothing here uses); importing
these first saves a fifth of a second of the start, measured with 100 modules. A test starts the window and names what
is missing here.
"""

# ruff: noqa: F401 - each import is here for being made early
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
import coilbook.reads.cell_safety
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
