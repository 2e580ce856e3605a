"""What an act changed, read back from the journal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from coilbook.records.ids import ActId
from coilbook.records.message import Message
from coilbook.records.vocabulary import Act

T = TypeVar("T")

#: record tables whose rows the odds of animals rest on
ODDS_REST_ON = ("animal", "sire", "claim", "finding", "own_gene", "import_answer")


@dataclass(frozen=True, slots=True)
class Changes:
    """Row ids touched, by record table; `animals` are the animals any of those rows belong to."""

    act: ActId | None = None
    rows: Mapping[str, frozenset[int]] = field(default_factory=dict)
    animals: frozenset[int] = frozenset()
    #: too much changed to list, or another program wrote: reread everything
    everything: bool = False

    def touches(self, *tables: str) -> bool:
        """True when any row of any of these tables changed."""
        return self.everything or any(self.rows.get(table) for table in tables)


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T]):
    """What an operation made, what it changed, and the one line that tells it."""

    value: T
    changes: Changes
    kind: Act
    notice: Message
    warnings: tuple[Message, ...] = ()
