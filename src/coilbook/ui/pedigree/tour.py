"""States of the tree that are worth a picture, and its papers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.reads.kin import Kin
from coilbook.reads.pedigree import family_lines
from coilbook.ui.pedigree.making import Kind

if TYPE_CHECKING:
    from coilbook.ui.desk import Desk
    from coilbook.ui.screens.pedigree import PedigreeScreen

State = tuple[str, Callable[[], None]]


def tour_target(desk: Desk) -> dict[str, object]:
    """The tree of the most inbred animal; with none, of the one with the most recorded ancestors."""
    lines = family_lines(desk.collection)
    if not lines.related:
        return {}
    kin = Kin(lines)

    def rank(key: int) -> tuple[float, int, int]:
        member = lines.members[key]
        grand = sum(len(lines.members[p].parents) for p in member.parents if p in lines.members)
        return kin.coefficient(key), len(member.parents) + grand, -key

    return {"animal": max(lines.members, key=rank), "kind": Kind.ANCESTORS, "generations": 3}


def tour_states(screen: PedigreeScreen) -> list[State]:
    """Loop in focus, more generations, both ways, the map near and fitted, something found."""
    target = tour_target(screen.desk)
    if not target:
        return []
    states = _States(screen, target)
    return [
        ("loop", states.loop),
        ("unknown-parent", states.unknown),
        ("five-generations", partial(states.shown, Kind.ANCESTORS, 5)),
        ("both", partial(states.shown, Kind.BOTH, 2)),
        ("descendants", states.descendants),
        ("map", partial(states.shown, Kind.MAP, 3)),
        ("map-near", states.map_near),
        ("map-half", states.map_half),
        ("found", states.found),
        ("possible-sires", states.possible),
        ("gene", partial(states.gene, Kind.BOTH)),
        ("gene-map", partial(states.gene, Kind.MAP)),
        ("choose-gene", states.choose_gene),
    ]


class _States:
    """Brings the screen into its states."""

    def __init__(self, screen: PedigreeScreen, target: dict[str, object]) -> None:
        self._screen, self._target = screen, target

    def shown(self, kind: Kind, generations: int) -> None:
        """The tour's animal, in one way of looking."""
        self._screen.filter_text("")
        self._screen.open(**{**self._target, "kind": kind, "generations": generations})

    def loop(self) -> None:
        """The end of a loop in focus."""
        self.shown(Kind.ANCESTORS, 3)
        made = self._screen.made
        if made is not None and made.scene.loops:
            self._screen.view.focus_on(made.scene.loops[0].key)

    def unknown(self) -> None:
        """The place of a parent nobody recorded in focus."""
        self.shown(Kind.ANCESTORS, 3)
        made = self._screen.made
        if made is not None and made.scene.unknown:
            self._screen.view.focus_on(next(iter(made.scene.unknown)))

    def descendants(self) -> None:
        """The animal with the most young."""
        young = Counter(
            parent
            for member in family_lines(self._screen.desk.collection).members.values()
            for parent in member.parents
        )
        self._screen.open(animal=young.most_common(1)[0][0], kind=Kind.DESCENDANTS, generations=3)

    def possible(self) -> None:
        """An animal with a list of sires above it."""
        self._screen.filter_text("")
        members = family_lines(self._screen.desk.collection).members
        doubtful = next((key for key, one in members.items() if one.sires and not one.sire_known), None)
        if doubtful is not None:
            self._screen.open(animal=doubtful, kind=Kind.ANCESTORS, generations=3)

    def gene(self, kind: Kind) -> None:
        """The gene of which most is in doubt here, on every card."""
        self.possible()
        self._screen.show_kind(kind)
        self._screen.show_gene("clown")

    def choose_gene(self) -> None:
        """The row of genes open."""
        self.gene(Kind.ANCESTORS)
        self._screen.ask_gene()

    def map_near(self) -> None:
        """A part of the map at reading size."""
        self.shown(Kind.MAP, 3)
        self._screen.view.reading()

    def map_half(self) -> None:
        """A part of the map from farther away."""
        self.map_near()
        self._screen.view.zoom(0.5)

    def found(self) -> None:
        """Some animals found."""
        self.shown(Kind.ANCESTORS, 3)
        self._screen.filter_text("M-")


def tour_papers(screen: PedigreeScreen, folder: Path) -> list[Path]:
    """The sheet of three and of five generations, and the pictures."""
    from coilbook.ui.pedigree.papers import write_pictures, write_sheet

    target = tour_target(screen.desk)
    if not target:
        return []
    screen.open(**target)
    animal = int(str(target["animal"]))
    sheets = [write_sheet(screen.desk, animal, generations, folder) for generations in (3, 5)]
    return sheets + (write_pictures(screen, folder) if screen.made is not None else [])
