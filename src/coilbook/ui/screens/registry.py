"""The screens there are, in the order of the column. Adding one is adding its line here.

A screen's module is imported when the screen is first opened: together they would cost the start a second.
"""

from __future__ import annotations

from coilbook.ui.screen import LaterScreen

_SCREENS = "coilbook.ui.screens"
_BELOW = "coilbook"
#: modules that bring everything below the window that a screen is made from; a test says what is missing
_BESIDE: dict[str, tuple[str, ...]] = {
    "round": ("operations.care", "operations.feeding", "reads.round"),
    "pedigree": ("drawing.family_map", "reads.pedigree_genes", "reads.pedigree_words", "reads.photos"),
    "animal": (
        "genetics.statement", "operations.care", "operations.entries", "operations.photos", "operations.taking_out",
        "reads.animal_chart", "reads.animal_examples", "reads.animal_page", "reads.history", "reads.photos",
        "reads.season_fast", "wording.chart_words", "wording.hatch_words",
    ),
    "changed": ("operations.finding_typed", "reads.animal_examples", "reads.genetics_changed", "reads.history"),
    "outlook": (
        "genetics.notation_reader", "reads.genetics_words", "reads.outlook", "reads.outlook_genetics",
        "reads.outlook_ranking",
    ),
    "genes": ("operations.catalogue", "reads.gene_page", "reads.genetics_words"),
    "identify": (
        "operations.findings", "reads.animal_examples", "reads.genetics_words", "reads.identify", "wording.chances",
    ),
    "season": (
        "drawing.season_lines", "husbandry.stage_notes", "operations.care", "operations.feeding", "operations.photos",
        "operations.season_seen", "operations.stays", "reads.animal_rows", "reads.season_calendar",
        "reads.season_close_file", "reads.season_sheds", "reads.season_stays", "reads.sire_odds",
    ),
    "eggs": (
        "drawing.egg_chart", "operations.eggs", "operations.hatching", "operations.incubators", "reads.clutch_story",
        "reads.eggs_now", "reads.laying_balance", "reads.photos", "reads.species_numbers", "reads.what_helped",
        "wording.chances",
    ),
    "places": ("operations.care", "operations.places", "operations.uncollected", "reads.places"),
    "import": ("intake.workbook", "operations.import_sheet", "reads.import_known"),
    "labels": ("operations.printed", "printing.offset_sheet", "reads.egg_label_rows", "reads.genetics_card"),
    "history": ("reads.history", "wording.changed"),
    "backups": ("operations.safekeeping", "reads.export"),
    "settings": ("operations.own_numbers", "reads.outlook_fit"),
    "numbers": ("husbandry.incubator", "operations.own_numbers", "reads.species_numbers"),
}  # fmt: skip


def _later(key: str, title: str, module: str, name: str) -> LaterScreen:
    beside = tuple(f"{_BELOW}.{one}" for one in _BESIDE.get(key, ()))
    return LaterScreen(key, title, f"{_SCREENS}.{module}", name, beside=beside)


def registered_screens() -> tuple[LaterScreen, ...]:
    """Every screen; those with a title stand in the column in this order."""
    return (
        _later("animals", "Animals", "animals", "AnimalsScreen"),
        _later("round", "Round", "round", "RoundScreen"),
        _later("pedigree", "Pedigree", "pedigree", "PedigreeScreen"),
        _later("animal", "", "animal", "AnimalScreen"),
        _later("changed", "", "changed", "ChangedScreen"),
        _later("outlook", "Outlook", "outlook", "OutlookScreen"),
        _later("genes", "Genes", "genes", "GenesScreen"),
        _later("identify", "", "identify", "IdentifyScreen"),
        _later("season", "Season", "season", "SeasonScreen"),
        _later("eggs", "Eggs", "eggs", "EggsScreen"),
        _later("places", "Places", "places", "PlacesScreen"),
        _later("import", "", "import_sheet", "ImportScreen"),
        _later("labels", "Labels", "labels", "LabelsScreen"),
        _later("history", "History", "history", "HistoryScreen"),
        _later("backups", "Backups", "backups", "BackupsScreen"),
        _later("numbers", "", "numbers", "NumbersScreen"),
        _later("settings", "Settings", "settings", "SettingsScreen"),
    )
