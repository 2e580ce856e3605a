"""Work beside the window that fails is told to the keeper and not to the log alone; work that was stopped is silent."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication

from coilbook.genetics.inference import Cancelled as Halted
from coilbook.operations.bulk import Stopped
from coilbook.records.message import CoilbookError, Message, StorageTrouble, say
from coilbook.ui.background import Cancelled
from coilbook.ui.main_window import MainWindow
from coilbook.ui.screens.animal import AnimalScreen
from tests.derived.family import Family, s5
from tests.journeys.eggs_keeper import Keeper, keeper, lay
from tests.journeys.test_sires_shown import of_two_males
from tests.operations.conftest import Room

__all__ = ["keeper"]
TOLD = say("The disk did not answer.")
STOPPED = (Cancelled, Halted, Stopped)


def broken(error: CoilbookError) -> Callable[..., object]:
    def work(*_arguments: object, **_named: object) -> object:
        raise error

    return work


def foot(window: MainWindow) -> list[Message]:
    return [line.message for line in window.desk.notices.lines]


def eggs(keeper: Keeper) -> None:
    keeper.window.open_screen("eggs")
    keeper.screen.desk_eggs.read()


def helped(keeper: Keeper) -> None:
    keeper.screen.overall.turn_to("helped", keeper.screen.desk_eggs.now)


def season(keeper: Keeper) -> None:
    keeper.window.open_screen("season")


def labels(keeper: Keeper) -> None:
    animals = tuple(row[0] for row in keeper.book.read("SELECT id FROM animal"))
    keeper.window.open_screen("labels", animals=animals)


@pytest.mark.parametrize(
    ("name", "act"),
    [
        ("coilbook.ui.eggs.reading.windows_of", eggs),
        ("coilbook.ui.eggs.reading.sire_odds", eggs),
        ("coilbook.ui.eggs.overall.what_helped", helped),
        ("coilbook.ui.screens.season.sire_odds", season),
        ("coilbook.ui.screens.season.season_page", season),
        ("coilbook.ui.labels.card_genes.card_texts", labels),
    ],
)
def test_the_foot_says_what_did_not_come(
    keeper: Keeper, monkeypatch: pytest.MonkeyPatch, name: str, act: Callable[[Keeper], None]
) -> None:
    of_two_males(keeper)
    lay(keeper)
    for stopped in STOPPED:
        monkeypatch.setattr(name, broken(stopped()))
        before = foot(keeper.window)
        act(keeper)
        assert foot(keeper.window) == before
    monkeypatch.setattr(name, broken(StorageTrouble(TOLD)))
    keeper.window.open_screen("places")
    keeper.window.desk.bus.publish(_everything(), None)
    act(keeper)
    QApplication.processEvents()
    assert foot(keeper.window)[-1] == TOLD


def _everything() -> object:
    from coilbook.records.changes import Changes

    return Changes(everything=True)


def test_the_margin_of_a_gene_says_why_there_is_no_explanation(
    room: Room, window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    family = Family(room.book)
    s5(family)
    monkeypatch.setattr("coilbook.reads.genetics_why.why", broken(StorageTrouble(TOLD)))
    window.desk.go_animal(family.ids["D-12"])
    page = window.screen_open
    assert isinstance(page, AnimalScreen)
    page.body.to_genes()
    page.body.genes.list.go("piebald")
    QApplication.processEvents()
    note = page.margin_content().chart_note
    assert "The disk did not answer." in note and "working out" not in note
