"""The close of a season through real acts and files: shares by hand, weights that belong to the laying, days that are
known, and both files read back by other code."""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path

import pytest
from openpyxl import load_workbook
from scipy.stats import binomtest

from coilbook.husbandry.figures import Event
from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.care import record_shed
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.eggs import EggSeen, do_to_eggs, look_at_eggs
from coilbook.operations.hatching import OfEgg, hatch_eggs
from coilbook.operations.season_seen import see_ovulation
from coilbook.operations.weighing import weigh
from coilbook.reads.season_close import CloseRow, season_close
from coilbook.reads.season_close_file import write_close
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import EggDeed, HatchEvent, Verdict
from coilbook.records.ids import EggId
from coilbook.records.quantities import Mass
from coilbook.records.season_vocabulary import OvulationCertainty, PreLay
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Sex
from coilbook.wording.texts import render
from tests.operations.conftest import Clock, Room, book, clock, room

__all__ = ["Clock", "Room", "book", "clock", "room"]

START = dt.date(2025, 8, 1)


def close(room: Room) -> CloseRow:
    (row,) = season_close(room.book, START, Settings())
    return row


def lay(room: Room, line: str = "80 80 80 80 80 50? 36s", **more: object) -> None:
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line(line), **more))  # type: ignore[arg-type]


def test_weights_of_the_morning_before_she_laid_are_not_those_after(room: Room) -> None:
    room.clock.pass_(days=30)
    weigh(room.book, animal=room.female, mass=Mass(19_850), sure=True)
    room.clock.pass_(days=3)
    weigh(room.book, animal=room.female, mass=Mass(19_700), sure=True)
    lay(room, dam_after=Mass(13_900))
    row = close(room)
    assert (row.before_dg, row.after_dg) == (19_850, 13_900)


def test_a_weight_after_laying_is_no_start_of_the_season(room: Room) -> None:
    """Bought gravid, weighed first after she laid: what she lost and recovered is not known."""
    her = add_animal(room.book, details=AnimalDetails(keeper_id="F-090", sex=Sex.FEMALE)).value
    lay_clutch(room.book, laying=Laying(dam=her, eggs=read_egg_line("80 80"), dam_after=Mass(13_900)))
    room.clock.pass_(days=20)
    weigh(room.book, animal=her, mass=Mass(15_000), sure=True)
    row = close(room)
    assert (row.start_dg, row.recovered, row.now_permille, row.after_dg) == (None, None, None, 13_900)


def test_a_weight_before_laying_is_no_weight_since(room: Room) -> None:
    weigh(room.book, animal=room.female, mass=Mass(19_850), sure=True)
    room.clock.pass_(days=4)
    lay_clutch(room.book, laying=Laying(dam=room.female, eggs=read_egg_line("80 80")))
    assert (close(room).before_dg, close(room).now_permille) == (19_850, None)
    room.clock.pass_(days=10)
    weigh(room.book, animal=room.female, mass=Mass(15_880), sure=True)
    # 1,588 of the 2,140 g the season began with: 74.2%
    assert close(room).now_permille == -258


@pytest.mark.parametrize(("certainty", "days"), [(OvulationCertainty.SEEN, 20), (OvulationCertainty.UNSURE, None)])
def test_a_day_that_is_not_known_gives_no_number_of_days(
    room: Room, certainty: OvulationCertainty, days: int | None
) -> None:
    see_ovulation(room.book, animal=room.female, certainty=certainty, sure=True)
    room.clock.pass_(days=20)
    record_shed(room.book, animal=room.female, pre_lay=PreLay.PRE_LAY)
    assert dict(close(room).days).get(Event.SHED) == days


def test_shares_by_hand_and_both_files_read_back(room: Room, tmp_path: Path) -> None:
    """Seven eggs and a slug. Four hatch, one dies in its shell and was never judged, one is taken out, one stays
    doubtful: 4 of 6 good ones, and one egg in no share."""
    lay(room, "78 84 78 79 54? 81? 76 36s")
    room.clock.pass_(days=56)
    do_to_eggs(room.book, eggs=[EggId(2)], what=EggDeed.REMOVED, away=Mass(700))
    for egg in (1, 3, 4, 7):
        hatch_eggs(room.book, eggs=[OfEgg(EggId(egg))], event=HatchEvent.OUT)
    row = close(room)
    assert row.result is not None
    told = " ".join(render(m) for m in row.result.told())
    assert (row.result.unresolved, row.result.undecided) == (2, 2) and "2 eggs are in doubt" in told
    hatch_eggs(room.book, eggs=[OfEgg(EggId(5))], event=HatchEvent.DEAD_IN_SHELL)
    look_at_eggs(room.book, looks={EggId(6): EggSeen(verdict=Verdict.DOUBTFUL)})
    do_to_eggs(room.book, eggs=[EggId(6)], what=EggDeed.REMOVED, why="=2+3")
    row = close(room)
    assert row.result is not None
    assert (row.result.laid, row.result.slugs, row.result.ever_good, row.result.hatched, row.result.unresolved) == (
        8, 1, 6, 4, 1,
    )  # fmt: skip
    told = " ".join(render(m) for m in row.result.told())
    low, high = binomtest(4, 6).proportion_ci(0.9, method="wilson")
    assert f"4 of 6 good eggs hatched (67%; 90% range {100 * low:.0f}\u2013{100 * high:.0f}%)" in told.replace(
        "-", "\u2013"
    )
    assert "1 egg stayed doubtful and is counted in no share" in told

    with write_close([row], tmp_path / "close.csv").open(encoding="utf-8-sig", newline="") as stream:
        (cells,) = csv.DictReader(stream)
    book = load_workbook(write_close([row], tmp_path / "close.xlsx"))
    head, values = ([cell.value for cell in line] for line in book.active.iter_rows())
    for name, value in zip(head, values, strict=True):
        assert cells[name] == ("" if value is None else str(value)), name
    assert cells["hatched_share"] == "0.667" and float(cells["range_90_low"]) == pytest.approx(low, abs=5e-4)
    assert (cells["doubtful_unresolved"], cells["still_open"]) == ("1", "0")
    assert not any(cell.startswith(("=", "+", "@")) for cell in cells.values())


def test_an_egg_that_pipped_and_was_lost_held_young(room: Room) -> None:
    lay(room, "80? 80? 36s")
    room.clock.pass_(days=57)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(1)), OfEgg(EggId(2), "a")], event=HatchEvent.PIP)
    hatch_eggs(room.book, eggs=[OfEgg(EggId(2), "a"), OfEgg(EggId(2), "b")], event=HatchEvent.OUT)
    do_to_eggs(room.book, eggs=[EggId(1)], what=EggDeed.REMOVED)
    result = close(room).result
    assert result is not None
    # twins are one egg: one of two hatched
    assert (result.laid, result.ever_good, result.hatched, result.unresolved) == (3, 2, 1, 0)
