"""The sires of a clutch before and after what hatched, as the margin says it."""

from __future__ import annotations

from coilbook.reads.sire_odds import SireOdds
from coilbook.ui.margin_content import Evidence, Fact, MarginSection
from coilbook.wording.chances import percent
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import render


def sire_sections(odds: SireOdds, style: Style) -> list[MarginSection]:
    """Before and now for each sire, each gene that moved them, and what look would settle it."""
    order = sorted(range(len(odds.sires)), key=lambda at: -odds.now[at])
    rows = tuple(Fact(_name(odds, at), moved(odds.before[at], odds.now[at]), at == order[0]) for at in order)
    hatched = translated_plural("With evidence, of {n} hatchling, all genes together.",
                                "With evidence, of {n} hatchlings, all genes together.", odds.young)  # fmt: skip
    before = translated("Before: as recorded with the clutch.")
    notes = " ".join([before, hatched, *(render(note, style) for note in odds.notes)])
    sections = [MarginSection(translated("Sire, before and after what hatched"), rows, notes)]
    # one sire is followed through the steps: the one likeliest now
    first = order[0]
    steps = tuple(
        Evidence(shape="dot", word=render(step.told, style),
                 right=f"{odds.sires[first] or '?'} {percent(step.after[first], 0)}")
        for step in odds.steps
    )  # fmt: skip
    would = "; ".join(render(one, style) for one in odds.would)
    if not steps:
        none = translated("Nothing seen so far tells one sire from another.")
        would = f"{none} {would}." if would else none
    elif would:
        would += "."
    sections.append(MarginSection(translated("What moved it"), steps, would))
    return sections


def moved(before: float, now: float) -> str:
    """ "92% \u2192 98%", or one number where nothing moved."""
    first, last = percent(before, 0), percent(now, 0)
    return f"{first} \u2192 {last}" if first != last else last


def _name(odds: SireOdds, at: int) -> str:
    return odds.sires[at] or translated("not on record")
