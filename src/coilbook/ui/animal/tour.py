"""Further states of an animal's page that are worth a picture, and the paper it prints."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.operations.animals import AnimalDetails, edit_animal
from coilbook.reads.animal_examples import child_of_two_visuals, examples, newest_hatchling, unproven_dam
from coilbook.records.ids import AnimalId
from coilbook.ui.animal.sheet import write_sheet

if TYPE_CHECKING:
    from coilbook.ui.screens.animal import AnimalScreen

State = tuple[str, Callable[[], None]]


def tour_states(screen: AnimalScreen) -> list[State]:
    """What the keys of the page bring up, then one animal of each kind."""
    here = screen.page.who.id if screen.page is not None else None

    def fresh() -> None:
        screen.body.log.leave()
        screen.body.close_lines()
        screen.body.timeline.narrow.clear()
        if here is not None:
            screen.open(animal=here)

    def after(step: Callable[[], None]) -> Callable[[], None]:
        def go() -> None:
            fresh()
            step()

        return go

    states: list[State] = [
        ("log", after(screen.log)),
        ("log-feeding", after(lambda: screen.log("feeding"))),
        ("log-sign", after(lambda: screen.log("sign"))),
        ("log-treatment", after(lambda: screen.log("treatment"))),
        ("log-departure", after(lambda: screen.log("turn"))),
        ("why-fast", after(lambda: screen.body.strip.go("fast"))),
        ("why-weight", after(lambda: screen.body.strip.go("weight"))),
        ("genes", after(lambda: _genes(screen))),
        ("finding", after(screen.body.add_finding)),
        ("particulars", after(screen.body.to_particulars)),
        ("correct-line", after(screen.body.head.genetics.edit)),
        ("narrowed", after(lambda: screen.body.timeline.begin_narrowing("weighed"))),
        ("correct-entry", after(lambda: _correct(screen))),
        ("correct-move", after(lambda: _correct(screen, "move"))),
    ]
    states += _of_genes(screen)
    for name, of_hatchling in (("young", False), ("young-sale", True)):
        states.append((name, after(partial(_young, screen, sale=of_hatchling))))
    return states + [(name, _opener(screen, animal)) for name, animal in examples(screen.desk.collection).items()]


def _young(screen: AnimalScreen, *, sale: bool) -> None:
    """A hatchling of this year."""
    animal = newest_hatchling(screen.desk.collection)
    if animal is not None:
        screen.open(animal=animal)
        if sale:
            screen.body.strip.go("sale")
        screen.margin_changed.emit()


def _of_genes(screen: AnimalScreen) -> list[State]:
    """A possible het with young, a finding being typed and one that is refused, a family that cannot be."""
    collection = screen.desk.collection
    dam, child = unproven_dam(collection), child_of_two_visuals(collection)
    states: list[State] = []

    def opened(animal: AnimalId, gene: str, typed: str = "") -> None:
        screen.body.close_lines()
        screen.open(animal=animal)
        screen.body.genes.list.go(gene)
        if typed:
            screen.body.genes.begin(typed)

    def refused(animal: AnimalId, gene: str, typed: str) -> None:
        opened(animal, gene, typed)
        screen.genes.keep(typed)

    def impossible(animal: AnimalId, gene: str) -> None:
        # a label that does not name what both parents show: the newest act, taken back by the state after
        screen.body.close_lines()
        screen.desk.run(edit_animal, animal=animal, details=AnimalDetails(genetics="normal"))
        opened(animal, gene.lower())

    if dam is not None:
        states += [
            ("possible-het", lambda: opened(*dam)),
            ("finding-typed", lambda: opened(*dam, f"test {dam[1]} none")),
            ("finding-refused", lambda: refused(*dam, f"test {dam[1]}")),
        ]
    if child is not None:
        states += [
            ("contradiction", lambda: impossible(*child)),
            ("contradiction-undone", screen.desk.undo),
        ]
    return states


def _genes(screen: AnimalScreen) -> None:
    """The keyboard on the gene most in doubt."""
    screen.body.to_genes()
    doubted = [row.gene for row in screen.body.genes.list.rows if row.numbered and row.doubt]
    if doubted:
        screen.body.genes.list.go(doubted[0])


def _correct(screen: AnimalScreen, table: str = "") -> None:
    """Open the form of the newest entry, or the newest of a kind."""
    entry = next((e for e in screen.body.timeline.shown if table in ("", e.table)), None)
    if entry is not None:
        screen.correct(entry)


def tour_papers(screen: AnimalScreen, folder: Path) -> list[Path]:
    """The sheet of the animal in view."""
    return [write_sheet(screen.desk, screen.page, folder)] if screen.page is not None else []


def _opener(screen: AnimalScreen, animal: AnimalId) -> Callable[[], None]:
    def go() -> None:
        screen.open(animal=animal)
        screen.margin_changed.emit()

    return go
