"""Every example in a docstring says what the code does."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"
WITH_EXAMPLES = sorted(p for p in SOURCE.rglob("*.py") if ">>> " in p.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", WITH_EXAMPLES, ids=lambda p: str(p.relative_to(SOURCE)))
def test_examples_are_true(path: Path) -> None:
    name = ".".join(path.relative_to(SOURCE).with_suffix("").parts)
    done = doctest.testmod(importlib.import_module(name))
    assert done.attempted > 0 and done.failed == 0
