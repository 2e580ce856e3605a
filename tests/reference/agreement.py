"""How far the program is from what else can be asked: enumeration in fractions, a general library, printed values.

Run `python -m tests.reference.agreement` for the table (`--times 3` draws three times as many families).
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

import numpy as np
from tests.operations.conftest import Clock
from tests.reference.agrum import Network
from tests.reference.enumeration import Enumeration
from tests.reference.keeper_books import Deviations, compare
from tests.reference.keeper_families import TRAITS, random_household
from tests.reference.keeper_several import Found, compare_several, random_several
from tests.reference.pedigrees import KINDS, Shape, kind, random_problem
from tests.reference.printed_values import TABLES
from tests.reference.several_loci import random_loci
from tests.reference.test_enumeration import animals_for
from tests.reference.test_several_loci import KINDS as SEVERAL
from tests.reference.test_several_loci import several_differences

from coilbook.derived import summary
from coilbook.genetics.inference import solve
from coilbook.storage.collection import Collection

#: (what is compared, cases, numbers, largest difference)
Row = tuple[str, str, int, float]


def against_enumeration(times: int) -> Iterator[Row]:
    """The engine alone: all laws and one joint law of every family, over every inheritance and sex system."""
    for name in KINDS:
        states, worst, numbers = kind(name), 0.0, 0
        for seed in range(10 * times):
            chance = Random(f"{name} {seed} agreement")
            shape = Shape(animals_for(states), 2, litters=0.4, one_parent=0.2)
            problem = random_problem(states, shape, chance)
            exact, answer = Enumeration(problem), solve(problem)
            expected = np.stack([exact.law(animal) for animal in range(problem.pedigree.size)])
            one, two = chance.sample(range(problem.pedigree.size), 2)
            joint = np.abs(answer.joint(one, two) - exact.joint(one, two))
            worst = max(worst, float(np.abs(answer.all_posteriors() - expected).max()), float(joint.max()))
            numbers += expected.size + joint.size
        yield f"engine / fractions: {name}", f"{10 * times} families", numbers, worst


def over_several_loci(times: int) -> Iterator[Row]:
    """Doubtful sires weighed over two or three loci: laws, pairs, pairs over all loci, who the sires are."""
    for names in SEVERAL:
        worst, numbers = 0.0, 0
        for seed in range(30 * times):
            chance = Random(f"{names} {seed} agreement")
            differences = several_differences(random_loci(names, chance, chance.choice((6, 7))), chance)
            worst, numbers = max(worst, float(differences.max())), numbers + differences.size
        yield f"several loci / fractions: {', '.join(names)}", f"{30 * times} families", numbers, worst


def against_library(times: int) -> Iterator[Row]:
    """The engine against pyAgrum (LazyPropagation): pedigrees of 5 to 40 animals with loops and doubtful sires."""
    for name in KINDS:
        states, worst, numbers = kind(name), 0.0, 0
        size = len(states.states)
        for seed in range(40 * times):
            chance = Random(f"{name} {seed}")
            animals = chance.randint(5, 40 if size <= 15 else 24)
            shape = Shape(animals, chance.randint(2, 5), most_sires=3 if size <= 4 else 2, litters=0.2)
            problem = random_problem(states, shape, chance)
            off = np.abs(solve(problem).all_posteriors() - Network(problem).laws())
            worst, numbers = max(worst, float(off.max())), numbers + off.size
        yield f"engine / pyAgrum: {name}", f"{40 * times} pedigrees", numbers, worst


def through_the_program(times: int) -> Iterator[Row]:
    """Texts, findings and parents entered by acts; laws, paper values and outlooks read as the screens read them."""
    for key in TRAITS:
        found = Deviations()
        for seed in range(25 * times):
            with tempfile.TemporaryDirectory() as folder, Collection.create(Path(folder) / "book", Clock()) as book:
                summary.attach(book)
                compare(book, random_household(key, Random(f"{key} {seed}")), found)
        families = f"{25 * times} families"
        yield f"program / fractions: {key}, with evidence", families, found.laws, found.law
        yield f"program / fractions: {key}, on paper", families, 2 * found.papers, found.paper
        yield f"program / fractions: {key}, outlooks", families, found.outlooks, found.outlook


def several_through_the_program(times: int) -> Iterator[Row]:
    """The same by acts and screens, at two genes: clutches of several possible sires, shared or each egg its own."""
    found = Found()
    for seed in range(60 * times):
        with tempfile.TemporaryDirectory() as folder, Collection.create(Path(folder) / "book", Clock()) as book:
            summary.attach(book)
            compare_several(book, random_several(Random(f"several {seed} agreement")), found)
    families = f"{60 * times} families"
    for told, worst in (
        ("with evidence", found.law),
        ("outlooks for both", found.outlook),
        ("identification, who the sire is", found.identity),
    ):
        yield f"program / fractions: clown & pastel, {told}", families, found.numbers, worst


def printed_values(_times: int) -> Iterator[Row]:
    """The tables and scenarios of the job, and what of published papers applies, as exact fractions."""
    for name, table in TABLES.items():
        with tempfile.TemporaryDirectory() as folder, Collection.create(Path(folder) / "book", Clock()) as book:
            summary.attach(book)
            off = [abs(found - float(exact)) for _, exact, found in table(book)]
        yield f"program / printed: {name}", f"{len(off)} values", len(off), max(off)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=1)
    times = parser.parse_args().times
    print(f"{'compared':<66} {'cases':>14} {'numbers':>8} {'largest difference':>19}")
    for part in (
        against_enumeration,
        over_several_loci,
        against_library,
        through_the_program,
        several_through_the_program,
        printed_values,
    ):
        for told, cases, numbers, worst in part(times):
            print(f"{told:<66} {cases:>14} {numbers:>8} {worst:>19.1e}", flush=True)


if __name__ == "__main__":
    main()
