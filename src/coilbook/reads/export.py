"""Everything out again: one file a table, one workbook, or one JSON file that goes back in."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path

from coilbook.reads.export_book import write_book
from coilbook.reads.export_tables import Cancel, Progress, Steps, one_state, write_csv, write_xlsx
from coilbook.storage.collection import Collection


class ExportFormat(StrEnum):
    CSV = "csv"
    XLSX = "xlsx"
    JSON = "json"


_WRITERS: dict[ExportFormat, Callable[[Collection, Path, Steps], list[Path]]] = {
    ExportFormat.CSV: write_csv,
    ExportFormat.XLSX: write_xlsx,
    ExportFormat.JSON: write_book,
}


def export_everything(
    collection: Collection,
    *,
    form: ExportFormat,
    to: Path,
    progress: Progress | None = None,
    cancelled: Cancel | None = None,
) -> list[Path]:
    """Write all records to `to`: a folder for CSV, a file for XLSX and JSON; returns what was written.

    All tables show one state of the collection. Raises `Refusal` when stopped, `StorageTrouble` when the disk refuses.
    """
    with one_state(collection):
        return _WRITERS[form](collection, to, Steps(collection, progress, cancelled))
