"""A backup as the window and the command line see it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path


class BackupReason(StrEnum):
    """Why a backup was made; the two `BEFORE_` kinds are what Undo of a restore and a failed upgrade go back to."""

    HOURLY = "hourly"
    CLOSE = "close"
    BY_HAND = "by-hand"
    BEFORE_RESTORE = "before-restore"
    BEFORE_UPGRADE = "before-upgrade"


@dataclass(frozen=True, slots=True)
class Backup:
    """One verified backup: a folder holding the collection's file and a manifest; photos lie beside all of them."""

    folder: Path
    made_at: dt.datetime
    reason: BackupReason
    #: format of the collection's file
    version: int
    #: size of the collection's file
    bytes: int
    sha256: str
    #: rows by table
    counts: Mapping[str, int]
    #: pictures the collection named when it was made, and how many of them could not be kept because they were gone
    photos: int
    photos_missing: int
    #: grows with every act and every issued code: equal marks mean nothing to back up
    mark: str

    @property
    def name(self) -> str:
        return self.folder.name
