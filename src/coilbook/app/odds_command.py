"""`coilbook odds`: what an animal is and may carry, the joint law of a pair, or a case from a file."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coilbook.app.exit_codes import ExitCode, Misuse
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.records.message import Refusal, say

if TYPE_CHECKING:
    from coilbook.reads.genetics_rows import GeneRow
    from coilbook.records.ids import AnimalId
    from coilbook.storage.collection import Collection


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which animals, which pair, or which case."""
    parser.add_argument("animals", nargs="*", help="ids of animals")
    parser.add_argument("--pair", nargs=2, metavar=("SIRE", "DAM"), help="the joint law of two animals at every locus")
    parser.add_argument(
        "--case", type=Path, help="a case file: one locus, animals, findings, questions; - for the input"
    )
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Answer as JSON or line by line."""
    if arguments.case is not None:
        return _case(arguments)
    if not arguments.animals and not arguments.pair:
        raise Misuse(say("Name an animal, a pair (--pair) or a case (--case)."))
    told: dict[str, object] = {}
    lines: list[str] = []
    with opened(arguments) as collection:
        for name in arguments.animals:
            rows = _rows(collection, _animal(collection, name))
            told[name] = [_told(row) for row in rows]
            lines += [f"{name}: {line}" for line in map(_line, rows)] or [f"{name}: no gene is known of"]
        if arguments.pair:
            told["pair"] = pair = _pair(collection, *arguments.pair)
            lines += _pair_lines(pair)
            by_gene = _pair_by_gene(collection, *arguments.pair)
            if by_gene is not None:
                told["sires_by_gene"] = True
                lines.append(by_gene)
    answer(arguments, told, *lines)
    return ExitCode.OK


def _case(arguments: argparse.Namespace) -> int:
    import sys

    from coilbook.reads.genetics_case import answer_case

    if str(arguments.case) != "-" and not arguments.case.is_file():
        raise Refusal(say("There is no file {file}.", file=str(arguments.case)))
    try:
        text = sys.stdin.read() if str(arguments.case) == "-" else arguments.case.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(say("{file} cannot be read: {why}.", file=str(arguments.case), why=str(error))) from error
    print(json.dumps(answer_case(text), ensure_ascii=False, indent=2))
    return ExitCode.OK


def _animal(collection: Collection, name: str) -> AnimalId:
    from coilbook.reads.lookup import animal_called

    found = animal_called(collection, name)
    if found is None:
        raise Refusal(say("There is no animal {animal} in this collection.", animal=name))
    return found


def _rows(collection: Collection, animal: AnimalId) -> tuple[GeneRow, ...]:
    from coilbook.reads.genetics import genetics_part

    part = genetics_part(collection, animal)
    return part.rows if part is not None else ()


def _told(row: GeneRow) -> dict[str, Any]:
    return {
        "gene": row.gene,
        "locus": row.locus,
        "name": row.name,
        "is": worded(row.what),
        "chance_of": row.asks.value,
        "with_evidence": row.evidence,
        "error": row.error,
        "sires_by_gene": row.by_gene,
        "on_paper": str(row.paper) if row.paper is not None else None,
        "rests_on": worded(row.rests_on),
        "basis": worded(row.basis) if row.basis is not None else None,
        "claimed": worded(row.claimed) if row.claimed is not None else None,
        "taken": [worded(one) for one in row.taken],
        "contradiction": worded(row.contradiction) if row.contradiction is not None else None,
    }


def _line(row: GeneRow) -> str:
    from coilbook.reads.genetics_words import SIRES_BY_GENE

    number = ""
    if row.numbered and row.evidence is not None:
        paper = f", {row.paper} on paper" if row.paper is not None else ""
        number = f" {100 * row.evidence:.2f}% with evidence{paper};"
    apart = f"; {worded(SIRES_BY_GENE)}" if row.by_gene else ""
    return f"{row.name}: {worded(row.what)};{number} {worded(row.rests_on)}{apart}"


def _pair(collection: Collection, sire: str, dam: str) -> dict[str, Any]:
    from coilbook.reads.genetics_pair import pair_odds
    from coilbook.reads.outlook import why_no_pair
    from coilbook.reads.outlook_source import mates

    his, hers = _animal(collection, sire), _animal(collection, dam)
    known = mates(collection, [his, hers])
    why = why_no_pair(known[hers], [known[his]])
    if why is not None:
        raise Refusal(why)
    return pair_odds(collection, sire=his, dam=hers)


def _pair_lines(pair: dict[str, Any]) -> list[str]:
    """The law of a pair for a reader: what the two are at each locus, the likeliest first."""
    if not pair:
        return ["No gene is known of either."]
    lines = []
    for locus, states in pair.items():
        for one in sorted(states, key=lambda state: -state["chance"]):
            lines.append(f"{locus}: sire {one['sire']}, dam {one['dam']}  {100 * one['chance']:.2f}%")
    return lines


def _pair_by_gene(collection: Collection, *pair: str) -> str | None:
    """What is said where possible sires of this pair's family were too many to weigh together; None elsewhere."""
    from coilbook.derived.genetics_book import book_of
    from coilbook.reads.genetics_words import SIRES_BY_GENE

    genetics = book_of(collection).current()
    animals = [_animal(collection, name) for name in pair]
    herd = genetics.herd_of(animals[0])
    apart = herd is not None and any(genetics.by_gene(animal, locus) for animal in animals for locus in herd.loci)
    return worded(SIRES_BY_GENE) if apart else None
