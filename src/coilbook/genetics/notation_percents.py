"""Which numbers of a genetics text are percentages: with their sign, or the usual ones before "het" and its like."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.genetics import notation_words as w
from coilbook.genetics.notation_tokens import Kind, Token


def percentages_at(tokens: Sequence[Token], words: Sequence[str], at: int) -> tuple[list[int], int]:
    """The percentages that begin at a token, and how many tokens they take; none and 0 where it is another number.

    "66%/50%" are two, to be dealt out over two genes; "2/3" before "het" is one. 0 and numbers over 100 are none.
    """
    return _fraction(tokens, words, at) or _listed(tokens, words, at)


def _fraction(tokens: Sequence[Token], words: Sequence[str], at: int) -> tuple[list[int], int] | None:
    if at + 3 >= len(tokens) or tokens[at + 1].text != "/":
        return None
    percent = w.FRACTIONS.get((words[at], words[at + 2]))
    return ([percent], 3) if percent is not None and words[at + 3] in w.BEFORE_GENE else None


def _listed(tokens: Sequence[Token], words: Sequence[str], start: int) -> tuple[list[int], int]:
    at, found, signed = start, [], False
    while at < len(tokens) and tokens[at].kind is Kind.NUMBER:
        sign = tokens[at].percent
        value = _value(words[at])
        if not 1 <= value <= 100 or not (sign or words[at].partition(".")[0] in w.BARE_PERCENTAGES):
            break
        signed |= sign
        found.append(value)
        at += 1
        if at + 1 >= len(tokens) or tokens[at].text != "/" or not words[at + 1]:
            break
        at += 1
    if found and tokens[at - 1].kind is Kind.SOFT:
        at -= 1
    following = words[at] if at < len(words) else ""
    # "ph66", "het 66 clown": the usual numbers right behind these words are said of the gene that follows
    behind = bool(following) and start > 0 and words[start - 1] in w.HET | w.POSSIBLE_HET | w.POSSIBLE
    alone = not behind and following not in w.AFTER_PERCENT
    return ([], 0) if alone and not signed else (found, at - start)


def _value(text: str) -> int:
    """A number rounded down; 0 for what cannot be a percentage."""
    return int(float(text)) if text.count(".") < 2 and len(text) < 8 else 0
