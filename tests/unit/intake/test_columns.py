"""What columns are taken for, by header and content."""

from __future__ import annotations

import pytest

from coilbook.intake.columns import Basis, Meaning, guess_columns, match_header
from coilbook.intake.layout import find_header
from coilbook.intake.sheet import Row, Sheet

YEAR = 2026


def _rows(*lines: str) -> tuple[Row, ...]:
    return tuple(Row(number, tuple(line.split("|"))) for number, line in enumerate(lines, 1))


@pytest.mark.parametrize(
    ("header", "meaning"),
    [
        ("Snake #", Meaning.ID),
        ("ID", Meaning.ID),
        ("Name", Meaning.NAME),
        ("Call name", Meaning.NAME),
        ("Gender", Meaning.SEX),
        ("Genes / morph", Meaning.GENETICS),
        ("genetcis", Meaning.GENETICS),
        ("D.O.B.", Meaning.HATCHED),
        ("Hatch Date:", Meaning.HATCHED),
        ("Weight (g)", Meaning.WEIGHT),
        ("weigth", Meaning.WEIGHT),
        ("Wt oz", Meaning.WEIGHT),
        ("Rack/Tub", Meaning.PLACE),
        ("Mother", Meaning.DAM),
        ("SIRE", Meaning.SIRE),
        ("Purchase date", Meaning.ACQUIRED),
        ("Bought from", Meaning.SOURCE),
        ("$", Meaning.PRICE),
        ("Status", Meaning.STATUS),
        ("comments", Meaning.NOTES),
        ("Prey size", Meaning.PREY),
        ("Temperament", Meaning.OTHER),
        ("Zodiac", None),
    ],
)
def test_headers(header: str, meaning: Meaning | None) -> None:
    assert match_header(header) is meaning


def test_wide_date_columns_are_feedings_or_weights_by_content() -> None:
    rows = _rows("F-01|X|1502|X", "F-02|R|880|", "F-03|sm|1710|x")
    columns = guess_columns(("Id", "1/3", "1/4", "Weight 1/10/24"), rows, {}, this_year=YEAR)
    assert [c.meaning for c in columns] == [Meaning.ID, Meaning.FEEDING_ON, Meaning.WEIGHT_ON, Meaning.WEIGHT_ON]


def test_a_sheet_without_a_header_is_read_by_content() -> None:
    rows = _rows(
        "F-01|0.1|pastel clown|quiet",
        "F-02|0.1|het pied|bites",
        "M-01|1.0|normal|shy",
        "M-02|1.0|enchi fire|",
    )
    columns = guess_columns((), rows, {}, this_year=YEAR)
    assert [c.meaning for c in columns] == [Meaning.ID, Meaning.SEX, Meaning.GENETICS, Meaning.OTHER]
    assert {c.basis for c in columns[:3]} == {Basis.CONTENT}
    assert columns[0].title == "A"


def test_one_column_a_meaning_the_better_one() -> None:
    rows = _rows("F-01|a|Juniper", "F-02|b|Maple")
    columns = guess_columns(("Id", "Nr", "Name"), rows, {}, this_year=YEAR)
    assert [c.meaning for c in columns] == [Meaning.ID, Meaning.OTHER, Meaning.NAME]


def test_a_header_its_content_contradicts_is_doubted() -> None:
    rows = _rows(*(f"F-{n}|see the book" for n in range(8)))
    columns = guess_columns(("Id", "Weight"), rows, {}, this_year=YEAR)
    assert columns[1].doubtful


def test_an_answer_overrules_and_equal_headers_keep_apart() -> None:
    rows = _rows("F-01|a|b")
    columns = guess_columns(("Id", "Misc", "Misc"), rows, {"column|misc #2": "tags"}, this_year=YEAR)
    assert [(c.meaning, c.basis) for c in columns[1:]] == [
        (Meaning.NOTES, Basis.HEADER),
        (Meaning.TAGS, Basis.ANSWER),
    ]
    assert columns[2].key == "column|misc #2"


def test_a_nonsense_answer_is_not_followed() -> None:
    columns = guess_columns(("Id",), _rows("F-01"), {"column|id": "moon phase"}, this_year=YEAR)
    assert columns[0].meaning is Meaning.ID


def test_the_header_is_found_below_titles() -> None:
    rows = _rows("My snakes", "updated by Wren", "Id|Sex|Genes|1/3|1/10", "F-01|0.1|pastel|X|X")
    layout = find_header(Sheet("x", rows), YEAR)
    assert layout.header_at == 2
    assert find_header(Sheet("x", _rows("F-01|0.1|pastel", "F-02|0.1|clown")), YEAR).header_at == -1


def test_a_first_row_of_words_over_numbers_is_a_header() -> None:
    rows = _rows("Snake|Morphology|Zodiac", "F-01|pastel|3", "F-02|clown|4")
    assert find_header(Sheet("x", rows), YEAR).header_at == 0
    rows = _rows("Juniper|clown|alive", "Maple|pastel|sold")
    assert find_header(Sheet("x", rows), YEAR).header_at == -1


def test_a_column_in_which_the_parents_are_found_holds_the_names() -> None:
    rows = _rows("1|Alder|m||", "2|Briar|f||", "3|Cress|f|Alder|Briar", "4|Dill|m|alder|Cress", "5|Elm|f|M-9|Briar")
    header = ("No.", "Who", "Sex", "Father", "Mother")
    columns = guess_columns(header, rows, {}, this_year=YEAR)
    assert [c.meaning for c in columns] == [Meaning.ID, Meaning.NAME, Meaning.SEX, Meaning.SIRE, Meaning.DAM]
    assert columns[1].basis is Basis.CONTENT
    # where parents are named by their ids nothing is taken for a name
    rows = _rows("1|Alder|m||", "2|Briar|f||", "3|Cress|f|1|2", "4|Dill|m|1|3")
    assert guess_columns(header, rows, {}, this_year=YEAR)[1].meaning is Meaning.OTHER
