"""Cuts a genetics text into words, numbers, separators and marks, each with its place in the text."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntEnum


class Kind(IntEnum):
    """What a piece of the text is."""

    WORD = 0
    NUMBER = 1
    #: / , + & and line-internal signs: "het" goes on across them
    SOFT = 2
    #: ; | . and a new line: "het" ends there
    HARD = 3
    DOUBT = 4
    QUOTED = 5
    SEX = 6
    CROSS = 7
    #: a sign that means nothing here
    OTHER = 8


@dataclass(slots=True)
class Token:
    """`text` is case folded; `start` and `end` are its place in the original. `percent`: a number with its sign.

    `inside`: it stands behind an opening bracket. `gap`: nothing but spaces, hyphens and brackets before it.
    """

    kind: Kind
    text: str
    start: int
    end: int
    percent: bool = False
    inside: bool = False


_TOKEN = re.compile(
    r"""(?P<space>[\s\-‐–—_:=]+|(?P<bracket>[()\[\]{}]))
    |(?P<quoted>"[^"]*"|“[^”]*”|„[^“”]*[“”]|«[^»]*»)
    |(?P<several>(?<![^\W\d_])[dtq](?:\.\s?|/)h(?![^\W\d_])\.?)
    |(?P<without>(?<![^\W\d_])w/o(?![^\W\d_]))
    |(?P<maybe>\+\s?/\s?-|±)
    |(?P<number>(?:66,6{1,2}|66,67|66,7|33,33?|(?:12|37|62|87),5|(?:25|50|100),00?)(?=\s?(?:%|het|ph|poss))|\d+(?:\.\d+)*)(?P<sign>\s?%|\s?(?:percent|pct)(?![^\W\d_]))?
    |(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)
    |(?P<soft>[/,+&\\])
    |(?P<hard>[;|.])
    |(?P<doubt>\?+)
    |(?P<sex>[♂♀])
    |(?P<cross>[×✕])
    |(?P<other>.)""",
    re.VERBOSE | re.DOTALL | re.IGNORECASE,
)
_KINDS = {
    "quoted": Kind.QUOTED,
    "word": Kind.WORD,
    "several": Kind.WORD,
    "maybe": Kind.WORD,
    "without": Kind.WORD,
    "soft": Kind.SOFT,
    "hard": Kind.HARD,
    "doubt": Kind.DOUBT,
    "sex": Kind.SEX,
    "cross": Kind.CROSS,
    "other": Kind.OTHER,
}
#: signs for words
_WRITTEN_OUT = {"maybe": "poss", "without": "without"}


def cut(text: str) -> list[Token]:
    """The tokens of a text; spaces, hyphens and brackets only part them, a new line ends what "het" covers."""
    tokens: list[Token] = []
    inside = False
    for match in _TOKEN.finditer(text):
        group = match.lastgroup
        if group in ("space", "bracket"):
            sign = match.group("bracket")
            inside = sign in ("(", "[", "{") if sign else inside
            if not sign and "\n" in match.group():
                tokens.append(Token(Kind.HARD, "\n", match.start(), match.end()))
            continue
        if group in ("number", "sign"):
            tokens.append(
                Token(
                    Kind.NUMBER,
                    match["number"].replace(",", "."),
                    match.start(),
                    match.end(),
                    match["sign"] is not None,
                    inside,
                )
            )
            continue
        shown = match.group()
        kind = _KINDS[group or "other"]
        folded = shown.casefold() if kind is Kind.WORD else shown
        if group == "several":
            folded = f"{folded[0]}h"  # "d.h." and "D/H" as "dh"
        folded = _WRITTEN_OUT.get(group or "", folded)
        if folded == "x":
            before = tokens[-1] if tokens else None
            if before is not None and before.kind is Kind.NUMBER and before.end == match.start() and not before.percent:
                # "2x het": how many genes follow
                before.kind, before.text, before.end = Kind.WORD, f"{before.text}x", match.end()
                continue
            kind = Kind.CROSS
        tokens.append(Token(kind, folded.replace("’", "'"), match.start(), match.end(), inside=inside))
    return tokens


def sex_counts(text: str) -> list[int]:
    """Males, females and unsexed out of "1.0" or "0.1.2"; nothing out of any other number."""
    parts = text.split(".")
    return [int(part) for part in parts] if len(parts) in (2, 3) and all(len(part) < 3 for part in parts) else []
