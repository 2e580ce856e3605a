"""The likely causes of a contradiction: each named only where that one mistake would resolve it."""

from __future__ import annotations

import pytest

from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_why import causes
from coilbook.records.vocabulary import FindingKind
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


def surely_not(family: Family, gene: str, *names: str) -> None:
    """Tests that cannot be wrong have counted no copy."""
    sure = FindingDetails(kind=FindingKind.TEST, locus=gene, gene=gene, copies=0, ppm=0)
    for name in names:
        add_finding(family.book, animal=family.ids[name], details=sure)


NO_SIRE = "{} has no sire at all; rare, and looked into only when the rest is ruled out."


def test_a_recessive_look_its_dam_alone_could_give(family: Family) -> None:
    family.add("F-1", "het clown proven")
    family.add("M-1", "normal")
    family.add("J-1", "Clown", dam="F-1", sire="M-1")
    surely_not(family, "clown", "M-1")
    found = told(family, "J-1")
    assert "J-1 has another sire." in found
    assert NO_SIRE.format("J-1") in found
    assert any(one.startswith("What is known of M-1 is wrong") for one in found)


@pytest.mark.parametrize(("name", "looks"), [("M-9", "Clown"), ("J-1", "Pastel Clown")])
def test_no_male_and_none_of_another_look_of_its_sire_is_of_its_dam_alone(
    family: Family, name: str, looks: str
) -> None:
    """All python young without a sire are female (facts 4.4), and they have their dam's alleles at every locus."""
    family.add("F-1", "het clown proven")
    family.add("M-1", "Pastel")
    family.add(name, looks, dam="F-1", sire="M-1")
    surely_not(family, "clown", "M-1")
    found = told(family, name)
    assert f"{name} has another sire." in found
    assert NO_SIRE.format(name) not in found


def test_the_causes_are_named_where_the_sire_is_one_of_several(family: Family) -> None:
    family.add("F-1", "het clown proven")
    family.add("M-1", "normal")
    family.add("M-2", "normal")
    for name, looks in (("J-1", "normal"), ("J-2", "normal"), ("J-3", "Clown")):
        family.add(name, looks, dam="F-1", sire={"M-1": 60, "M-2": 40}, hatched="2025-08-01")
    surely_not(family, "clown", "M-1", "M-2")
    wrong = "What is known of {} is wrong: a misread look, a mistaken test or label."
    assert told(family, "J-3") == [
        *(wrong.format(name) for name in ("M-1", "M-2", "J-3")),
        "J-3 has another sire.",
        NO_SIRE.format("J-3"),
    ]


def test_a_young_no_sire_of_its_list_explains_may_be_another_eggs(family: Family) -> None:
    """The dam cannot give what it takes: another sire does not do, another clutch does."""
    family.add("F-1", "normal")
    family.add("M-1", "Clown")
    family.add("M-2", "Clown")
    family.add("J-1", "Clown", dam="F-1", sire={"M-1": 60, "M-2": 40})
    surely_not(family, "clown", "F-1")
    found = told(family, "J-1")
    assert "J-1 comes from another clutch: a swapped egg." in found
    assert "J-1 has another sire." not in found


def test_a_contradiction_names_nobody_of_whom_nothing_is_known(family: Family) -> None:
    """One sire of two for both: J-2 shows what only the one and only the other can give; of J-1 nothing is said."""
    family.add("F-1", "normal")
    family.add("M-1", "Pastel")
    family.add("M-2", "Enchi")
    for name, looks in (("J-1", ""), ("J-2", "Pastel Enchi")):
        family.add(name, looks, dam="F-1", sire={"M-1": 60, "M-2": 40}, hatched="2025-08-01")
    part = genetics_part(family.book, family.ids["J-1"])
    assert part is not None
    assert {str(row.contradiction) for row in part.rows} == {"what is known of J-2 cannot all be true"}
