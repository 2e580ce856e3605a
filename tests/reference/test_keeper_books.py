"""Families entered as a keeper enters them, against every world in fractions, and the printed values beside them."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from tests.operations.conftest import Clock
from tests.reference.keeper_books import Deviations, compare
from tests.reference.keeper_families import TRAITS, random_household
from tests.reference.keeper_several import Found, compare_several, random_several
from tests.reference.printed_values import TABLES

from coilbook.derived import summary
from coilbook.storage.collection import Collection

SEEDS = range(6)


@pytest.mark.parametrize("key", TRAITS)
def test_laws_papers_and_outlooks_are_those_of_every_world(key: str, tmp_path: Path) -> None:
    found = Deviations()
    for seed in SEEDS:
        with Collection.create(tmp_path / f"book {seed}", Clock()) as book:
            summary.attach(book)
            compare(book, random_household(key, Random(f"{key} {seed}")), found)
    assert found.laws > 100 and found.papers > 20 and found.outlooks > 20
    assert max(found.law, found.paper, found.outlook) < 1e-9


@pytest.mark.parametrize("part", range(4))
def test_doubtful_sires_are_weighed_over_both_genes_as_in_every_world(part: int, tmp_path: Path) -> None:
    """Laws, outlooks for both genes at once, and identification with who the sire is; the genes alone would be off."""
    found = Found()
    for seed in range(part * 10, part * 10 + 10):
        with Collection.create(tmp_path / f"book {seed}", Clock()) as book:
            summary.attach(book)
            compare_several(book, random_several(Random(f"several {seed}")), found)
    assert found.numbers > 400 and found.moved > 0.05
    assert max(found.law, found.outlook, found.identity) < 1e-12


@pytest.mark.parametrize("name", TABLES)
def test_printed_values(name: str, tmp_path: Path) -> None:
    with Collection.create(tmp_path / "book", Clock()) as book:
        summary.attach(book)
        for told, exact, found in TABLES[name](book):
            assert found == pytest.approx(float(exact), abs=1e-12), told
