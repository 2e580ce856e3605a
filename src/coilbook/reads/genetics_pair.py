"""The joint law of two animals at every locus, in plain words and numbers."""

from __future__ import annotations

from typing import Any

import numpy as np

from coilbook.derived.genetics_book import book_of
from coilbook.reads.genetics_case import state_words
from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection


def pair_odds(collection: Collection, *, sire: AnimalId, dam: AnimalId) -> dict[str, Any]:
    """By locus, every pair of genotypes they can have with its chance; computes."""
    genetics = book_of(collection).current()
    found = {}
    for key, (_, joint) in genetics.pair_laws(sire=sire, dam=dam).items():
        seen = genetics.view(sire, key)
        assert seen is not None, "a locus of a pair is in play"
        found[key] = [
            {"sire": state_words(seen[0], s), "dam": state_words(seen[0], d), "chance": float(joint[s, d])}
            for s, d in zip(*np.nonzero(joint), strict=True)
        ]
    return found
