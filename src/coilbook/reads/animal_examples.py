"""One animal of each kind that a page must show well, found in a collection; for the tour of the screens."""

from __future__ import annotations

import re
from collections import Counter

from coilbook.records.ids import AnimalId
from coilbook.storage.collection import Collection
from coilbook.storage.health_tables import GOES_ON

#: a possible het in a label
_DOUBTED = re.compile(r"\d+% het (\w+)")
#: kind, and the condition that picks the animal; the one with the longest history of its kind is taken
_KINDS = (
    ("fasting", "a.id IN (SELECT animal FROM animal_now WHERE refused_since >= 3)"),
    ("unsure-sex", "a.sex_percent < 100"),
    ("unsexed", "a.sex = 'unsexed'"),
    ("possible-sires", "a.id IN (SELECT animal_id FROM sire WHERE percent < 100)"),
    ("claimed", "a.id IN (SELECT animal_id FROM claim)"),
    ("no-photo", "a.status = 'here' AND a.id NOT IN (SELECT animal_id FROM photo)"),
    ("doubted-weight", "a.id IN (SELECT animal_id FROM weight WHERE doubted = 1)"),
    ("came-back", "a.id IN (SELECT animal_id FROM regurgitation)"),
    ("under-treatment", f"a.id IN (SELECT c.animal_id FROM health_course c WHERE c.kind = 'treatment' AND {GOES_ON})"),
    ("in-quarantine", f"a.id IN (SELECT c.animal_id FROM health_course c WHERE c.kind = 'quarantine' AND {GOES_ON})"),
    ("sold", "a.status = 'sold'"),
    ("dead", "a.status = 'dead'"),
    ("on-loan", "a.status = 'loan'"),
    ("lost", "a.status = 'lost'"),
    ("outside", "a.status = 'outside'"),
)


def busiest(collection: Collection) -> AnimalId | None:
    """The animal with the most offers, one with a photo before others."""
    row = collection.read_one(
        "SELECT f.animal_id FROM feeding f GROUP BY f.animal_id"
        " ORDER BY EXISTS (SELECT 1 FROM photo p WHERE p.animal_id = f.animal_id) DESC, count(*) DESC LIMIT 1"
    )
    if row is None:
        row = collection.read_one("SELECT min(id) FROM animal")
    return AnimalId(row[0]) if row and row[0] is not None else None


def young_with_parents(collection: Collection) -> AnimalId | None:
    """A young one of a known dam and a known sire who are said to have the most genes."""
    row = collection.read_one(
        "SELECT a.id FROM animal a JOIN animal d ON d.id = a.dam_id JOIN sire s ON s.animal_id = a.id"
        " JOIN animal m ON m.id = s.sire_id WHERE a.status = 'here' AND d.genetics || m.genetics NOT LIKE '%(%'"
        " ORDER BY length(d.genetics) + length(m.genetics) DESC, a.id DESC LIMIT 1"
    )
    return AnimalId(row[0]) if row else None


def dam_of_doubtful_sold(collection: Collection) -> tuple[AnimalId, str] | None:
    """The dam with the most young sold as possible hets of a gene that she is not known to have, and the gene."""
    rows = collection.read(
        "SELECT d.id, d.genetics, a.genetics FROM animal a JOIN animal d ON d.id = a.dam_id"
        " WHERE a.status = 'sold' AND d.status = 'here' AND a.genetics LIKE '%het %' ORDER BY d.id"
    )
    counted: Counter[tuple[int, str]] = Counter()
    for dam, known, label in rows:
        counted.update((dam, gene) for gene in _DOUBTED.findall(label) if gene.lower() not in known.lower())
    return (AnimalId(counted.most_common(1)[0][0][0]), counted.most_common(1)[0][0][1]) if counted else None


def child_of_two_visuals(collection: Collection) -> tuple[AnimalId, str] | None:
    """A young one that shows a gene both its parents show, and the gene: without it the family is impossible."""
    rows = collection.read(
        "SELECT a.id, a.genetics, d.genetics, m.genetics FROM animal a JOIN animal d ON d.id = a.dam_id"
        " JOIN sire s ON s.animal_id = a.id AND s.percent = 100 JOIN animal m ON m.id = s.sire_id"
        " WHERE a.status = 'here' ORDER BY a.id DESC"
    )
    for animal, *labels in rows:
        shown = [{word for word in re.split(r" |\d+% het \w+|het \w+", label) if word} for label in labels]
        if (both := set.intersection(*shown)) and (gene := next(iter(sorted(both)))):
            return AnimalId(animal), gene
    return None


def unproven_dam(collection: Collection) -> tuple[AnimalId, str] | None:
    """The possible het of known parents with the most young, none of which showed the gene; and the gene."""
    rows = collection.read(
        "SELECT d.id, d.genetics, a.genetics FROM animal a JOIN animal d ON d.id = a.dam_id"
        " WHERE d.status = 'here' AND d.dam_id IS NOT NULL AND d.genetics LIKE '%het %' ORDER BY d.id"
    )
    young: dict[tuple[int, str], list[bool]] = {}
    for dam, label, shown in rows:
        for gene in _DOUBTED.findall(label):
            young.setdefault((dam, gene), []).append(gene.capitalize() in shown)
    unshown = {key: len(looks) for key, looks in young.items() if not any(looks)}
    best = max(unshown, key=lambda key: unshown[key], default=None)
    return (AnimalId(best[0]), best[1]) if best is not None else None


def newest_hatchling(collection: Collection) -> AnimalId | None:
    """The animal here that hatched last."""
    row = collection.read_one(
        "SELECT a.id FROM animal a WHERE a.status = 'here' AND a.hatched <> '' ORDER BY a.hatched DESC, a.id LIMIT 1"
    )
    return AnimalId(row[0]) if row is not None else None


def examples(collection: Collection) -> dict[str, AnimalId]:
    """An animal by kind; kinds of which the collection has none are left out."""
    found: dict[str, AnimalId] = {}
    for kind, condition in _KINDS:
        row = collection.read_one(
            f"SELECT a.id FROM animal a WHERE {condition}"
            " ORDER BY (SELECT count(*) FROM feeding f WHERE f.animal_id = a.id) DESC, a.id LIMIT 1"
        )
        if row is not None:
            found[kind] = AnimalId(row[0])
    return found
