"""Accepting an import: the whole plan in one act that one undo takes back; the original file is kept byte for byte."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from coilbook.genetics.own_entries import own_line
from coilbook.genetics.statement import Reading
from coilbook.intake.plan import ImportPlan
from coilbook.intake.report import ImportReport, report_of
from coilbook.intake.values import identity_key
from coilbook.operations.ancestry import refuse_one_parent, refuse_rings
from coilbook.operations.bulk import Cancel, Progress, Tally, next_id
from coilbook.operations.codes import issue_codes
from coilbook.operations.import_merging import Merging
from coilbook.operations.import_places import make_places
from coilbook.operations.import_rows import COLUMNS, Links, Rows
from coilbook.operations.label_answers import remember_answers
from coilbook.operations.uncollected import without_collector
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, CodeKind, OwnKind, PersonRole, Sex, Status
from coilbook.storage import disk
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.layout import IMPORTS
from coilbook.storage.tables import (
    Animal,
    ImportBatch,
    OwnGene,
    Person,
)
from coilbook.storage.trouble import plainly

_OTHERWISE = "The sheet says otherwise of {n} animal than the book; its notes hold what the sheet says."
_OTHERWISE_MANY = "The sheet says otherwise of {n} animals than the book; their notes hold what the sheet says."


def accept_import(
    collection: Collection,
    *,
    plan: ImportPlan,
    file: Path | bytes,
    file_name: str = "",
    progress: Progress | None = None,
    cancelled: Cancel | None = None,
) -> Outcome[ImportReport]:
    """Write everything a reviewed plan holds, in one act; returns the report kept with it.

    `file` is the sheet itself, or its bytes with `file_name`. Open questions may stay open: what they concern is kept
    as the plan says. Raises `Refusal` when the collection no longer has what the plan refers to, `Stopped` when
    `cancelled()` says so; either way nothing is written.
    """
    name = file_name or (file.name if isinstance(file, Path) else "import")
    report = report_of(plan, name)
    sha256, place, is_new = _keep_original(collection.folder, file, name)
    try:
        with without_collector(), collection.act(Act.IMPORT) as act:
            writer = _Writer(act, plan, name, progress, cancelled)
            writer.write()
            values = {"file_name": name, "sha256": sha256, "rows": plan.counts.rows, "report": report.as_json()}
            act.insert(ImportBatch, at=act.now_text, **values)
            remember_answers(act, plan.given_answers)
            _remember_lines(act, plan)
            animals = len(plan.animals)
            act.tell(say("{file}: {n} animal imported", "{file}: {n} animals imported", file=name, n=animals))
    except BaseException:
        if is_new:
            place.unlink(missing_ok=True)
        raise
    return act.outcome(Act.IMPORT, report)


def _keep_original(folder: Path, file: Path | bytes, name: str) -> tuple[str, Path, bool]:
    """The file under its SHA-256 in the folder of imports, on the disk before any row names it."""
    with plainly():
        content = file if isinstance(file, bytes) else file.read_bytes()
        sha256 = hashlib.sha256(content).hexdigest()
        home = folder / IMPORTS
        disk.make_folder(home)
        target = home / f"{sha256}{Path(name).suffix.lower()}"
        is_new = not (target.is_file() and target.stat().st_size == len(content))
        if is_new:
            disk.write_whole(target, content)
    return sha256, target, is_new


def _remember_lines(act: ActInHand, plan: ImportPlan) -> None:
    """The keeper's words for lines of a gene, as entries of their own catalogue."""
    lines = {line: None for a in plan.animals if isinstance(a.finding, Reading) for line in a.finding.sure_lines}
    sql = "SELECT key FROM own_gene WHERE kind = ?"
    kept = {str(key) for (key,) in act.rows(sql, (OwnKind.LINE.value,))} if lines else set()
    for line in lines:
        if line.key not in kept:
            act.insert(OwnGene, kind=OwnKind.LINE.value, key=line.key, body=own_line(line).text)
            kept.add(line.key)


