"""Reading a whole collection through: is the file sound, does the journal fit the rows, is every picture there?"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Act
from coilbook.storage import disk
from coilbook.storage.collection import Collection
from coilbook.storage.journal import trigger_sql
from coilbook.storage.layout import PHOTOS, photo_place
from coilbook.storage.tables import RECORD_TABLES, RECORDS_BY_NAME, column_names, table_name

#: how many of one kind of finding are told one by one
_NAMED = 20


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found: nothing in `findings` means the collection is whole; `facts` say what was looked at."""

    findings: tuple[Message, ...]
    facts: dict[str, int] = field(default_factory=dict)

    @property
    def clean(self) -> bool:
        return not self.findings


Finder = Callable[[Collection, dict[str, int]], Iterator[Message]]


def check(collection: Collection) -> Report:
    """Read everything through; never writes. Each finding is a plain sentence."""
    facts: dict[str, int] = {}
    findings: list[Message] = []
    for finder in _FINDERS:
        found = list(finder(collection, facts))
        findings += found[:_NAMED]
        if len(found) > _NAMED:
            findings.append(say("... and {n} more of this kind.", n=len(found) - _NAMED))
        if found and finder is _file:
            # a damaged file answers nothing else
            break
    return Report(tuple(findings), facts)


def _file(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    for (word,) in collection.read("PRAGMA integrity_check(20)"):
        if word != "ok":
            yield say("The collection's file is damaged: {what}. Restore the newest backup.", what=word)
    for table, row, parent, _ in collection.read("PRAGMA foreign_key_check"):
        yield say(
            "Row {row} of {table} points at a row of {parent} that is not there.", row=row, table=table, parent=parent
        )


def _schema(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    there = {str(sql) for (sql,) in collection.read("SELECT sql FROM sqlite_master WHERE type = 'trigger'")}
    facts["record_tables"] = len(RECORD_TABLES)
    for model in RECORD_TABLES:
        name = table_name(model)
        if not there.issuperset(trigger_sql(model)):
            yield say("The journal does not watch {table} as it should.", table=name)
        columns = collection.read(f'PRAGMA table_info("{name}")')
        if {c[1] for c in columns} != set(column_names(model)):
            yield say("The columns of {table} are not those of this program.", table=name)
        for column in columns:
            if column[2] not in ("INTEGER", "TEXT"):
                yield say(
                    "{table}.{column} is of a kind the journal cannot keep exactly.", table=name, column=column[1]
                )
    if collection.read("SELECT 1 FROM current_act"):
        yield say("An act was left half written.")


def _acts(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    facts["acts"] = _count(collection, "act")
    facts["changes"] = _count(collection, "change")
    for (act,) in collection.read("SELECT DISTINCT act FROM change WHERE act NOT IN (SELECT id FROM act)"):
        yield say("The journal has changes of act {act}, which is not in it.", act=act)
    sizes = (
        "SELECT id, size, (SELECT count(*) FROM change WHERE act = act.id) AS n FROM act WHERE kind <> ? AND n <> size"
    )
    for act, size, found in collection.read(sizes, (Act.RESTORE.value,)):
        yield say("Act {act} says {size} changes and has {found}.", act=act, size=size, found=found)
    empty = "SELECT id FROM act WHERE size = 0 AND id NOT IN (SELECT act FROM restored)"
    for (act,) in collection.read(empty):
        yield say("Act {act} changed nothing.", act=act)
    known = {a.value for a in Act}
    for (kind,) in collection.read("SELECT DISTINCT kind FROM act"):
        if kind not in known:
            yield say("The journal has an act of a kind this program does not know: {kind}.", kind=kind)
    for (table,) in collection.read("SELECT DISTINCT tbl FROM change"):
        if table not in RECORDS_BY_NAME:
            yield say("The journal speaks of {table}, which this program does not know.", table=table)


def _befores(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    """Every `before` must name all present columns, or an undo could not write the row back."""
    wrong = (
        "SELECT id, tbl FROM change WHERE (op = 'I') <> (before IS NULL) "
        "OR (before IS NOT NULL AND NOT json_valid(before))"
    )
    for change, table in collection.read(wrong):
        yield say("Change {change} of {table} does not hold what stood before.", change=change, table=table)
    for model in RECORD_TABLES:
        name, columns = table_name(model), column_names(model)
        shapes = collection.read(
            "SELECT min(id), (SELECT json_group_array(key) FROM json_each(before)) AS shape FROM change "
            "WHERE tbl = ? AND before IS NOT NULL AND json_valid(before) GROUP BY shape",
            (name,),
        )
        for change, shape in shapes:
            if set(json.loads(shape)) != set(columns):
                yield say("Change {change} of {table} is of other columns than now.", change=change, table=name)


def _rows(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    """A row is there exactly when its last change is not its removal, and no counter is behind its table."""
    counters = {n: int(s) for n, s in collection.read("SELECT name, seq FROM sqlite_sequence")}
    for model in RECORD_TABLES:
        name = table_name(model)
        facts[name] = _count(collection, name)
        last = f"SELECT row, op, max(id) FROM change WHERE tbl = '{name}' GROUP BY row"
        for (row,) in collection.read(
            f"SELECT id FROM \"{name}\" WHERE id NOT IN (SELECT row FROM ({last}) WHERE op <> 'D')"
        ):
            yield say("Row {row} of {table} is not in the journal.", row=row, table=name)
        for (row,) in collection.read(
            f"SELECT row FROM ({last}) WHERE op <> 'D' AND row NOT IN (SELECT id FROM \"{name}\")"
        ):
            yield say("Row {row} of {table} is in the journal and not in its table.", row=row, table=name)
        (highest,) = collection.read(f'SELECT coalesce(max(id), 0) FROM "{name}"')[0]
        if counters.get(name, 0) < highest:
            yield say("The counter of {table} is behind its rows.", table=name)


def _courses(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    """An entry of a course repeats whose course it is: both must name the same animal."""
    sql = """SELECT s.id FROM course_step s JOIN health_course c ON c.id = s.course_id
        WHERE s.animal_id <> c.animal_id ORDER BY s.id"""
    for (row,) in collection.read(sql):
        yield say("Row {row} of {table} is of another animal than its course.", row=row, table="course_step")


def _photos(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    named = collection.read("SELECT sha256, ending, min(original_name) FROM photo GROUP BY sha256, ending")
    facts["photo_files"] = len(named)
    for sha256, ending, original in named:
        file = collection.folder / PHOTOS / photo_place(sha256, ending)
        if not file.is_file():
            yield say("The picture {name} ({original}) is missing.", name=file.name, original=original)
        elif disk.sha256_of(file) != sha256:
            yield say("The picture {name} ({original}) was changed or is damaged.", name=file.name, original=original)


def _codes(collection: Collection, facts: dict[str, int]) -> Iterator[Message]:
    facts["codes"] = _count(collection, "code")
    for (body,) in collection.read("SELECT upper(body) FROM code GROUP BY upper(body) HAVING count(*) > 1"):
        yield say("The code {body} was issued more than once.", body=body)


def _count(collection: Collection, table: str) -> int:
    return int(collection.read(f'SELECT count(*) FROM "{table}"')[0][0])


_FINDERS: tuple[Finder, ...] = (_file, _schema, _acts, _befores, _rows, _courses, _photos, _codes)
