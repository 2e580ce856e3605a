"""Findings are added to, corrected by later rows and never overwritten."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coilbook.derived.genetics_catalogues import catalogues_of, own_entries
from coilbook.genetics.catalogue import LineWord
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.own_entries import own_combination, own_correction, own_gene, own_line, own_merge
from coilbook.operations.animals import delete_animal
from coilbook.operations.findings import FindingDetails, add_finding, correct_finding, retract_finding
from coilbook.operations.own_genes import keep_entry, keep_own_gene
from coilbook.operations.undo import undo_last
from coilbook.reads.timeline import timeline
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import FindingKind, OwnKind
from coilbook.storage.species import shipped_texts
from tests.operations.conftest import Room

SEEN = FindingDetails(kind=FindingKind.SEEN, locus="pastel", looks=("pastel", "super pastel"), ppm=600_000)


def test_a_correction_is_a_row_of_its_own_and_the_first_one_stays_readable(room: Room) -> None:
    first = add_finding(room.book, animal=room.female, details=SEEN)
    assert str(first.notice) == "F-014: pastel / super pastel seen, 60% sure"
    room.clock.pass_(days=400)
    second = correct_finding(
        room.book, finding=first.value, details=replace(SEEN, kind=FindingKind.NOT_SEEN, ppm=1_000_000)
    )
    rows = room.book.read("SELECT id, kind, ppm, corrects_id FROM finding ORDER BY id")
    assert rows == [(first.value, "seen", 600_000, None), (second.value, "not_seen", 1_000_000, first.value)]
    told = [[str(m) for m in e.said] for e in timeline(room.book, room.female) if e.table == "finding"]
    assert told == [
        ["pastel / super pastel not seen"],
        ["pastel / super pastel seen, 60% sure", "corrected since"],
    ]


def test_what_was_corrected_or_taken_back_is_not_corrected_again(room: Room) -> None:
    first = add_finding(room.book, animal=room.female, details=SEEN).value
    back = retract_finding(room.book, finding=first, why="wrong tub").value
    for row in (first, back):
        with pytest.raises(Refusal, match="corrected or taken back already"):
            correct_finding(room.book, finding=row, details=SEEN)
    with pytest.raises(Refusal, match="has a history"):
        delete_animal(room.book, animal=room.female)


@pytest.mark.parametrize(
    ("details", "words"),
    [
        (replace(SEEN, looks=()), "the look"),
        (replace(SEEN, locus=""), "the gene"),
        (replace(SEEN, ppm=1_000_001), "between 0 and 100"),
        (FindingDetails(kind=FindingKind.TEST, locus="clown", gene="clown"), "how many copies"),
        (FindingDetails(kind=FindingKind.PROVEN, locus="clown"), "the gene"),
        (FindingDetails(kind=FindingKind.TEST, locus="clown", gene="clown", copies=1, ppm=500_000), "says nothing"),
    ],
)
def test_a_finding_without_what_it_is_about_is_refused(room: Room, details: FindingDetails, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        add_finding(room.book, animal=room.female, details=details)
    assert room.book.read("SELECT count(*) FROM finding") == [(0,)]


def test_an_own_gene_of_the_same_key_is_replaced(room: Room) -> None:
    first, second = (
        f'[[gene]]\nkey = "heather"\nname = "{name}"\ninheritance = "recessive"\n' for name in ("Ling", "Bell Ling")
    )
    keep_own_gene(room.book, kind=OwnKind.GENE, key=" Heather ", body=first)
    keep_own_gene(room.book, kind=OwnKind.GENE, key="heather", body=second)
    assert room.book.read("SELECT kind, key, body FROM own_gene") == [("gene", "heather", second)]


def test_an_own_gene_that_does_not_fit_is_refused(room: Room) -> None:
    entry = '[[gene]]\nkey = "heather"\nname = "Pied"\n'
    for body, words in ((entry, "needs 'inheritance'"), (f'{entry}inheritance = "recessive"', "already means Piebald")):
        with pytest.raises(Refusal, match=words):
            keep_own_gene(room.book, kind=OwnKind.GENE, key="heather", body=body)
    assert room.book.read("SELECT count(*) FROM own_gene") == [(0,)]


def test_names_lines_and_merges_are_kept_as_entries(room: Room) -> None:
    shipped = shipped_texts()["ball_python"]
    made = (
        own_gene("Lantern", Inheritance.RECESSIVE),
        own_correction(shipped, "clown", name="Harlequin Mask"),
        own_line(LineWord("axanthic", "Line Q")),
        own_line(LineWord("axanthic", "Northgate")),
        own_merge("axanthic (northgate)", "axanthic (line q)"),
        own_combination("Harvest Moon", [("pastel", 1), ("lantern", 2)]),
    )
    for entry in made:
        keep_entry(room.book, entry=entry)
    catalogue = catalogues_of(room.book)["ball_python"]
    assert catalogue.conflicts == () and own_entries(room.book, "ball_python") == made
    assert catalogue.genes["clown"].name == "Harlequin Mask" and "lantern" in catalogue.genes
    assert [line.line for line in catalogue.lines_of("axanthic")] == ["Line Q"]
    assert catalogue.combinations["harvest moon"].parts == (("pastel", 1), ("lantern", 2))
    undo_last(room.book)
    assert "harvest moon" not in catalogues_of(room.book)["ball_python"].combinations
