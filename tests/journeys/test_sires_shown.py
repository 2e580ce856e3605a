"""What hatched moves the odds of who sired a clutch, on Eggs and on Season."""

from __future__ import annotations

from coilbook.operations.animals import AnimalDetails, add_animal
from coilbook.operations.clutches import Laying, lay_clutch
from coilbook.operations.egg_boxes import BoxDetails
from coilbook.records.egg_line import read_egg_line
from coilbook.records.ids import AnimalId, IncubatorId
from coilbook.records.vocabulary import Sex
from coilbook.ui.margin_content import Evidence, Fact, MarginSection
from coilbook.ui.screens.season import SeasonScreen
from tests.journeys.eggs_keeper import ENTER, TAB, Keeper, keeper

__all__ = ["keeper"]


def of_two_males(keeper: Keeper) -> AnimalId:
    """Two eggs of a Pastel dam by a normal male or a Pastel one, even odds."""
    ids = [
        add_animal(keeper.book, details=AnimalDetails(keeper_id=name, sex=sex, genetics=looks)).value
        for name, sex, looks in (("F-20", Sex.FEMALE, "Pastel"), ("M-20", Sex.MALE, "normal"),
                                 ("M-21", Sex.MALE, "Pastel"))
    ]  # fmt: skip
    lay_clutch(
        keeper.book,
        laying=Laying(dam=ids[0], eggs=read_egg_line("80 81"), box=BoxDetails(incubator=IncubatorId(1)),
                      sires={ids[1]: 50, ids[2]: 50}),
    )  # fmt: skip
    return ids[0]


def section(sections: tuple[MarginSection, ...], heading: str) -> MarginSection | None:
    return next((one for one in sections if one.heading == heading), None)


def test_the_odds_of_the_sires_stand_on_eggs_and_season(keeper: Keeper) -> None:
    dam = of_two_males(keeper)
    keeper.day(58)
    assert section(keeper.screen.margin_content().sections, "Sire, before and after what hatched") is None
    keeper.press("h", "61 -", TAB, TAB, "1 normal", ENTER)
    keeper.window.open_screen("eggs")
    sections = keeper.screen.margin_content().sections
    told = section(sections, "Sire, before and after what hatched")
    assert told is not None
    facts = [(row.name, row.value) for row in told.rows if isinstance(row, Fact)]
    assert facts == [("M-20", "50% \u2192 67%"), ("M-21", "50% \u2192 33%")]
    why = section(sections, "What moved it")
    assert why is not None
    assert [(row.word, row.right) for row in why.rows if isinstance(row, Evidence)] == [
        ("no Pastel: C26-01-1", "M-20 67%")
    ]
    assert "M-20 \u2642 M normal 50% \u2192 67%" in keeper.screen.page._parents.text()
    keeper.window.open_screen("season", animal=dam)
    season = keeper.window.screen_open
    assert isinstance(season, SeasonScreen)
    shown = section(season.margin_content().sections, "Sire, before and after what hatched")
    assert shown is not None and shown.rows == told.rows
