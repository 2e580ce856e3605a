"""Imports the rooms below the window before Qt is.

The Qt binding reads the source text of every module imported after it (for a feature nothing here uses); importing
these first saves a fifth of a second of the start, measured with 100 modules.
"""

from __future__ import annotations

import coilbook.derived.summary
import coilbook.operations.animals
import coilbook.operations.moving
import coilbook.operations.undo
import coilbook.reads.filter
import coilbook.reads.herd
import coilbook.reads.named
import coilbook.scanning.wedge
import coilbook.storage.backup

ROOMS = (
    coilbook.derived.summary,
    coilbook.operations.animals,
    coilbook.operations.moving,
    coilbook.operations.undo,
    coilbook.reads.filter,
    coilbook.reads.herd,
    coilbook.reads.named,
    coilbook.scanning.wedge,
    coilbook.storage.backup,
)
