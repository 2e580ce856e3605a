"""How often a stained label is still read, by size of the stain: run `python -m tests.pictures.decode_table`."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np

from coilbook.labels.code import LabelCode, parse
from coilbook.labels.stock import shipped_stock
from coilbook.records.message import Refusal
from coilbook.scanning.pictures import texts_in_array
from tests.pictures.label_samples import (
    Sample,
    cage_cards,
    random_stain,
    roll_sample,
    single_sample,
    slot_labels,
    stained,
)

SHARES = (0.02, 0.05, 0.10, 0.15, 0.20)
PREFIX = "HTTPS://WREN.EXAMPLE/BOOK/2026/"


@dataclass
class Tally:
    """Labels tried and read, apart by whether the stain touched a finder square; `wrong` must stay 0."""

    tried: int = 0
    read: int = 0
    hit_tried: int = 0
    hit_read: int = 0
    wrong: int = 0

    @property
    def rate(self) -> float:
        return self.read / self.tried

    def add(self, sample: Sample, *, hit: bool, found: set[LabelCode]) -> None:
        good = sample.code in found
        self.tried += 1
        self.read += good
        self.hit_tried += hit
        self.hit_read += hit and good
        self.wrong += bool(found - {sample.code})


def codes_of(texts: tuple[str, ...]) -> set[LabelCode]:
    """The codes among decoded texts."""
    found = set()
    for text in texts:
        try:
            found.add(parse(text))
        except Refusal:
            continue
    return found


def tally(samples: list[Sample], share: float, count: int, seed: int) -> Tally:
    """Stain `count` labels, taken in turn from `samples`."""
    rng = np.random.default_rng(seed)
    result = Tally()
    for n in range(count):
        sample = samples[n % len(samples)]
        stain = random_stain(sample, share, rng)
        found = codes_of(texts_in_array(stained(sample, stain)))
        result.add(sample, hit=stain.hits_finder, found=found)
    return result


def two_symbol_samples(dpi: int, prefix: str = "") -> list[Sample]:
    """Cage cards and slot labels, symbol in two corners."""
    cards = [roll_sample(shipped_stock("roll-85x54"), card, dpi, prefix) for card in cage_cards()]
    return cards + [roll_sample(shipped_stock("roll-57x32"), slot, dpi, prefix) for slot in slot_labels()]


def one_symbol_samples(dpi: int) -> list[Sample]:
    """Lids of egg boxes, one symbol."""
    return [single_sample(shipped_stock("roll-50x25"), n * 31, dpi) for n in range(7)]


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:5.1f}%" if whole else "    - "


def main() -> None:
    """Print the table; an argument sets how many labels each cell tries."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(f"{count} labels a line; stain wholly on one symbol, anywhere; black, dark, grey or white")
    print("labels                dpi  stain    read   finder clean   finder hit  (share hit)  wrong")
    for dpi in (203, 300):
        groups = (
            ("one symbol, 29", one_symbol_samples(dpi)),
            ("two symbols, 25", two_symbol_samples(dpi)),
            ("two symbols, 29", two_symbol_samples(dpi, PREFIX)),
        )
        for name, samples in groups:
            for share in SHARES:
                t = tally(samples, share, count, seed=int(share * 1000) + dpi)
                clean = _percent(t.read - t.hit_read, t.tried - t.hit_tried)
                print(
                    f"{name:<20} {dpi:>4}  {share:>4.0%}  {_percent(t.read, t.tried)}  {clean:>12}"
                    f"  {_percent(t.hit_read, t.hit_tried):>11}  {_percent(t.hit_tried, t.tried):>11}  {t.wrong:>5}"
                )


if __name__ == "__main__":
    main()
