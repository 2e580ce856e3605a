"""A complex said otherwise, what an update then is, and every act on the catalogue taken back and done again."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from coilbook.derived.genetics_catalogues import own_entries
from coilbook.genetics.catalogue import Caution, Evidence, Grade, Provenance
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.own_differences import settled, without
from coilbook.operations import catalogue as acts
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.own_genes import keep_entry
from coilbook.operations.undo import redo_last, undo_last
from coilbook.reads.consequences import consequences
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import Sex
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_texts
from tests.operations.conftest import Room, content
from tests.operations.test_catalogue import RECESSIVE, carrier, kept, now


def test_a_complex_is_said_otherwise_and_reaches_its_genes(room: Room) -> None:
    """Where every gamete takes the locus over at random (50%), a locus on the sex chromosomes is as any other."""
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="Vanilla"))
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Disco"))
    source = {"provenance": "published", "citation": "An invented paper 2020"}
    acts.correct_complex(
        room.book, complex_key="fire complex", changes={"name": "Ember series", "description": "Mine.", **source}
    )
    found = kept(room.book).complexes["fire complex"]
    assert (found.name, found.description, found.own) == ("Ember series", "Mine.", True)
    assert found.provenance == Provenance(Grade.PUBLISHED, "An invented paper 2020")
    assert {gene.complex_name for gene in kept(room.book).members_of("fire complex")} == {"Ember series"}
    assert not kept(room.book).conflicts
    acts.correct_complex(room.book, complex_key="fire complex", changes={"provenance": "from memory", "citation": ""})
    assert kept(room.book).complexes["fire complex"].provenance == Provenance(Grade.FROM_MEMORY)
    linkage = {"recombination": 0.1, "provenance": "keeper"}
    acts.correct_complex(room.book, complex_key="fire complex", changes={"linkage": linkage})
    assert kept(room.book).complexes["fire complex"].name == "Ember series"  # what was said before stays
    assert now(room.book).herds["ball_python"].loci["fire complex"].states.locus.linkage is not None
    acts.correct_complex(room.book, complex_key="fire complex", changes={"linkage": {}})
    assert now(room.book).herds["ball_python"].loci["fire complex"].states.locus.linkage is None
    for _ in range(4):
        undo_last(room.book)
    assert own_entries(room.book, "ball_python") == () and kept(room.book).complexes["fire complex"].name != found.name


def test_consequences_of_a_complex_on_the_sex_chromosomes(room: Room) -> None:
    """A son of a Vanilla male whose own sire was Vanilla: the sire has it on his Y and hands it to sons (9 of 10)."""
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="Vanilla"))
    details = AnimalDetails(keeper_id="M-91", sex=Sex.MALE, genetics="Vanilla")
    sire = add_animal(room.book, details=details, sires={room.male: 100}).value
    details = AnimalDetails(keeper_id="J-92", sex=Sex.MALE)
    young = add_animal(room.book, details=details, sires={sire: 100}).value
    before = now(room.book)
    assert carrier(room.book, young, "vanilla") == pytest.approx(0.5)
    linkage = {"recombination": 0.1, "provenance": "keeper"}
    acts.correct_complex(room.book, complex_key="fire complex", changes={"linkage": linkage})
    moved = {one.animal: (one.before, one.after) for one in consequences(room.book, before, now(room.book))}
    assert moved[young][1] > 0.8


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({}, "Nothing was changed"),
        ({"name": " "}, "needs a name"),
        ({"name": "Albino  complex"}, "is a complex already"),
        ({"aliases": ["x"]}, "cannot be changed"),
        ({"provenance": "published"}, "goes with a citation"),
        ({"linkage": {"recombination": 0.7, "provenance": "keeper"}}, "recombination"),
    ],
)
def test_a_complex_that_cannot_be_corrected_so(room: Room, changes: dict[str, object], why: str) -> None:
    with pytest.raises(Refusal, match=why):
        acts.correct_complex(room.book, complex_key="fire complex", changes=changes)
    with pytest.raises(Refusal, match="not in the catalogue"):
        acts.correct_complex(room.book, complex_key="no complex", changes={"name": "x"})
    assert own_entries(room.book, "ball_python") == ()


def test_a_complex_said_otherwise_survives_an_update_that_says_something_new(room: Room) -> None:
    changes = {"name": "Ember series", "description": "Mine."}
    acts.correct_complex(room.book, complex_key="fire complex", changes=changes)
    (entry,) = own_entries(room.book, "ball_python")
    old = kept(room.book).complexes["fire complex"]
    updated = shipped_texts()["ball_python"].replace('name = "fire complex"', 'name = "fire and vanilla complex"')
    catalogue = read_catalogue(updated, [entry])
    assert catalogue.complexes["fire complex"] == old
    [conflict] = catalogue.conflicts
    assert (conflict.kind, conflict.key, conflict.what) == ("complex", "fire complex", "name")
    assert (conflict.shipped, conflict.own) == ("fire and vanilla complex", "Ember series")
    assert not read_catalogue(updated, [settled(updated, entry, "name")]).conflicts
    taken = without(entry, "name")
    assert taken is not None
    after = read_catalogue(updated, [taken]).complexes["fire complex"]
    assert (after.name, after.description) == ("fire and vanilla complex", "Mine.")
    assert without(taken, "description") is None


def test_an_update_that_calls_a_pair_lethal_is_a_conflict_and_not_hushed_up(room: Room) -> None:
    """The form of a pair says all it knows of the two, also what it leaves as it was."""
    more = {"unseen": False, "lethal": False, "hides": []}
    acts.name_pair(room.book, first="yellow belly", second="gravel", name="Whiteband", more=more)
    (entry,) = own_entries(room.book, "ball_python")
    assert not kept(room.book).conflicts
    pair = 'genes = ["yellow belly", "gravel"]'
    updated = shipped_texts()["ball_python"].replace(pair, pair + "\nlethal = true")
    [conflict] = read_catalogue(updated, [entry]).conflicts
    assert (conflict.kind, conflict.what, conflict.shipped, conflict.own) == ("pair", "lethal", "True", "False")
    taken = without(entry, "lethal")
    assert taken is not None
    look = read_catalogue(updated, [taken]).look_of("yellow belly", "gravel")
    assert (look.name, look.lethal) == ("Whiteband", True)


def test_a_second_shipped_caution_on_two_genes_is_a_conflict(room: Room) -> None:
    mine = Caution("None of mine hatched.", Evidence.RUMOUR, Provenance(Grade.KEEPER))
    (shipped,) = kept(room.book).pair_cautions["champagne", "spider"]
    acts.keep_caution(room.book, gene="spider", caution=mine, other="champagne", before=shipped.text)
    (entry,) = own_entries(room.book, "ball_python")
    told = '[[caution]]\ngenes = ["champagne", "spider"]\ntext = "New."\nevidence = "A"\nprovenance = "from memory"\n'
    updated = shipped_texts()["ball_python"] + told
    catalogue = read_catalogue(updated, [entry])
    assert {c.what: c.shipped for c in catalogue.conflicts} == {"text": f"{shipped.text} New.", "evidence": "B A"}
    assert not read_catalogue(updated, [settled(updated, settled(updated, entry, "text"), "evidence")]).conflicts


def test_another_shipped_name_of_a_combination_said_otherwise_is_a_conflict(room: Room) -> None:
    acts.name_combination(room.book, name="Whiteout", parts="Albino Ghost", combination="snow")
    (entry,) = own_entries(room.book, "ball_python")
    updated = shipped_texts()["ball_python"].replace('name = "Snow"\n', 'key = "snow"\nname = "Snowdrift"\n')
    [conflict] = read_catalogue(updated, [entry]).conflicts
    assert (conflict.kind, conflict.key, conflict.what, conflict.shipped) == (
        "combination",
        "snow",
        "name",
        "Snowdrift",
    )


SAID = Caution("Falls over.", Evidence.RUMOUR, Provenance(Grade.KEEPER))
#: every act on the catalogue
ACTS: dict[str, Callable[[Collection], object]] = {
    "add": lambda b: acts.add_gene(b, name="Cinder", inheritance=RECESSIVE, allele_of="sunset"),
    "correct": lambda b: acts.correct_gene(b, gene="lantern", changes={"inheritance": "dominant"}),
    "complex": lambda b: acts.correct_complex(b, complex_key="fire complex", changes={"name": "Ember series"}),
    "rename": lambda b: acts.rename_gene(b, gene="lantern", name="Beacon"),
    "merge": lambda b: acts.merge_genes(b, gene="lantern", into="sunset"),
    "line": lambda b: acts.add_line(b, gene="lantern", words="Line Q"),
    "combination": lambda b: acts.name_combination(b, name="Harvest Moon", parts="Lantern Ghost"),
    "pair": lambda b: acts.name_pair(b, first="vanilla", second="disco", name="Cold Flame"),
    "caution": lambda b: acts.keep_caution(b, gene="lantern", caution=SAID),
    "yours": lambda b: acts.keep_yours(b, entry="gene clown", what="name"),
    "shipped": lambda b: acts.take_shipped(b, entry="gene clown", what="name"),
}


@pytest.mark.parametrize("name", list(ACTS))
def test_every_act_on_the_catalogue_is_taken_back_whole_and_done_again_whole(room: Room, name: str) -> None:
    acts.add_gene(room.book, name="Lantern", inheritance=RECESSIVE)
    body = '[[gene]]\nkey = "clown"\nname = "Mask"\ndescription = "Mine."\nwas = {name = "Jester"}\n'
    keep_entry(room.book, entry=OwnEntry("gene clown", body))
    before = content(room.book)
    ACTS[name](room.book)
    after = content(room.book)
    assert after != before
    undo_last(room.book)
    assert content(room.book) == before
    redo_last(room.book)
    assert content(room.book) == after
