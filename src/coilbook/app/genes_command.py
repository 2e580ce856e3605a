"""`coilbook genes`: the genes in play in a collection, or who carries one of them with what odds."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened
from coilbook.records.message import Refusal, say


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which gene, if one."""
    parser.add_argument(
        "gene", nargs="?", default="", help="a gene as the trade says it; without it, every gene there is"
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """List genes, or carriers."""
    from coilbook.reads.genetics_carriers import carriers_of, genes_in_play

    with opened(arguments) as collection:
        genes = genes_in_play(collection)
        if not arguments.gene:
            lines = (f"{g.name:<28} {g.inheritance:<40} sure {g.sure:>5}  possible {g.possible:>5}" for g in genes)
            answer(arguments, {"genes": [asdict(gene) for gene in genes]}, *lines)
            return ExitCode.OK
        word = arguments.gene.casefold()
        gene = next((g for g in genes if word in (g.key.casefold(), g.name.casefold())), None)
        if gene is None:
            raise Refusal(say("Nobody here has or may have {gene}.", gene=arguments.gene))
        carriers = carriers_of(collection, gene.key)
    told: dict[str, object] = {"gene": asdict(gene), "carriers": [asdict(one) for one in carriers]}
    answer(arguments, told, *(f"{c.keeper_id:<14} {100 * c.with_evidence:7.2f}%  {c.on_paper}" for c in carriers))
    return ExitCode.OK
