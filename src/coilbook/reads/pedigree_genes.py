"""What the tree asks of the genetics of a collection: one gene's words for many animals at once.

The tree shows what is there: without a service it has no gene to choose and says nothing of genes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from coilbook.storage.collection import Collection


@dataclass(frozen=True, slots=True)
class Gene:
    """A gene that can be chosen: its stable key and the word a keeper says."""

    key: str
    name: str


@dataclass(frozen=True, slots=True)
class GeneWords:
    """One animal and one gene: the chance that it carries at least one copy, 0 to 1, with all evidence and on paper.

    None where there is no answer (not computed, a contradiction). `text` is the word beside the bar ("66% poss het",
    "visual", "0% assumed"), `paper_text` the same on paper; they are never mixed.
    """

    evidence: float | None
    paper: float | None
    text: str
    paper_text: str = ""

    @property
    def sure(self) -> bool:
        """True when the evidence leaves no doubt either way."""
        return self.evidence is not None and (self.evidence <= 0 or self.evidence >= 1)


class GeneService(Protocol):
    """Answers about genes; called on the worker for long reads."""

    def genes(self) -> tuple[Gene, ...]:
        """Genes that any animal of the collection may carry, in the order a keeper says them."""

    def gene_words(self, gene: str, animals: Iterable[int]) -> Mapping[int, GeneWords]:
        """Words of one gene for some animals; an animal without an answer is left out."""


def gene_service(collection: Collection, cancelled: Callable[[], bool] = lambda: False) -> GeneService | None:
    """The genetics of a collection as it stands now; None while nothing is said of any gene. Asked on a worker."""
    from coilbook.reads.pedigree_odds import KeptGenes

    service = KeptGenes(collection, cancelled)
    return service if service.genes() else None
