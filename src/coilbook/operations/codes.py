"""Allotting printed codes: counted for ever forward, so that none is ever issued twice.

Each collection begins to count somewhere else. Did all begin at nought, the card of an animal bought from another
keeper would open whichever of one's own animals has that number.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence

from coilbook.labels.code import nth_body
from coilbook.records.vocabulary import CodeKind
from coilbook.storage.act import ActInHand

#: where a count can begin: half of all numbers, so that as many are left to count
STARTS = 1 << 24
#: for more codes than this at once all that were issued are read together
_MANY = 200


def issue_codes(act: ActInHand, kind: CodeKind, targets: Sequence[int]) -> list[str]:
    """Give each target row a code of this kind, inside the act; returns the bodies in order."""
    rows = act.rows("SELECT last FROM code_counter WHERE kind = ?", (str(kind.value),))
    count = int(rows[0][0]) if rows else _start(act)
    is_taken = _taken(act, len(targets))
    fresh: list[tuple[str, str, int, str]] = []
    for target in targets:
        body = None
        while body is None or is_taken(body):
            count += 1
            body = nth_body(kind, count)
        fresh.append((body, str(kind.value), target, act.now_text))
    act.run_many("INSERT INTO code (body, kind, target, issued_at) VALUES (?, ?, ?, ?)", fresh)
    act.run(
        "INSERT INTO code_counter (kind, last) VALUES (?, ?) ON CONFLICT (kind) DO UPDATE SET last = excluded.last",
        (str(kind.value), count),
    )
    return [body for body, *_ in fresh]


def _start(act: ActInHand) -> int:
    """Where this collection begins to count: drawn from the second its first code was wanted, and where that was."""
    ((at, device),) = act.rows("SELECT at, device FROM act ORDER BY id LIMIT 1")
    drawn = hashlib.sha256(f"{at}|{device}|{act.id}|{act.now_text}".encode()).digest()
    return int.from_bytes(drawn[:4], "big") % STARTS


def _taken(act: ActInHand, wanted: int) -> Callable[[str], bool]:
    """Tells whether a body is issued already: the counts of two kinds may come upon the same one."""
    if wanted > _MANY:
        return {str(body) for (body,) in act.rows("SELECT body FROM code")}.__contains__
    return lambda body: bool(act.rows("SELECT 1 FROM code WHERE body = ?", (body,)))
