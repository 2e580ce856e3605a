"""What a look hides is one rule: what it says of an animal that was looked at, and what can be told apart of young."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.genetics.catalogue import EVERYTHING, Catalogue
from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.genetics.evidence import likelihood
from coilbook.genetics.known import PLAIN, Known, hidden_at
from coilbook.genetics.masking import Telling
from coilbook.genetics.states import LocusStates
from coilbook.storage.species import shipped_texts


@pytest.fixture(scope="module", params=sorted(shipped_texts()))
def catalogue(request: pytest.FixtureRequest) -> Catalogue:
    return read_catalogue(shipped_texts()[request.param])


def test_nothing_seen_fits_what_cannot_be_told_from_wild(catalogue: Catalogue) -> None:
    """Every look of the shipped catalogue that hides something, with every locus of which it hides something."""
    told = whites = 0
    for (masking, look), genes in catalogue.masks.items():
        everything = EVERYTHING in genes
        loci = catalogue.loci if everything else {catalogue.genes[gene].locus for gene in genes}
        for key in sorted(set(loci) - {masking}):
            states = [LocusStates(catalogue.loci[one], catalogue.system) for one in (masking, key)]
            telling = Telling(catalogue, tuple(states))
            shows = np.array([one.key == look for one in states[0].looks]) & states[0].alive
            if not shows.any():
                continue
            alike = telling.classes(1, telling.hides(0, shows))[0]
            known = Known(PLAIN, hidden=hidden_at(catalogue.loci[key], genes))
            fits = likelihood(states[1], known) > 0
            assert np.array_equal(fits, alike), (masking, look, key)
            told, whites = told + 1, whites + everything
    assert told == 0 or (whites and told > whites)
