"""What a keeper does to the catalogue: each act is one act, reaches the genetics of the animals, and is undone."""

from __future__ import annotations

import pytest

from coilbook.derived.genetics_book import Genetics, book_of
from coilbook.derived.genetics_catalogues import catalogues_of, own_entries
from coilbook.genetics.catalogue import Catalogue, Caution, Evidence, Grade, Provenance
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.own_differences import differences, settled
from coilbook.operations import catalogue as acts
from coilbook.operations.animals import AnimalDetails, add_animal, edit_animal
from coilbook.operations.findings import FindingDetails, add_finding
from coilbook.operations.own_genes import keep_entry
from coilbook.operations.undo import undo_last
from coilbook.reads.consequences import consequences
from coilbook.reads.genes import parts_words
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_texts
from tests.operations.conftest import Room

UNSAID = (Evidence.RUMOUR, Provenance(Grade.KEEPER))
RECESSIVE, INCOMPLETE = Inheritance.RECESSIVE, Inheritance.INCOMPLETE_DOMINANT


def kept(book: Collection) -> Catalogue:
    return catalogues_of(book)["ball_python"]


def now(book: Collection) -> Genetics:
    return book_of(book).current()


def carrier(book: Collection, animal: AnimalId, gene: str) -> float:
    genetics = now(book)
    view = genetics.view(animal, genetics.herds["ball_python"].inputs.catalogue.genes[gene].locus)
    assert view is not None
    return view[0].carrier(view[1], gene)


def test_a_gene_is_added_renamed_and_merged_and_every_act_is_undone(room: Room) -> None:
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="het lantern"))
    acts.add_gene(room.book, name="Lantern", inheritance=RECESSIVE)
    assert carrier(room.book, room.female, "lantern") == 1
    acts.rename_gene(room.book, gene="lantern", name="Ember")
    acts.rename_gene(room.book, gene="lantern", name="Beacon")
    assert kept(room.book).genes["lantern"].aliases == ("ember",)  # what was written of it stays readable
    assert carrier(room.book, room.female, "lantern") == 1
    acts.merge_genes(room.book, gene="lantern", into="sunset")
    assert "lantern" not in kept(room.book).genes and carrier(room.book, room.female, "sunset") == 1
    for _ in range(4):
        undo_last(room.book)
    assert own_entries(room.book, "ball_python") == () and "sunset" not in now(room.book).herds["ball_python"].loci


def test_a_correction_reaches_the_animals(room: Room) -> None:
    """The set of genes stays the same; how one of them is inherited does not."""
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Lantern"))
    acts.add_gene(room.book, name="Lantern", inheritance=RECESSIVE)
    view = now(room.book).view(room.female, "lantern")
    assert view is not None and view[0].law(view[1])[view[0].states.copies(1) == 2].sum() == 1
    acts.correct_gene(room.book, gene="lantern", changes={"inheritance": INCOMPLETE.value, "two": "Bonfire"})
    view = now(room.book).view(room.female, "lantern")
    assert view is not None and view[0].law(view[1])[view[0].states.copies(1) == 1].sum() == 1
    catalogue = now(room.book).herds["ball_python"].inputs.catalogue
    assert catalogue.look_of("lantern", "lantern").name == "Bonfire"
    undo_last(room.book)
    assert now(room.book).herds["ball_python"].inputs.catalogue.is_recessive("lantern")


def test_findings_follow_a_gene_into_another_and_into_a_complex(room: Room) -> None:
    acts.add_gene(room.book, name="Lantern", inheritance=INCOMPLETE)
    for looks, animal in ((("super lantern",), room.female), (("lantern",), room.male)):
        seen = FindingDetails(kind=FindingKind.SEEN, locus="lantern", looks=looks, ppm=1_000_000)
        add_finding(room.book, animal=animal, details=seen)
    test = FindingDetails(kind=FindingKind.TEST, locus="lantern", gene="lantern", copies=1, ppm=0)
    add_finding(room.book, animal=room.male, details=test)
    acts.correct_gene(room.book, gene="lantern", changes={"complex": "fire complex"})
    assert carrier(room.book, room.female, "lantern") == carrier(room.book, room.male, "lantern") == 1
    undo_last(room.book)
    acts.merge_genes(room.book, gene="lantern", into="enchi")
    view = now(room.book).view(room.female, "enchi")
    assert view is not None and view[0].law(view[1])[view[0].states.copies(1) == 2].sum() == 1
    assert carrier(room.book, room.male, "enchi") == 1
    undo_last(room.book)
    # two doses that looked otherwise look the same once the gene is dominant
    acts.correct_gene(room.book, gene="lantern", changes={"inheritance": "dominant"})
    assert carrier(room.book, room.female, "lantern") == 1 and not now(room.book).clashes()


