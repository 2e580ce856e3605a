"""Allotting printed codes: counted for ever forward, so that none is ever issued twice."""

from __future__ import annotations

from collections.abc import Iterable

from coilbook.labels.code import nth_body
from coilbook.records.vocabulary import CodeKind
from coilbook.storage.act import ActInHand


def issue_codes(act: ActInHand, kind: CodeKind, targets: Iterable[int]) -> list[str]:
    """Give each target row a code of this kind, inside the act; returns the bodies in order."""
    rows = act.rows("SELECT last FROM code_counter WHERE kind = ?", (str(kind.value),))
    count = int(rows[0][0]) if rows else 0
    fresh: list[tuple[str, str, int, str]] = []
    for target in targets:
        body = None
        while body is None:
            count += 1
            body = nth_body(kind, count)
        fresh.append((body, str(kind.value), target, act.now_text))
    act.run_many("INSERT INTO code (body, kind, target, issued_at) VALUES (?, ?, ?, ?)", fresh)
    act.run(
        "INSERT INTO code_counter (kind, last) VALUES (?, ?) ON CONFLICT (kind) DO UPDATE SET last = excluded.last",
        (str(kind.value), count),
    )
    return [body for body, *_ in fresh]
