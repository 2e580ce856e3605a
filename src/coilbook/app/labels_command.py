"""`coilbook labels`: cage cards or slot labels as one PDF, from ids, a rack or everything."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app.exit_codes import ExitCode
from coilbook.app.on_collection import add_collection_argument, answer, opened, worded
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import Refusal, say
from coilbook.storage.collection import Collection

if TYPE_CHECKING:
    from coilbook.labels.stock import Printer
    from coilbook.reads.label_rows import LabelRow


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Whose labels, on what, where to."""
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("--animals", nargs="+", metavar="ID", help="cage cards of these animals, by the keeper's ids")
    which.add_argument("--rack", help="everything in this rack")
    which.add_argument("--all", action="store_true", help="everything in the collection")
    which.add_argument("--stocks", action="store_true", help="only list the stocks there are")
    parser.add_argument("--slots", action="store_true", help="slot labels instead of cage cards (with --rack or --all)")
    parser.add_argument("--stock", help="key of the stock, see --stocks")
    parser.add_argument("--first", type=int, default=1, metavar="N", help="first free position on the first sheet")
    parser.add_argument("--printer", default="", help="a printer measured in the window: its offset is used")
    parser.add_argument("--out", type=Path, help="the PDF; without it into the collection's papers")
    add_collection_argument(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write the PDF, note the labels as printed, name the file and what did not fit."""
    from coilbook.labels.stock import LabelKind, shipped_stock, shipped_stocks
    from coilbook.operations.printed import PrintedLabel, note_printed
    from coilbook.operations.settings import settings_of
    from coilbook.printing.sheets import LabelRun, label_pdf, write_pdf
    from coilbook.reads.label_rows import stocks_for

    if arguments.stocks:
        stocks = shipped_stocks()
        answer(arguments, {"stocks": [s.key for s in stocks]}, *(f"{s.key:<20} {s.name}" for s in stocks))
        return ExitCode.OK
    if arguments.slots and arguments.animals:
        raise Refusal(say("Slot labels go with --rack or --all; animals have cage cards."))
    with opened(arguments) as collection:
        settings = settings_of(collection)
        kind = LabelKind.SLOT if arguments.slots else LabelKind.CAGE_CARD
        stock = shipped_stock(arguments.stock) if arguments.stock else stocks_for(kind, settings.paper)[0]
        rows = _rows(collection, arguments)
        printable = [row for row in rows if row.content is not None]
        if not printable:
            raise Refusal(say("There is nothing to print for that."))
        contents = [row.content for row in printable if row.content is not None]
        printer = _printer(collection, arguments.printer)
        made = label_pdf(LabelRun(contents, stock, printer, arguments.first - 1, settings.code_prefix))
        assert made is not None, "nobody can cancel a command"
        path = arguments.out or collection.folder / "papers" / f"labels {collection.clock():%Y-%m-%d %H%M}.pdf"
        write_pdf(made.pdf, path)
        labels = [PrintedLabel(row.code.text, row.animal, row.slot) for row in printable if row.code is not None]
        note_printed(collection, labels=labels, stock=stock.name)
    problems = [row.problem for row in rows if row.problem is not None] + list(made.problems)
    problems += [warning for row in printable for warning in row.warnings]
    worded_once = list(dict.fromkeys(worded(p) for p in problems))  # a clash at two genes is said once
    told = {"file": str(path), "labels": len(contents), "pages": made.pages, "problems": worded_once}
    answer(arguments, told, str(path), *worded_once)
    return ExitCode.OK


def _rows(collection: Collection, arguments: argparse.Namespace) -> list[LabelRow]:
    from coilbook.reads import label_rows as read
    from coilbook.reads.genetics_card import card_texts

    rack = _rack(collection, arguments.rack) if arguments.rack else None
    if arguments.slots:
        return read.slot_label_rows(collection, read.all_slots(collection, rack))
    animals = [_animal(collection, one) for one in arguments.animals or ()] or read.animals_here(collection, rack)
    rows = read.cage_card_rows(collection, animals)
    return list(read.with_genes(rows, card_texts(collection, animals)))


def _animal(collection: Collection, keeper_id: str) -> AnimalId:
    from coilbook.reads.lookup import animal_called

    found = animal_called(collection, keeper_id)
    if found is None:
        raise Refusal(say("There is no animal {animal} in this collection.", animal=keeper_id))
    return found


def _rack(collection: Collection, label: str) -> PlaceId:
    from coilbook.reads.places import place_labelled, racks

    place = place_labelled(collection, label)
    if place is None or place not in {rack.id for rack in racks(collection)}:
        raise Refusal(say("{rack} is not a rack here.", rack=label))
    return place


def _printer(collection: Collection, name: str) -> Printer:
    from coilbook.labels.stock import Printer
    from coilbook.reads.label_rows import measured_printers

    if not name:
        return Printer()
    found = next((p for p in measured_printers(collection) if p.name.casefold() == name.casefold()), None)
    if found is None:
        raise Refusal(say("No printer {printer} was measured in this collection.", printer=name))
    return found
