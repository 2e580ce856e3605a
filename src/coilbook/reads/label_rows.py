"""What stands on each label of a queue: cage cards and slot labels from ids, in walking order.

Never a price, a person or an address: the queries do not even read them, and the card refuses what looks like one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from coilbook.labels.code import LabelCode
from coilbook.labels.content import CageCard, Flag, LabelContent, SlotLabel
from coilbook.labels.stock import LabelKind, Printer, Stock, StockForm, shipped_stocks
from coilbook.reads.codes import codes_of
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId, EggBoxId, PlaceId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import CodeKind, PreyState, Sex
from coilbook.storage.animal_tables import PLACES_APART
from coilbook.storage.collection import Collection
from coilbook.storage.health_tables import GOES_ON
from coilbook.wording.language import translated
from coilbook.wording.texts import words

#: names under which measured printers are remembered
PRINTER_PREFIX = "label_printer "
#: the stock a kind of label starts with, by paper
_FIRST_STOCK = {
    (LabelKind.CAGE_CARD, "A4"): "a4-cards-85x54",
    (LabelKind.CAGE_CARD, "Letter"): "letter-cards-85x54",
    (LabelKind.SLOT, "A4"): "a4-3x8-64x34",
}
_PART = 500
#: what is only possible, in the trade's usual short forms: "66% het clown", "poss het albino", "ph ghost"
_DOUBTFUL = re.compile(
    r"\b(?:(?:\d{1,2}\s?%\s*(?:poss(?:ible)?\.?\s*)?|poss(?:ible)?\.?\s+)(?:super\s+|het\s+)?|ph\s+)"
    r"[\w-]+(?:\s+(?!het\b|poss|ph\b|\d{1,3}\s?%)[\w-]+)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class LabelRow:
    """One label of the queue. `content` is missing when it cannot be printed, and `problem` says why."""

    animal: AnimalId | None
    slot: PlaceId | None
    name: str
    sex: Sex
    sex_percent: int
    says: str
    place: str
    code: LabelCode | None
    content: LabelContent | None
    problem: Message | None = None
    #: stored moment of the last print of this code
    printed_at: str | None = None
    #: where the card says more than the evidence
    warnings: tuple[Message, ...] = ()
    #: the egg box it is for
    box: EggBoxId | None = None


def cage_card_rows(collection: Collection, animals: Iterable[AnimalId]) -> list[LabelRow]:
    """Cage cards of these animals by walking order, those without a slot last."""
    wanted = list(dict.fromkeys(animals))
    codes = codes_of(collection, CodeKind.ANIMAL, [int(a) for a in wanted])
    printed = _printed(collection, "animal_id", wanted)
    rows = []
    for part in _parts(wanted):
        marks = ",".join("?" * len(part))
        rows += collection.read(
            "SELECT a.id, a.keeper_id, a.sex, a.sex_percent, a.genetics, substr(a.hatched, 1, 4), a.prey_kind,"
            " a.prey_state, a.breeder_male_only, coalesce(p.label, ''),"
            f" coalesce(p.id IN {PLACES_APART}, 0) OR EXISTS (SELECT 1 FROM health_course c WHERE c.animal_id = a.id"
            f" AND c.kind = '{CourseKind.QUARANTINE}' AND {GOES_ON}),"
            " coalesce(k.walk, 1e9), coalesce(p.walk, 1e9), a.name"
            " FROM animal a LEFT JOIN place p ON p.id = a.place_id LEFT JOIN place k ON k.id = p.parent_id"
            f" WHERE a.id IN ({marks})",
            part,
        )
    rows.sort(key=lambda r: (r[11], r[12], r[1]))
    return [_card_row(row, codes.get(row[0]), printed.get(row[0])) for row in rows]


class CardWords(Protocol):
    """What a card says of genes (`reads.genetics_card`)."""

    @property
    def certain(self) -> str: ...
    @property
    def doubt(self) -> str: ...
    @property
    def warnings(self) -> tuple[Message, ...]: ...


def with_genes(rows: Iterable[LabelRow], texts: Mapping[AnimalId, CardWords]) -> tuple[LabelRow, ...]:
    """Rows whose cards say what follows from parents and evidence; a card without such a text keeps its label."""
    told = []
    for row in rows:
        text = texts.get(row.animal) if row.animal is not None else None
        if text is not None and isinstance(row.content, CageCard):
            content = replace(row.content, genetics=text.certain, doubt=text.doubt)
            told.append(replace(row, content=content, warnings=text.warnings))
        else:
            told.append(row)
    return tuple(told)


def slot_label_rows(collection: Collection, slots: Iterable[PlaceId]) -> list[LabelRow]:
    """Labels of these slots in walking order."""
    wanted = list(dict.fromkeys(slots))
    codes = codes_of(collection, CodeKind.SLOT, [int(s) for s in wanted])
    printed = _printed(collection, "place_id", wanted)
    rows = []
    for part in _parts(wanted):
        marks = ",".join("?" * len(part))
        rows += collection.read(
            "SELECT p.id, p.label, p.name, coalesce(k.label, ''), coalesce(k.walk, 0), p.walk"
            f" FROM place p LEFT JOIN place k ON k.id = p.parent_id WHERE p.kind = 'slot' AND p.id IN ({marks})",
            part,
        )
    rows.sort(key=lambda r: (r[4], r[5], r[0]))
    return [_slot_row(row, codes.get(row[0]), printed.get(row[0])) for row in rows]


def animals_here(collection: Collection, rack: PlaceId | None = None) -> list[AnimalId]:
    """Every animal in the keeper's rooms, or those of one rack."""
    where, values = ("AND p.parent_id = ?", (rack,)) if rack is not None else ("", ())
    rows = collection.read(
        "SELECT a.id FROM animal a LEFT JOIN place p ON p.id = a.place_id"
        f" WHERE a.status = 'here' {where} ORDER BY a.id",
        values,
    )
    return [AnimalId(i) for (i,) in rows]


