"""The question put to inference: one locus, one pedigree, what is known; and the answer.

Everything is in arrays over animals 0..n-1, so that 100,000 animals are a few megabytes. Many animals share one row of
evidence ("normal-looking female"): rows are stored once and animals point at them. Nothing here is changed in place:
what is worked out of a `Pedigree` is kept with the object.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from coilbook.genetics.states import Floats, LocusStates

Ints = npt.NDArray[np.int64]

#: no parent recorded
NONE = -1


@dataclass(frozen=True)
class Litter:
    """Young of one dam whose sire is one of several.

    `young` and `sires` are animal indexes; a sire of NONE is some male that is not recorded; `weights` are the chances
    of the sires before the young were seen and sum to 1. `shared`: one sire for all of `young`; else each egg its own.
    """

    young: tuple[int, ...]
    sires: tuple[int, ...]
    weights: tuple[float, ...]
    shared: bool = True


@dataclass(frozen=True, eq=False)
class Pedigree:
    """(n,) indexes of sire and dam, NONE where not recorded. Animals named in `litters` have NONE as their sire.

    A parent that is not recorded is a fresh founder of that animal alone (of that litter, where a litter's list names
    NONE as a shared sire). Nobody is its own ancestor: `check` says who is.
    """

    sire: Ints
    dam: Ints
    litters: tuple[Litter, ...] = ()

    @property
    def size(self) -> int:
        """How many animals."""
        return len(self.sire)


@dataclass(frozen=True, eq=False)
class Rows:
    """`rows[of[i]]` is what is known of animal i: rows (C, S), of (n,)."""

    rows: Floats
    of: Ints


@dataclass(frozen=True, eq=False)
class Problem:
    """One locus of one collection.

    `evidence`: likelihood of everything observed of the animal given each state (any positive scale; 0 = impossible).
    `founder`: prior law (sums to 1) of an animal with neither parent recorded; unused rows are ignored.
    `absent`: prior law of the one parent that is not recorded of an animal (of the unrecorded sire of a litter: the row
    of its first young). On the sex chromosomes a law may cover both sexes: the engine restricts a sire to male states
    and a dam to female ones and renormalises.
    """

    states: LocusStates
    pedigree: Pedigree
    evidence: Rows
    founder: Rows
    absent: Rows


@dataclass(frozen=True, slots=True)
class Clash:
    """A contradiction: these animals' findings cannot all be true together.

    `animals` is a smallest set found (indexes) such that dropping the findings of any one of them resolves it.
    """

    animals: tuple[int, ...]


class Answer(Protocol):
    """What is known of every animal after all evidence, at one locus."""

    @property
    def exact(self) -> bool:
        """False where the bounded method had to be used for at least one animal."""

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """Contradictions; the animals of a clashing family have no answer (rows of NaN), all others do."""

    def posterior(self, animal: int) -> Floats:
        """(S,) law of one animal; NaN where its family is in contradiction."""

    def all_posteriors(self) -> Floats:
        """(n, S) laws of all animals."""

    def error(self, animal: int) -> float:
        """Standard error of the animal's law, the largest over its states; 0 where exact."""

    def joint(self, sire: int, dam: int) -> Floats:
        """(S, S) exact joint law of any two animals of the collection, mates or not."""

    def joints(self, one: int, others: Ints) -> Floats:
        """(len(others), S, S) joint law of `one` (axis 1) with each of `others` (axis 2), in a few passes."""

    def with_evidence(self, rows: Mapping[int, Floats]) -> Answer:
        """The answer when what was observed of some animals is this instead: index -> likelihood row (S,).

        Fast where the new rows rule out no less than the old ones did (a further observation never rules out less).
        """
