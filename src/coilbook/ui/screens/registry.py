"""The screens there are, in the order of the column. Adding one is adding its line here.

A screen's module is imported when the screen is first opened: together they would cost the start a second.
"""

from __future__ import annotations

from coilbook.ui.screen import LaterScreen

_SCREENS = "coilbook.ui.screens"
#: these bring everything below the window that the page of eggs is made from
_OF_EGGS = (
    "coilbook.operations.hatching", "coilbook.operations.clutches", "coilbook.operations.incubators",
    "coilbook.operations.egg_boxes", "coilbook.operations.photos", "coilbook.operations.doubts",
    "coilbook.operations.eggs", "coilbook.reads.eggs_now", "coilbook.reads.laying_balance", "coilbook.reads.photos",
    "coilbook.husbandry.mass_balance", "coilbook.reads.lookup", "coilbook.records.egg_line",
    "coilbook.drawing.egg_chart", "coilbook.reads.species_numbers", "coilbook.reads.clutch_story",
    "coilbook.reads.what_helped", "coilbook.wording.chances", "numpy.ma",
)  # fmt: skip


def registered_screens() -> tuple[LaterScreen, ...]:
    """Every screen; those with a title stand in the column in this order."""
    return (
        LaterScreen("animals", "Animals", f"{_SCREENS}.animals", "AnimalsScreen"),
        LaterScreen("round", "Round", f"{_SCREENS}.round", "RoundScreen"),
        LaterScreen("pedigree", "Pedigree", f"{_SCREENS}.pedigree", "PedigreeScreen"),
        LaterScreen("animal", "", f"{_SCREENS}.animal", "AnimalScreen"),
        LaterScreen("changed", "", f"{_SCREENS}.changed", "ChangedScreen"),
        LaterScreen("outlook", "Outlook", f"{_SCREENS}.outlook", "OutlookScreen"),
        LaterScreen("genes", "Genes", f"{_SCREENS}.genes", "GenesScreen"),
        LaterScreen("identify", "", f"{_SCREENS}.identify", "IdentifyScreen"),
        LaterScreen("season", "Season", f"{_SCREENS}.season", "SeasonScreen"),
        LaterScreen("eggs", "Eggs", f"{_SCREENS}.eggs", "EggsScreen", beside=_OF_EGGS),
        LaterScreen("places", "Places", f"{_SCREENS}.places", "PlacesScreen"),
        LaterScreen("import", "", f"{_SCREENS}.import_sheet", "ImportScreen"),
        LaterScreen("labels", "Labels", f"{_SCREENS}.labels", "LabelsScreen"),
        LaterScreen("history", "History", f"{_SCREENS}.history", "HistoryScreen"),
        LaterScreen("backups", "Backups", f"{_SCREENS}.backups", "BackupsScreen"),
        LaterScreen("numbers", "", f"{_SCREENS}.numbers", "NumbersScreen"),
        LaterScreen("settings", "Settings", f"{_SCREENS}.settings", "SettingsScreen"),
    )
