"""What README and DEVELOPERS name is there: modules, what stands in them, files, commands."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from coilbook.app.command_line import SUBCOMMANDS

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "coilbook"
ROOMS = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"}
PAPERS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
#: an example, an answer of the odds, three methods: no files
_PATTERNS = {"resources/profiles/KEY.toml", "+/clown", "act.insert/update/delete"}


def named(paper: str, pattern: str) -> list[str]:
    """What stands between backticks and has this form."""
    return sorted({one for one in re.findall(r"`([^`\n]+)`", PAPERS[paper]) if re.fullmatch(pattern, one)})


def is_there(name: str) -> bool:
    """Whether `room.module.Name.attribute`, or the beginning of it that is a module, is what it says."""
    rest, place = name.split("."), PACKAGE
    while rest and ((place / rest[0]).is_dir() or (place / f"{rest[0]}.py").is_file()):
        place /= rest.pop(0)
    found = importlib.import_module(".".join(("coilbook", *place.relative_to(PACKAGE).parts)))
    for attribute in rest:
        if not hasattr(found, attribute):
            return False
        found = getattr(found, attribute)
    return True


DOTTED = [one for one in named("DEVELOPERS.md", r"[a-z_]+(\.\w+)+") if one.split(".")[0] in ROOMS]
PATHS = [
    one
    for paper in PAPERS
    for one in named(paper, r"[\w./+-]*/[\w./+*-]*")
    if "/" in one.strip("/") and one not in _PATTERNS
]


@pytest.mark.parametrize("name", DOTTED)
def test_a_module_and_what_stands_in_it(name: str) -> None:
    assert is_there(name)


def test_a_name_that_is_not_there_is_caught() -> None:
    assert len(DOTTED) > 60
    assert is_there("reads.genes.CatalogueBook") and not is_there("reads.genes.Nothing")


@pytest.mark.parametrize("path", PATHS)
def test_a_file_or_folder(path: str) -> None:
    places = [ROOT, PACKAGE, PACKAGE.parent]
    forms = [path, f"{path}.py"]
    assert any(list(place.glob(form.lstrip("/"))) for place in places for form in forms)


def test_commands_and_modules_to_run() -> None:
    there = {one.name for one in SUBCOMMANDS}
    for text in PAPERS.values():
        asked = set(re.findall(r"`(?:\.venv/bin/)?coilbook ([a-z]+)", text))
        assert asked and asked <= there
    modules = re.findall(r"python -m (tests\.[\w.]+)", PAPERS["DEVELOPERS.md"])
    assert len(modules) > 4
    assert [one for one in modules if not (ROOT / one.replace(".", "/")).with_suffix(".py").is_file()] == []


def test_classes_and_constants_named_alone() -> None:
    source = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    names = named("DEVELOPERS.md", r"[A-Z][A-Za-z]*[a-z][A-Za-z]*(\.\w+)?|[A-Z]+_[A-Z_]+")
    missing = [one for one in names if not all(re.search(rf"\b{part}\b", source) for part in one.split("."))]
    assert len(names) > 12 and missing == []


@pytest.mark.parametrize("paper", PAPERS)
def test_rows_are_no_longer_than_those_of_the_code(paper: str) -> None:
    """Rows of a table cannot be broken; everything else is."""
    long = [row for row in PAPERS[paper].splitlines() if len(row) > 120 and not row.startswith("|")]
    assert long == []
