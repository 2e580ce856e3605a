"""The outlook's figures are measured on what they say: twelve loci, three hundred males, forty females."""

from __future__ import annotations

import pytest

from coilbook.app.bench import of_outlook


def test_every_line_has_a_figure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(of_outlook, "FEMALES", 3)
    lines = of_outlook.outlook_lines()
    assert [line.what for line in lines] == [
        "12 segregating loci: the first 12 looks",
        "300 males ranked for a female",
        "300 males ranked for 3 females",
    ]
    assert all(line.figure and line.figure > 0 for line in lines)
