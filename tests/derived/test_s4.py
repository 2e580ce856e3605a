"""Scenario S4 of the job: a doubtful hatchling, settled by its own young sixteen months later, history kept."""

from __future__ import annotations

import pytest

from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.reads.genetics_card import card_texts
from coilbook.reads.timeline import timeline
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with

ENCHI = FindingDetails(kind=FindingKind.SEEN, locus="enchi", looks=("enchi", "super enchi"))
PASTEL = FindingDetails(kind=FindingKind.SEEN, locus="pastel", looks=("pastel", "super pastel"), ppm=600_000)


@pytest.fixture
def family(book: Collection) -> Family:
    found = Family(book)
    found.add("F-1", "Enchi het clown")
    found.add("M-1", "Pastel Enchi het clown")
    found.add("M-6", "Clown", dam="F-1", sire="M-1", hatched="2024-08-01")
    found.add("F-9", "normal")
    return found


def numbers(family: Family) -> tuple[float, float]:
    """Super enchi and pastel of the hatchling, in percent to a tenth."""
    genetics = book_with(family.book).current()
    found = []
    for gene, copies in (("enchi", 2), ("pastel", 1)):
        seen = genetics.view(family.ids["M-6"], gene)
        assert seen is not None
        law = seen[0].law(seen[1])
        found.append(round(100 * float(law[seen[0].states.copies(1) >= copies].sum()), 1))
    return found[0], found[1]


@pytest.mark.parametrize(("lean", "before", "after"), [(True, 60.0, 2.3), (False, 50.0, 1.5)])
def test_the_doubt_is_settled_by_six_young(family: Family, lean: bool, before: float, after: float) -> None:
    """33% super enchi at hatch; after six enchi and no pastel 97%, pastel 2.3% (1.5% without the lean) (S4, [calc])."""
    add_finding(family.book, animal=family.ids["M-6"], details=ENCHI)
    if lean:
        add_finding(family.book, animal=family.ids["M-6"], details=PASTEL)
    assert numbers(family) == (33.3, before)
    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "Enchi", dam="F-9", sire="M-6", hatched="2025-12-01")
    assert numbers(family) == (97.0, after)


def test_the_card_says_what_was_seen_and_the_history_keeps_it(family: Family) -> None:
    for details in (ENCHI, PASTEL):
        add_finding(family.book, animal=family.ids["M-6"], details=details)
    card = card_texts(family.book, [family.ids["M-6"]])[family.ids["M-6"]]
    assert card.certain == "Enchi Clown"
    assert card.doubt == "poss super Enchi, poss Pastel"
    told = [str(e.said[0]) for e in timeline(family.book, family.ids["M-6"]) if e.table == "finding"]
    assert told == ["pastel / super pastel seen, 60% sure", "enchi / super enchi seen"]
