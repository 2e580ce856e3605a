"""The likely causes of a contradiction: each named only where that one mistake would resolve it."""

from __future__ import annotations

import pytest

from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_why import causes
from coilbook.storage.collection import Collection
from tests.derived.family import Family


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def told(family: Family, name: str) -> list[str]:
    part = genetics_part(family.book, family.ids[name])
    assert part is not None
    (row,) = [r for r in part.rows if r.contradiction is not None]
    return [str(one) for one in causes(family.book, row, family.ids[name])]


def test_a_dominant_look_that_neither_parent_has(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "normal")
    family.add("J-1", "Pastel", dam="F-1", sire="M-1")
    found = told(family, "J-1")
    assert "What is known of J-1 is wrong: a misread look, a mistaken test or label." in found
    assert "J-1 has another sire." in found
    # two copies of an allele of the dam are not pastel
    assert not any("no sire at all" in one for one in found)


def test_a_recessive_look_its_dam_alone_could_give(family: Family) -> None:
    from coilbook.operations.findings import FindingDetails, add_finding
    from coilbook.records.vocabulary import FindingKind

    family.add("F-1", "het clown proven")
    family.add("M-1", "normal")
    family.add("J-1", "Clown", dam="F-1", sire="M-1")
    sure = FindingDetails(kind=FindingKind.TEST, locus="clown", gene="clown", copies=0, ppm=0)
    add_finding(family.book, animal=family.ids["M-1"], details=sure)
    found = told(family, "J-1")
    assert "J-1 has another sire." in found
    assert any("J-1 has no sire at all; rare" in one for one in found)
    assert any(one.startswith("What is known of M-1 is wrong") for one in found)
