"""The screens there are, in the order of the column. Adding one is adding it here."""

from __future__ import annotations

from coilbook.ui.screen import Screen
from coilbook.ui.screens.animal import AnimalScreen
from coilbook.ui.screens.animals import AnimalsScreen
from coilbook.ui.screens.backups import BackupsScreen
from coilbook.ui.screens.history import HistoryScreen
from coilbook.ui.screens.import_sheet import ImportScreen
from coilbook.ui.screens.places import PlacesScreen
from coilbook.ui.screens.round import RoundScreen
from coilbook.ui.screens.settings import SettingsScreen


def registered_screens() -> tuple[type[Screen], ...]:
    """Every screen; those with a title stand in the column in this order."""
    return (
        AnimalsScreen,
        RoundScreen,
        AnimalScreen,
        PlacesScreen,
        ImportScreen,
        HistoryScreen,
        BackupsScreen,
        SettingsScreen,
    )
