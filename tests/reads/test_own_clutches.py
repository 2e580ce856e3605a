"""The keeper's own clutches outrank what is usual for the species as they grow; one still in the box does not count."""

from __future__ import annotations

import pytest

from coilbook.genetics.outlook_clutch import ClutchLaw, HatchRate
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.reads.own_clutches import next_clutch, own_clutches, usual_clutch
from coilbook.records.egg_line import LaidEgg
from coilbook.records.egg_vocabulary import HatchEvent, Verdict
from coilbook.records.ids import AnimalId, EggId
from tests.operations.conftest import Room, book, clock, room

__all__ = ["book", "clock", "room"]
PYTHON = "Python regius"


def laid(room: Room, dam: AnimalId, good: int, slugs: int, hatched: int | None) -> None:
    """A clutch; `hatched` of its good eggs came out and the others died, or None while all are in the box."""
    eggs = (LaidEgg(verdict=Verdict.GOOD),) * good + (LaidEgg(verdict=Verdict.SLUG),) * slugs
    clutch = lay_clutch(room.book, laying=Laying(dam=dam, eggs=eggs)).value
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
    assert own.of(room.female) == ((7, 6),) and own.of_others(room.female) == ()
    usual, expected = usual_clutch(PYTHON), next_clutch(own, room.female, PYTHON)
    assert (expected.others, expected.hers) == (0, 1)
    assert expected.law.eggs[7] == pytest.approx((4 * usual.eggs[7] + 1) / 5)
    strength = usual.rate.eggs
    assert strength is not None
    assert expected.law.rate.mean == pytest.approx((usual.rate.mean * strength + 6) / (strength + 7))
    assert expected.law.rate.eggs == strength


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
