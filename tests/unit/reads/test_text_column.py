"""Words found in the block of texts against Python's own search, also after changes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.reads import text_column
from coilbook.reads.text_column import TextColumn
from coilbook.wording.natural import natural_key

letters = st.text(alphabet="abé \n♀1-", max_size=12)
words = st.text(alphabet="abé ♀1-", min_size=1, max_size=4)


@given(st.lists(letters, max_size=40), words)
def test_a_word_is_found_where_it_stands_and_never_across_two_texts(texts: list[str], word: str) -> None:
    column = TextColumn.of(texts)
    assert column.all() == texts
    assert column._scan(word.encode()).tolist() == [word in text for text in texts]
    every = np.ones(len(texts), dtype=np.bool_)
    assert column.containing(word, every).tolist() == [word in text for text in texts]


@given(st.lists(letters, min_size=1, max_size=8), st.data())
def test_changed_added_and_removed_texts_are_found(texts: list[str], data: st.DataObject) -> None:
    column, wanted = TextColumn.of(texts), list(texts)
    for _ in range(6):
        row = data.draw(st.integers(0, len(wanted) - 1))
        text = data.draw(letters)
        doing = data.draw(st.sampled_from(["put", "insert", "delete"]))
        if doing == "put":
            column.put(row, text)
            wanted[row] = text
        elif doing == "insert":
            column.insert(row, text)
            wanted.insert(row, text)
        elif len(wanted) > 1:
            column.delete(row)
            del wanted[row]
    assert [column[row] for row in range(len(wanted))] == wanted
    word = data.draw(words)
    every = np.ones(len(wanted), dtype=np.bool_)
    assert column.containing(word, every).tolist() == [word in text for text in wanted]


@pytest.mark.parametrize("many", [0, 10**9])
def test_a_large_block_is_scanned_whole(monkeypatch: pytest.MonkeyPatch, many: int) -> None:
    """Both ways to scan: hit by hit, and all letters over the whole block."""
    monkeypatch.setattr(text_column, "MANY_HITS", many)
    texts = [f"f-{n:05d}\nenchi clown {n % 7}" for n in range(text_column.FEW_ROWS * 5)]
    column = TextColumn.of(texts)
    every = np.ones(len(texts), dtype=np.bool_)
    for word in ("e", "cl", "clown 3", "f-00", "f-01234", "n", "zz"):
        assert column.containing(word, every).tolist() == [word in text for text in texts]


def test_many_changes_are_taken_into_the_block() -> None:
    column = TextColumn.of(["a"] * 400)
    for row in range(text_column.PATCHES + 1):
        column.put(row, "b")
    assert column.block.tobytes().count(b"b") == text_column.PATCHES + 1


def test_ids_sort_by_their_numbers() -> None:
    ids = ["F-14", "f-2", "F-014b", "M-1", "F-100", "10", "9"]
    assert sorted(ids, key=natural_key) == ["9", "10", "f-2", "F-14", "F-014b", "F-100", "M-1"]
