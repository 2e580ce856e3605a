"""The shipped catalogues as tests read them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.catalogue_text import read_catalogue

SPECIES = Path(__file__).parents[3] / "resources" / "species"


@lru_cache(maxsize=4)
def shipped(name: str = "ball_python") -> Catalogue:
    """One shipped catalogue."""
    return read_catalogue(shipped_text(name))


def shipped_text(name: str = "ball_python") -> str:
    """Its text."""
    return (SPECIES / f"{name}.toml").read_text(encoding="utf-8")
