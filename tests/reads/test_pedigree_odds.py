"""One gene's odds on the cards of the tree, with evidence and on paper, against values worked out by hand."""

from __future__ import annotations

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal, add_claim
from coilbook.reads.pedigree_genes import Gene, gene_service
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from tests.operations.conftest import book, clock

__all__ = ["book", "clock"]

#: id, look, dam, sires with percent: a Clown's two half-sib young mated; above the one a list of two sires of whom one
#: is claimed to be possible het
ROWS: tuple[tuple[str, str, str, dict[str, int]], ...] = (
    ("X-01", "het clown", "", {}), ("X-02", "het clown", "", {}), ("X-03", "normal", "", {}),
    ("X-04", "normal", "", {}), ("X-05", "Pastel", "", {}), ("M-04", "Clown", "X-02", {"X-01": 100}),
    ("F-003", "normal", "X-05", {"X-03": 70, "X-04": 30}), ("F-005", "Enchi", "", {}),
    ("M-08", "normal", "F-003", {"M-04": 100}), ("F-010", "Enchi", "F-005", {"M-04": 100}),
    ("F-023", "Enchi", "F-010", {"M-08": 100}),
)  # fmt: skip


@pytest.fixture
def family(book: Collection) -> dict[str, AnimalId]:
    at: dict[str, AnimalId] = {}
    for name, look, dam, sires in ROWS:
        sex = Sex.MALE if name[0] == "M" or name in ("X-01", "X-03", "X-04") else Sex.FEMALE
        details = AnimalDetails(keeper_id=name, genetics=look, sex=sex, dam_id=at.get(dam))
        at[name] = add_animal(book, details=details, sires={at[s]: p for s, p in sires.items()}).value
    add_claim(book, animal=at["X-03"], text="66% het clown")
    return at


def test_odds_with_evidence(book: Collection, family: dict[str, AnimalId]) -> None:
    """F-003 carries with 0.7 x 2/3 x 1/2 before M-08, whom a carrier would have made a Clown half of the time."""
    service = gene_service(book)
    assert service is not None
    words = service.gene_words("clown", family.values())
    prior = 0.7 * (2 / 3) / 2
    posterior = prior / 2 / (prior / 2 + 1 - prior)
    assert words[family["F-003"]].evidence == pytest.approx(posterior, abs=1e-9)
    assert words[family["F-003"]].text == "13.2% poss het"
    assert words[family["X-03"]].text == "62.3% poss het"
    assert words[family["F-023"]].text == "66.7% poss het" and not words[family["F-023"]].sure
    said = {name: words[family[name]].text for name in ("M-04", "M-08", "F-010", "X-01", "X-04", "F-005")}
    assert said == {
        "M-04": "visual", "M-08": "100% het", "F-010": "100% het", "X-01": "100% het", "X-04": "0% assumed",
        "F-005": "0% assumed",
    }  # fmt: skip
    assert words[family["M-04"]].sure and words[family["X-04"]].sure


def test_on_paper_never_follows_the_young(book: Collection, family: dict[str, AnimalId]) -> None:
    service = gene_service(book)
    assert service is not None
    words = service.gene_words("clown", family.values())
    assert words[family["F-003"]].paper == pytest.approx(0.7 * 0.66 / 2, abs=0.003)
    assert words[family["F-003"]].paper_text == "23% poss het"
    assert words[family["F-023"]].paper_text == "66% poss het"
    assert words[family["M-04"]].paper_text == "visual"


def test_genes_are_those_that_anybody_may_carry(book: Collection, family: dict[str, AnimalId]) -> None:
    service = gene_service(book)
    assert service is not None
    genes = service.genes()
    assert Gene("clown", "Clown") in genes and {gene.key for gene in genes} == {"clown", "enchi", "pastel"}
    enchi = service.gene_words("enchi", family.values())
    assert enchi[family["F-023"]].text == "seen"
    assert service.gene_words("no such gene", family.values()) == {}


def test_a_family_that_contradicts_itself_has_no_number(book: Collection, family: dict[str, AnimalId]) -> None:
    mother = add_animal(book, details=AnimalDetails(keeper_id="F-1", genetics="Clown", sex=Sex.FEMALE)).value
    father = add_animal(book, details=AnimalDetails(keeper_id="M-1", genetics="Clown", sex=Sex.MALE)).value
    details = AnimalDetails(keeper_id="Y-1", genetics="normal", dam_id=mother)
    young = add_animal(book, details=details, sires={father: 100}).value
    service = gene_service(book)
    assert service is not None
    words = service.gene_words("clown", [young, family["M-04"]])
    assert words[young].evidence is None and words[young].text == "contradiction"
    assert words[family["M-04"]].text == "visual"