def test_lines_pairs_and_combinations(room: Room) -> None:
    acts.add_line(room.book, gene="axanthic", words="Line Q")
    with pytest.raises(Refusal, match="already"):
        acts.add_line(room.book, gene="axanthic", words="line q")
    with pytest.raises(Refusal, match="is a line itself"):
        acts.add_line(room.book, gene="axanthic (line q)", words="Line R")
    acts.name_pair(room.book, first="vanilla", second="disco", name="Cold Flame", more={"unseen": True})
    assert kept(room.book).look_of("disco", "vanilla").unseen
    acts.name_combination(room.book, name="Harvest Moon", parts="super Enchi Ghost")
    assert kept(room.book).combinations["harvest moon"].parts == (("enchi", 2), ("ghost", 2))
    acts.name_combination(room.book, name="Moonrise", parts="Enchi Ghost", combination="harvest moon")
    moon = kept(room.book).combinations["harvest moon"]
    assert (moon.name, moon.aliases, moon.parts) == ("Moonrise", ("harvest moon",), (("enchi", 1), ("ghost", 2)))
    for parts, why in (
        ("het clown", "in doubt or only carried"),
        ("Clown zzyx", "'zzyx' is no gene"),
        ("", "is no gene"),
    ):
        with pytest.raises(Refusal, match=why):
            acts.name_combination(room.book, name="Third", parts=parts)
    with pytest.raises(Refusal, match="already means Piebald"):
        acts.name_combination(room.book, name="Pied", parts="Enchi Ghost")