def all_slots(collection: Collection, rack: PlaceId | None = None) -> list[PlaceId]:
    """Every slot, or those of one rack."""
    where, values = ("AND parent_id = ?", (rack,)) if rack is not None else ("", ())
    return [PlaceId(i) for (i,) in collection.read(f"SELECT id FROM place WHERE kind = 'slot' {where}", values)]


def slots_of_animals(collection: Collection, animals: Sequence[AnimalId]) -> list[PlaceId]:
    """The slots these animals live in."""
    return _mapped(collection, "SELECT DISTINCT place_id FROM animal WHERE place_id IS NOT NULL AND id", animals)


def animals_of_slots(collection: Collection, slots: Sequence[PlaceId]) -> list[AnimalId]:
    """The animals that live in these slots."""
    return [AnimalId(i) for i in _mapped(collection, "SELECT id FROM animal WHERE place_id", slots)]


def stocks_for(kind: LabelKind, paper: str) -> list[Stock]:
    """Stocks with room for a kind; sheets of the keeper's paper first, then other sheets, then rolls."""
    suits = [stock for stock in shipped_stocks() if stock.suits(kind)]
    chosen = _FIRST_STOCK.get((kind, paper), "")

    def order(stock: Stock) -> tuple[bool, bool, bool]:
        other_paper = not stock.name.casefold().startswith(paper.casefold())
        return stock.key != chosen, stock.form is StockForm.ROLL, other_paper

    return sorted(suits, key=order)


def measured_printers(collection: Collection) -> list[Printer]:
    """The printers whose offset was measured with a test sheet, by name."""
    rows = collection.read(
        "SELECT name, value FROM setting WHERE name >= ? AND name < ? ORDER BY name COLLATE NOCASE",
        (PRINTER_PREFIX, PRINTER_PREFIX[:-1] + "!"),
    )
    return [printer_from(str(name).removeprefix(PRINTER_PREFIX), str(value)) for name, value in rows]


