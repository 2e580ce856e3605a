"""Rows of evidence and priors of one locus, each worked out once for everything that is known alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from coilbook.genetics.evidence import absent_law, founder_law, likelihood
from coilbook.genetics.known import Known
from coilbook.genetics.problem import Ints
from coilbook.genetics.states import Bools, Floats, LocusStates


@dataclass(frozen=True, eq=False)
class KnownRows:
    """The rows of one `Known`: (S,) laws, and by allele (A,) what follows from them."""

    states: LocusStates
    known: Known

    @cached_property
    def likelihood(self) -> Floats:
        """(S,) of everything observed of the animal."""
        return likelihood(self.states, self.known)

    @cached_property
    def founder(self) -> Floats:
        """(S,) prior without parents."""
        return founder_law(self.states, self.known)

    @cached_property
    def lifted(self) -> Floats:
        """(S,) prior of a founder whose assumption fell."""
        return founder_law(self.states, self.known, lifted=True)

    @cached_property
    def absent(self) -> Floats:
        """(S,) prior of the parent that is not recorded."""
        return absent_law(self.states, self.known)

    @cached_property
    def lifted_absent(self) -> Floats:
        """(S,) the same where the assumption fell."""
        return absent_law(self.states, self.known, lifted=True)

    @cached_property
    def must(self) -> Ints:
        """(A,) copies of each allele that she surely has by her own looks and proofs."""
        copies = self._copies
        own = Known(self.known.sightings, proven=self.known.proven, hidden=self.known.hidden)
        fits = likelihood(self.states, own) > 0
        return np.asarray(copies[fits].min(axis=0) if fits.any() else copies.min(axis=0), dtype=np.int64)

    @cached_property
    def may(self) -> Bools:
        """(A,) alleles that an animal of whom this was observed can have."""
        return self._held(self.likelihood)

    @cached_property
    def founder_may(self) -> Bools:
        """(A,) alleles a founder of whom this is known may have."""
        return self._held(self.founder)

    @cached_property
    def absent_may(self) -> Bools:
        """(A,) alleles the parent that is not recorded may have."""
        return self._held(self.absent)

    @cached_property
    def _copies(self) -> Ints:
        return np.stack([self.states.copies(a) for a in range(len(self.states.locus.alleles))], axis=1)

    def _held(self, law: Floats) -> Bools:
        return np.asarray(law @ (self._copies > 0) > 0, dtype=np.bool_)


class RowBook:
    """One for a locus, handed on from revision to revision."""

    def __init__(self, states: LocusStates) -> None:
        self.states = states
        self._rows: dict[Known, KnownRows] = {}

    def of(self, known: Known) -> KnownRows:
        """The rows of one `Known`."""
        found = self._rows.get(known)
        if found is None:
            found = self._rows[known] = KnownRows(self.states, known)
        return found
