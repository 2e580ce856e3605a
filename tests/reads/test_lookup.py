"""Who is meant by a word a keeper types."""

from __future__ import annotations

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.departures import sell
from coilbook.reads.lookup import animal_called
from coilbook.reads.season_stays import pairable
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, book, clock

__all__ = ["Clock", "book", "clock"]


@pytest.fixture
def named(book: Collection) -> dict[str, AnimalId]:
    """Two called Alder, one called as another's id is, one with a name of her own."""

    def made(keeper_id: str, name: str, sex: Sex = Sex.FEMALE) -> AnimalId:
        return add_animal(book, details=AnimalDetails(keeper_id=keeper_id, name=name, sex=sex)).value

    return {k: made(k, name) for k, name in (("1", "Alder"), ("2", "alder"), ("3", "4"), ("4", "Old Briar"))}


def test_an_id_comes_before_a_name_and_a_name_needs_to_be_somebodys_alone(
    book: Collection, named: dict[str, AnimalId]
) -> None:
    assert animal_called(book, " old  briar ") == named["4"]
    assert animal_called(book, "4") == named["4"]
    assert animal_called(book, "Alder") is None
    assert animal_called(book, "") is None and animal_called(book, "5") is None
    sell(book, animal=named["1"])
    assert animal_called(book, "Alder") == named["2"]


def test_pairs_are_completed_from_ids_and_from_names_that_mean_one(
    book: Collection, named: dict[str, AnimalId]
) -> None:
    offered = pairable(book, female=True)
    assert [word for word, _ in offered] == ["1", "2", "3", "4", "Old Briar"]
    assert dict(offered)["4"] == named["4"]
