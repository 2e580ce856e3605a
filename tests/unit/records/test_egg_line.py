"""A clutch typed in one line, when it is laid and when it hatches."""

from __future__ import annotations

import pytest

from coilbook.records.egg_line import read_egg_line, read_hatch_line
from coilbook.records.egg_vocabulary import Verdict
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass
from coilbook.records.vocabulary import Sex


def test_weights_signs_and_counts() -> None:
    eggs = read_egg_line("78 54? 36S 2x 2xs 3x80")
    assert [e.mass.decigrams if e.mass else None for e in eggs] == [
        780,
        540,
        360,
        None,
        None,
        None,
        None,
        800,
        800,
        800,
    ]
    verdicts = [Verdict.GOOD, Verdict.DOUBTFUL, Verdict.SLUG, *[Verdict.GOOD] * 2, *[Verdict.SLUG] * 2]
    assert [e.verdict for e in eggs] == [*verdicts, *[Verdict.GOOD] * 3]


@pytest.mark.parametrize("line", ["", "0", "78 many", "99x", "-3", "x"])
def test_what_is_no_clutch_is_refused(line: str) -> None:
    with pytest.raises(Refusal):
        read_egg_line(line)


def test_hatchlings_in_order_by_number_and_as_twins() -> None:
    young = read_hatch_line("61 - 7:63f x 3a:28 3b:30m o", [1, 2, 3, 5, 7, 8])
    told = [(y.number, y.twin, y.mass, y.sex, y.dead) for y in young]
    assert told == [
        (1, "", Mass(610), Sex.UNSEXED, False),
        (7, "", Mass(630), Sex.FEMALE, False),
        (3, "", None, Sex.UNSEXED, True),
        (3, "a", Mass(280), Sex.UNSEXED, False),
        (3, "b", Mass(300), Sex.MALE, False),
        (5, "", None, Sex.UNSEXED, False),
    ]


@pytest.mark.parametrize("line", ["", "61 62 63", "9:60", "61 grams"])
def test_what_is_no_hatchling_is_refused(line: str) -> None:
    with pytest.raises(Refusal):
        read_hatch_line(line, [1, 2])