def test_a_line_that_only_a_text_names_is_kept_with_what_is_said_of_it(room: Room) -> None:
    animal = add_animal(room.book, details=AnimalDetails(keeper_id="F-77", genetics="axanthic (Line Z)")).value
    assert carrier(room.book, animal, "axanthic (line z)") == 1
    acts.rename_gene(room.book, gene="axanthic (line z)", name="Silver Axanthic")
    assert [entry.key for entry in own_entries(room.book, "ball_python")] == [
        "line axanthic (line z)",
        "gene axanthic (line z)",
    ]
    assert now(room.book).herds["ball_python"].inputs.catalogue.genes["axanthic (line z)"].name == "Silver Axanthic"
    with pytest.raises(Refusal, match="is a line"):
        acts.correct_gene(room.book, gene="axanthic (line z)", changes={"inheritance": "dominant"})
    undo_last(room.book)
    assert own_entries(room.book, "ball_python") == ()


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("", "needs a name"),
        ("clown", "already means Clown"),
        ("Pied", "already means Piebald"),
        ("het", "cannot be told"),
    ],
)
def test_a_gene_that_cannot_be_added(room: Room, name: str, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        acts.add_gene(room.book, name=name, inheritance=RECESSIVE)


def test_conflicts_are_settled_either_way(room: Room) -> None:
    """An entry made when the shipped catalogue said something else."""
    body = '[[gene]]\nkey = "clown"\nname = "Mask"\ndescription = "Mine."\nwas = {description = "older words"}\n'
    keep_entry(room.book, entry=OwnEntry("gene clown", body))
    assert [c.what for c in kept(room.book).conflicts] == ["name", "description"]
    acts.keep_yours(room.book, entry="gene clown", what="description")
    assert [c.what for c in kept(room.book).conflicts] == ["name"]
    assert kept(room.book).genes["clown"].description == "Mine."
    acts.take_shipped(room.book, entry="gene clown", what="name")
    assert not kept(room.book).conflicts and kept(room.book).genes["clown"].name == "Clown"
    [entry] = own_entries(room.book, "ball_python")
    [different] = differences(shipped_texts()["ball_python"], entry)
    assert (different.what, different.own) == ("description", "Mine.") and different.shipped.startswith("Broad dark")
    acts.take_shipped(room.book, entry="gene clown", what="description")
    assert own_entries(room.book, "ball_python") == ()
    with pytest.raises(Refusal, match="not in your catalogue"):
        acts.take_shipped(room.book, entry="gene clown", what="description")


def test_another_reading_of_a_shipped_combination_is_no_conflict_until_an_update(room: Room) -> None:
    acts.name_combination(room.book, name="Snow", parts="Lavender Albino Ghost", combination="snow")
    assert not kept(room.book).conflicts and kept(room.book).combinations["snow"].own


def test_what_is_shipped_can_be_emptied(room: Room) -> None:
    acts.correct_gene(room.book, gene="yellow belly", changes={"two": "", "aliases": []})
    gene = kept(room.book).genes["yellow belly"]
    assert gene.aliases == () and kept(room.book).look_of(gene.key, gene.key).name == "Super Yellow Belly"


def test_two_genes_are_put_into_one_locus(room: Room) -> None:
    """Neither was of a complex before: one is made, and what is said of the whole locus is kept with it."""
    acts.add_gene(room.book, name="Lantern", inheritance=RECESSIVE)
    linkage = {"recombination": 0.1, "provenance": "keeper"}
    acts.correct_gene(room.book, gene="lantern", changes={"linkage": linkage}, allele_of="sunset")
    catalogue = kept(room.book)
    locus = catalogue.locus_of("lantern")
    assert locus.alleles[1:] == ("sunset", "lantern") and locus.linkage is not None
    assert locus.linkage.recombination == 0.1 and catalogue.genes["sunset"].complex_name == "Sunset complex"
    assert [e.key for e in own_entries(room.book, "ball_python")] == [
        "gene lantern",
        "complex sunset complex",
        "gene sunset",
    ]
    acts.add_gene(room.book, name="Cinder", inheritance=INCOMPLETE, allele_of="lantern")
    assert kept(room.book).genes["cinder"].locus == "sunset complex"
    with pytest.raises(Refusal, match="cannot share"):
        acts.correct_gene(room.book, gene="lantern", changes={}, allele_of="lantern")
    acts.correct_gene(room.book, gene="cinder", changes={}, allele_of="")
    assert kept(room.book).genes["cinder"].locus == "cinder"
    for _ in range(4):
        undo_last(room.book)
    assert own_entries(room.book, "ball_python") == ()


def test_consequences_of_a_change_of_the_catalogue_are_told_by_gene(room: Room) -> None:
    """The places of alleles in their locus differ between the two states that are compared."""
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="50% het lantern"))
    acts.add_gene(room.book, name="Lantern", inheritance=RECESSIVE, allele_of="sunset")
    before = now(room.book)
    acts.merge_genes(room.book, gene="sunset", into="lantern")
    assert consequences(room.book, before, now(room.book)) is not None
    undo_last(room.book)
    before = now(room.book)
    acts.correct_gene(room.book, gene="lantern", changes={"inheritance": "dominant"})
    [moved] = [one for one in consequences(room.book, before, now(room.book)) if one.gene == "lantern"]
    assert (moved.before, moved.after) == (0.5, 0)


@pytest.mark.parametrize(
    ("key", "pair"), [("ivory", ("yellow belly", "yellow belly")), ("highway", ("gravel", "yellow belly"))]
)
def test_the_look_of_one_locus_is_named_otherwise_wherever_it_is_shown(
    room: Room, key: str, pair: tuple[str, str]
) -> None:
    parts = parts_words(kept(room.book), kept(room.book).combinations[key])
    for name in ("Whiteband", "Palewave"):
        acts.name_combination(room.book, name=name, parts=parts, combination=key)
        catalogue = kept(room.book)
        assert catalogue.look_of(*pair).name == name and not catalogue.conflicts
        assert [one.key for one in catalogue.combinations.values() if one.name == name] == [key]
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics=key))
    assert all(carrier(room.book, room.female, gene) == 1 for gene in pair)  # the words it had stay readable
    assert set(kept(room.book).combinations[key].aliases) == {key, "whiteband"}


def test_naming_a_pair_the_shipped_catalogue_names_is_no_conflict(room: Room) -> None:
    acts.name_pair(room.book, first="yellow belly", second="gravel", name="Whiteband")
    assert not kept(room.book).conflicts and kept(room.book).look_of("gravel", "yellow belly").name == "Whiteband"


