"""What was found out about an animal's genetics: entered, corrected and taken back, never overwritten.

A correction and a withdrawal are rows of their own that name the row they correct, so that the dated history shows
what was believed when, and why it changed. Undo takes the row back like any other.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from coilbook.operations.at_hand import animal_at_hand, happened
from coilbook.records.changes import Outcome
from coilbook.records.finding_words import SURE, finding_words
from coilbook.records.ids import AnimalId, FindingId, PersonId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, FindingKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Finding

#: how often a test is taken to be wrong unless the keeper says otherwise: 1 in 100 (from memory, no published rate)
TEST_ERROR_PPM = 10_000

_OF_LOOKS = (FindingKind.SEEN, FindingKind.NOT_SEEN)
_OF_GENE = (FindingKind.TEST, FindingKind.PROVEN, FindingKind.ASSUMED, FindingKind.CARD)


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingDetails:
    """One finding; `storage.tables.Finding` says which fields each kind uses. `ppm` is in millionths."""

    kind: FindingKind
    locus: str
    gene: str = ""
    looks: tuple[str, ...] = ()
    copies: int | None = None
    ppm: int = SURE
    at: dt.datetime | None = None
    person: PersonId | None = None
    source: str = ""
    note: str = ""


def add_finding(collection: Collection, *, animal: AnimalId, details: FindingDetails) -> Outcome[FindingId]:
    """Enter one finding of an animal."""
    with collection.act(Act.ADD_FINDING) as act:
        found = animal_at_hand(act, animal)
        row = write_finding(act, animal, details, None)
        act.tell(say("{animal}: {what}", animal=found.keeper_id, what=_words(details)))
    return act.outcome(Act.ADD_FINDING, row)


def add_findings(
    collection: Collection, *, animal: AnimalId, details: tuple[FindingDetails, ...]
) -> Outcome[tuple[FindingId, ...]]:
    """Enter several findings of an animal in one act ("Pastel, not Enchi")."""
    if not details:
        raise Refusal(say("There is nothing in it to keep."))
    with collection.act(Act.ADD_FINDING) as act:
        found = animal_at_hand(act, animal)
        rows = tuple(write_finding(act, animal, one, None) for one in details)
        act.tell(say("{animal}: {n} finding", "{animal}: {n} findings", animal=found.keeper_id, n=len(rows)))
    return act.outcome(Act.ADD_FINDING, rows)


def correct_finding(collection: Collection, *, finding: FindingId, details: FindingDetails) -> Outcome[FindingId]:
    """Put another finding in the place of one; the earlier one stays in the history."""
    with collection.act(Act.CORRECT_FINDING) as act:
        animal, keeper_id = _in_force(act, finding)
        row = write_finding(act, animal, details, finding)
        act.tell(say("{animal}: corrected to {what}", animal=keeper_id, what=_words(details)))
    return act.outcome(Act.CORRECT_FINDING, row)


def retract_finding(collection: Collection, *, finding: FindingId, why: str = "") -> Outcome[FindingId]:
    """Take a finding back; it stays in the history with the reason, and says nothing any more."""
    with collection.act(Act.RETRACT_FINDING) as act:
        animal, keeper_id = _in_force(act, finding)
        ((locus, gene),) = act.rows("SELECT locus, gene FROM finding WHERE id = ?", (finding,))
        details = FindingDetails(kind=FindingKind.RETRACTED, locus=locus, gene=gene, note=why.strip())
        row = write_finding(act, animal, details, finding)
        act.tell(say("{animal}: a finding of {locus} taken back", animal=keeper_id, locus=locus))
    return act.outcome(Act.RETRACT_FINDING, row)


def _in_force(act: ActInHand, finding: FindingId) -> tuple[AnimalId, str]:
    rows = act.rows(
        "SELECT f.animal_id, f.kind, EXISTS (SELECT 1 FROM finding x WHERE x.corrects_id = f.id) FROM finding f"
        " WHERE f.id = ?",
        (finding,),
    )
    if not rows:
        raise Refusal(say("That finding is no longer in the book; it may have been undone."))
    animal, kind, corrected = rows[0]
    if corrected or kind == FindingKind.RETRACTED:
        raise Refusal(say("That finding was corrected or taken back already; correct the newer one."))
    return AnimalId(animal), animal_at_hand(act, AnimalId(animal)).keeper_id


def write_finding(act: ActInHand, animal: AnimalId, details: FindingDetails, corrects: FindingId | None) -> FindingId:
    """The row of a finding, inside an act."""
    _check(details)
    row = act.insert(
        Finding,
        animal_id=animal,
        at=happened(act, details.at),
        kind=details.kind.value,
        locus=details.locus,
        gene=details.gene,
        looks=json.dumps(sorted(details.looks)),
        copies=details.copies,
        ppm=details.ppm,
        person_id=details.person,
        source=details.source.strip(),
        note=details.note.strip(),
        corrects_id=corrects,
    )
    return FindingId(row)


def _check(details: FindingDetails) -> None:
    kind = details.kind
    if not details.locus:
        raise Refusal(say("A finding needs the gene it is about."))
    if kind in _OF_LOOKS and not details.looks:
        raise Refusal(say("A finding needs the look that was seen or not seen."))
    if kind in _OF_GENE and not details.gene:
        raise Refusal(say("A finding needs the gene it is about."))
    if kind is FindingKind.TEST and (details.copies is None or not 0 <= details.copies <= 2):
        raise Refusal(say("A test says how many copies she has: none, one or two."))
    if not 0 <= details.ppm <= SURE:
        raise Refusal(say("A chance lies between 0 and 100 percent."))
    if kind is FindingKind.TEST and details.ppm >= SURE // 2:
        raise Refusal(say("A test that is wrong every second time says nothing."))


def _words(details: FindingDetails) -> object:
    return finding_words(details.kind, details.locus, details.gene, details.looks, details.copies, details.ppm)
