"""A day that was said to be about is not shown as that day."""

from __future__ import annotations

import datetime as dt

import pytest

from coilbook.intake.plan import propose
from coilbook.intake.planned import Known
from coilbook.intake.sheet import Row, Sheet
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate


@pytest.mark.parametrize(
    ("written", "first", "precision"),
    [
        ("c. 12 May 2021", dt.date(2021, 5, 1), Precision.MONTH),
        ("~2021-05-12", dt.date(2021, 5, 1), Precision.MONTH),
        ("~2021", dt.date(2021, 1, 1), Precision.YEAR),
        ("12 May 2021", dt.date(2021, 5, 12), Precision.DAY),
    ],
)
def test_about_a_day_is_its_month_with_the_words_beside_it(written: str, first: dt.date, precision: Precision) -> None:
    rows = (Row(1, ("Id", "Hatched", "Weight", "Weighed")), Row(2, ("F-1", written, "1500", "~2024-03-05")))
    (animal,) = propose([Sheet("room", rows)], {}, Known(dt.date(2026, 11, 25))).animals
    assert animal.hatched == PartialDate(first, precision)
    assert (f"Hatched: {written}" in [note.text for note in animal.notes]) is (precision is not Precision.DAY)
    # a weight needs its day, and says beside it that it is about
    assert animal.weights[0].on == dt.date(2024, 3, 5)
    assert "Weighed: ~2024-03-05" in [note.text for note in animal.notes]
