"""The house's own rules: layers, sizes, one name and one undo for every act, provenance, and words kept out."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from coilbook.records.vocabulary import Act
from coilbook.storage.tables import RECORD_TABLES, table_name
from coilbook.wording import acts, changed

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted((ROOT / "src" / "coilbook").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
LONGEST_FILE = 400
LONGEST_FUNCTION = 40


def test_the_layers_hold() -> None:
    done = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports")], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-1000:]


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT / "src")))
def test_files_and_functions_stay_small_and_told(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= LONGEST_FILE, "a file is one subject: split it"
    tree = ast.parse(text)
    assert not text or ast.get_docstring(tree), "every module says what it is for"
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            assert length <= LONGEST_FUNCTION, f"{node.name} has {length} lines"


def test_every_act_has_a_name_and_only_acts_have_one() -> None:
    assert set(acts.ACT_NAMES) == set(Act)
    assert len(set(acts.ACT_NAMES.values())) == len(Act)


def test_every_record_table_has_a_word() -> None:
    assert set(changed.TABLE_WORDS) == {table_name(m) for m in RECORD_TABLES}


def test_record_tables_hold_integers_and_text_only() -> None:
    for model in RECORD_TABLES:
        for field in model._meta.sorted_fields:
            assert field.field_type in ("INT", "TEXT", "AUTO"), f"{table_name(model)}.{field.column_name}"


def _tables_asked_for(tree: ast.Module) -> set[str]:
    """The tables that code asks `Changes` about, by name: in `touches(...)`, and in what something rests on."""
    asked: list[ast.expr] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "touches":
            asked += node.args
        elif isinstance(node, ast.Assign) and re.search(r"rests?_on$", ast.unparse(node.targets[0]), re.IGNORECASE):
            asked.append(node.value)
    return {n.value for one in asked for n in ast.walk(one) if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def test_what_is_reread_after_an_act_is_asked_of_tables_there_are() -> None:
    """A table misspelt here would leave a page as it stood, and say nothing."""
    tables = {table_name(model) for model in RECORD_TABLES}
    asked = {str(path): _tables_asked_for(ast.parse(path.read_text("utf-8"))) for path in SOURCES}
    assert sum(len(found) > 5 for found in asked.values()) > 4, "nobody is asked any more: look for another way to ask"
    assert {name: wrong for name, found in asked.items() if (wrong := found - tables)} == {}


def _tables_of(path: Path) -> list[dict[str, object]]:
    with path.open("rb") as stream:
        loaded = tomllib.load(stream)
    found: list[dict[str, object]] = []

    def walk(value: object) -> None:
        if isinstance(value, dict):
            if any(not isinstance(v, dict | list) for v in value.values()):
                found.append(value)
            for inner in value.values():
                walk(inner)
        elif isinstance(value, list):
            for inner in value:
                walk(inner)

    walk(loaded)
    return found


def test_every_stock_says_where_its_figures_come_from() -> None:
    files = sorted((ROOT / "resources" / "stocks").glob("*.toml"))
    assert files
    for file in files:
        entries = [t for t in _tables_of(file) if "name" in t or "words" in t]
        assert entries, file.name
        for entry in entries:
            assert entry.get("provenance") or entry.get("source"), f"{file.name}: {entry}"


def test_fonts_and_icons_carry_their_licences() -> None:
    assert (ROOT / "resources" / "fonts" / "OFL.txt").is_file()
    assert any("LICEN" in f.name.upper() for f in (ROOT / "resources" / "icons").iterdir())


def test_nothing_names_a_machine_or_an_address_of_packages() -> None:
    suspicious = re.compile(
        r"(?:^|[\s\"'(=])/(?:root|home|work|tmp|Users)/[A-Za-z]|pypi\.org|pythonhosted|index-url", re.M
    )
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.split(
        "\n"
    )
    for name in listed:
        path = ROOT / name
        if not name or path.suffix in (".png", ".ttf", ".xlsx", ".sqlite", ".gz") or path == Path(__file__).resolve():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            continue
        assert not suspicious.search(text), f"{name}: {suspicious.search(text)}"


def test_ui_composes_no_sql() -> None:
    for path in SOURCES:
        if "ui" in path.relative_to(ROOT / "src" / "coilbook").parts[:1]:
            text = path.read_text(encoding="utf-8")
            assert not re.search(r"\b(SELECT|INSERT INTO|UPDATE|DELETE FROM)\b [a-z*]", text), path.name


def test_every_act_is_undone_by_some_test() -> None:
    """The sweep knows every act but the undo itself, the erasure that stays, and the restore with a test of its own."""
    from tests.operations.test_every_act_undone import SWEPT

    assert set(SWEPT) | {Act.UNDO, Act.ERASE_PERSON, Act.RESTORE} == set(Act)


def _of_two_forms() -> list[tuple[str, str]]:
    """Each text written for one and for many."""
    calls = (n for path in SOURCES for n in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(n, ast.Call))
    said = (
        [a.value for a in n.args[:2] if isinstance(a, ast.Constant)]
        for n in calls
        if ast.unparse(n.func) in ("say", "translated_plural")
    )
    return [(one, many) for one, many in (s for s in said if len(s) == 2) if isinstance(many, str)]


def test_one_and_many_are_said_alike() -> None:
    texts = _of_two_forms()
    assert len(texts) > 120
    for one, many in texts:
        assert one[0].isupper() == many[0].isupper() or not one[0].isalpha() or not many[0].isalpha(), (one, many)
        assert one.endswith(".") == many.endswith("."), (one, many)
