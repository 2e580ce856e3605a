"""One text an animal, all in one block of bytes that NumPy scans: a word is found in every text in a few milliseconds.

UTF-8 keeps a word's bytes from being found inside another letter's, and the zero byte between texts keeps a word from
being found across two of them. Texts changed since the block was made are looked through one by one; when they are
many the block is made anew.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from coilbook.reads.herd_columns import Mask

#: changed texts kept beside the block before it is made anew
PATCHES = 256
#: fewer rows than this are read one by one, more by scanning the block
FEW_ROWS = 3_000
#: every so many pairs of the block are counted to know the rare ones
SAMPLED = 8
#: a pair with more places than this (as the sample tells) is not worth looking at one by one
MANY_HITS = 40_000
#: the block is stepped through by this power of two to find the row of a place
STEP_BITS = 6


class TextColumn:
    """Texts by row."""

    def __init__(
        self,
        block: npt.NDArray[np.uint8],
        starts: npt.NDArray[np.int64],
        steps: npt.NDArray[np.int32] | None = None,
    ) -> None:
        #: every text followed by a zero byte
        self.block = block
        #: where each text starts, and the length of the block at the end
        self.starts = starts
        self._patches: dict[int, str] = {}
        #: the block as pairs of letters, beginning at its first and at its second byte
        self._pairs = tuple(_pairs(block[first:]) for first in (0, 1))
        self._flags = np.empty(len(block) + 8, dtype=np.bool_)
        self._also = np.empty(len(block), dtype=np.bool_)
        #: how often each pair stands in a sample of the block
        self.commonness = np.bincount(self._pairs[0][::SAMPLED], minlength=1 << 16)
        if steps is None:
            marks = np.arange(0, len(block) + (1 << STEP_BITS), 1 << STEP_BITS)
            steps = (np.searchsorted(starts[:-1], marks, side="right") - 1).astype(np.int32)
        #: row that each step of the block begins in
        self.steps = steps

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
        self.__dict__.update(fresh.__dict__)
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

    def containing(self, word: str, among: Mask) -> Mask:
        """Rows with `word` (in lower case); of rows not in `among` the answer may say anything."""
        if np.count_nonzero(among) <= FEW_ROWS:
            mask = np.zeros(len(self), dtype=np.bool_)
            for row in np.flatnonzero(among).tolist():
                mask[row] = word in self[row]
            return mask
        mask = self._scan(word.encode())
        for row, text in self._patches.items():
            mask[row] = word in text
        return mask

    def _scan(self, word: bytes) -> Mask:
        """Rows with `word`: the rarest pair of letters in it is looked for, then the letters around each hit."""
        if not len(self) or len(word) >= len(self.block):
            return np.zeros(len(self), dtype=np.bool_)
        letters = np.frombuffer(word, np.uint8)
        if len(word) == 1:
            return self._everywhere(letters)
        pairs = letters[:-1].astype(np.int64) + 256 * letters[1:].astype(np.int64)
        rarest = int(np.argmin(self.commonness[pairs]))
        if self.commonness[pairs[rarest]] * 2 * SAMPLED > MANY_HITS:
            return self._everywhere(letters)
        found = self._places_of(int(pairs[rarest])) - rarest
        found = found[(found >= 0) & (found <= len(self.block) - len(word))]
        for offset in range(len(word)):
            if offset not in (rarest, rarest + 1):
                found = found[self.block[found + offset] == letters[offset]]
        rows = np.zeros(len(self), dtype=np.bool_)
        rows[self._rows_at(found)] = True
        return rows

    def _everywhere(self, letters: npt.NDArray[np.uint8]) -> Mask:
        """Rows with a word that is nearly everywhere: all letters compared over the whole block, no hit looked at."""
        room = len(self.block) - len(letters) + 1
        flags = self._flags[: len(self.block)]
        flags[room:] = False
        np.equal(self.block[:room], letters[0], out=flags[:room])
        for offset in range(1, len(letters)):
            np.equal(self.block[offset : offset + room], letters[offset], out=self._also[:room])
            np.logical_and(flags[:room], self._also[:room], out=flags[:room])
        return np.asarray(np.logical_or.reduceat(flags, self.starts[:-1]))

    def _places_of(self, pair: int) -> npt.NDArray[np.intp]:
        """Where two letters stand side by side, at even and at odd places of the block."""
        places = []
        for first, pairs in enumerate(self._pairs):
            flags = self._flags[: -(-len(pairs) // 8) * 8]
            flags[len(pairs) :] = False
            np.equal(pairs, pair, out=flags[: len(pairs)])
            # eight flags at a time: most of them are all down
            some = np.flatnonzero(flags.view(np.uint64) != 0)
            up = np.flatnonzero(flags.reshape(-1, 8)[some])
            places.append((some[up >> 3] * 8 + (up & 7)) * 2 + first)
        return np.concatenate(places)

    def _rows_at(self, places: npt.NDArray[np.intp]) -> npt.NDArray[np.int32]:
        """Row each place of the block lies in: from the row at the start of its step, onwards."""
        rows: npt.NDArray[np.int32] = self.steps[places >> STEP_BITS]
        behind = self.starts[rows + 1] <= places
        while behind.any():
            rows += behind
            behind = self.starts[rows + 1] <= places
        return rows


def _pairs(block: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint16]:
    """Bytes two by two, the second one counting for more, in memory of their own."""
    return np.ascontiguousarray(block[: len(block) // 2 * 2]).copy().view(np.dtype("<u2"))
