"""Any acts on the catalogue in any order: the kept genetics is what a book read anew says, and all can be undone."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from coilbook.derived.genetics_book import Genetics, GeneticsBook, book_of, solve_again
from coilbook.derived.genetics_catalogues import own_entries
from coilbook.genetics.locus import Inheritance
from coilbook.operations import catalogue as acts
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.operations.own_genes import kind_and_key, remove_own_gene
from coilbook.operations.undo import undo_last
from coilbook.reads.gene_page import gene_page
from coilbook.reads.genes import read_catalogue_book
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind, Sex
from coilbook.storage.collection import Collection
from tests.operations.conftest import Room

STEPS = 25
WORDS = ("Lantern", "Cinder", "Ember", "Heather", "Beacon", "Saltmarsh")
SHIPPED = ("enchi", "sunset", "axanthic", "vanilla", "spider", "clown")
TEXTS = ("Lantern het sunset", "Enchi het clown", "Vanilla Cinder", "axanthic (Line Z)", "Spider 66% het lantern", "")


class Chance:
    """Random acts; what is refused is refused in a sentence and changes nothing."""

    def __init__(self, book: Collection, seed: int) -> None:
        self.book, self.chance, self.done = book, Random(seed), 0

    def gene(self) -> str:
        genes = list(read_catalogue_book(self.book, "ball_python").catalogue.genes)
        mine = [gene for gene in genes if gene in SHIPPED or gene.title() in WORDS or "(" in gene]
        return self.chance.choice(mine)

    def word(self) -> str:
        return self.chance.choice(WORDS)

    def step(self) -> None:
        how = self.chance.choice(list(Inheritance))
        allele_of = self.chance.choice(["", self.gene()])
        choices = (
            lambda: acts.add_gene(self.book, name=self.word(), inheritance=how, allele_of=allele_of),
            lambda: acts.correct_gene(self.book, gene=self.gene(), changes={"inheritance": how.value}),
            lambda: acts.correct_gene(self.book, gene=self.gene(), changes={}, allele_of=allele_of),
            lambda: acts.rename_gene(self.book, gene=self.gene(), name=self.word()),
            lambda: acts.merge_genes(self.book, gene=self.gene(), into=self.gene()),
            lambda: acts.add_line(self.book, gene=self.gene(), words=self.chance.choice(["Line Q", "Northgate"])),
            lambda: acts.name_combination(self.book, name=self.word(), parts=f"{self.word()} Enchi"),
            self.complex,
            self.take_back,
        )
        try:
            self.chance.choice(choices)()
        except Refusal as refusal:
            assert str(refusal)
        else:
            self.done += 1

    def complex(self) -> None:
        key = self.chance.choice(list(read_catalogue_book(self.book, "ball_python").catalogue.complexes))
        linkage: dict[str, object] = {"recombination": self.chance.choice([0.1, 0.5]), "provenance": "keeper"}
        said = self.chance.choice([{"name": self.word()}, {"description": "Mine."}, {"linkage": linkage}])
        acts.correct_complex(self.book, complex_key=key, changes=said)

    def take_back(self) -> None:
        own = own_entries(self.book, "ball_python")
        if not own:
            raise Refusal("nothing of the keeper's own")
        kind, key = kind_and_key(self.chance.choice(own))
        remove_own_gene(self.book, kind=kind, key=key)


def _laws(genetics: Genetics) -> dict[str, np.ndarray]:
    herd = genetics.herds["ball_python"]
    return {key: view.answer.all_posteriors() for key, view in herd.loci.items()}


@pytest.mark.parametrize("seed", range(3))
def test_any_acts_on_the_catalogue(room: Room, seed: int) -> None:
    book = room.book
    for number, text in enumerate(TEXTS):
        details = AnimalDetails(keeper_id=f"F-{number}", sex=Sex.FEMALE, genetics=text)
        animal = add_animal(book, details=details).value
    for look in ("lantern", "sunset"):
        seen = FindingDetails(kind=FindingKind.SEEN, locus=look, looks=(look,), ppm=1_000_000)
        add_finding(book, animal=animal, details=seen)
    before = _laws(book_of(book).current())
    chance = Chance(book, seed)
    for _ in range(STEPS):
        chance.step()
        kept, anew = _laws(book_of(book).current()), _laws(GeneticsBook(book, solve_again).current())
        assert kept.keys() == anew.keys()
        for key in kept:
            np.testing.assert_allclose(kept[key], anew[key], atol=1e-12, err_msg=key)
        shown = read_catalogue_book(book, "ball_python")
        assert all(gene_page(shown, row) is not None for row in shown.rows if row.inheritance is not None)
    for _ in range(chance.done):
        undo_last(book)
    assert own_entries(book, "ball_python") == () and chance.done >= 8
    after = _laws(book_of(book).current())
    assert before.keys() == after.keys()
    for key in before:
        np.testing.assert_allclose(after[key], before[key], atol=1e-12, err_msg=key)
