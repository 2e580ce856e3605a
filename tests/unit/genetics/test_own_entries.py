"""The keeper's own catalogue: what is added, corrected, renamed and merged outranks what is shipped and survives it."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.unit.genetics.catalogues import shipped_text

from coilbook.genetics.catalogue import Catalogue, Grade, LineWord
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_reader import read
from coilbook.genetics.own_entries import (
    check_own,
    own_combination,
    own_correction,
    own_gene,
    own_line,
    own_merge,
    own_pair,
    table_text,
)
from coilbook.records.message import Refusal

SHIPPED = shipped_text()
UPDATED = SHIPPED.replace('description = "Broad dark back stripe', 'description = "A broad stripe').replace(
    'name = "Clown"', 'name = "Joker"'
)


def said(text: str, catalogue: Catalogue) -> list[str]:
    return [f"{s.gene}={s.mark}" for s in read(text, catalogue).statements]


def test_a_gene_of_the_keepers_own() -> None:
    entry = own_gene("Lantern", Inheritance.INCOMPLETE_DOMINANT, aliases=["lant"], two="Beacon", description="Glows.")
    catalogue = check_own(entry, SHIPPED)
    gene = catalogue.genes["lantern"]
    assert gene.own and gene.provenance.grade is Grade.KEEPER and gene.description == "Glows."
    assert said("lant clown", catalogue) == ["lantern=1", "clown=V"]
    assert said("Beacon", catalogue) == ["lantern=2"]
    assert read_catalogue(UPDATED, [entry]).genes["lantern"] == gene


def test_an_own_allele_joins_a_complex() -> None:
    entries = [own_gene("Cinder", Inheritance.INCOMPLETE_DOMINANT, complex="fire complex", unsure_complex=True)]
    entries.append(own_pair("cinder", "fire", "White Heat", unseen=True))
    catalogue = check_own(entries[1], SHIPPED, entries)
    assert catalogue.genes["cinder"].locus == "fire complex"
    assert catalogue.look_of("fire", "cinder").name == "White Heat" and catalogue.look_of("fire", "cinder").unseen
    assert said("white heat", catalogue) == ["cinder=1", "fire=1"]


def test_a_correction_outranks_and_survives_an_update() -> None:
    entry = own_correction(SHIPPED, "clown", name="Harlequin Mask", description="Mine.")
    catalogue = check_own(entry, SHIPPED)
    assert (catalogue.genes["clown"].name, catalogue.genes["clown"].own) == ("Harlequin Mask", True)
    assert catalogue.conflicts == ()  # the keeper knows what the shipped entry says
    # the key stays, and with it everything that was said of the gene, in its old name too
    assert said("harlequin mask", catalogue) == said("clown", catalogue) == ["clown=V"]
    after = read_catalogue(UPDATED, [entry])
    assert after.genes["clown"].name == "Harlequin Mask"
    assert [(c.key, c.what, c.shipped) for c in after.conflicts] == [
        ("clown", "name", "Joker"),
        ("clown", "description", after.conflicts[1].shipped),
    ]
    assert after.conflicts[1].shipped.startswith("A broad stripe") and after.conflicts[1].own == "Mine."


def test_a_second_correction_keeps_the_first() -> None:
    first = own_correction(SHIPPED, "clown", name="Harlequin Mask")
    second = own_correction(SHIPPED, "clown", first, description="Mine.")
    gene = check_own(second, SHIPPED, [first]).genes["clown"]
    assert (gene.name, gene.description) == ("Harlequin Mask", "Mine.")
    assert [c.what for c in read_catalogue(UPDATED, [second]).conflicts] == ["name", "description"]


def test_a_gene_shipped_later_under_the_keepers_key_is_shown_as_a_conflict() -> None:
    entry = own_gene("Lantern", Inheritance.RECESSIVE)
    update = (
        SHIPPED
        + '\n[[gene]]\nkey = "lantern"\nname = "Lantern"\ninheritance = "dominant"\nprovenance = "from memory"\n'
    )
    catalogue = read_catalogue(update, [entry])
    assert catalogue.is_recessive("lantern")
    assert [(c.what, c.shipped, c.own) for c in catalogue.conflicts] == [("inheritance", "dominant", "recessive")]


def test_what_no_longer_fits_is_left_out_and_told() -> None:
    entries = [own_merge("sunset", "no such gene"), own_line(LineWord("axanthic", "line B"))]
    catalogue = read_catalogue(SHIPPED, entries)
    assert "axanthic (line b)" in catalogue.genes and "sunset" in catalogue.genes
    assert [(c.key, c.what) for c in catalogue.conflicts] == [("merge sunset", "left out")]


def test_lines_are_kept_verbatim_and_merged() -> None:
    lines = [own_line(LineWord("axanthic", "Line B")), own_line(LineWord("axanthic", "Northgate"))]
    catalogue = read_catalogue(SHIPPED, lines)
    assert [gene.line for gene in catalogue.lines_of("axanthic")] == ["Line B", "Northgate"]
    assert said("Northgate ax", catalogue) == ["axanthic (northgate)=V"]
    merge = own_merge("axanthic (northgate)", "axanthic (line b)")
    one = check_own(merge, SHIPPED, lines)
    assert [gene.line for gene in one.lines_of("axanthic")] == ["Line B"]
    assert said("Northgate axanthic", one) == said("axanthic line b", one) == ["axanthic (line b)=V"]
    assert one.current("axanthic (northgate)") == "axanthic (line b)"
    # the word is still known when a text names it in another way
    assert said("axanthic (Northgate)", one) == ["axanthic (line b)=V"]


def test_two_names_become_one_gene() -> None:
    catalogue = check_own(own_merge("butter", "lesser"), SHIPPED)
    assert "butter" not in catalogue.genes and catalogue.current("butter") == "lesser"
    assert said("butter", catalogue) == ["lesser=1"] and said("super butter", catalogue) == ["lesser=2"]
    assert "butter" not in catalogue.loci["blue-eyed leucistic complex"].alleles
    assert len(catalogue.pair_cautions[("lesser", "lesser")]) == 2


def test_a_combination_name_of_the_keepers_own() -> None:
    catalogue = check_own(own_combination("Harvest Moon", [("pastel", 1), ("ghost", 2)], ["hmoon"]), SHIPPED)
    assert said("hmoon", catalogue) == ["pastel=1", "ghost=V"]
    other = own_combination("Snow", [("lavender albino", 2), ("axanthic", 2)])
    changed = read_catalogue(SHIPPED, [other])
    assert said("snow", changed)[0] == "lavender albino=V"
    assert [(c.key, c.what) for c in changed.conflicts] == [("snow", "parts")]


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        (own_gene("Clown Two", Inheritance.RECESSIVE, aliases=["pied"]), "'pied' already means Piebald"),
        (own_gene("Pied", Inheritance.RECESSIVE), "'pied' already means Piebald"),
        (own_gene("Killer Clown", Inheritance.RECESSIVE), "'killer clown' already means Killer Clown"),
        (own_gene("66%", Inheritance.RECESSIVE), "cannot be told"),
        (own_gene("Lantern", Inheritance.RECESSIVE, aliases=["het"]), "'het' cannot be told"),
        (own_gene("Poss Lantern", Inheritance.RECESSIVE), "cannot be told"),
        (own_gene("", Inheritance.RECESSIVE), "needs 'key'"),
        (own_gene("Lantern", Inheritance.RECESSIVE, complex="nowhere"), "there is no complex 'nowhere'"),
        (own_gene("Lantern", Inheritance.RECESSIVE, colour="red"), "a gene has no 'colour'"),
        (own_gene("Lantern", Inheritance.RECESSIVE, linkage={"recombination": 0.9, "provenance": "keeper"}), "1/2"),
        (own_gene("Lantern", Inheritance.RECESSIVE, provenance="published"), "goes with a citation"),
        (own_merge("clown", "clown"), "cannot be put into"),
        (own_merge("clown", "nothing"), "cannot be put into"),
        (own_combination("Night", [("no such gene", 2)]), "a part is a gene of the catalogue"),
        (own_combination("Night", [("clown", 3)]), "a part is a gene of the catalogue"),
        (own_pair("clown", "pastel", "Both"), "share no locus"),
        (own_line(LineWord("no such gene", "line B")), "cannot be a line"),
        (own_line(LineWord("axanthic", "  ")), "needs 'words'|cannot be a line"),
        (OwnEntry("gene x", "this is no TOML"), "cannot be read"),
        (OwnEntry("gene x", 'name = "Lantern"'), "has nothing called"),
        (OwnEntry("gene x", "[[thing]]\nname = 1"), "no tables called"),
        (OwnEntry("gene x", '[[gene]]\nkey = "x"\nname = 5\ninheritance = "recessive"'), "'name' is a text"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_in_a_sentence(entry: OwnEntry, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        check_own(entry, SHIPPED)


def test_a_complex_takes_seven_genes_at_most() -> None:
    entry = own_gene("Lantern", Inheritance.INCOMPLETE_DOMINANT, complex="blue-eyed leucistic complex")
    with pytest.raises(Refusal, match="at most 7"):
        check_own(entry, SHIPPED)


def test_a_field_that_is_none_cannot_be_corrected() -> None:
    with pytest.raises(Refusal, match="'key'"):
        own_correction(SHIPPED, "clown", key="other")


@given(
    st.text(st.characters(exclude_categories=["Cs"]), min_size=1),
    st.lists(st.text(st.characters(exclude_categories=["Cs"]))),
)
def test_any_text_is_written_so_that_it_is_read_back(text: str, more: list[str]) -> None:
    written = table_text("gene", {"name": text, "aliases": more, "was": {"two": text}, "unsure": True, "at": 0.05})
    table = tomllib.loads(written)["gene"][0]
    assert table["name"] == table["was"]["two"] == text and table.get("aliases", []) == more and table["at"] == 0.05
