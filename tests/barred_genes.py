"""Four genes that demo, examples and tests do without, kept as hashes so that no file has to name them."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass

_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Barred:
    """Words known by their SHA-256 (hex) and their lengths in letters."""

    hashes: frozenset[str]
    lengths: frozenset[int]

    def found_in(self, texts: Iterable[str]) -> set[str]:
        """The barred words in the texts, in any case, also inside a longer word."""
        words = {word for text in texts for word in _WORD.findall(text.lower())}
        parts = {word[i : i + n] for word in words for n in self.lengths for i in range(len(word) - n + 1)}
        return {part for part in parts if hash_of(part) in self.hashes}


def hash_of(word: str) -> str:
    """SHA-256 of a word as it is kept here: lower case, UTF-8, hex."""
    return hashlib.sha256(word.lower().encode()).hexdigest()


BARRED = Barred(
    frozenset(
        {
            "b493d48364afe44d11c0165cf470a4164d1e2609911ef998be868d46ade3de4e",
            "b5b81b348f7f084a4d4f1945c25a955e07a6d87a0ef94117db2a9374104bcdbb",
            "539d31c4334dd1184e222dc9cab267c8cb8ed310f1d9de0c844794577361be66",
            "343ccdf39358b3f908310e2fb9bb714793aa13a6a5fb08fdd829dfa30c2abecb",
        }
    ),
    frozenset({6, 7, 9}),
)
