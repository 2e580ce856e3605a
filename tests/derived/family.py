"""Small invented families written as a keeper would enter them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from coilbook.derived.genetics_book import Genetics, GeneticsBook, StoppableSolver
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from tests.derived.by_hand import solve_by_hand


class Family:
    """Animals of a book by their ids."""

    def __init__(self, book: Collection) -> None:
        self.book = book
        self.ids: dict[str, AnimalId] = {}

    def add(
        self,
        keeper_id: str,
        genetics: str = "",
        *,
        dam: str = "",
        sire: str | Mapping[str, int] = "",
        hatched: str = "",
    ) -> AnimalId:
        """One animal; F, D and S in front of the number make a female, M and T a male."""
        sires = {sire: 100} if isinstance(sire, str) and sire else dict(sire) if sire else {}
        details = AnimalDetails(
            keeper_id=keeper_id,
            sex=Sex.FEMALE if keeper_id[0] in "FDS" else Sex.MALE if keeper_id[0] in "MT" else Sex.UNSEXED,
            genetics=genetics,
            dam_id=self.ids[dam] if dam else None,
            hatched=PartialDate(dt.date.fromisoformat(hatched)) if hatched else None,
        )
        shares = {self.ids[name]: percent for name, percent in sires.items()}
        self.ids[keeper_id] = add_animal(self.book, details=details, sires=shares).value
        return self.ids[keeper_id]

    def young(self, names: str, looks: str, *, dam: str, sire: str, hatched: str = "") -> None:
        """Several young of one look, by their ids with spaces between."""
        for name in names.split():
            self.add(name, looks, dam=dam, sire=sire, hatched=hatched)


def percents(genetics: Genetics, ids: Mapping[str, AnimalId], gene: str, *names: str) -> list[float]:
    """Carrier chance with evidence of some animals, in percent to a tenth."""
    found = []
    for name in names:
        seen = genetics.view(ids[name], gene)
        assert seen is not None
        found.append(round(100 * seen[0].carrier(seen[1], gene), 1))
    return found


def on_paper(genetics: Genetics, ids: Mapping[str, AnimalId], gene: str, *names: str) -> list[str]:
    """Carrier chance on paper of some animals, as fractions."""
    values = [genetics.paper(ids[name], gene) for name in names]
    return [str(value.carrier) if value is not None else "-" for value in values]


def s5(family: Family) -> None:
    """The family of scenario S5 before 2025: D-12 and D-13 of two proven hets, and the line of D-05."""
    family.add("S-01", "Pastel het piebald proven")
    family.add("T-01", "het piebald proven")
    for name, looks in (("D-12", "Pastel"), ("D-13", "normal")):
        family.add(name, looks, dam="S-01", sire="T-01", hatched="2020-07-01")
    family.add("M-40", "normal")
    family.add("M-15", "Piebald")
    for egg in range(1, 7):
        family.add(f"24-{egg}", "normal", dam="D-12", sire="M-40", hatched="2024-08-01")
    family.add("D-05", "normal", dam="S-01", sire="M-40", hatched="2019-07-01")
    for name in ("D-20", "D-21", "D-22"):
        family.add(name, "normal", dam="D-05", sire="M-40", hatched="2021-07-01")


def book_with(book: Collection, solver: StoppableSolver = solve_by_hand) -> GeneticsBook:
    """A genetics book of a collection."""
    return GeneticsBook(book, solver)
