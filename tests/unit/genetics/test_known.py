"""What a text says of an animal itself, and how a gene is inherited by the look of two doses."""

from __future__ import annotations

import pytest
from tests.unit.genetics.catalogues import shipped_text

from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.genetics.known import known_by_label
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_reader import read

CATALOGUE = read_catalogue(shipped_text())


@pytest.mark.parametrize(
    ("text", "answers", "full"),
    [
        ("Enchi", {}, True),
        ("Enchi zzyx", {}, False),
        ("Enchi zzyx", {"word|zzyx": "note"}, True),
        ("Enchi zzyx", {"word|zzyx": "text"}, False),
        ("Enchi zzyx 'shy' qwop", {"word|zzyx": "note"}, False),
    ],
)
def test_an_unknown_word_is_read_once_the_keeper_called_it_a_remark(
    text: str, answers: dict[str, str], full: bool
) -> None:
    """Only a text read to its end says that a look it does not name was not there."""
    assert known_by_label(read(text, CATALOGUE, answers=answers), CATALOGUE).full is full


@pytest.mark.parametrize(
    ("gene", "inheritance"),
    [
        ("clown", Inheritance.RECESSIVE),
        ("enchi", Inheritance.INCOMPLETE_DOMINANT),
        ("calico", Inheritance.DOMINANT),
        # nobody has seen two doses: that they look otherwise is not known
        ("spider", Inheritance.DOMINANT),
        ("champagne", Inheritance.DOMINANT),
    ],
)
def test_inheritance_is_read_from_looks_that_were_seen(gene: str, inheritance: Inheritance) -> None:
    assert CATALOGUE.inheritance_of(gene) is inheritance
    assert CATALOGUE.locus_of(gene).two_known(CATALOGUE.allele_of(gene)) is (gene not in ("spider", "champagne"))
