"""What stands in the cells of weekly feeding columns: ``X``, ``R``, ``sm``, ``2m``, ``✓``, ``-``.

Keepers use the same sign for opposite things, so each distinct sign is asked once and the answer remembered. An
answer is one word (a result, ``nothing`` or ``text``) or ``result|count|prey``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from coilbook.intake.questions import Option, Question, Scope
from coilbook.records.message import say
from coilbook.records.vocabulary import FeedingResult

#: the sign says nothing about a feeding (an empty week)
NOTHING = "nothing"
#: keep the sign as a dated note
TEXT = "text"
_RESULTS = (
    FeedingResult.TAKEN,
    FeedingResult.TAKEN_LATE,
    FeedingResult.REFUSED,
    FeedingResult.STRUCK,
    FeedingResult.NOT_OFFERED,
)
#: longer texts are remarks, not signs
LONGEST_MARK = 16

_SAME_SIGN = str.maketrans({"✔": "✓", "☑": "✓", "√": "✓", "–": "-", "—": "-", "✗": "x", "✘": "x", "×": "x"})
# first guesses, shown as the suggestion only (common practice)
_TAKEN = frozenset(["x", "✓", "y", "yes", "ate", "a", "fed", "taken", "t", "ok", "e", "eaten"])
_REFUSED = frozenset(["r", "ref", "refused", "rf", "n", "no", "refusal", "ne"])
_STRUCK = frozenset({"s", "struck", "hit", "killed"})
_NOT_OFFERED = frozenset({"skip", "nf", "not offered", "no offer", "blue", "b", "shed", "in blue"})
_NOTHING = frozenset({"-", "--", ".", "/", "n/a", "na"})
_PREY = re.compile(
    r"(?:(\d{1,2})\s*x?\s*)?((?:xs|sm|small|md|med|medium|lg|large|xl|jumbo|wean(?:ed|er|ling)?|adult|pink(?:y|ie)?|"
    r"fuzzy|hopper|pup|asf|rat|rats|mouse|mice|m|r|s|l|ft|f/t)(?:\s+(?:rat|rats|mouse|mice|pup|pups|asf))?)s?",
)
_SIZES = {
    "m": ("mouse", "medium"), "s": ("small",), "l": ("large",), "r": ("rat",), "sm": ("small",), "md": ("medium",),
    "med": ("medium",), "lg": ("large",),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class MarkMeaning:
    """What a sign stands for: a feeding `result` with `count` prey of a kind, or (`result` None) nothing or text."""

    result: FeedingResult | None
    count: int = 1
    prey: str = ""
    nothing: bool = False


@lru_cache(maxsize=20_000)
def mark_of(text: str) -> str:
    """The sign a cell's text is: spelling, case and look-alikes set aside."""
    return " ".join(text.translate(_SAME_SIGN).lower().split()).rstrip(".") or text.strip()


def mark_answer(result: FeedingResult, count: int = 1, prey: str = "") -> str:
    """The answer text for a sign that means `count` of `prey` with this result."""
    return f"{result.value}|{count}|{prey}" if prey or count != 1 else result.value


@lru_cache(maxsize=1_000)
def parse_mark_answer(answer: str) -> MarkMeaning | None:
    """The meaning an answer gives, or None when it is no answer.

    >>> parse_mark_answer("taken|2|mouse")
    MarkMeaning(result=<FeedingResult.TAKEN: 'taken'>, count=2, prey='mouse', nothing=False)
    """
    if answer == NOTHING:
        return MarkMeaning(None, nothing=True)
    if answer == TEXT:
        return MarkMeaning(None)
    word, _, rest = answer.partition("|")
    count_text, _, prey = rest.partition("|")
    if word not in {result.value for result in _RESULTS}:
        return None
    if rest and not (count_text.isascii() and count_text.isdigit() and 1 <= int(count_text) <= 50):
        return None
    return MarkMeaning(FeedingResult(word), int(count_text) if rest else 1, prey.strip())


def mark_key(mark: str) -> str:
    """The key under which a sign's meaning is remembered."""
    return f"mark|{mark}"


def mark_question(mark: str) -> Question:
    """The question what `mark` means in a feeding column, likeliest readings first."""
    readings = _prey_readings(mark)
    common = (
        Option(FeedingResult.TAKEN.value, say("offered and taken")),
        Option(FeedingResult.REFUSED.value, say("offered and refused")),
        Option(FeedingResult.STRUCK.value, say("struck, not eaten")),
        Option(FeedingResult.NOT_OFFERED.value, say("not offered")),
        Option(NOTHING, say("nothing recorded that day")),
        Option(TEXT, say("keep it as a note of that day")),
    )
    suggested = readings[0].value if readings else _suggestion(mark)
    return Question(
        mark_key(mark),
        say("What does '{mark}' mean in a feeding column?", mark=mark),
        readings + common,
        Scope.WORD,
        suggested=suggested,
        holds=False,
        free=True,
    )


def _suggestion(mark: str) -> str:
    for words, answer in (
        (_TAKEN, FeedingResult.TAKEN.value),
        (_REFUSED, FeedingResult.REFUSED.value),
        (_STRUCK, FeedingResult.STRUCK.value),
        (_NOT_OFFERED, FeedingResult.NOT_OFFERED.value),
        (_NOTHING, NOTHING),
    ):
        if mark in words:
            return answer
    return TEXT


def _prey_readings(mark: str) -> tuple[Option, ...]:
    match = _PREY.fullmatch(mark)
    if match is None or mark in _TAKEN | _REFUSED | _STRUCK:
        return ()
    count = int(match[1] or 1)
    if not 1 <= count <= 50:
        return ()
    preys = _SIZES.get(match[2], (match[2],))
    return tuple(
        Option(
            mark_answer(FeedingResult.TAKEN, count, prey),
            say("taken: {n} x {prey}", n=count, prey=prey),
        )
        for prey in preys
    )
