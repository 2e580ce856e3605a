"""The lines of descent of a book, the cards' facts, and kinship by the keeper's animals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import pytest

from coilbook.derived.genetics_rows import read_rows
from coilbook.genetics.kinship import Kinship
from coilbook.operations.animals import AcquisitionDetails, AnimalDetails, acquire, add_animal, add_claim, set_parents
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.departures import sell
from coilbook.operations.hatching import NewHatchling, make_hatchlings
from coilbook.reads.kin import Kin
from coilbook.reads.pedigree import card_facts, family_lines
from coilbook.reads.pedigree_genes import gene_service
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId, EggId
from coilbook.records.vocabulary import DepartureKind, Precision, Sex, Status
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, book, clock

__all__ = ["book", "clock"]


def added(book: Collection, keeper_id: str, dam: int | None = None, **more: object) -> AnimalId:
    sires = more.pop("sires", None)
    details = AnimalDetails(keeper_id=keeper_id, dam_id=AnimalId(dam) if dam else None, **more)  # type: ignore[arg-type]
    return add_animal(book, details=details, sires=sires).value  # type: ignore[arg-type]


@pytest.fixture
def family(book: Collection) -> dict[str, AnimalId]:
    """Half-sibs by M-04 mated; a list of two sires above the one, nobody above the other."""
    at: dict[str, AnimalId] = {}
    for name, dam, sires in (
        ("X-01", None, {}), ("X-02", None, {}), ("X-03", None, {}), ("X-04", None, {}), ("X-05", None, {}),
        ("M-04", "X-02", {"X-01": 100}), ("F-003", "X-05", {"X-03": 66, "X-04": 34}), ("F-005", None, {}),
        ("M-08", "F-003", {"M-04": 100}), ("F-010", "F-005", {"M-04": 100}), ("F-023", "F-010", {"M-08": 100}),
    ):  # fmt: skip
        sex = Sex.MALE if name.startswith("M") else Sex.FEMALE
        at[name] = added(book, name, at.get(dam or ""), sex=sex, sires={at[s]: p for s, p in sires.items()})
    return at


def test_inbreeding_says_what_it_rests_on(book: Collection, family: dict[str, AnimalId]) -> None:
    kin = Kin(family_lines(book))
    found = kin.inbreeding(family["F-023"])
    assert found.coefficient == 0.125 and not found.doubtful and found.all_lines
    assert [(g.known, g.possible, g.unknown) for g in found.known] == [(2, 0, 0), (4, 0, 0), (5, 1, 2)]
    (line,) = found.lines
    assert line.ancestor == family["M-04"] and line.share == 0.125
    assert line.animals == tuple(family[name] for name in ("F-010", "M-04", "M-08"))
    assert kin.inbreeding(family["X-01"]).lines == ()


def of_their_young(book: Collection, dam: AnimalId, sire: AnimalId) -> float:
    """Kinship of two animals, which is F of a young of theirs."""
    (count,) = book.read("SELECT count(*) FROM animal")[0]
    young = added(book, f"K-{count}", dam, sires={sire: 100})
    return Kin(family_lines(book)).coefficient(young)


def test_f_of_a_young_is_the_kinship_of_its_parents(book: Collection, family: dict[str, AnimalId]) -> None:
    assert of_their_young(book, family["F-010"], family["M-08"]) == 0.125
    assert of_their_young(book, family["F-003"], family["X-03"]) == pytest.approx(0.25 * 0.66)
    assert of_their_young(book, family["F-005"], family["M-08"]) == 0.0


def test_a_list_below_a_hundred_leaves_the_rest_to_nobody(book: Collection) -> None:
    dam, sire = added(book, "F-1"), added(book, "M-1")
    young = added(book, "Y-1", dam, sires={sire: 60})
    assert of_their_young(book, young, sire) == pytest.approx(0.25 * 0.6)


def test_doubt_above_is_told_where_it_counts(book: Collection) -> None:
    dam, sire, other = added(book, "F-1"), added(book, "M-1"), added(book, "M-2")
    young = added(book, "Y-1", dam, sires={sire: 60, other: 40})
    back = added(book, "Y-2", young, sires={sire: 100})
    found = Kin(family_lines(book)).inbreeding(back)
    assert found.doubtful and found.coefficient == pytest.approx(0.25 * 0.6)


class TestYoungOfOneUnrelatedDamByOneOfTwoUnrelatedMales:
    """By the recursion k(a, b) = (k(dam a, dam b) + k(dam a, sire b) + k(sire a, dam b) + k(sire a, sire b)) / 4.

    The dam with herself is 1/2, she and the males are nothing to each other, so k = (1/2 + k(sire a, sire b)) / 4. One
    litter has one sire, whichever of the two: k(sire, sire) = 1/2, and k = 1/4. Two litters may have had the same male
    with 1/2 * 1/2 + 1/2 * 1/2 = 1/2: k(sire a, sire b) = 1/2 * 1/2 = 1/4, and k = 3/16.
    """

    ONE_LITTER, TWO_LITTERS = 1 / 4, 3 / 16

    @pytest.fixture
    def parents(self, book: Collection) -> tuple[AnimalId, dict[AnimalId, int]]:
        dam = added(book, "F-1", sex=Sex.FEMALE)
        return dam, {added(book, name, sex=Sex.MALE): 50 for name in ("M-1", "M-2")}

    def kinship(self, book: Collection, young: Sequence[AnimalId]) -> float:
        """By the tree; the odds take the same young for one litter."""
        herd = read_rows(book, "ball_python")
        one, other = (herd.place[animal] for animal in young)
        found = of_their_young(book, *young)
        assert Kinship(herd.pedigree).of(one, other) == found
        return found

    @pytest.mark.parametrize(
        ("days", "kinship"),
        [(0, ONE_LITTER), (2, ONE_LITTER), (10, ONE_LITTER), (11, TWO_LITTERS), (29, TWO_LITTERS)],
    )
    def test_days_of_hatching_tell_litters_apart(
        self, book: Collection, parents: tuple[AnimalId, dict[AnimalId, int]], days: int, kinship: float
    ) -> None:
        dam, sires = parents
        first = dt.date(2024, 7, 1)
        hatched = [PartialDate(first), PartialDate(first + dt.timedelta(days))]
        young = [added(book, f"Y-{n}", dam, sires=sires, hatched=day) for n, day in enumerate(hatched)]
        assert self.kinship(book, young) == kinship

    def test_a_clutch_on_record_is_one_litter_however_far_apart_it_hatches(
        self, book: Collection, clock: Clock, parents: tuple[AnimalId, dict[AnimalId, int]]
    ) -> None:
        dam, sires = parents
        lay_clutch(book, laying=Laying(dam=dam, eggs=read_egg_line("80 80"), sires=sires))
        clock.pass_(days=58)
        (first,) = make_hatchlings(book, young=[NewHatchling(egg=EggId(1))], at=clock.now).value
        clock.pass_(days=12)
        (second,) = make_hatchlings(book, young=[NewHatchling(egg=EggId(2))], at=clock.now).value
        assert self.kinship(book, (first, second)) == self.ONE_LITTER

    def test_each_egg_may_have_its_own(self, book: Collection, parents: tuple[AnimalId, dict[AnimalId, int]]) -> None:
        dam, sires = parents
        hatched = PartialDate(dt.date(2024, 7, 1))
        young = [added(book, f"Y-{n}", dam, sires=sires, hatched=hatched) for n in range(2)]
        for animal in young:
            set_parents(book, animal=animal, dam=dam, sires=sires, each_own=True)
        assert self.kinship(book, young) == self.TWO_LITTERS

    def test_a_day_nobody_noted_tells_nothing(
        self, book: Collection, parents: tuple[AnimalId, dict[AnimalId, int]]
    ) -> None:
        dam, sires = parents
        hatched = PartialDate(dt.date(2024, 7, 1), Precision.MONTH)
        young = [added(book, f"Y-{n}", dam, sires=sires, hatched=hatched) for n in range(2)]
        assert self.kinship(book, young) == self.TWO_LITTERS


def test_the_facts_of_cards(book: Collection, family: dict[str, AnimalId], clock: Clock) -> None:
    sell(book, animal=family["M-04"])
    add_claim(book, animal=family["X-03"], text="66% het clown")
    details = AcquisitionDetails(date=PartialDate(dt.date(2016, 4, 1)))
    acquire(book, animal=family["F-005"], details=details)
    cards = card_facts(book, [family["M-04"], family["X-03"], family["F-005"], 999])
    assert set(cards) == {family["M-04"], family["X-03"], family["F-005"]}
    sold = cards[family["M-04"]]
    assert (sold.status, sold.turn, sold.turn_year) == (Status.SOLD, DepartureKind.SOLD, 2026)
    assert cards[family["X-03"]].claim == "66% het clown"
    assert cards[family["F-005"]].came_year == 2016
    assert all(card.photo is None for card in cards.values())


def test_many_cards_are_read_in_parts(book: Collection, family: dict[str, AnimalId]) -> None:
    assert set(card_facts(book, [*family.values(), *range(10_000, 12_000)])) == set(family.values())


def test_a_book_without_genetics_has_no_gene_to_choose(book: Collection) -> None:
    assert gene_service(book) is None
    assert not family_lines(book).related
