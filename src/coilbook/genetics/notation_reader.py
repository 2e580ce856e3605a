"""Reads the trade's notation: `read(text, catalogue)` says what a genetics text says, and what must be asked.

Nothing is guessed in silence: a misspelling, a missing number or line, a doubtful scope raise a flag with the readings
to choose from, and `answers` holds what was chosen before, by the key of the flag.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.gene_names import names_of
from coilbook.genetics.notation_asides import cut_in_two
from coilbook.genetics.notation_flags import TEXT, Asked
from coilbook.genetics.notation_parse import Parse
from coilbook.genetics.notation_settle import settle
from coilbook.genetics.notation_tokens import Kind, Token, cut
from coilbook.genetics.notation_words import KEYWORDS
from coilbook.genetics.statement import Reading, Tier
from coilbook.records.message import say

#: answers about genetics texts are kept among all remembered answers under this beginning of their key
ANSWERS_KEPT_UNDER = "genetics|"

_NO_ANSWERS: Mapping[str, str] = MappingProxyType({})


def read(text: str, catalogue: Catalogue, *, answers: Mapping[str, str] = _NO_ANSWERS) -> Reading:
    """What a genetics text says. Never raises on any text; what is not understood stays in `rest`, verbatim."""
    if inner := _unquoted(text):
        reading = read(inner, catalogue, answers=answers)
        if reading.tier is not Tier.TEXT_KEPT:
            return replace(reading, text=text)
    tokens = cut(text)
    if _is_pairing(tokens):
        refused = say("'{text}' is a pairing of two animals, not one animal.", text=text.strip())
        return Reading(text, (), rest=text.strip(), refused=refused, tier=Tier.TEXT_KEPT)
    asked, names = Asked(text, catalogue, answers), names_of(catalogue, KEYWORDS)
    tokens = cut_in_two(tokens, names)
    parse = Parse(text, tokens, catalogue, names, asked)
    parse.run()
    statements = settle(parse.saying, catalogue, asked)
    understood = bool(statements) or parse.normal or any(flag.open for flag in asked.flags)
    rest = _rest(text, tokens, parse, asked if understood else None)
    flags = asked.flags
    if not understood and rest:
        return Reading(text, (), flags, rest, parse.sex.sex, parse.sex.sure, tier=Tier.TEXT_KEPT)
    if any(flag.answer == TEXT for flag in flags):
        return Reading(text, (), flags, text.strip(), parse.sex.sex, parse.sex.sure, tier=Tier.TEXT_KEPT)
    tier = Tier.QUESTION if any(flag.open for flag in flags) else Tier.READY
    lines = tuple(parse.saying.lines)
    return Reading(
        text, statements, flags, rest, parse.sex.sex, parse.sex.sure, tier=tier, lines=lines, normal=parse.normal
    )


def _unquoted(text: str) -> str:
    """What stands between quotation marks around the whole of a text, as tables are written; "" where none do."""
    whole = text.strip()
    sign = whole[:1]
    return whole[1:-1].strip() if sign in ('"', "'") and whole[-1:] == sign and whole.count(sign) == 2 else ""


def _is_pairing(tokens: Sequence[Token]) -> bool:
    """True with an x that stands between words (rule h)."""
    words = [at for at, token in enumerate(tokens) if token.kind is Kind.WORD]
    return bool(words) and any(t.kind is Kind.CROSS and words[0] < at < words[-1] for at, t in enumerate(tokens))


def _rest(text: str, tokens: Sequence[Token], parse: Parse, asked: Asked | None) -> str:
    """What was not understood, verbatim; `asked`: ask whether it is a remark."""
    kept = set(parse.remarks)
    taken = {*parse.saying.unknown, *kept}
    pieces: list[str] = []
    for run in _runs(sorted(taken), tokens):
        words = text[tokens[run[0]].start : tokens[run[-1]].end]
        if asked is not None:
            (asked.remark if kept.issuperset(run) else asked.unknown_word)(words)
        pieces.append(words)
    return " ".join(pieces)


def _runs(taken: Sequence[int], tokens: Sequence[Token]) -> list[list[int]]:
    """Neighbouring tokens put together; fillers and separators between them do not part them."""
    runs: list[list[int]] = []
    for at in taken:
        if runs and all(tokens[i].kind in (Kind.SOFT, Kind.HARD) or tokens[i].text in ("and", "with", "w", "for")
                        for i in range(runs[-1][-1] + 1, at)):  # fmt: skip
            runs[-1].append(at)
        else:
            runs.append([at])
    return runs
