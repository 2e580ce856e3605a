"""The genes of a collection for the tree: one gene's odds for many animals, from the kept genetics.

Asked on a worker: the kept genetics may have to compute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd, book_of
from coilbook.derived.genetics_locus import CERTAIN, LocusView
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.paper import PaperValue, rounded_down
from coilbook.reads.genetics_words import LEAST
from coilbook.reads.genetics_young import showing
from coilbook.reads.pedigree_genes import Gene, GeneWords
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection
from coilbook.wording.language import translated


class KeptGenes:
    """Answers of the genetics of one collection as it stands when this is made."""

    def __init__(self, collection: Collection, cancelled: Callable[[], bool] = lambda: False) -> None:
        self._genetics: Genetics = book_of(collection).current(cancelled)

    def genes(self) -> tuple[Gene, ...]:
        """Genes that any animal may carry, with evidence or on paper, in the order of the catalogues."""
        found: dict[str, Gene] = {}
        for herd in self._genetics.herds.values():
            for view in herd.loci.values():
                laws = view.answer.all_posteriors()
                for allele in range(1, len(view.states.locus.alleles)):
                    chances = laws[:, view.states.copies(allele) > 0].sum(axis=1)
                    # a family that contradicts itself has no answer, but its gene is in play
                    if (np.isnan(chances) | (chances > LEAST)).any():
                        key = view.states.locus.alleles[allele]
                        found.setdefault(key, Gene(key, herd.inputs.catalogue.genes[key].name))
        return tuple(found.values())

    def gene_words(self, gene: str, animals: Iterable[int]) -> Mapping[int, GeneWords]:
        """Words of one gene for some animals; species that do not have it are left out."""
        found: dict[int, GeneWords] = {}
        wanted = list(animals)
        for herd in self._genetics.herds.values():
            view = _view(herd, gene)
            if view is not None:
                allele = view.states.locus.allele_index(gene)
                shows = showing(view, allele)
                for animal in wanted:
                    place = herd.rows.place.get(AnimalId(animal))
                    if place is not None:
                        found[animal] = _words(view, allele, shows, place)
        return found


def _view(herd: Herd, gene: str) -> LocusView | None:
    genes = herd.inputs.catalogue.genes
    return herd.loci.get(genes[gene].locus) if gene in genes else None


def _words(view: LocusView, allele: int, shows: np.ndarray[tuple[int], np.dtype[np.bool_]], place: int) -> GeneWords:
    recessive = view.states.locus.inheritance(allele) is Inheritance.RECESSIVE
    paper = view.paper.value(place, allele)
    on_paper = float(paper.carrier) if paper is not None else None
    paper_text = _on_paper(paper, recessive)
    law = view.law(place)
    if np.isnan(law).any():
        return GeneWords(None, on_paper, translated("contradiction"), paper_text)
    carrier = min(float(law[view.states.copies(allele) > 0].sum()), 1.0)
    error = view.answer.error(place)
    # counted exactly, a chance that is sure is exactly so; its last bit is not told
    settled = 1.0 if carrier > CERTAIN else 0.0 if carrier < LEAST else carrier
    text = _with_evidence(settled, float(law[shows].sum()), recessive)
    if error:
        text += translated(" \u00b1 {n}, drawn").format(n=_percent(error))
    if view.by_gene(place):
        text += translated(", its sires weighed by this gene alone")
    return GeneWords(settled, on_paper, text, paper_text)


def _with_evidence(carrier: float, seen: float, recessive: bool) -> str:
    if seen > CERTAIN:
        return translated("visual") if recessive else translated("seen")
    if carrier >= 1:
        return translated("100% het") if recessive else translated("carries it")
    if carrier <= 0:
        return translated("0% assumed")
    text = translated("{n} poss het") if recessive else translated("{n} carries it")
    return text.format(n=_percent(carrier))


def _on_paper(paper: PaperValue | None, recessive: bool) -> str:
    """The paper value rounded down; never what the evidence says."""
    if paper is None:
        return translated("not known")
    if recessive and paper.two >= 1:
        return translated("visual")
    if paper.carrier >= 1:
        return translated("100% het") if recessive else translated("has it")
    if paper.carrier <= 0:
        return translated("nothing said")
    text = translated("{n} poss het") if recessive else translated("{n} has it")
    return text.format(n=rounded_down(paper.carrier))


def _percent(share: float) -> str:
    """To the nearest tenth, but never up to a round 100 nor down to nothing."""
    exact = Decimal(str(share)) * 100
    rounded = exact.quantize(Decimal("0.1"), ROUND_HALF_UP)
    if rounded >= 100 > exact:
        return "99.9%"
    if rounded <= 0 < exact:
        return translated("under 0.1%")
    return f"{rounded}".removesuffix(".0") + "%"
