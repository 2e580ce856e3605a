"""Demo, examples and tests name none of the barred genes, and the guard that says so can fail."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.barred_genes import BARRED, Barred, hash_of

ROOT = Path(__file__).resolve().parents[2]
#: a made-up word stands for a barred one, so that this file names none either
PLANTED = Barred(frozenset({hash_of("quorfle")}), frozenset({7}))


@pytest.mark.parametrize("text", ["quorfle", "100% het QUORFLE, male", "superquorfles", "F-014|Quorfle_pied|2024"])
def test_the_guard_catches_a_planted_word(text: str) -> None:
    assert PLANTED.found_in(["nothing here", text]) == {"quorfle"}


def test_the_guard_lets_other_words_pass() -> None:
    assert PLANTED.found_in(["quor fle", "quorfl", "", "pied clown"]) == set()


def test_four_different_words_are_barred() -> None:
    assert len(BARRED.hashes) == 4
    assert all(len(bytes.fromhex(each)) == 32 for each in BARRED.hashes)


def test_no_text_of_tests_demo_or_readme_names_one() -> None:
    folders = (ROOT / "tests", ROOT / "demo", ROOT / "src" / "coilbook" / "app")
    files = [path for folder in folders for path in folder.rglob("*") if path.suffix in {".py", ".csv", ".toml", ".md"}]
    assert len(files) > 100
    assert BARRED.found_in(path.read_text(encoding="utf-8") for path in [*files, *ROOT.glob("*.md")]) == set()