def printer_from(name: str, stored: str) -> Printer:
    """A printer from its remembered text "right;down;dpi;margin"; what does not fit keeps its default."""
    try:
        right, down, dpi, margin = stored.split(";")
        return Printer(name, int(dpi), float(right), float(down), float(margin))
    except (ValueError, Refusal):
        return Printer(name)


def stored_printer(printer: Printer) -> str:
    """The remembered text of a printer."""
    return f"{printer.offset_right:g};{printer.offset_down:g};{printer.dpi};{printer.margin:g}"


def split_doubt(genetics: str) -> tuple[str, str]:
    """What is certain, and what is only possible, of a genetics text.

    >>> split_doubt("Pastel Enchi het albino 66% het clown")
    ('Pastel Enchi het albino', '66% het clown')
    """
    doubtful = [match.group().strip() for match in _DOUBTFUL.finditer(genetics)]
    certain = " ".join(_DOUBTFUL.sub(" ", genetics).split()).strip(" ,;/")
    return certain, ", ".join(doubtful)


def _card_row(row: Sequence[object], code: LabelCode | None, printed: str | None) -> LabelRow:
    ident, name, sex, percent, genetics, year, prey, prey_state, male_only, place, quarantine = row[:11]
    certain, doubt = split_doubt(str(genetics))
    flags = [Flag(translated("QUARANTINE"), translated("last in the round, own tools"))] if quarantine else []
    if male_only:
        flags.append(Flag(translated("MALE ONLY"), ""))
    content: LabelContent | None = None
    problem = None
    if code is None:
        problem = say("{animal} has no code.", animal=name)
    else:
        try:
            content = CageCard(
                code=code,
                animal=str(name),
                sex=Sex(str(sex)),
                sex_unsure=int(str(percent)) < 100,
                genetics=certain,
                doubt=doubt,
                hatched=translated("hatched {year}").format(year=year) if year else "",
                prey=f"{prey}, {words(PreyState(str(prey_state)))}" if prey else "",
                flags=tuple(flags),
                name=str(row[13]),
            )
        except Refusal as refusal:
            problem = refusal.message
    return LabelRow(
        animal=AnimalId(int(str(ident))),
        slot=None,
        name=str(name),
        sex=Sex(str(sex)),
        sex_percent=int(str(percent)),
        says=str(genetics),
        place=str(place),
        code=code,
        content=content,
        problem=problem,
        printed_at=printed,
    )


def _slot_row(row: Sequence[object], code: LabelCode | None, printed: str | None) -> LabelRow:
    ident, label, name, rack = row[:4]
    content = SlotLabel(code, str(rack), str(name)) if code is not None else None
    problem = say("{place} has no code.", place=label) if code is None else None
    return LabelRow(
        animal=None,
        slot=PlaceId(int(str(ident))),
        name=str(label),
        sex=Sex.UNSEXED,
        sex_percent=100,
        says=translated("rack {rack}, slot {slot}").format(rack=rack, slot=name),
        place=str(rack),
        code=code,
        content=content,
        problem=problem,
        printed_at=printed,
    )


def _printed(collection: Collection, column: str, targets: Sequence[int]) -> dict[int, str]:
    found: dict[int, str] = {}
    for part in _parts(targets):
        marks = ",".join("?" * len(part))
        sql = f"SELECT {column}, max(at) FROM label_print WHERE {column} IN ({marks}) GROUP BY {column}"
        found.update(dict(collection.read(sql, part)))
    return found


def _mapped(collection: Collection, select: str, targets: Sequence[int]) -> list[PlaceId]:
    found: list[PlaceId] = []
    for part in _parts(targets):
        rows = collection.read(f"{select} IN ({','.join('?' * len(part))})", part)
        found += [PlaceId(i) for (i,) in rows]
    return found


def _parts(targets: Sequence[int]) -> list[list[int]]:
    return [[int(t) for t in targets[start : start + _PART]] for start in range(0, len(targets), _PART)]
