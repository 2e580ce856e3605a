"""A measurement in a process of its own gives its figures, or says in one line why there are none."""

from __future__ import annotations

from pathlib import Path

import pytest

from coilbook.app.bench.own_process import NotMeasured, measured


def test_the_last_line_is_the_answer(tmp_path: Path) -> None:
    figures = tmp_path / "figures.json"
    figures.write_text('{"kept": [1.5]}', encoding="utf-8")
    assert measured("json.tool", "--compact", str(figures)) == {"kept": [1.5]}


@pytest.mark.parametrize(
    ("module", "words", "said"),
    [
        ("coilbook.app.bench.of_nothing", (), "No module named coilbook.app.bench.of_nothing"),
        ("this", (), "Expecting value"),
        ("json.tool", ("nowhere.json",), "nowhere.json"),
    ],
)
def test_what_went_wrong_is_told_in_one_line(module: str, words: tuple[str, ...], said: str) -> None:
    with pytest.raises(NotMeasured) as wrong:
        measured(module, *words)
    assert said in str(wrong.value) and "\n" not in str(wrong.value)


def test_one_that_takes_too_long_is_stopped_and_told() -> None:
    with pytest.raises(NotMeasured, match="timed out"):
        measured("timeit", "-n1", "-r1", "import time; time.sleep(9)", longest_s=0.5)