class _Writer:
    """Turns a plan into rows, then writes them table by table."""

    def __init__(
        self, act: ActInHand, plan: ImportPlan, file: str, progress: Progress | None, cancelled: Cancel | None
    ) -> None:
        self._act = act
        self._animals = plan.animals
        self._file = file
        self._progress = progress
        self._cancelled = cancelled
        self._rows = Rows()
        self._fresh: list[int] = []

    def write(self) -> None:
        """Everything of the plan but its batch and its answers."""
        # parents may stand below their young in the sheet: the references are checked at the commit
        self._act.run("PRAGMA defer_foreign_keys = ON")
        self._check_known()
        here = (a.place for a in self._animals if a.place is not None and a.status is Status.HERE)
        places = make_places(self._act, here)
        ids, row_of = self._number()
        links = Links(ids, self._people(), self._act.now_text, self._file)
        merging = Merging(self._act, self._rows, places, links)
        for planned, row in zip(self._animals, row_of, strict=True):
            if planned.existing is None:
                self._rows.animal(row, planned, places.slot_of(planned.place), links)
            else:
                merging.add_to(row, planned)
        if n := merging.differing:
            self._act.warn(say(_OTHERWISE, _OTHERWISE_MANY, n=n))
        self._write_rows()
        issue_codes(self._act, CodeKind.ANIMAL, self._fresh)
        if any(planned.existing is not None and (planned.dam or planned.sire) for planned in self._animals):
            # the sheet has no rings of its own, but may close one with what stands in the book
            refuse_rings(self._act)
        else:
            refuse_one_parent(self._act)

    def _check_known(self) -> None:
        there = {int(row) for (row,) in self._act.rows("SELECT id FROM animal")}
        slots = {int(row) for (row,) in self._act.rows("SELECT id FROM place")}
        for planned in self._animals:
            parents = [p.existing for p in ((planned.dam, *planned.sire) if planned.dam else planned.sire)]
            wanted = {int(i) for i in (planned.existing, *parents) if i is not None}
            place = planned.place.existing if planned.place else None
            if not wanted <= there or (place is not None and int(place) not in slots):
                raise Refusal(
                    say(
                        "{animal} refers to something that is no longer in the book. Look at the import again.",
                        animal=planned.keeper_id,
                    )
                )

    def _number(self) -> tuple[dict[str, int], list[int]]:
        """Row ids: by key of the keeper's id, parents from outside included, and one for each planned animal."""
        following = next_id(self._act, Animal)
        ids: dict[str, int] = {}
        row_of: list[int] = []
        for planned in self._animals:
            row = int(planned.existing) if planned.existing is not None else following
            if planned.existing is None:
                following += 1
                self._fresh.append(row)
            row_of.append(row)
            ids.setdefault(identity_key(planned.keeper_id), row)
        for planned in self._animals:
            for parent, sex in ((planned.dam, Sex.FEMALE), *((s, Sex.MALE) for s in planned.sire)):
                if parent is not None and parent.existing is None and identity_key(parent.keeper_id) not in ids:
                    ids[identity_key(parent.keeper_id)] = following
                    self._rows.outside(following, parent.keeper_id, sex)
                    self._fresh.append(following)
                    following += 1
        return ids, row_of

    def _people(self) -> dict[str, int]:
        known = {str(name).casefold(): int(row) for row, name in self._act.rows("SELECT id, name FROM person")}
        for planned in self._animals:
            name = " ".join(planned.source.split())
            if name and name.casefold() not in known:
                known[name.casefold()] = self._act.insert(Person, name=name, role=PersonRole.SELLER.value)
                known[planned.source.casefold()] = known[name.casefold()]
        return known

    def _write_rows(self) -> None:
        tally = Tally(self._rows.total(), self._progress, self._cancelled)
        tally.look()
        for model, columns in COLUMNS.items():
            rows: Iterable[tuple[object, ...]] = self._rows.by_table.get(model, ())
            self._act.insert_many(model, columns, tally.counted(rows))
        tally.look()
