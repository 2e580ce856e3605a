"""Every entry of a shipped catalogue says where it comes from, and every catalogue adds up."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path

import pytest

from coilbook.genetics.catalogue import EVERYTHING, Grade
from coilbook.genetics.catalogue_text import read_catalogue
from coilbook.genetics.gene_names import words_of
from coilbook.genetics.locus import SexSystem
from coilbook.records.message import Refusal

FILES = sorted((Path(__file__).resolve().parents[2] / "resources" / "species").glob("*.toml"))
TABLES = ("gene", "complex", "pair", "caution", "combination")


def without_provenance(text: str) -> list[str]:
    """The entries that do not say where they come from, cautions and linkage inside a gene included."""
    loaded = tomllib.loads(text)
    entries = [loaded]
    for table in TABLES:
        for entry in loaded.get(table, []):
            entries += [entry, *entry.get("caution", []), *([entry["linkage"]] if "linkage" in entry else [])]
    told = [str(entry.get("key") or entry.get("name") or entry) for entry in entries if "provenance" not in entry]
    masks = [gene for gene in loaded.get("gene", []) if gene.get("hides") or gene.get("two_hides")]
    return told + [f"{gene['key']} hides" for gene in masks if "hides_provenance" not in gene]


@pytest.mark.parametrize("file", FILES, ids=[file.stem for file in FILES])
def test_every_entry_says_where_it_comes_from(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert without_provenance(text) == []
    catalogue = read_catalogue(text)
    assert not catalogue.conflicts
    assert all(gene.provenance.grade is not Grade.KEEPER and gene.description for gene in catalogue.genes.values())
    # a molecular gene is named only where it is published
    assert all(not gene.gene or gene.provenance.citation for gene in catalogue.genes.values())


def test_the_guard_catches_an_entry_without_provenance() -> None:
    text = FILES[0].read_text(encoding="utf-8")
    at = [match.start() for match in re.finditer(r'^(?:hides_)?provenance = ".*"$', text, re.M)]
    assert any(text.startswith("hides_provenance", start) for start in at)
    for start in at:
        end = text.index("\n", start)
        cut = text[:start] + text[end + 1 :]
        assert len(without_provenance(cut)) == 1
        with pytest.raises(Refusal):
            read_catalogue(cut)


@pytest.mark.parametrize("file", FILES, ids=[file.stem for file in FILES])
def test_a_word_means_one_thing(file: Path) -> None:
    catalogue = read_catalogue(file.read_text(encoding="utf-8"))
    words = Counter(
        words
        for each in (*catalogue.genes.values(), *catalogue.combinations.values())
        for words in {words_of(word) for word in (each.name, *each.aliases)}
    )
    assert [word for word, count in words.items() if count > 1] == []
    hidden = {key for gene in catalogue.genes.values() for key in gene.hides}
    hidden |= {key for keys in catalogue.masks.values() for key in keys}
    assert hidden <= {*catalogue.genes, EVERYTHING}


def test_the_catalogues_are_those_of_two_sex_systems() -> None:
    ball, corn = (read_catalogue(file.read_text(encoding="utf-8")) for file in FILES)
    assert (ball.species, ball.system) == ("Python regius", SexSystem.XY)
    assert (corn.species, corn.system) == ("Pantherophis guttatus", SexSystem.ZW)
    assert len(ball.genes) >= 45
    linked = [locus.key for locus in ball.loci.values() if locus.linkage is not None]
    assert linked == ["coral glow"] and ball.loci["coral glow"].linkage.recombination == 0.05  # type: ignore[union-attr]
    assert [locus.key for locus in corn.loci.values() if locus.linkage is not None] == []
    assert not any(gene.line for gene in (*ball.genes.values(), *corn.genes.values()))


def test_what_is_published_stands_as_published() -> None:
    """Genes by locus: Brown et al. 2022 PLoS ONE 17(10):e0276376; Montandon et al. 2025 Genome Biol. 26:73."""
    ball, corn = (read_catalogue(file.read_text(encoding="utf-8")) for file in FILES)
    genes = {
        key: ball.genes[key].gene for key in ("albino", "lavender albino", "ultramel", "ghost", "piebald", "clown")
    }
    assert list(genes.values()) == ["TYR", "OCA2", "TYRP1", "MLPH", "TFEC", "MC1R"]
    assert len({ball.genes[key].locus for key in genes}) == 6
    assert ball.genes["axanthic"].needs_line and ball.genes["axanthic"].gene == ""
    assert corn.genes["motley"].locus == corn.genes["stripe"].locus
    assert corn.look_of("motley", "stripe").key and corn.is_recessive("motley") and corn.is_recessive("stripe")
    # no cross counts of two spider copies were found: not seen is not called lethal
    double = ball.look_of("spider", "spider")
    assert double.unseen and not double.lethal
