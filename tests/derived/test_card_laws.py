"""Whatever is in the book: no card says more than the evidence without saying both, and its maker is warned."""

from __future__ import annotations

import re

import pytest

from coilbook.derived.genetics_book import book_of
from coilbook.reads.genetics import genetics_part
from coilbook.reads.genetics_card import card_text
from coilbook.storage.collection import Collection
from tests.derived.random_acts import RandomActs
from tests.derived.test_kept_is_rebuilt import LOCI

_POSSIBLE = re.compile(r"(\d+)% het (.+?)(?: \(sold as \d+%\))?(?: (?:from parents|as recorded); (.+))?$")


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("loci", LOCI, ids=" and ".join)
def test_no_card_says_more_than_the_evidence_unsaid(book: Collection, loci: tuple[str, ...], seed: int) -> None:
    keeper = RandomActs(book, 40 + seed, loci)
    looked_at = 0
    for _ in range(12):
        for _ in range(3):
            keeper.step()
        genetics = book_of(book).current()
        for animal in keeper.ids:
            part = genetics_part(book, animal)
            assert part is not None
            card = card_text(genetics, part)
            warned = " ".join(str(each) for each in card.warnings)
            known = {row.name.casefold(): row for row in part.rows}
            if any(row.contradiction is not None for row in part.rows):
                assert card.warnings
                continue
            for said in filter(None, card.doubt.split(", ")):
                if (found := _POSSIBLE.match(said)) is None:
                    assert said.startswith("poss ")
                    continue
                row = known[found[2].casefold()]
                assert row.evidence is not None
                more = int(found[1]) > 100 * row.evidence + 0.5
                assert (found[3] is not None) == more, (said, row.evidence)
                told = "as recorded" if row.basis is None else "from parents"
                assert (f"{row.name}: {found[1]}% {told} is more" in warned) == more
                assert not more or told in said
                looked_at += 1
            for row in part.rows:
                if re.search(rf"100% het .*{re.escape(row.name.casefold())}", card.certain):
                    assert row.evidence == 1.0
    assert looked_at > 5 or "clown" not in loci
