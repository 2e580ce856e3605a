"""Pairings whose parents, sires or sexes are in doubt, as their page tells them; beside each number its sum by hand."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from coilbook.genetics.wish import Wish, wish_for
from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.operations.own_genes import keep_own_gene
from coilbook.reads.genetics import genetics_part
from coilbook.reads.outlook import Asked, Pairing, PairingOdds, read_outlook
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.reads.outlook_ranking import read_ranking
from coilbook.records.vocabulary import OwnKind, Sex
from coilbook.storage.collection import Collection
from coilbook.ui.outlook.layout import about_words
from coilbook.ui.outlook.words import card_words, none_words
from tests.derived.family import Family

SPECIES = "ball_python"


@pytest.fixture
def family(book: Collection) -> Family:
    return Family(book)


def wish(family: Family, *genes: str, sex: Sex | None = None) -> Wish:
    return wish_for(kept_genetics(family.book, SPECIES).catalogue, dict.fromkeys(genes), sex)


def odds(family: Family, dam: str, sires: Mapping[str, int], asked: Wish, *, each_own: bool = False) -> PairingOdds:
    listed = tuple((family.ids[name], percent) for name, percent in sires.items())
    pairing = Pairing(family.ids[dam], listed, each_own)
    return read_outlook(family.book, kept_genetics(family.book, SPECIES), pairing, Asked(6, asked))


@pytest.mark.parametrize("percent", [80, 0])
def test_a_dam_of_doubtful_sex_is_a_dam_in_her_pairing(family: Family, percent: int) -> None:
    """Coral glow lies on X: a female of one dose by a normal male gives 1/2 in each sex (facts 4.3)."""
    family.add("F-1", "Coral Glow")
    sex = AnimalDetails(sex_percent=percent) if percent else AnimalDetails(sex=Sex.UNSEXED)
    edit_animal(family.book, animal=family.ids["F-1"], details=sex)
    family.add("M-1", "normal")
    found = odds(family, "F-1", {"M-1": 100}, wish(family, "coral glow"))
    assert found.wish is not None
    assert (found.wish.each, *found.wish.by_sex) == pytest.approx((1 / 2, 1 / 4, 1 / 4))
    assert found.wish.parts.overall == pytest.approx(1 - 1 / 2**6)
    assert sum(row.each for row in found.looks()) == pytest.approx(1)
    genetics = kept_genetics(family.book, SPECIES)
    ranked = read_ranking(family.book, genetics, family.ids["M-1"], found.asked.wish or wish(family), 6, SPECIES)
    assert [round(one.each, 9) for one in ranked.mates] == ([0.5] if percent else [])


def test_mates_are_ranked_by_the_sex_that_is_looked_for(family: Family) -> None:
    """Clown females of Clown x Clown: 1/2 of the hatchlings, 63/64 that one of six is; of Clown x het: 1/4."""
    family.add("F-1", "Clown")
    family.add("M-1", "Clown")
    family.add("M-2", "proven het clown")
    asked = wish(family, "clown", sex=Sex.FEMALE)
    ranked = read_ranking(family.book, kept_genetics(family.book, SPECIES), family.ids["F-1"], asked, 6, SPECIES)
    assert [(one.mate.keeper_id, one.each) for one in ranked.mates] == [("M-1", 0.5), ("M-2", 0.25)]
    assert [one.at_least_one for one in ranked.mates] == pytest.approx([1 - 0.5**6, 1 - 0.75**6])
    for one in ranked.mates:
        page = odds(family, "F-1", {one.mate.keeper_id: 100}, asked)
        assert page.wish is not None
        assert (page.wish.each, page.wish.parts.overall) == pytest.approx((one.each, one.at_least_one))


def test_what_is_out_of_reach_by_eggs_is_by_clutches_too(family: Family) -> None:
    """A dam of even odds by a Clown: more than 50% never comes of it, however many clutches are laid."""
    family.add("F-1", "50% het clown")
    family.add("M-1", "Clown")
    found = odds(family, "F-1", {"M-1": 100}, wish(family, "clown")).wish
    assert found is not None
    for needs in (found.eggs, found.clutches):
        assert [(one.count, one.limit) for one in needs] == [(None, pytest.approx(0.5))] * 3


def test_each_egg_its_own_sire_where_some_of_ones_eggs_cannot_hatch(family: Family) -> None:
    """A quarter of the Lantern male's eggs cannot hatch: 3 in 7 hatchlings are his. Each number is a sum over both.

    Lantern not Clown: 3/7 x 2/3 x 3/4 + 4/7 x 1/2 x 1/2 = 5/14, of which 3/7 x 2/3 x 1/2 + 4/7 x 1/4 = 4/5 are het.
    """
    body = '[[gene]]\nkey = "lantern"\nname = "Lantern"\ninheritance = "incomplete dominant"\ntwo_lethal = true\n'
    keep_own_gene(family.book, kind=OwnKind.GENE, key="lantern", body=body)
    family.add("F-1", "Lantern, proven het clown")
    family.add("M-1", "Lantern, proven het clown")
    family.add("M-2", "Clown")
    found = odds(family, "F-1", {"M-1": 50, "M-2": 50}, wish(family, "clown"), each_own=True)
    looks = {row.title: row for row in found.looks()}
    assert looks["Lantern"].each == pytest.approx(5 / 14)
    assert looks["Lantern"].carried == "80% het clown"
    assert looks["Lantern Clown"].each == pytest.approx(3 / 7 * 2 / 3 / 4 + 4 / 7 / 4)
    for row in looks.values():
        assert sum(row.by_sex) == pytest.approx(row.each)
    assert sum(row.each for row in looks.values()) == pytest.approx(1)
    assert [one.share for one in found.unhatched] == [pytest.approx(1 / 8)]


def test_cards_of_the_young_are_told_as_they_will_be_printed(family: Family) -> None:
    """66% from two hets, 0 of 6 by a Clown: 1 in 33. Her young by a normal male: 1/3 on paper, 1/66 with evidence."""
    family.add("F-0", "proven het clown")
    family.add("M-0", "proven het clown")
    family.add("F-1", "normal", dam="F-0", sire="M-0")
    family.add("M-1", "Clown")
    family.add("M-2", "normal")
    family.young("J-1 J-2 J-3 J-4 J-5 J-6", "normal", dam="F-1", sire="M-1")
    found = odds(family, "F-1", {"M-2": 100}, wish(family, "clown"))
    assert [(one.gene, one.paper, one.evidence) for one in found.cards] == [
        ("Clown", Fraction(1, 3), pytest.approx(1 / 66))
    ]
    assert card_words(found) == "on paper 33.3% het clown exactly; the trade word is 33%; with evidence 1.5%"
    young = family.add("K-1", "normal", dam="F-1", sire="M-2")
    part = genetics_part(family.book, young)
    assert part is not None
    assert (part.rows[0].paper, part.rows[0].evidence) == (found.cards[0].paper, pytest.approx(found.cards[0].evidence))
    both = odds(family, "F-1", {"M-1": 50, "M-2": 50}, wish(family, "clown"))
    # a half by him, all carry it, of those that do not show it: 1/2 x 2/3 of his, 1/2 of the other's of which 1/3 do
    assert both.cards[0].paper == (Fraction(1, 2) * Fraction(2, 3) + Fraction(1, 2) * Fraction(1, 3)) / Fraction(5, 6)


def test_an_animal_nobody_described_is_not_called_normal(family: Family) -> None:
    family.add("F-1", "")
    family.add("M-1", "Clown")
    assert about_words(odds(family, "F-1", {"M-1": 100}, wish(family, "clown"))) == "no genes written  \u00d7  Clown"


@pytest.mark.parametrize(("mate", "hidden"), [("Clown", True), ("normal", False)])
def test_what_none_of_them_says_is_bound_to_their_being_told(family: Family, mate: str, hidden: bool) -> None:
    """Young of two Clowns are all Clown, which hides one dose of pastel (the catalogue): none of six was looked for."""
    family.add("F-0", "Clown")
    family.add("M-0", "Pastel Clown")
    family.add("F-1", "Clown", dam="F-0", sire="M-0")
    family.add("M-1", mate)
    found = odds(family, "F-1", {"M-1": 100}, wish(family, "pastel"))
    assert found.wish is not None and found.wish.may_hide is hidden
    said = none_words(found.wish)
    assert said.startswith("she falls to 1.5%")
    assert said.endswith("only were all of them told at hatch") is hidden
