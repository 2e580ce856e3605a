"""A name in the keeper's own words: notes, reasons, captions, what a sheet said; in the book and in its journal."""

from __future__ import annotations

import json
import re

from coilbook.storage.act import ActInHand
from coilbook.storage.tables import RECORD_TABLES, RECORDS_BY_NAME, column_names, table_name

#: columns of free words; ids, codes, days and stored lists are no place for a name
OWN_WORDS = frozenset(
    {
        "answer", "candidates", "caption", "contact", "defects", "done", "feeding_claim", "feeding_note", "file_name",
        "holdback", "how", "in_spite", "note", "original_name", "papers", "question", "reason", "report", "settled_by",
        "settles_by", "source", "target", "temperament", "text", "what_for", "why", "word", "words",
    }
)  # fmt: skip
_PLAIN = re.compile(r"[A-Za-z0-9 ]+")

Words = dict[str, str]


def alone(name: str) -> re.Pattern[str]:
    """Finds a name where it stands as a word, not inside another one; whatever its letters' case."""
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)


def seed_of(name: str) -> str:
    """The longest part of a name that SQLite finds whatever the case and however the text is stored; may be empty."""
    return max(_PLAIN.findall(name), key=len, default="").lower()


def in_book(act: ActInHand, name: str) -> list[tuple[str, int, Words]]:
    """Rows whose own words hold the name: table, row id, and those words by column."""
    found: list[tuple[str, int, Words]] = []
    pattern, seed = alone(name), seed_of(name)
    for model in RECORD_TABLES:
        columns = [column for column in column_names(model) if column in OWN_WORDS]
        if columns:
            test = " OR ".join(f'instr(lower("{column}"), ?1) > 0' for column in columns)
            picked = ", ".join(f'"{column}"' for column in columns)
            for row, *texts in act.rows(f'SELECT id, {picked} FROM "{table_name(model)}" WHERE {test}', (seed,)):
                held = {c: str(t) for c, t in zip(columns, texts, strict=True) if t and pattern.search(str(t))}
                found += [(table_name(model), int(row), held)] if held else []
    return found


def in_journal(act: ActInHand, name: str) -> list[tuple[int, dict[str, object], Words]]:
    """Changes whose row before held the name in its own words: id, that row, and those words by column."""
    found: list[tuple[int, dict[str, object], Words]] = []
    pattern = alone(name)
    sql = "SELECT id, before FROM change WHERE before IS NOT NULL AND instr(lower(before), ?) > 0"
    for change, before in act.rows(sql, (seed_of(name),)):
        row = json.loads(before)
        held = {c: str(row[c]) for c in OWN_WORDS & row.keys() if row[c] and pattern.search(str(row[c]))}
        if held:
            found.append((int(change), row, held))
    return found


def take_out(act: ActInHand, name: str, instead: str) -> None:
    """Put another word in the place of the name, in the book and in what its journal holds of before."""
    pattern = alone(name)

    def reworded(held: Words) -> Words:
        return {column: pattern.sub(instead, text) for column, text in held.items()}

    for table, row, held in in_book(act, name):
        act.update(RECORDS_BY_NAME[table], row, **reworded(held))
    for change, before, held in in_journal(act, name):
        act.run("UPDATE change SET before = ? WHERE id = ?", (stored_row({**before, **reworded(held)}), change))


def stored_row(row: dict[str, object]) -> str:
    """A row as the journal keeps it."""
    return json.dumps(row, ensure_ascii=False, separators=(",", ":"))
