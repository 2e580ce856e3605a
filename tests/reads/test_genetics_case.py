"""Cases from files: answered as an enumeration of all genotypes answers them, refused in a sentence when unreadable."""

from __future__ import annotations

import itertools
import json
from fractions import Fraction
from typing import Any

import pytest

from coilbook.reads.genetics_case import answer_case
from coilbook.records.message import Refusal
from coilbook.wording.resources import demo_path


def test_the_case_of_the_demo() -> None:
    found = answer_case(demo_path("case.json").read_text(encoding="utf-8"))
    clown = found["answers"][0]["carries"]["clown"]
    assert clown["with_evidence"] == pytest.approx(1 / 9, abs=1e-12)
    assert clown["on_paper"] == "2/3"
    assert found["exact"]
    assert found["contradictions"] == []


def _enumerated(looks: dict[str, bool]) -> dict[str, Fraction]:
    """P(carrier) in a family of two sure hets A, B, their young C and D, and E of C and a visual; by counting."""
    gamete = {0: {0: Fraction(1)}, 1: {0: Fraction(1, 2), 1: Fraction(1, 2)}, 2: {1: Fraction(1)}}

    def child(one: int, other: int, young: int) -> Fraction:
        pairs = itertools.product(gamete[one].items(), gamete[other].items())
        return sum((p * q for (a, p), (b, q) in pairs if a + b == young), Fraction(0))

    total, carries = Fraction(0), dict.fromkeys("CDE", Fraction(0))
    for c, d, e in itertools.product(range(3), repeat=3):
        if any((copies == 2) is not looks[name] for name, copies in (("C", c), ("D", d), ("E", e))):
            continue
        chance = child(1, 1, c) * child(1, 1, d) * child(c, 2, e)
        total += chance
        for name, copies in (("C", c), ("D", d), ("E", e)):
            carries[name] += chance if copies else 0
    return {name: chance / total for name, chance in carries.items()}


@pytest.mark.parametrize("visual", [set(), {"D"}, {"E"}, {"D", "E"}], ids=str)
def test_a_family_is_answered_as_it_is_counted(visual: set[str]) -> None:
    case: dict[str, Any] = {
        "locus": {"key": "x", "inheritance": "recessive"},
        "animals": [
            {"id": "A", "sex": "female"}, {"id": "B", "sex": "male"}, {"id": "V", "sex": "male"},
            {"id": "C", "sex": "female", "dam": "A", "sire": "B"}, {"id": "D", "dam": "A", "sire": "B"},
            {"id": "E", "dam": "C", "sire": "V"},
        ],
        "findings": [
            *({"animal": a, "claim": "x"} for a in "AB"),
            *({"animal": a, "not_seen": ["x"]} for a in "AB"),
            {"animal": "V", "seen": ["x"]},
            *({"animal": a, "seen" if a in visual else "not_seen": ["x"]} for a in "CDE"),
        ],
    }  # fmt: skip
    found = {one["animal"]: one["carries"]["x"]["with_evidence"] for one in answer_case(json.dumps(case))["answers"]}
    for name, chance in _enumerated({name: name in visual for name in "CDE"}).items():
        assert found[name] == pytest.approx(float(chance), abs=1e-9)


def test_a_litter_a_complex_and_a_chromosome_of_their_own() -> None:
    case: dict[str, Any] = {
        "locus": {
            "key": "t", "alleles": ["a", "b"],
            "looks": [{"key": ""}, {"key": "a"}, {"key": "b"}, {"key": "ab"}],
            "pairs": [["a", "a", "a"], ["b", "b", "b"], ["a", "b", "ab"]],
            "linkage": {"recombination": 0.05},
        },
        "animals": [{"id": "F", "sex": "female"}, {"id": "M", "sex": "male"}, {"id": "N", "sex": "male"},
                    {"id": "J", "sex": "male", "dam": "F"}],
        "litters": [{"young": ["J"], "sires": {"M": 1, "N": 3}}],
        "findings": [{"animal": "F", "seen": ["ab"]}, {"animal": "M", "seen": ["a"]}, {"animal": "N", "seen": ["b"]},
                     {"animal": "J", "seen": ["a"]}],
        "questions": [{"animal": "J"}],
    }  # fmt: skip
    ((answer),) = answer_case(json.dumps(case))["answers"]
    assert [s["state"] for s in answer["states"]] == ["a|a male"]


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"locus": {"key": "x", "inheritance": "odd"}, "animals": []}',
     '{"locus": {"key": "x", "inheritance": "recessive"}, "animals": [{"id": "A"}, {"id": "A"}]}',
     '{"locus": {"key": "x", "inheritance": "recessive"}, "animals": [{"id": "A", "dam": "B"}]}',
     '{"locus": {"key": "x", "inheritance": "recessive"}, "animals": [{"id": "A"}], "findings": [{"animal": "A"}]}'],
)  # fmt: skip
def test_a_case_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(Refusal, match="cannot be read"):
        answer_case(text)
