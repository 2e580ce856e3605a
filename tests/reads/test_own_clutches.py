"""The keeper's own clutches outrank what is usual for the species as they grow; one still in the box does not count."""

from __future__ import annotations

import pytest

from coilbook.genetics.outlook_clutch import ClutchLaw, HatchRate
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.operations.own_genes import keep_own_gene
from coilbook.reads.outlook import Asked, Pairing, could_hatch, read_outlook
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.reads.own_clutches import next_clutch, own_clutches, usual_clutch
from coilbook.records.egg_line import LaidEgg
from coilbook.records.egg_vocabulary import HatchEvent, Verdict
from coilbook.records.ids import AnimalId, EggId
from coilbook.records.vocabulary import OwnKind, Sex
from tests.operations.conftest import Room, book, clock, room

__all__ = ["book", "clock", "room"]
PYTHON = "Python regius"


def laid(
    room: Room, dam: AnimalId, good: int, slugs: int, hatched: int | None, sires: dict[AnimalId, int] | None = None
) -> None:
    """A clutch; `hatched` of its good eggs came out and the others died, or None while all are in the box."""
    eggs = (LaidEgg(verdict=Verdict.GOOD),) * good + (LaidEgg(verdict=Verdict.SLUG),) * slugs
    clutch = lay_clutch(room.book, laying=Laying(dam=dam, eggs=eggs, sires=sires)).value
    room.clock.pass_(days=1)
    if hatched is None:
        return
    ids = [EggId(i) for (i,) in room.book.read("SELECT id FROM egg WHERE clutch_id = ? ORDER BY number", (clutch,))]
    for some, event in ((ids[:hatched], HatchEvent.OUT), (ids[hatched:good], HatchEvent.DEAD_IN_SHELL)):
        if some:
            hatch_eggs(room.book, eggs=[OfEgg(egg) for egg in some], event=event)


def test_none_of_ones_own(room: Room) -> None:
    expected = next_clutch(own_clutches(room.book), room.female, PYTHON)
    assert (expected.others, expected.hers) == (0, 0)
    assert expected.law.eggs == usual_clutch(PYTHON).eggs


def test_finished_clutches_count(room: Room) -> None:
    laid(room, room.female, 7, 1, 6)
    laid(room, room.female, 5, 0, None)
    own = own_clutches(room.book)
    assert [one[:2] for one in own.of(room.female)] == [(7, 6)] and own.of_others(room.female, PYTHON) == ()
    usual, expected = usual_clutch(PYTHON), next_clutch(own, room.female, PYTHON)
    assert (expected.others, expected.hers) == (0, 1)
    assert expected.law.eggs[7] == pytest.approx((4 * usual.eggs[7] + 1) / 5)
    strength = usual.rate.eggs
    assert strength is not None
    assert expected.law.rate.mean == pytest.approx((usual.rate.mean * strength + 6) / (strength + 7))
    assert expected.law.rate.eggs == strength


def test_clutches_of_another_species_are_not_counted(room: Room) -> None:
    """Three corn snakes that laid twenty say nothing of a ball python's next clutch; nor does she of theirs."""
    corn = add_animal(room.book, details=AnimalDetails(keeper_id="C-1", sex=Sex.FEMALE, species="corn_snake")).value
    laid(room, corn, 20, 0, 19)
    laid(room, room.female, 6, 0, 6)
    own = own_clutches(room.book)
    assert [one[:2] for one in own.of_others(AnimalId(0), PYTHON)] == [(6, 6)]
    assert [one[:2] for one in own.of_others(room.female, "Pantherophis guttatus")] == [(20, 19)]
    expected = next_clutch(own, room.female, PYTHON)
    assert (expected.others, expected.hers, max(expected.law.eggs)) == (0, 1, max(usual_clutch(PYTHON).eggs))


def test_eggs_that_could_not_hatch_are_no_failure_of_the_hatch_rate(room: Room) -> None:
    """A quarter of the eggs of two Lanterns have two doses, which cannot hatch: 6 of 8 are all that could."""
    body = '[[gene]]\nkey = "lantern"\nname = "Lantern"\ninheritance = "incomplete dominant"\ntwo_lethal = true\n'
    keep_own_gene(room.book, kind=OwnKind.GENE, key="lantern", body=body)
    for one in (room.female, room.male):
        edit_animal(room.book, animal=one, details=AnimalDetails(genetics="Lantern"))
    laid(room, room.female, 8, 0, 6, {room.male: 100})
    genetics = kept_genetics(room.book, "ball_python")
    (clutch,) = own_clutches(room.book).of(room.female)
    assert could_hatch(genetics, clutch) == pytest.approx(3 / 4)
    odds = read_outlook(room.book, genetics, Pairing(room.female, ((room.male, 100),)), Asked())
    usual = usual_clutch(PYTHON).rate
    assert usual.eggs is not None
    assert odds.clutch.rate.mean == pytest.approx((usual.mean * usual.eggs + 6) / (usual.eggs + 6))


def test_hers_outrank_those_of_others() -> None:
    """Forty clutches of eight of others, then ten of hers of four: her next is nearer to hers."""
    law = ClutchLaw({6: 1.0}, HatchRate(0.88, 10.0))
    others = law.after([(8, 8)] * 40, weight=4)
    hers = others.after([(4, 2)] * 10, weight=4)
    usual, theirs, expected = (sum(n * chance for n, chance in one.eggs.items()) for one in (law, others, hers))
    assert usual < theirs and expected < 5.5
    assert hers.rate.mean < 0.7 < others.rate.mean


def test_a_fixed_rate_does_not_learn() -> None:
    with pytest.raises(ValueError):
        HatchRate(0.9).after(3, 4)
