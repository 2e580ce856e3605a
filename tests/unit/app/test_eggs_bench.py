"""The figures of eggs are measured on what they say: readings of a logger, windows of females."""

from __future__ import annotations

import pytest

from coilbook.app.bench import of_eggs


def test_every_line_has_a_figure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(of_eggs, "READINGS", 2_000)
    monkeypatch.setattr(of_eggs, "FEMALES", 3)
    lines = of_eggs.eggs_lines()
    assert [line.what for line in lines] == [
        "2,000 readings read from a logger's text",
        "their least, most, time outside limits and gaps",
        "the temperature of the eggs from them",
        "2,000 readings brought into an incubator",
        "windows of 3 females from 480 clutches on record",
    ]
    assert all(line.figure is not None and line.figure > 0 for line in lines)
