"""Every number of a species profile says where it comes from; a published one names its source."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from coilbook.husbandry.figures import FigureKey, Interval, Mark
from coilbook.husbandry.profile import read_profile

FOLDER = Path(__file__).resolve().parents[2] / "resources" / "profiles"
FILES = sorted(FOLDER.glob("*.toml"))
SHIPPED = {Mark.PUBLISHED, Mark.COMMON_PRACTICE, Mark.FROM_MEMORY}


def tables_with_numbers(value: object, path: str = "") -> Iterator[tuple[str, dict[str, object]]]:
    """Each table that directly holds a number or a list of numbers."""
    if not isinstance(value, dict):
        return
    if any(isinstance(v, (int, float)) or (isinstance(v, list) and v) for v in value.values()):
        yield path, value
    for name, inner in value.items():
        yield from tables_with_numbers(inner, f"{path}.{name}".strip("."))


def unfounded(loaded: dict[str, object]) -> list[str]:
    """What is wrong with the marks of a loaded profile."""
    citations = loaded["citation"]
    assert isinstance(citations, dict)
    wrong = []
    for path, table in tables_with_numbers(loaded):
        mark = table.get("mark")
        if mark not in SHIPPED:
            wrong.append(f"{path}: no mark")
        elif (mark == Mark.PUBLISHED) != (table.get("citation") in citations):
            wrong.append(f"{path}: published and cited go together")
    return wrong


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_every_number_is_marked(file: Path) -> None:
    loaded = tomllib.loads(file.read_text(encoding="utf-8"))
    assert unfounded(loaded) == []
    assert set(loaded["figure"]) == set(FigureKey)
    assert set(loaded["interval"]) == set(Interval)
    assert read_profile(file.read_text(encoding="utf-8")).key == file.stem
    for text in loaded["citation"].values():
        assert re.search(r"\b(19|20)\d\d\b|\d+\(\d", text), f"a source has its year or volume: {text}"


def test_there_are_two_profiles() -> None:
    assert {f.stem for f in FILES} == {"ball_python", "corn_snake"}


def test_a_number_without_its_mark_is_caught() -> None:
    loaded = tomllib.loads(FILES[0].read_text(encoding="utf-8"))
    del loaded["figure"]["stay_days"]["mark"]
    loaded["figure"]["sale_mass_g"]["mark"] = "published"
    assert unfounded(loaded) == ["figure.stay_days: no mark", "figure.sale_mass_g: published and cited go together"]
