"""What a genetics text says of others than this animal, or denies: kept word for word, never read as its genes."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.genetics import notation_words as w
from coilbook.genetics.gene_names import GeneNames
from coilbook.genetics.notation_tokens import Kind, Token


def aside_end(tokens: Sequence[Token], words: Sequence[str], names: GeneNames, at: int) -> int:
    """The end of an aside that begins at a token; `at` where none does.

    "from Clown", "dam het pied": a relative's genes. "not Enchi": a denial, which no finding rests on. "not proven
    clown": no more than is claimed elsewhere. "proven breeder": it has bred, which proves no gene.
    """
    word, after = words[at], words[at + 1] if at + 1 < len(words) else ""
    if word in w.RELATIVES:
        return _of_relative(tokens, words, names, at)
    if word in w.DENIED:
        return _denial(words, names, at)
    if word in w.PROVEN and after in w.BREEDERS:
        return at + 2
    # its sex is read all the same
    return at + 1 if word in w.PROVEN and after in w.MALE | w.FEMALE else at


def _denial(words: Sequence[str], names: GeneNames, at: int) -> int:
    """ "not Enchi", "no visual clown", "not a clown"; "not het" is one too, but it is read (`Parse`)."""
    after = words[at + 1] if at + 1 < len(words) else ""
    if after in w.PROVEN | w.PROVE | w.VISUAL | w.SUPER:
        return _with_gene(words, names, at + 2)
    if count := _gene(words, names, at + 1):
        return at + 1 + count
    one_between = after and after not in w.KEYWORDS and not after[0].isdigit()
    if count := _gene(words, names, at + 2) if one_between else 0:
        return at + 2 + count
    if words[at] not in w.NOT and after in w.HET:
        return _with_gene(words, names, at + 2)
    return at


def _gene(words: Sequence[str], names: GeneNames, at: int) -> int:
    """How many words the name of a gene takes that begins here, 0 where none does."""
    found = names.at(list(words), at) if at < len(words) and words[at] else None
    return found[1] if found is not None else 0


def _with_gene(words: Sequence[str], names: GeneNames, at: int) -> int:
    return at + _gene(words, names, at)


def _of_relative(tokens: Sequence[Token], words: Sequence[str], names: GeneNames, at: int) -> int:
    """To where the sentence or the bracket ends; to the next comma where no gene was named until there."""
    end, named = at + 1, False
    while end < len(tokens):
        token = tokens[end]
        if token.kind is Kind.HARD or token.inside is not tokens[at].inside:
            break
        if token.text == "," and not named:
            break
        count = _gene(words, names, end)
        named |= count > 0
        end += max(count, 1)
    return end if named else at + 1


def short_for(tokens: Sequence[Token], words: Sequence[str], names: GeneNames, at: int) -> str:
    """The word of the notation that a letter before a gene may stand for ("S. Pastel"); "" where none."""
    behind = at + (2 if at + 1 < len(tokens) and tokens[at + 1].text == "." else 1)
    return w.SHORT.get(words[at], "") if _gene(words, names, behind) else ""


def cut_in_two(tokens: Sequence[Token], names: GeneNames) -> list[Token]:
    """The tokens, a word of the notation and a gene that are written in one ("hetclown") as two."""
    found: list[Token] = []
    for token in tokens:
        at = _glued(token.text, names) if token.kind is Kind.WORD and token.text.startswith(w.GLUED) else 0
        if at and len(token.text) == token.end - token.start:
            middle = token.start + at
            found.append(Token(Kind.WORD, token.text[:at], token.start, middle, inside=token.inside))
            found.append(Token(Kind.WORD, token.text[at:], middle, token.end, inside=token.inside))
        else:
            found.append(token)
    return found


def _glued(word: str, names: GeneNames) -> int:
    """The length of the first of two words written in one; 0 where it is one word, or names a gene itself."""
    if _gene((word,), names, 0):
        return 0
    firsts = (first for first in w.GLUED if word.startswith(first))
    return next((len(first) for first in firsts if _gene((word.removeprefix(first),), names, 0)), 0)
