"""One text an animal, all in one block of bytes that NumPy scans: a word is found in every text in a few milliseconds.

UTF-8 keeps a word's bytes from being found inside another letter's, and the zero byte between texts keeps a word from
being found across two of them. Texts changed since the block was made are looked through one by one; when they are
many the block is made anew.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from coilbook.reads.herd_columns import IntArray, Mask

#: changed texts kept beside the block before it is made anew
PATCHES = 256
#: fewer rows than this are read one by one, more by scanning the block
FEW_ROWS = 3_000
#: bytes scanned at a time, so that the passes over them stay in the processor's cache
PIECE = 1 << 18
#: with fewer hits in a piece than this it is quicker to look at each than to pass over the piece again
MANY_HITS = PIECE // 128
#: the block is stepped through by this power of two to find the row of a place
STEP_BITS = 6


class TextColumn:
    """Texts by row."""

    def __init__(
        self,
        block: npt.NDArray[np.uint8],
        starts: npt.NDArray[np.int64],
        commonness: npt.NDArray[np.int64] | None = None,
        steps: npt.NDArray[np.int32] | None = None,
    ) -> None:
        #: every text followed by a zero byte
        self.block = block
        #: where each text starts, and the length of the block at the end
        self.starts = starts
        self._patches: dict[int, str] = {}
        if commonness is None:
            commonness = np.bincount(block, minlength=256)
        if steps is None:
            marks = np.arange(0, len(block) + (1 << STEP_BITS), 1 << STEP_BITS)
            steps = (np.searchsorted(starts[:-1], marks, side="right") - 1).astype(np.int32)
        #: how often each byte stands in the block
        self.commonness = commonness
        #: row that each step of the block begins in
        self.steps = steps
        self._here = np.empty(PIECE, dtype=np.bool_)
        self._also = np.empty(PIECE, dtype=np.bool_)

    @classmethod
    def of(cls, texts: Iterable[str]) -> TextColumn:
        """A column of these texts."""
        parts = [text.replace("\x00", " ").encode() for text in texts]
        block = np.frombuffer(b"\x00".join([*parts, b""]), np.uint8)
        starts = np.zeros(len(parts) + 1, dtype=np.int64)
        np.cumsum([len(part) + 1 for part in parts], out=starts[1:])
        return cls(block, starts)

    def __len__(self) -> int:
        return len(self.starts) - 1

    def __getitem__(self, row: int) -> str:
        patched = self._patches.get(row)
        if patched is not None:
            return patched
        return self.block[self.starts[row] : self.starts[row + 1] - 1].tobytes().decode()

    def all(self) -> list[str]:
        """Every text, in order."""
        texts = self.block.tobytes().decode().split("\x00")
        texts.pop()
        for row, text in self._patches.items():
            texts[row] = text
        return texts

    def compact(self) -> None:
        """Take the changed texts into the block."""
        if self._patches:
            self._become(self.all())

    def _become(self, texts: list[str]) -> None:
        fresh = TextColumn.of(texts)
        self.block, self.starts, self.commonness = fresh.block, fresh.starts, fresh.commonness
        self.steps = fresh.steps
        self._patches.clear()

    def put(self, row: int, text: str) -> None:
        """Change the text of a row."""
        self._patches[row] = text
        if len(self._patches) > PATCHES:
            self.compact()

    def insert(self, row: int, text: str) -> None:
        """Add a row before `row`."""
        texts = self.all()
        texts.insert(row, text)
        self._become(texts)

    def delete(self, row: int) -> None:
        """Take a row away."""
        texts = self.all()
        del texts[row]
        self._become(texts)

    def containing(self, word: str, rows: IntArray) -> Mask:
        """Which of `rows` have `word` (in lower case) in their text."""
        if len(rows) <= FEW_ROWS:
            return np.fromiter((word in self[row] for row in rows.tolist()), np.bool_, len(rows))
        mask = self._scan(word.encode())
        for row, text in self._patches.items():
            mask[row] = word in text
        return mask[rows]

    def _scan(self, word: bytes) -> Mask:
        """Rows with `word`."""
        letters = np.frombuffer(word, np.uint8)
        by_rarity = np.argsort(self.commonness[letters], kind="stable").tolist()
        room = len(self.block) - len(word) + 1
        if not len(self) or room <= 0 or self.commonness[letters[by_rarity[0]]] == 0:
            return np.zeros(len(self), dtype=np.bool_)
        if len(word) == 1:
            return np.asarray(np.logical_or.reduceat(self.block == letters[0], self.starts[:-1]))
        pieces = [
            self._in_piece(first, min(first + PIECE, room), letters, by_rarity) for first in range(0, room, PIECE)
        ]
        found = np.concatenate(pieces)
        if len(found) > len(self):
            before = np.searchsorted(found, self.starts)
            return np.asarray(before[1:] > before[:-1])
        rows = np.zeros(len(self), dtype=np.bool_)
        rows[self._rows_at(found)] = True
        return rows

    def _rows_at(self, places: npt.NDArray[np.intp]) -> npt.NDArray[np.int32]:
        """Row each place of the block lies in: from the row at the start of its step, onwards."""
        rows: npt.NDArray[np.int32] = self.steps[places >> STEP_BITS]
        behind = self.starts[rows + 1] <= places
        while behind.any():
            rows += behind
            behind = self.starts[rows + 1] <= places
        return rows

    def _in_piece(
        self, first: int, last: int, letters: npt.NDArray[np.uint8], by_rarity: list[int]
    ) -> npt.NDArray[np.intp]:
        """Where in one piece of the block the word begins, its rarest letters looked for first."""
        here, also = self._here[: last - first], self._also[: last - first]
        np.equal(self.block[first + by_rarity[0] : last + by_rarity[0]], letters[by_rarity[0]], out=here)
        rest = by_rarity[1:]
        while rest and np.count_nonzero(here) > MANY_HITS:
            offset = rest.pop(0)
            np.equal(self.block[first + offset : last + offset], letters[offset], out=also)
            np.logical_and(here, also, out=here)
        found = np.flatnonzero(here) + first
        for offset in rest:
            found = found[self.block[found + offset] == letters[offset]]
        return found
