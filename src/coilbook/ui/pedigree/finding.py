"""Finding in the tree: animals whose id, name or look holds every word that was typed."""

from __future__ import annotations

from collections.abc import Set

from coilbook.ui.pedigree.making import Made


def found_in(made: Made, text: str) -> frozenset[int]:
    """The drawn animals that fit; none for no text."""
    words = text.casefold().split()
    if not words:
        return frozenset()
    found = []
    for key, card in made.facts.items():
        said = f"{card.keeper_id} {card.name} {card.genetics}".casefold()
        if all(word in said for word in words):
            found.append(key)
    return frozenset(found)


def next_of(made: Made, found: Set[int], focus: int) -> int | None:
    """The next that fits after the one in focus, column by column; the first again after the last."""
    order = [key for key in made.scene.keys if key in found]
    if not order:
        return None
    if focus in order:
        return order[(order.index(focus) + 1) % len(order)]
    return order[0]
