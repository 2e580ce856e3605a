"""Which picture files a collection names, in its rows and in its journal."""

from __future__ import annotations

import sqlite3


def named_photos(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    """(SHA-256, ending) of every picture a row names or an undo could name again."""
    rows = connection.execute(
        "SELECT sha256, ending FROM photo UNION "
        "SELECT json_extract(before, '$.sha256'), json_extract(before, '$.ending') "
        "FROM change WHERE tbl = 'photo' AND before IS NOT NULL ORDER BY 1"
    )
    return [(str(sha256), str(ending)) for sha256, ending in rows.fetchall() if sha256]
