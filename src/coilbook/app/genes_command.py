"""`coilbook genes`: the genes in play in a collection, or who carries one of them with what odds."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.records.message import Message, Refusal, say

if TYPE_CHECKING:
    from coilbook.reads.genetics_carriers import Carrier, GeneCalled, GeneInPlay


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which gene, if one."""
    parser.add_argument(
        "gene", nargs="?", default="", help="a gene as the trade says it; without it, every gene there is"
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """List genes, or carriers."""
    from coilbook.reads.genetics_carriers import carriers_of, gene_called, genes_in_play

    with opened(arguments) as collection:
        genes = genes_in_play(collection)
        if not arguments.gene:
            lines = [_gene_line(gene) for gene in genes]
            lines += _footnote(any(g.sires_by_gene for g in genes))
            answer(arguments, {"genes": [asdict(gene) for gene in genes]}, *lines)
            return ExitCode.OK
        called = gene_called(collection, arguments.gene)
        gene = next((g for g in genes if called is not None and g.key == called.key), None)
        if gene is None:
            raise Refusal(_nobody(called, arguments.gene))
        carriers = carriers_of(collection, gene.key)
    told: dict[str, object] = {"gene": asdict(gene), "carriers": [asdict(one) for one in carriers]}
    answer(arguments, told, _HEAD, *map(_line, carriers), *_footnote(any(one.sires_by_gene for one in carriers)))
    return ExitCode.OK


#: what stands over the carriers
_HEAD = f"{'animal':<14} {'evidence':>8}  on paper"
#: beside a number that weighs possible sires by its gene alone
_MARK = " *"


def _gene_line(gene: GeneInPlay) -> str:
    mark = _MARK if gene.sires_by_gene else ""
    return f"{gene.name:<28} {gene.inheritance:<40} sure {gene.sure:>5}  possible {gene.possible:>5}{mark}"


def _line(carrier: Carrier) -> str:
    drawn = f" ± {100 * carrier.error:.2f}%, drawn" if carrier.error else ""
    mark = _MARK if carrier.sires_by_gene else ""
    return f"{carrier.keeper_id:<14} {100 * carrier.with_evidence:7.2f}%{mark}{drawn}  {carrier.on_paper}"


def _footnote(marked: bool) -> list[str]:
    from coilbook.reads.genetics_words import SIRES_BY_GENE

    return [f"* {worded(SIRES_BY_GENE)}"] if marked else []


def _nobody(called: GeneCalled | None, word: str) -> Message:
    """Why a word gives no carriers: a gene nobody here has, or no gene at all."""
    if called is None:
        return say("{word} is no gene of the catalogue.", word=word)
    if not called.key:
        return say("{word} is no gene of the catalogue. Is {near} meant?", word=word, near=called.name)
    return say("Nobody here has or may have {gene}.", gene=called.name)
