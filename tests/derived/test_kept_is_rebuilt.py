"""After any acts, everything told from the kept genetics is what a fresh book tells: all animals, loci and papers."""

from __future__ import annotations

import numpy as np
import pytest

from coilbook.derived.genetics_book import Genetics, GeneticsBook, solve_again
from coilbook.storage.collection import Collection
from tests.derived.random_acts import RandomActs

LOCI = (
    ("clown", "TYR"),
    ("pastel", "yellow belly complex"),
    ("lantern", "coral glow"),
    ("clown", "coral glow", "TYR"),
    ("axanthic", "pastel"),
)


def told(genetics: Genetics) -> dict[str, object]:
    """Every number of every animal: laws to 1e-9, paper values as fractions, who is lifted, who clashes."""
    found: dict[str, object] = {}
    for species, herd in genetics.herds.items():
        for key, view in herd.loci.items():
            where = f"{species} {key}"
            laws = np.nan_to_num(view.answer.all_posteriors(), nan=-1.0)
            found[f"{where} laws"] = np.round(laws, 9).tolist()
            found[f"{where} lifted"] = sorted(view.lifted)
            found[f"{where} clashes"] = [clash.animals for clash in view.answer.clashes]
            for allele in range(1, len(view.states.locus.alleles)):
                papers = [view.paper.value(animal, allele) for animal in range(len(herd.rows.ids))]
                found[f"{where} paper {allele}"] = papers
            if len(herd.rows.ids) > 1:
                joint = view.answer.joint(0, len(herd.rows.ids) - 1)
                found[f"{where} joint"] = np.round(np.nan_to_num(joint, nan=-1.0), 9).tolist()
    return found


def differences(book: Collection, kept: GeneticsBook) -> list[str]:
    """What the kept book tells otherwise than a fresh one."""
    mine, fresh = told(kept.current()), told(GeneticsBook(book, solve_again).current())
    return [f"{key}: kept {mine.get(key)}, fresh {fresh.get(key)}" for key in mine.keys() | fresh.keys()
            if mine.get(key) != fresh.get(key)]  # fmt: skip


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("loci", LOCI, ids=" and ".join)
def test_kept_is_what_a_fresh_book_tells(book: Collection, loci: tuple[str, ...], seed: int) -> None:
    keeper = RandomActs(book, seed, loci)
    kept = GeneticsBook(book, solve_again)
    done = []
    for _ in range(30):
        done.append(keeper.step())
        assert differences(book, kept) == [], done
