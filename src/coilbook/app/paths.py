"""Where the program keeps what is not in the checkout: collections, state of the window, the log."""

from __future__ import annotations

from pathlib import Path

from platformdirs import PlatformDirs

_DIRS = PlatformDirs("coilbook", appauthor=False)


def default_collection() -> Path:
    """The folder of the collection that opens when none is named."""
    return Path(_DIRS.user_data_path) / "collection"


def log_file() -> Path:
    """The log, kept in rotation."""
    return Path(_DIRS.user_state_path) / "coilbook.log"


def window_state() -> Path:
    """Where the window stood."""
    return Path(_DIRS.user_state_path) / "window.json"
