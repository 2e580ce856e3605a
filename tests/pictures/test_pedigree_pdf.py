"""The printed pedigree: one page, every animal and doubt on it, nothing off the paper, vectors only."""

from __future__ import annotations

import datetime as dt
import re

import pypdfium2
import pytest

from coilbook.drawing.family import Member, tree_of
from coilbook.printing.paper import PAPERS
from coilbook.printing.pedigree_sheet import fitted, lies, pedigree_pdf
from coilbook.reads.kin import Kin
from coilbook.reads.pedigree import CardFacts, FamilyLines
from coilbook.reads.pedigree_sheet import PedigreeSheet
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Origin, Sex, Status
from coilbook.wording.style import Style

LONG = "Pastel Enchi Leopard Yellow Belly het clown 66% het piebald 50% het ghost"


def full_tree(generations: int) -> dict[int, Member]:
    """Every ancestor known, 1 the animal, 2n and 2n + 1 sire and dam of n."""
    last = 2 ** (generations + 1)
    return {
        key: Member(key, key * 2 + 1, ((key * 2, 100),)) if key * 2 < last else Member(key) for key in range(1, last)
    }


def sheet_of(members: dict[int, Member], generations: int, name: str = "F-{n:03d}") -> PedigreeSheet:
    lines = FamilyLines(members, {key: name.format(n=key) for key in members})
    facts = {
        key: CardFacts(
            id=AnimalId(key), keeper_id=lines.names[key], name="", sex=Sex.FEMALE, sex_percent=100, genetics=LONG,
            status=Status.HERE, origin=Origin.BOUGHT, hatched=None, place="R1-A1", came_year=2019, source="Wren",
        )
        for key in members
    }  # fmt: skip
    picture = tree_of(members, 1, generations, 0)
    return PedigreeSheet(
        facts[1], picture, facts, lines.names, Kin(lines).inbreeding(1, generations), dt.date(2026, 3, 29), None, "", {}
    )


def words_of(pdf: bytes) -> tuple[str, int]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        text = "".join(document[n].get_textpage().get_text_range() for n in range(len(document)))
        return text, len(document)
    finally:
        document.close()


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("generations", [3, 4, 5])
def test_a_full_tree_stands_on_one_page_and_names_everyone(generations: int, paper: str) -> None:
    sheet = sheet_of(full_tree(generations), generations)
    text, pages = words_of(pedigree_pdf(sheet, Style(), paper))
    assert pages == 1
    named = set(re.findall(r"F-\d{3}", text))
    assert named == set(sheet.names.values())
    assert "at least 0%" in text and f"{2 ** (generations + 1) - 2} of {2 ** (generations + 1) - 2} known" in text
    # where an animal lives is nobody's business on a paper that is given away
    assert "R1-A1" not in text


@pytest.mark.parametrize("generations", [3, 4, 5])
def test_the_tree_keeps_inside_its_box_at_a_size_that_can_be_read(generations: int) -> None:
    layout, unit = fitted(sheet_of(full_tree(generations), generations), 186, 203)
    assert layout.width * unit <= 186.01 and layout.height * unit <= 203.01
    least = min(card.height for card in layout.cards) * unit
    assert least >= 4.5, "a line of 5.5 points with its frame"


def test_doubt_and_the_unknown_are_printed_as_such() -> None:
    members = {1: Member(1, 4, ((2, 66), (3, 34))), 2: Member(2), 3: Member(3), 4: Member(4)}
    text, pages = words_of(pedigree_pdf(sheet_of(members, 3), Style()))
    assert pages == 1
    assert "possible 66%" in text and "possible 34%" in text
    assert "sire of F-002 not known" in text and "dam of F-004 not known" in text
    assert "known" in text and "not verified" in text


def test_a_long_id_and_a_loop_fit() -> None:
    members = {1: Member(1, 3, ((2, 100),)), 2: Member(2, 5, ((4, 100),)), 3: Member(3, 6, ((4, 100),)),
               4: Member(4), 5: Member(5), 6: Member(6)}  # fmt: skip
    text, _ = words_of(pedigree_pdf(sheet_of(members, 3, "F-{n:03d}-of-the-long-row"), Style()))
    assert "12.5%" in text and "F-001-of-the-long-row" in text
    # ids are cut, the sex is not: every card and the head tell it
    assert text.count("♀ F") == 7


def test_it_is_drawn_not_painted() -> None:
    """Without a photo there is no picture in the file; with the same content it is the same file."""
    sheet = sheet_of(full_tree(4), 4)
    pdf = pedigree_pdf(sheet, Style())
    assert b"/Subtype /Image" not in pdf
    assert pdf == pedigree_pdf(sheet, Style())


def test_a_long_line_of_doubtful_sires_turns_the_paper_rather_than_cut_ids() -> None:
    """Five generations with two possible sires each: on a paper that lies every id is whole."""
    members = {key: Member(key, 100 + key, ((key + 1, 60), (200 + key, 40))) for key in range(1, 6)}
    members |= {key: Member(key) for key in (6, *range(101, 106), *range(201, 206))}
    sheet = sheet_of(members, 5)
    assert lies(sheet, "A4") and not lies(sheet_of(full_tree(5), 5), "A4")
    named = set(re.findall(r"F-\d{3}", words_of(pedigree_pdf(sheet, Style()))[0]))
    assert named == {sheet.names[key] for column in sheet.picture.columns for key in column if key > 0}
