"""Figures of kinship and of the tree: invented herds, no collection; painting in a process of its own, offscreen."""

from __future__ import annotations

import json
import os
import random
import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from coilbook.app.bench.figures import Line, median, p95, repaints_ms
from coilbook.app.bench.own_process import NotMeasured, measured
from coilbook.drawing.family import Member
from coilbook.genetics.kinship import Kinship
from coilbook.genetics.problem import NONE, Pedigree

if TYPE_CHECKING:
    from coilbook.ui.pedigree.view import PedigreeView

#: animals, and goals in ms: all inbreeding, one with all
KINSHIP = ((2_000, None, None), (20_000, 22.0, 0.5), (100_000, 145.0, 2.9))
DRAWN, SIZE = 2_000, (1440, 900)
REPAINTS, TIMES = 60, 7


def herd(count: int, generations: int, seed: int = 1) -> list[tuple[int, int]]:
    """(dam, sire) of an invented herd, NONE for founders: clutches of six, one male to five dams, one in eight kept."""
    chance = random.Random(seed)
    founders = max(count // 20, 12)
    parents = [(NONE, NONE)] * founders
    males, females = list(range(0, founders, 3)), [n for n in range(founders) if n % 3]
    a_season = max((count - founders) // generations, 1)
    while len(parents) < count:
        season: list[int] = []
        dams = chance.sample(females, min(len(females), a_season // 6 + 1))
        sires = chance.choices(males[-max(len(males) // 2, 5) :], k=len(dams) // 5 + 1)
        for number, dam in enumerate(dams):
            for _ in range(min(6, count - len(parents))):
                season.append(len(parents))
                parents.append((dam, sires[number // 5]))
        kept = chance.sample(season, max(len(season) // 8, min(4, len(season))))
        males += kept[: len(kept) // 4]
        females = females[len(females) // 3 :] + kept[len(kept) // 4 :]
    return parents


def pedigree_lines(told: Callable[[str], None]) -> list[Line]:
    """Every line about relatedness and the tree."""
    lines: list[Line] = []
    for count, all_goal, one_goal in KINSHIP:
        told(f"  kinship of {count:,}")
        lines += _kinship(count, all_goal, one_goal)
    told("  the tree")
    try:
        lines += _tree_lines(measured("coilbook.app.bench.of_pedigree"))
    except NotMeasured as error:
        lines.append(Line("repaint of the tree", 16, None, note=str(error)))
    return lines


def _kinship(count: int, all_goal: float | None, one_goal: float | None) -> list[Line]:
    rows = np.array(herd(count, 20), np.int64)
    pedigree = Pedigree(rows[:, 1], rows[:, 0])
    all_times, one_times = [], []
    for turn in range(TIMES):
        began = time.perf_counter()
        kinship = Kinship(pedigree)
        all_times.append((time.perf_counter() - began) * 1000)
        for animal in range(turn, count, max(count // 20, 1)):
            began = time.perf_counter()
            kinship.with_all(animal)
            one_times.append((time.perf_counter() - began) * 1000)
    return [
        Line(f"inbreeding of all of {count:,} animals, median", all_goal, median(all_times), note="20 generations"),
        Line(f"kinship of one with all of {count:,}, median", one_goal, median(one_times)),
    ]


def _tree_lines(found: dict[str, list[float]]) -> list[Line]:
    names = {
        "layout": (f"layout of a map of {DRAWN:,} animals, on the worker", None),
        "reading": (f"repaint of {DRAWN:,} animals at reading size, p95", 16),
        "half": (f"repaint of {DRAWN:,} animals at half size, p95", 16),
        "quarter": (f"repaint of {DRAWN:,} animals at a quarter, p95", 16),
        "fitted": (f"repaint of {DRAWN:,} animals, fitted, p95", 16),
    }
    note = f"{SIZE[0]}x{SIZE[1]}, {REPAINTS} repaints"
    return [
        Line(words, goal, p95(found[name]), note=note if name != "layout" else "")
        for name, (words, goal) in names.items()
    ]


def _measure() -> dict[str, list[float]]:
    """Lay out and repaint; to be run in a process of its own."""
    from PySide6.QtWidgets import QApplication

    from coilbook.ui.pedigree.view import PedigreeView
    from coilbook.ui.theme import Theme
    from coilbook.wording.style import Style

    app = QApplication.instance() or QApplication([])
    theme = Theme()
    theme.apply()
    view = PedigreeView(theme, Style())
    view.resize(*SIZE)
    view.show()
    app.processEvents()
    found = {"layout": [_show_herd(view)]}
    scales: dict[str, Callable[[], None]] = {
        "reading": view.reading,
        "half": lambda: view.zoom(0.5 / view.sight.scale),
        "quarter": lambda: view.zoom(0.26 / view.sight.scale),
        "fitted": view.fit,
    }
    for name, go in scales.items():
        go()
        turned = partial(_elsewhere, view) if name != "fitted" else lambda _chance: None
        found[name] = repaints_ms(view, REPAINTS, turned)
    return found


def _show_herd(view: PedigreeView) -> float:
    """Put a map of invented animals with genes, looks and doubtful sires into the view; ms of the layout."""
    from coilbook.drawing.family import whole_families
    from coilbook.drawing.family_map import set_out
    from coilbook.drawing.pedigree_layout import MAP_SIZE, lay_out
    from coilbook.reads.pedigree import CardFacts
    from coilbook.reads.pedigree_genes import GeneWords
    from coilbook.records.ids import AnimalId
    from coilbook.records.vocabulary import Origin, Sex, Status
    from coilbook.ui.pedigree.painter import Shown
    from coilbook.ui.pedigree.scene import Scene

    chance = random.Random(3)
    members = dict(_members(chance))
    began = time.perf_counter()
    pictures = whole_families(members)
    places = set_out([lay_out(picture, MAP_SIZE) for picture in pictures])
    took = (time.perf_counter() - began) * 1000
    scene = Scene([(one.layout, one.x, one.y) for one in places.families], MAP_SIZE, pictures)
    looks = ("Pastel Enchi het clown", "normal", "Piebald", "Enchi 66% het piebald", "Clown")
    facts = {
        key: CardFacts(
            id=AnimalId(key), keeper_id=f"{'FM'[key % 2]}-{key:04d}", name="",
            sex=(Sex.FEMALE, Sex.MALE)[key % 2], sex_percent=100, genetics=chance.choice(looks), status=Status.HERE,
            origin=Origin.BRED_HERE, hatched=None, place=f"R{key % 9}-A{key % 7}",
        )
        for key in members
    }  # fmt: skip
    genes = {
        key: GeneWords(share := chance.choice((0.0, 0.66, 1.0)), share, f"{share:.0%} poss het") for key in members
    }
    names = {key: card.keeper_id for key, card in facts.items()}
    view.show_scene(scene, Shown(facts, names, genes, focus=scene.animals[len(scene.animals) // 2]))
    return took


def _members(chance: random.Random) -> Iterator[tuple[int, Member]]:
    rows = herd(DRAWN, 8, 3)
    for number, (dam, sire) in enumerate(rows):
        sires: tuple[tuple[int, int], ...] = ((sire + 1, 100),) if sire != NONE else ()
        if sires and number % 40 == 0 and (other := chance.randrange(sire + 1)) not in (sire, dam):
            sires = ((sire + 1, 66), (other + 1, 34))
        yield number + 1, Member(number + 1, dam + 1 if dam != NONE else None, sires)


def _elsewhere(view: PedigreeView, chance: random.Random) -> None:
    if view.scene is not None:
        view.bring(chance.choice(view.scene.animals), middle=True)


if __name__ == "__main__":
    print(json.dumps(_measure()), flush=True)
    os._exit(0)
