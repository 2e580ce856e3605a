"""Choices of a keeper, with their defaults; one collection keeps one set."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Any

from coilbook.records.quantities import MassUnit


class DateOrder(StrEnum):
    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"
    ISO = "iso"


class Theme(StrEnum):
    LIGHT = "light"
    DARK = "dark"
    DIM = "dim"


#: sizes of text that can be chosen, in percent
TEXT_SCALES = (80, 90, 100, 115, 130, 150, 175, 200)
#: least and most of the settings that are numbers
LIMITS = {
    "text_scale_percent": (50, 400),
    "default_interval_days": (1, 400),
    "weight_ask_percent": (1, 1000),
    "inbreeding_limit_tenths": (1, 1000),
    "female_floor_g": (0, 9999),
    "male_floor_g": (0, 9999),
    "season_month": (1, 12),
}


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting once: name, default. Stored as text; `from_stored` ignores what it does not know."""

    mass_unit: MassUnit = MassUnit.GRAM
    date_order: DateOrder = DateOrder.DAY_FIRST
    clock_24h: bool = True
    theme: Theme = Theme.LIGHT
    text_scale_percent: int = 100
    sound: bool = True
    keeper_name: str = ""
    species: str = "ball_python"
    #: printed before the code in a symbol; upper-case alphanumeric-mode text only
    code_prefix: str = ""
    default_interval_days: int = 10
    fahrenheit: bool = False
    currency: str = "EUR"
    paper: str = "A4"
    #: a folder on another disk where backups go; the collection's own folder when empty or not connected
    backup_folder: str = ""
    #: how far a new weight may lie from the last (percent, within 30 days) before it is asked once
    weight_ask_percent: int = 15
    #: inbreeding of the young, in tenths of a percent, from which a pair is named (12.5%: common practice)
    inbreeding_limit_tenths: int = 125
    #: the keeper's own weights in grams below which an animal is not paired without saying why; 0: those of the species
    female_floor_g: int = 0
    male_floor_g: int = 0
    #: month a season begins with, on its first day (common practice in the north; half a year later in the south)
    season_month: int = 8

    def __post_init__(self) -> None:
        """Hold what counts and divides to sane values; raises ValueError."""
        for name, (least, most) in LIMITS.items():
            if not least <= getattr(self, name) <= most:
                raise ValueError(f"{name} lies between {least} and {most}, not {getattr(self, name)}")

    def stored(self) -> dict[str, str]:
        """Settings as texts by name."""
        return {f.name: _to_text(getattr(self, f.name)) for f in fields(self)}

    @classmethod
    def from_stored(cls, texts: dict[str, str]) -> Settings:
        """Settings from stored texts; a value that does not fit keeps its default."""
        settings = cls()
        for f in fields(cls):
            if f.name in texts:
                try:
                    changed: dict[str, Any] = {f.name: _from_text(getattr(settings, f.name), texts[f.name])}
                    settings = replace(settings, **changed)
                except ValueError:
                    continue
        return settings


def _to_text(value: object) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def _from_text(like: object, text: str) -> object:
    if isinstance(like, bool):
        return text == "yes"
    if isinstance(like, StrEnum):
        return type(like)(text)
    return type(like)(text)  # type: ignore[call-arg]
