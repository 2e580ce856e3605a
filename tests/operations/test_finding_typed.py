"""What is typed to add a finding, and what is kept of it."""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_catalogues import shipped_texts
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.genetics.notation_reader import read
from coilbook.operations.finding_typed import Typed, typed_finding
from coilbook.operations.findings import FindingDetails
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind as Kind


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return read_catalogue(shipped_texts()["ball_python"])


def typed(text: str, catalogue: Catalogue) -> Typed:
    return typed_finding(text, catalogue, lambda words: read(words, catalogue))


CLOWN = {"locus": "clown", "gene": "clown"}


@pytest.mark.parametrize(
    ("text", "details"),
    [
        ("clown", FindingDetails(kind=Kind.SEEN, locus="clown", looks=("clown",))),
        ("Enchi", FindingDetails(kind=Kind.SEEN, locus="enchi", looks=("enchi",))),
        ("enchi yes", FindingDetails(kind=Kind.SEEN, locus="enchi", looks=("enchi", "super enchi"))),
        ("super enchi", FindingDetails(kind=Kind.SEEN, locus="enchi", looks=("super enchi",))),
        ("pastel 60%", FindingDetails(kind=Kind.SEEN, locus="pastel", looks=("pastel", "super pastel"), ppm=600_000)),
        (
            "pastel maybe 60%",
            FindingDetails(kind=Kind.SEEN, locus="pastel", looks=("pastel", "super pastel"), ppm=600_000),
        ),
        ("not clown", FindingDetails(kind=Kind.NOT_SEEN, locus="clown", looks=("clown",))),
        ("no pastel", FindingDetails(kind=Kind.NOT_SEEN, locus="pastel", looks=("pastel", "super pastel"))),
        ("test clown 1", FindingDetails(kind=Kind.TEST, **CLOWN, copies=1, ppm=10_000)),
        ("test het clown", FindingDetails(kind=Kind.TEST, **CLOWN, copies=1, ppm=10_000)),
        ("tested clown none 2%", FindingDetails(kind=Kind.TEST, **CLOWN, copies=0, ppm=20_000)),
        ("proven clown", FindingDetails(kind=Kind.PROVEN, **CLOWN)),
        ("proven het clown", FindingDetails(kind=Kind.PROVEN, **CLOWN)),
        ("assume 10% clown", FindingDetails(kind=Kind.ASSUMED, **CLOWN, ppm=100_000)),
        ("card 25% clown", FindingDetails(kind=Kind.CARD, **CLOWN, ppm=250_000)),
    ],
)
def test_one_finding(text: str, details: FindingDetails, catalogue: Catalogue) -> None:
    assert typed(text, catalogue) == Typed((details,))


def test_several_at_once_and_who_said_it(catalogue: Catalogue) -> None:
    found = typed("enchi yes, pastel 60%; Teo", catalogue)
    assert [f.locus for f in found.findings] == ["enchi", "pastel"]
    assert found.source == "Teo"


@pytest.mark.parametrize("text", ["66% het clown", "het clown", "poss het clown and pied; the seller"])
def test_what_is_carried_is_a_claim(text: str, catalogue: Catalogue) -> None:
    assert typed(text, catalogue).claim == text.partition(";")[0]
    assert not typed(text, catalogue).findings


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "Type a look"),
        ("blorpfen", "no gene of the catalogue"),
        ("pastel?", "how sure"),
        ("test clown", "how many copies"),
        ("card clown", "how likely"),
        ("pastel 140%", "between 0 and 100"),
        ("pastel clown", "One gene at a time"),
    ],
)
def test_what_is_not_understood_is_refused_with_the_reason(text: str, why: str, catalogue: Catalogue) -> None:
    with pytest.raises(Refusal, match=why):
        typed(text, catalogue)
