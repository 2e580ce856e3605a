"""Every word of a catalogue that means a gene or a combination, found by its words, and near ones by their spelling."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from coilbook.genetics.catalogue import Catalogue

#: shortest word that is looked up by a likeness (job.md 10.2)
_SHORTEST = 4
_NEAR_KEPT = 20_000
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*|\d+")


class Sort(StrEnum):
    """What a word means."""

    GENE = "gene"
    COMBINATION = "combination"
    #: the name of a look that several pairs of alleles have
    SHARED = "shared"
    #: a word of the notation itself ("het")
    WORD = "word"


@dataclass(frozen=True, slots=True)
class Target:
    """What a word means: a gene or combination key, or a word of the notation."""

    sort: Sort
    key: str

    @property
    def value(self) -> str:
        """As an answer is stored, for instance "gene:clown"."""
        return f"{self.sort.value}:{self.key}"


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name as they are compared: case folded, without hyphens and signs.

    >>> words_of("Blue-eyed Leucistic")
    ('blue', 'eyed', 'leucistic')
    """
    return tuple(_WORD.findall(text.casefold()))


class GeneNames:
    """The words of one catalogue; `names_of` keeps one for each."""

    def __init__(self, catalogue: Catalogue, keywords: Iterable[str]) -> None:
        self._by_words: dict[tuple[str, ...], Target] = {}
        for name in catalogue.shared_names:
            self._add((name,), Target(Sort.SHARED, name))
        for combination in catalogue.combinations.values():
            target = Target(Sort.COMBINATION, combination.key)
            self._add((combination.name, *combination.aliases), target)
        for gene in catalogue.genes.values():
            self._add((gene.name, gene.key, *gene.aliases), Target(Sort.GENE, gene.key))
        for gene in catalogue.genes.values():
            if gene.line_of and gene.line_of in catalogue.genes:
                base = catalogue.genes[gene.line_of]
                both = [(f"{a} {gene.line}", f"{gene.line} {a}") for a in (base.name, *base.aliases)]
                self._add([each for two in both for each in two], Target(Sort.GENE, gene.key))
        self._longest: dict[str, int] = {}
        for words in self._by_words:
            self._longest[words[0]] = max(len(words), self._longest.get(words[0], 0))
        self._keywords = frozenset(keywords)
        self._by_length: dict[int, list[str]] = {}
        self._spelled = {" ".join(words): target for words, target in self._by_words.items()}
        self._spelled |= {word: Target(Sort.WORD, word) for word in self._keywords}
        for spelling in self._spelled:
            if len(spelling) >= _SHORTEST:
                self._by_length.setdefault(len(spelling), []).append(spelling)
        self.most_words = max((len(words) for words in self._by_words), default=1)
        self._near: dict[str, tuple[Target, ...]] = {}

    def _add(self, names: Iterable[str], target: Target) -> None:
        for name in names:
            words = words_of(name)
            if words:
                self._by_words[words] = target
                if len(words) > 1 and all(word.isalpha() for word in words):
                    self._by_words.setdefault(("".join(words),), target)

    def at(self, words: list[str], start: int) -> tuple[Target, int] | None:
        """What the longest name beginning at `start` means, and how many words it takes."""
        longest = self._longest.get(words[start], 0)
        for count in range(min(longest, len(words) - start), 0, -1):
            target = self._by_words.get(tuple(words[start : start + count]))
            if target is not None:
                return target, count
        return None

    def near(self, phrase: str) -> tuple[Target, ...]:
        """What a misspelled phrase may mean: names one letter, or one exchange of two letters, away."""
        found = self._near.get(phrase)
        if found is None:
            if len(self._near) >= _NEAR_KEPT:
                self._near.clear()
            found = self._near[phrase] = self._search(phrase)
        return found

    def _search(self, phrase: str) -> tuple[Target, ...]:
        if len(phrase.replace(" ", "")) < _SHORTEST:
            return ()
        from rapidfuzz import process  # on first use
        from rapidfuzz.distance import OSA

        size = len(phrase)
        choices = [spelling for length in (size, size - 1, size + 1) for spelling in self._by_length.get(length, ())]
        near = process.extract(phrase, choices, scorer=OSA.distance, score_cutoff=1, limit=4)
        return tuple(dict.fromkeys(self._spelled[spelling] for spelling, _, _ in near))


@lru_cache(maxsize=16)
def _names(catalogue: Catalogue, keywords: frozenset[str]) -> GeneNames:
    return GeneNames(catalogue, keywords)


def names_of(catalogue: Catalogue, keywords: frozenset[str]) -> GeneNames:
    """The words of a catalogue beside those of the notation, made once."""
    return _names(catalogue, keywords)
