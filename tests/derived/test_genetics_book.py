"""The book of genetics follows every act, and each reading of claims, looks and founders is as documented."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from coilbook.derived.genetics_book import Genetics, GeneticsBook, book_of, solve_again
from coilbook.genetics.inference import Solved
from coilbook.operations.animals import AnimalDetails, add_claim, edit_animal, set_parents
from coilbook.operations.findings import FindingDetails, add_finding, retract_finding
from coilbook.operations.own_genes import keep_own_gene
from coilbook.operations.undo import undo_last
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind, OwnKind
from coilbook.storage.collection import Collection
from tests.derived.family import Family, book_with, on_paper, percents, s5

CLOWN_SEEN = FindingDetails(kind=FindingKind.SEEN, locus="clown", looks=("clown",))


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def laws(genetics: Genetics) -> dict[str, list[list[float]]]:
    return {
        f"{species} {key}": np.round(view.answer.all_posteriors(), 9).tolist()
        for species, herd in genetics.herds.items()
        for key, view in herd.loci.items()
    }


def test_a_claim_is_a_prior_without_parents_and_no_evidence_with_both(family: Family) -> None:
    family.add("F-1", "66% het clown")
    family.add("M-1", "normal")
    family.add("F-2", "66% het clown", dam="F-1", sire="M-1")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "clown", "F-1", "F-2") == [66.7, 33.3]
    assert on_paper(genetics, family.ids, "clown", "F-1", "F-2") == ["2/3", "1/3"]


def test_a_claim_beside_one_parent_speaks_of_the_other(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("F-2", "50% het clown", dam="F-1")
    add_claim(family.book, animal=family.add("F-3", "normal", dam="F-1"), text="66% het clown", source="seller")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "clown", "F-1", "F-2", "F-3") == [0.0, 50.0, 66.7]


def test_a_visual_young_lifts_the_assumption_of_the_founders_it_needs_and_no_other(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "Clown")
    family.add("F-9", "normal")
    family.young("J-1 J-2", "normal", dam="F-1", sire="M-1")
    assert percents(book_with(family.book).current(), family.ids, "clown", "F-1", "J-1") == [0.0, 100.0]
    family.add("J-3", "Clown", dam="F-1", sire="M-1")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "clown", "F-1", "F-9") == [100.0, 0.0]
    view = genetics.herds["ball_python"].loci["clown"]
    assert {int(view.inputs.rows.ids[a]) for a in view.lifted} == {family.ids["F-1"]}
    assert not genetics.clashes()


def test_a_founder_further_up_is_found_too(family: Family) -> None:
    for name in ("F-1", "M-1", "M-2"):
        family.add(name, "normal")
    family.add("F-2", "normal", dam="F-1", sire="M-1")
    family.add("J-1", "Clown", dam="F-2", sire="M-2")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "clown", "F-2", "M-2") == [100.0, 100.0]
    assert percents(genetics, family.ids, "clown", "F-1", "M-1") == pytest.approx([50.1, 50.1], abs=0.3)


def test_a_contradiction_names_who_is_in_it_and_leaves_the_rest(family: Family) -> None:
    family.add("F-1", "normal")
    family.add("M-1", "Clown")
    family.add("J-1", "Clown", dam="F-1", sire="M-1")
    sure = FindingDetails(kind=FindingKind.TEST, locus="clown", gene="clown", copies=0, ppm=0)
    add_finding(family.book, animal=family.ids["F-1"], details=sure)
    ((locus, _, animals),) = book_with(family.book).current().clashes()
    assert locus == "clown"
    assert set(animals) <= {family.ids[n] for n in ("F-1", "M-1", "J-1")}
    assert {family.ids["F-1"], family.ids["J-1"]} <= set(animals)


def test_a_finding_stands_over_the_label_and_taken_back_no_more(family: Family) -> None:
    genetic_book = book_with(family.book)
    family.add("F-1", "Pastel")
    family.add("F-2", "normal")
    genetic_book.current()
    row = add_finding(family.book, animal=family.ids["F-2"], details=CLOWN_SEEN).value
    assert percents(genetic_book.current(), family.ids, "clown", "F-1", "F-2") == [0.0, 100.0]
    retract_finding(family.book, finding=row)
    assert genetic_book.current().view(family.ids["F-2"], "clown") is None


def test_a_label_read_only_in_part_says_nothing_of_what_it_does_not_name(family: Family) -> None:
    family.add("F-1", "het clown")
    family.add("M-1", "het clown")
    family.add("J-1", "Pastel Blorpfen", dam="F-1", sire="M-1")
    family.add("J-2", "normal", dam="F-1", sire="M-1")
    family.add("J-3", "", dam="F-1", sire="M-1")
    genetics = book_with(family.book).current()
    assert percents(genetics, family.ids, "clown", "J-1", "J-2", "J-3") == [75.0, 66.7, 75.0]


def test_a_litter_of_two_sires_shares_one_unless_each_has_its_own(family: Family) -> None:
    family.add("F-1", "Clown")
    family.add("M-1", "het clown")
    family.add("M-2", "normal")
    for name, looks in (("J-1", "Clown"), ("J-2", "normal")):
        family.add(name, looks, dam="F-1", sire={"M-1": 50, "M-2": 50}, hatched="2025-08-01")
    family.add("M-3", "Clown")
    family.add("J-9", "Clown", dam="F-1", sire="M-3")
    genetics = book_with(family.book).current()
    litter = genetics.herds["ball_python"].rows.pedigree.litters
    assert [(len(one.young), one.shared) for one in litter] == [(2, True)]
    for name in ("J-1", "J-2"):
        set_parents(
            family.book,
            animal=family.ids[name],
            dam=family.ids["F-1"],
            sires={family.ids["M-1"]: 50, family.ids["M-2"]: 50},
            each_own=True,
        )
    own = book_with(family.book).current().herds["ball_python"].rows.pedigree.litters
    assert [one.shared for one in own] == [False]


def test_a_finding_of_an_animal_with_parents_keeps_the_structure_and_one_of_a_founder_need_not(family: Family) -> None:
    s5(family)
    genetics_book = book_of(family.book)

    def structure() -> object:
        answer = genetics_book.current().herds["ball_python"].loci["piebald"].answer
        assert isinstance(answer, Solved)
        return answer.structure

    before = structure()
    tested = FindingDetails(kind=FindingKind.TEST, locus="piebald", gene="piebald", copies=0, ppm=10_000)
    add_finding(family.book, animal=family.ids["D-12"], details=tested)
    assert structure() is before
    kept = genetics_book.current()
    assert laws(kept) == laws(GeneticsBook(family.book, solve_again).current())
    # a founder's look says what the founder may have brought: a prior moves
    edit_animal(family.book, animal=family.ids["M-40"], details=AnimalDetails(genetics="het piebald"))
    assert structure() is not before


def test_pair_laws_are_joint_and_name_only_what_may_segregate(family: Family) -> None:
    family.add("F-0", "Pastel het clown")
    family.add("M-0", "het clown")
    family.add("F-1", "Pastel", dam="F-0", sire="M-0")
    family.add("M-1", "normal", dam="F-0", sire="M-0")
    family.add("F-8", "Enchi")
    genetics = book_with(family.book).current()
    found = genetics.pair_laws(sire=family.ids["M-1"], dam=family.ids["F-1"])
    assert set(found) == {"clown", "pastel"}
    states, joint = found["clown"]
    assert joint.shape == (len(states.states),) * 2
    assert joint.sum() == pytest.approx(1)
    assert joint[1, 1] == pytest.approx(4 / 9)


def test_an_own_gene_is_in_play_once_it_is_written(family: Family) -> None:
    genetic_book = book_with(family.book)
    family.add("F-1", "Heathermoor")
    assert "heathermoor" not in genetic_book.current().herds["ball_python"].loci
    body = '[[gene]]\nkey = "heathermoor"\nname = "Heathermoor"\ninheritance = "recessive"\n'
    keep_own_gene(family.book, kind=OwnKind.GENE, key="heathermoor", body=body)
    assert percents(genetic_book.current(), family.ids, "heathermoor", "F-1") == [100.0]
    before = genetic_book.current().herds["ball_python"].loci["heathermoor"]
    keep_own_gene(family.book, kind=OwnKind.GENE, key="heathermoor", body=body.replace("recessive", "dominant"))
    after = genetic_book.current().herds["ball_python"].loci["heathermoor"]
    assert [view.known(0).sightings[0].looks for view in (before, after)] == [{"heathermoor"}] * 2
    assert after.states.locus.inheritance(1) != before.states.locus.inheritance(1)
    undo_last(family.book)
    undo_last(family.book)
    assert "heathermoor" not in genetic_book.current().herds["ball_python"].loci


class Chance:
    """Random acts on a small family."""

    def __init__(self, family: Family, seed: int) -> None:
        self.family, self.chance = family, Random(seed)

    def one(self) -> AnimalId:
        return self.chance.choice(list(self.family.ids.values()))

    def step(self) -> None:
        self.chance.choice(
            [self.label, self.label, self.find, self.find, self.claim, self.parents, self.undo, self.add]
        )()

    def label(self) -> None:
        text = self.chance.choice(["normal", "het clown", "66% het clown", "Clown", "", "Pastel", "Pastel Clown"])
        edit_animal(self.family.book, animal=self.one(), details=AnimalDetails(genetics=text))

    def find(self) -> None:
        kind = self.chance.choice([FindingKind.SEEN, FindingKind.TEST, FindingKind.PROVEN, FindingKind.ASSUMED])
        details = FindingDetails(
            kind=kind, locus="clown", gene="clown", looks=("",), copies=self.chance.choice([0, 1]),
            ppm=self.chance.choice([10_000, 300_000]),
        )  # fmt: skip
        add_finding(self.family.book, animal=self.one(), details=details)

    def claim(self) -> None:
        add_claim(self.family.book, animal=self.one(), text=self.chance.choice(["50% het clown", "ph piebald"]))

    def parents(self) -> None:
        dams = [i for n, i in self.family.ids.items() if n[0] == "F"]
        sires = self.chance.sample([i for n, i in self.family.ids.items() if n[0] == "M"], 2)
        shares = self.chance.choice([{sires[0]: 100}, {sires[0]: 60, sires[1]: 40}, {sires[0]: 70}, {}])
        try:
            set_parents(self.family.book, animal=self.one(), dam=self.chance.choice(dams), sires=shares)
        except Refusal:
            return

    def undo(self) -> None:
        try:
            undo_last(self.family.book)
        except Refusal:
            return

    def add(self) -> None:
        if len(self.family.ids) < 10:
            name = f"{self.chance.choice('FM')}-{len(self.family.ids)}x"
            try:
                self.family.add(name, "normal", hatched="2025-08-01")
            except Refusal:
                return


@pytest.mark.parametrize("seed", range(3))
def test_what_is_kept_is_what_a_fresh_book_computes(family: Family, seed: int) -> None:
    for name in ("F-1", "F-2", "M-1", "M-2", "M-3"):
        family.add(name, "het clown" if name.endswith("1") else "normal", hatched="2025-08-01")
    kept = book_with(family.book)
    chance = Chance(family, seed)
    for _ in range(25):
        chance.step()
        family.ids = {
            n: i for n, i in family.ids.items() if family.book.read("SELECT 1 FROM animal WHERE id = ?", (i,))
        }
        assert laws(kept.current()) == laws(book_with(family.book).current())
