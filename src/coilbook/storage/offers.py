"""What to offer when a collection cannot be opened: its backups, named in the same sentence."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coilbook.records.message import StorageTrouble, say
from coilbook.storage.backup import listed_for

#: kinds of trouble a restore can mend
MENDED_BY_RESTORE = frozenset({"damaged", "foreign", "absent"})


@contextmanager
def offering_backups(folder: Path) -> Iterator[None]:
    """Run an opening; when the file is lost or damaged and there are backups, say so with the newest one's name."""
    try:
        yield
    except StorageTrouble as trouble:
        newest = next(iter(listed_for(folder)), None) if trouble.kind in MENDED_BY_RESTORE else None
        if newest is None:
            raise
        said = say(
            "{trouble} The newest backup is of {when}; restoring it keeps what is there now aside.",
            trouble=trouble.message,
            when=newest.made_at,
        )
        raise StorageTrouble(said, trouble.kind) from trouble