def test_what_a_gene_hides_is_the_keepers_to_say_and_reaches_the_animals(room: Room) -> None:
    """A Lantern young of an Enchi: half of them have Enchi (Mendel). Only where Lantern hides it is that not seen."""
    acts.add_gene(room.book, name="Lantern", inheritance=INCOMPLETE)
    edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="Enchi"))
    edit_animal(room.book, animal=room.male, details=AnimalDetails(genetics="Lantern"))
    details = AnimalDetails(keeper_id="J-1", genetics="Lantern", dam_id=room.female)
    young = add_animal(room.book, details=details, sires={room.male: 100}).value
    assert carrier(room.book, young, "enchi") == 0
    acts.correct_gene(room.book, gene="lantern", changes={"hides": ["enchi"], "hides_provenance": "from memory"})
    assert carrier(room.book, young, "enchi") == pytest.approx(0.5)
    source = kept(room.book).genes["lantern"].hides_source
    assert source is not None and source.grade is Grade.FROM_MEMORY
    undo_last(room.book)
    assert carrier(room.book, young, "enchi") == 0


def test_cautions_are_the_keepers_to_say_with_evidence_and_source(room: Room) -> None:
    mine = Caution("Falls over at feeding.", Evidence.MANY_KEEPERS, Provenance(Grade.COMMON_PRACTICE))
    acts.keep_caution(room.book, gene="ghost", caution=mine)
    assert kept(room.book).genes["ghost"].cautions == (mine,)
    with pytest.raises(Refusal, match="Nothing was changed"):
        acts.keep_caution(room.book, gene="ghost", caution=mine, before=mine.text)
    other = Caution("Falls over.", Evidence.PUBLISHED, Provenance(Grade.PUBLISHED, "An invented paper 2020"))
    acts.keep_caution(room.book, gene="ghost", caution=other, before=mine.text)
    assert kept(room.book).genes["ghost"].cautions == (other,)
    acts.keep_caution(room.book, gene="ghost", caution=Caution("", *UNSAID), before=other.text)
    assert kept(room.book).genes["ghost"].cautions == ()
    acts.keep_caution(room.book, gene="ghost", caution=mine, other="ghost")
    acts.keep_caution(room.book, gene="ghost", caution=other, other="enchi")
    assert kept(room.book).pair_cautions["ghost", "ghost"] == (mine,)
    assert kept(room.book).pair_cautions["enchi", "ghost"] == (other,)
    acts.keep_caution(room.book, gene="ghost", caution=Caution("", *UNSAID), other="enchi", before=other.text)
    assert ("enchi", "ghost") not in kept(room.book).pair_cautions
    for _ in range(6):
        undo_last(room.book)
    assert own_entries(room.book, "ball_python") == ()


def test_a_caution_of_the_keepers_stands_over_the_shipped_one_and_survives_an_update(room: Room) -> None:
    pair = ("champagne", "spider")
    (shipped,) = kept(room.book).pair_cautions[pair]
    mine = Caution("None of mine hatched.", Evidence.RUMOUR, Provenance(Grade.KEEPER))
    acts.keep_caution(room.book, gene="spider", caution=mine, other="champagne", before=shipped.text)
    assert kept(room.book).pair_cautions[pair] == (mine,) and not kept(room.book).conflicts
    with pytest.raises(Refusal, match="is a line"):
        edit_animal(room.book, animal=room.female, details=AnimalDetails(genetics="axanthic line b"))
        acts.keep_caution(room.book, gene="axanthic (line b)", caution=mine)
    (entry,) = own_entries(room.book, "ball_python")
    updated = shipped_texts()["ball_python"].replace(shipped.text, "An update says this.")
    catalogue = read_catalogue(updated, [entry])
    assert catalogue.pair_cautions[pair] == (mine,)
    assert [(c.what, c.shipped, c.own) for c in catalogue.conflicts] == [("text", "An update says this.", mine.text)]
    # seen and kept: no conflict any more, and a second caution on the two is not lost by it
    second = Caution("Small clutches.", Evidence.RUMOUR, Provenance(Grade.KEEPER))
    acts.keep_caution(room.book, gene="spider", caution=second, other="champagne")
    (both,) = own_entries(room.book, "ball_python")
    kept_yours = settled(updated, both, "text")
    after = read_catalogue(updated, [kept_yours])
    assert after.pair_cautions[pair] == (mine, second) and not after.conflicts
    acts.keep_caution(room.book, gene="spider", caution=Caution("", *UNSAID), other="champagne", before=second.text)
    # taking it out lets the shipped one stand again, which is not the keeper's to hide
    acts.keep_caution(room.book, gene="spider", caution=Caution("", *UNSAID), other="champagne", before=mine.text)
    assert kept(room.book).pair_cautions[pair] == (shipped,)
    with pytest.raises(Refusal, match="not taken out"):
        acts.keep_caution(
            room.book, gene="spider", caution=Caution("", *UNSAID), other="champagne", before=shipped.text
        )
