"""From sheets to a plan: tiers, questions, whose row is whose, and that no cell is lost."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence

import pytest

from coilbook.intake.layout import RowKind
from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.planned import Fate, GeneticsReading, Known, KnownAnimal, KnownPlace, PlannedAnimal, PlannedNote
from coilbook.intake.questions import Option, Question, Scope
from coilbook.intake.report import report_of
from coilbook.intake.sheet import Cancelled, Row, Sheet
from coilbook.intake.tiers import Tier
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.message import say
from coilbook.records.quantities import MassUnit, Money
from coilbook.records.settings import DateOrder
from coilbook.records.vocabulary import FeedingResult, Precision, Sex, Status
from coilbook.records.when import PartialDate, day

TODAY = dt.date(2026, 11, 25)
NOBODY = Known(TODAY)


def _sheet(*lines: str, name: str = "old", fills: Mapping[int, str] | None = None) -> Sheet:
    """A sheet from lines with | between cells; `fills` colours rows by number."""
    rows = []
    for number, line in enumerate(lines, 1):
        cells = [cell.strip() for cell in line.split("|")]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            rows.append(Row(number, tuple(cells), (fills or {}).get(number, "")))
    return Sheet(name, tuple(rows))


def _plan(*lines: str, answers: Mapping[str, str] | None = None, known: Known = NOBODY) -> ImportPlan:
    return propose([_sheet(*lines)], answers or {}, known)


def _one(plan: ImportPlan) -> PlannedAnimal:
    (animal,) = plan.animals
    return animal


def test_a_whole_row() -> None:
    animal = _one(
        _plan(
            "Id | Name | Sex | Genes | Hatched | Weight | Weighed | Rack | Slot | Dam | Sire"
            " | Acquired | From | $ | Notes | Tags",
            "F-014 | Juniper | 0.1 | Pastel 66% het clown | Mar 2021 | 1.842kg | 2024-01-09 | R2 | 14 | F-001 | M-03"
            " | 2022-05-01 | Teo | $350 | shy | project, keeper",
        )
    )
    assert (animal.keeper_id, animal.name, animal.sex, animal.sex_sure) == ("F-014", "Juniper", Sex.FEMALE, True)
    assert animal.claim == "Pastel 66% het clown"
    assert animal.hatched == PartialDate(dt.date(2021, 3, 1), Precision.MONTH)
    assert [(w.mass.decigrams, w.on) for w in animal.weights] == [(18420, dt.date(2024, 1, 9))]
    assert animal.place is not None and (animal.place.rack, animal.place.slot) == ("R2", "14")
    assert animal.dam is not None and animal.dam.outside and animal.dam.keeper_id == "F-001"
    assert [parent.keeper_id for parent in animal.sire] == ["M-03"]
    assert (animal.acquired, animal.source) == (day(2022, 5, 1), "Teo")
    assert (animal.price, animal.price_text) == (Money(35000, "USD"), "$350")
    assert [note.text for note in animal.notes] == ["shy"]
    assert animal.tags == ("project", "keeper")
    assert animal.sources == (("old", 2),)


def test_ambiguous_dates_are_asked_once_a_column_and_kept_as_text_while_open() -> None:
    lines = ("Id | DOB | Acquired", "F-01 | 3/4/21 | 3/4/22", "F-02 | 5/6/21 | 25/12/21", "F-03 | 2021-01-02 |")
    plan = _plan(*lines)
    (question,) = plan.questions
    assert (question.key, question.count, question.examples) == ("date-order|dob", 2, ("3/4/21", "5/6/21"))
    assert "2021-04-03" in str(question.options[0].label) and "2021-03-04" in str(question.options[1].label)
    assert [row.tier for row in plan.rows[1:]] == [Tier.QUESTION, Tier.QUESTION, Tier.READY]
    assert plan.counts.ambiguous_dates == 2
    assert plan.animals[0].hatched is None
    assert [note.text for note in plan.animals[0].notes] == ["DOB: 3/4/21"]
    # the other column has a row that tells
    assert plan.animals[0].acquired == day(2022, 4, 3)

    settled = _plan(*lines, answers={"date-order|dob": "month_first"})
    assert settled.animals[0].hatched == day(2021, 3, 4)
    assert not settled.open_questions and settled.counts.ready == 3
    assert settled.given_answers == {"date-order|dob": "month_first"}


def test_the_keepers_own_date_order_is_only_suggested() -> None:
    known = Known(TODAY, date_order=DateOrder.MONTH_FIRST)
    plan = _plan("Id | DOB", "F-01 | 3/4/21", known=known)
    assert plan.questions[0].suggested == "month_first"
    assert plan.animals[0].hatched is None


def test_only_what_columns_and_signs_mean_is_remembered() -> None:
    answers = {"year|old": "2024", "mark|x": "taken", "groups": "split", "no-id": "number", "column|moon": "tags"}
    lines = ("Id | Sex | Moon | 1/3 | 1/20", "F-01 | 1.2 | full | X | X", "| 0.1 | new | X | X", "F-3 | f | | X |")
    plan = _plan(*lines, answers=answers)
    assert {q.key for q in plan.questions if not q.open} == {"year|old", "mark|x", "groups"}
    assert plan.given_answers == {"mark|x": "taken", "column|moon": "tags"}


def test_an_answer_that_is_no_option_leaves_the_question_open() -> None:
    assert _plan("Id | DOB", "F-01 | 3/4/21", answers={"date-order|dob": "backwards"}).open_questions


def test_small_numbers_in_a_weight_column_are_asked() -> None:
    lines = ("Id | Weight", "F-01 | 3.2", "F-02 | 1.9", "F-03 | 900 g")
    plan = _plan(*lines)
    assert [q.key for q in plan.questions] == ["weight-unit|weight"]
    assert [len(a.weights) for a in plan.animals] == [0, 0, 1]
    assert "90.7 g" in str(plan.questions[0].options[0].label)
    for answer, decigrams in (("oz", 907), ("kg", 32000)):
        settled = _plan(*lines, answers={"weight-unit|weight": answer})
        assert settled.animals[0].weights[0].mass.decigrams == decigrams
    own = _plan(*lines, known=Known(TODAY, mass_unit=MassUnit.OUNCE))
    assert (plan.questions[0].suggested, own.questions[0].suggested) == (None, "oz")
    named = _plan("Id | Weight (oz)", "F-01 | 3.2")
    assert named.animals[0].weights[0].mass.decigrams == 907 and not named.questions


FEEDING = (
    "Id | Sex | 1/3 | 1/10 | 1/17",
    "F-01 | 0.1 | X | R | 2m",
    "F-02 | 0.1 | ✓ | - | sm",
)


def test_signs_of_feeding_columns_are_asked_once_each() -> None:
    plan = _plan(*FEEDING, "F-03 | 0.1 | x | r |")
    keys = [q.key for q in plan.questions]
    assert keys == ["year|old", "mark|x", "mark|r", "mark|2m", "mark|✓", "mark|-", "mark|sm"]
    assert plan.questions[1].count == 2
    assert plan.counts.ready == 3  # signs are kept as notes; nobody waits for them
    assert [note.text for note in plan.animals[0].notes] == ["1/3: X", "1/10: R", "1/17: 2m"]


def test_answered_signs_become_feedings() -> None:
    answers = {
        "year|old": "2024",
        "mark|x": "taken",
        "mark|r": "refused",
        "mark|2m": "taken|2|mouse",
        "mark|✓": "taken",
        "mark|-": "nothing",
        "mark|sm": "text",
    }
    plan = _plan(*FEEDING, answers=answers)
    first, second = plan.animals
    assert [(f.on, f.result, f.count, f.prey) for f in first.feedings] == [
        (dt.date(2024, 1, 3), FeedingResult.TAKEN, 1, ""),
        (dt.date(2024, 1, 10), FeedingResult.REFUSED, 1, ""),
        (dt.date(2024, 1, 17), FeedingResult.TAKEN, 2, "mouse"),
    ]
    assert len(second.feedings) == 1
    assert [(note.text, note.on) for note in second.notes] == [("1/17: sm", dt.date(2024, 1, 17))]
    assert plan.rows[2].fates[3] is Fate.SET_ASIDE


def test_date_columns_walk_over_the_turn_of_the_year_and_take_the_tabs_year() -> None:
    sheet = _sheet("Id | Sex | 12/20 | 12/27 | 1/3", "F-01 | 0.1 | X | X | X", name="Feeding 2023")
    plan = propose([sheet], {"mark|x": "taken"}, NOBODY)
    assert [f.on for f in plan.animals[0].feedings] == [
        dt.date(2023, 12, 20),
        dt.date(2023, 12, 27),
        dt.date(2024, 1, 3),
    ]


def test_a_title_above_the_header_names_the_year() -> None:
    plan = _plan("Feeding log 2022", "Id | Sex | 1/3 | 1/20", "F-01 | 0.1 | X | X", answers={"mark|x": "taken"})
    assert [f.on.year for f in plan.animals[0].feedings] == [2022, 2022]
    assert not plan.open_questions


def test_weekly_weights() -> None:
    sheet = _sheet("Id | Sex | 1/3 | 1/20", "F-01 | 0.1 | 1502 | 1.51kg", "F-02 | 0.1 | 800 | 820", name="2024")
    animal = propose([sheet], {}, NOBODY).animals[0]
    assert [(w.mass.decigrams, w.on) for w in animal.weights] == [
        (15020, dt.date(2024, 1, 3)),
        (15100, dt.date(2024, 1, 20)),
    ]


def test_small_numbers_in_date_columns_may_be_prey() -> None:
    sheet = _sheet("Id | Sex | 1/3 | 1/20", "F-01 | 0.1 | 85 | 90", "F-02 | 0.1 | 70 | 85", name="2024")
    plan = propose([sheet], {}, NOBODY)
    assert [(q.key, q.count) for q in plan.questions] == [("date-numbers", 2)]
    assert not plan.animals[0].weights
    assert plan.animals[0].notes[0] == PlannedNote("1/3: 85", dt.date(2024, 1, 3))
    assert len(propose([sheet], {"date-numbers": "weight_on"}, NOBODY).animals[0].weights) == 2


def test_section_titles_speak_for_the_rows_below() -> None:
    plan = _plan(
        "Id | Sex | Genes",
        "RACK 1 - females",
        "F-01 | | pastel",
        "Sold 2022",
        "F-02 | 0.1 | clown",
        "Holdbacks",
        "F-03 | 0.1 | enchi",
    )
    assert [row.kind for row in plan.rows if row.number in (2, 4, 6)] == [RowKind.SECTION] * 3
    first, second, third = plan.animals
    assert first.sex is Sex.FEMALE and first.place is not None and first.place.rack == "RACK 1"
    assert second.status is Status.SOLD
    assert third.status is Status.HERE and third.tags == ("Holdbacks",)
    assert plan.counts.rows == 3


def test_a_repeated_header_is_no_animal() -> None:
    plan = _plan("Id | Sex | Genes", "F-01 | 0.1 | pastel", "ID | Sex | Genes", "F-02 | 0.1 | clown")
    assert [animal.keeper_id for animal in plan.animals] == ["F-01", "F-02"]


def test_coloured_rows_are_asked() -> None:
    sheet = _sheet("Id | Sex", "F-01 | 0.1", "F-02 | 0.1", fills={2: "FFFF00"})
    plan = propose([sheet], {}, NOBODY)
    assert [(q.key, q.count, q.holds) for q in plan.questions] == [("fill|FFFF00", 1, False)]
    assert propose([sheet], {"fill|FFFF00": "tag:holdback"}, NOBODY).animals[0].tags == ("holdback",)
    assert propose([sheet], {"fill|FFFF00": "sold"}, NOBODY).animals[0].status is Status.SOLD


def test_groups() -> None:
    lines = ("Id | Sex | Genes | Weight", "J-22 | 1.2 | normal | 300", "F-01 | 0.1 | clown | 900")
    plan = _plan(*lines)
    assert [row.tier for row in plan.rows[1:]] == [Tier.QUESTION, Tier.READY]
    assert len(plan.animals) == 1
    split = _plan(*lines, answers={"groups": "split"})
    assert [(a.keeper_id, a.sex) for a in split.animals[:3]] == [
        ("J-22/1", Sex.MALE),
        ("J-22/2", Sex.FEMALE),
        ("J-22/3", Sex.FEMALE),
    ]
    assert split.rows[1].animals == (0, 1, 2)
    assert all(a.claim == "normal" and not a.weights for a in split.animals[:3])
    assert "300" in split.animals[0].notes[0].text
    kept = _plan(*lines, answers={"groups": "keep"})
    assert len(kept.animals) == 1 and kept.rows[1].tier is Tier.TEXT_KEPT


REPEATED = ("Id | Name | Sex | Hatched | Notes", "F-014 | Juniper | 0.1 | 2021 | one", "f14 | | 0.1 | Mar 2021 | two")


def test_an_id_used_again_is_asked() -> None:
    plan = _plan(*REPEATED)
    (question,) = plan.questions
    assert question.key == "same-id|old|3|f14" and question.suggested == "merge" and not question.remembered
    assert plan.rows[2].tier is Tier.QUESTION and plan.rows[2].animals == ()
    assert plan.counts.duplicate_ids == 1 and len(plan.animals) == 1


def test_merging_keeps_what_the_second_row_says_otherwise() -> None:
    animal = _one(_plan(*REPEATED, answers={"same-id|old|3|f14": "merge"}))
    texts = [note.text for note in animal.notes]
    assert animal.hatched == PartialDate(dt.date(2021, 1, 1), Precision.YEAR)
    assert "one" in texts and "two" in texts
    assert any("2021-03-01 (month)" in text for text in texts) and any("f14" in text for text in texts)
    assert animal.sources == (("old", 2), ("old", 3))


def test_separating_and_leaving_out() -> None:
    first, second = _plan(*REPEATED, answers={"same-id|old|3|f14": "separate"}).animals
    assert (first.keeper_id, second.keeper_id) == ("F-014", "f14 (2)")
    left = _plan(*REPEATED, answers={"same-id|old|3|f14": "leave_out"})
    assert len(left.animals) == 1 and left.rows[2].tier is Tier.TEXT_KEPT and left.rows[2].reason


def test_contradicting_rows_are_suggested_to_be_two_animals() -> None:
    plan = _plan("Id | Sex", "F-014 | 0.1", "F-014 | 1.0")
    assert plan.questions[0].suggested == "separate"


def test_one_animal_on_several_tabs_is_asked_once_for_all() -> None:
    tabs = [
        _sheet("Id | Sex | Weight", "F-01 | 0.1 | 900", "F-02 | 0.1 | 800", "M-01 | 1.0 | 500", name="2023"),
        _sheet("Id | Sex | Weight", "f01 | 0.1 | 1200", "F-02 | | 1100", "M-01 | 0.1 | 700", name="2024"),
    ]
    plan = propose(tabs, {}, NOBODY)
    assert [(q.key, q.count) for q in plan.questions] == [("same-on-tabs", 2), ("same-id|2024|4|M-01", 1)]
    merged = propose(tabs, {"same-on-tabs": "merge"}, NOBODY)
    assert [w.mass.decigrams for w in merged.animals[0].weights] == [9000, 12000]
    assert len(merged.animals) == 3


def test_spellings_of_a_name_on_two_tabs() -> None:
    tabs = [
        _sheet("Name | Sex | Genes", "Juniper | 0.1 | clown", name="2023"),
        _sheet("Name | Sex | Genes", "Junipper | 0.1 | clown", name="2024"),
    ]
    plan = propose(tabs, {}, NOBODY)
    assert [q.key for q in plan.questions] == ["spelling|Junipper|Juniper"]
    assert len(propose(tabs, {"spelling|Junipper|Juniper": "merge"}, NOBODY).animals) == 1
    assert len(propose(tabs, {"spelling|Junipper|Juniper": "separate"}, NOBODY).animals) == 2


def test_animals_the_collection_has() -> None:
    known = Known(TODAY, animals=(KnownAnimal(AnimalId(7), "F-014", "Juniper", Sex.FEMALE),))
    lines = ("Id | Sex | Weight", "F-14 | 0.1 | 900", "F-02 | 0.1 | 800")
    plan = _plan(*lines, known=known)
    assert [q.key for q in plan.questions] == ["in-collection"] and len(plan.animals) == 1
    assert _plan(*lines, known=known, answers={"in-collection": "merge"}).animals[0].existing == 7
    other = _plan("Id | Sex", "F-014 | 1.0", known=known)
    assert [q.key for q in other.questions] == ["known-id|F-014"]
    assert _one(_plan("Id | Sex", "F-014 | 1.0", known=known, answers={"known-id|F-014": "separate"})).existing is None


def test_animals_without_an_id() -> None:
    lines = ("Id | Sex | Genes", "| 0.1 | pastel", "? | 1.0 | clown", "N-1 | 0.1 | enchi")
    plan = _plan(*lines)
    assert [(q.key, q.count) for q in plan.questions] == [("no-id", 2)]
    assert len(plan.animals) == 1
    numbered = _plan(*lines, answers={"no-id": "number"})
    assert [a.keeper_id for a in numbered.animals] == ["N-2", "N-3", "N-1"]


def test_parents_are_found_by_id_and_name_in_the_sheet_and_the_collection() -> None:
    known = Known(TODAY, animals=(KnownAnimal(AnimalId(9), "M-09", "Rowan", Sex.MALE),))
    plan = _plan(
        "Id | Name | Sex | Dam | Sire",
        "F-014 | Juniper | 0.1 | |",
        "H-01 | | 0.1 | juniper | rowan",
        "H-02 | | 0.1 | f14 | M-03 or m9",
        "H-03 | | 0.1 | ? | Teo's male",
        "H-04 | | 0.1 | H-04 |",
        "H-05 | | 0.1 | | F-014",
        known=known,
    )
    _, first, second, third, fourth, _ = plan.animals
    assert first.dam is not None and first.dam.in_plan and first.dam.keeper_id == "F-014"
    assert first.sire[0].existing == 9
    assert second.dam is not None and second.dam.keeper_id == "F-014"
    assert [(p.keeper_id, p.existing, p.outside) for p in second.sire] == [("M-03", None, True), ("M-09", 9, False)]
    assert third.dam is None and third.sire[0].outside and third.sire[0].text == "Teo's male"
    assert fourth.dam is None and fourth.notes[0].text == "Dam: H-04"
    assert [len(row.warnings) for row in plan.rows[1:]] == [0, 0, 0, 0, 1, 1]


def test_a_pairing_in_one_column() -> None:
    plan = _plan(
        "Id | Sex | Parents", "M-01 | 1.0 |", "F-02 | 0.1 |", "H-01 | 0.1 | M-01 x F-02", "H-02 | 0.1 | bought"
    )
    animal = plan.animals[2]
    assert animal.dam is not None and animal.dam.keeper_id == "F-02" and animal.sire[0].keeper_id == "M-01"
    assert plan.rows[4].tier is Tier.TEXT_KEPT


def test_places_of_the_collection_are_used() -> None:
    known = Known(TODAY, places=(KnownPlace(PlaceId(3), "Snake room", "R2", "14"),))
    plan = _plan(
        "Id | Sex | Place", "F-01 | 0.1 | Rack 2 tub 14", "F-02 | 0.1 | R2-15", "F-03 | 0.1 | R2-14", known=known
    )
    places = [animal.place for animal in plan.animals]
    assert places[0] is not None and places[0].existing == 3 and places[0].room == "Snake room"
    assert places[1] is not None and places[1].existing is None
    assert "F-01" in str(plan.rows[3].warnings[0])


@pytest.mark.parametrize(
    ("line", "kind", "word"),
    [
        ("Total | 34", RowKind.SUM, "sum"),
        ("F-14 x M7 | 7+1 | 3/31", RowKind.CLUTCH, "clutch"),
        ("F-14 x M7, 7+1, 3/31, due 5/28", RowKind.CLUTCH, "clutch"),
        ("F-14 x M7 | next year", RowKind.OTHER, "pairing"),
        ("F-01, F-02 | 0.2 | normal", RowKind.OTHER, "2 animals"),
        ("order more rats before the show", RowKind.LINE, "line of text"),
        ("slug | | albino", RowKind.OTHER, "egg"),
        ("? | | ", RowKind.OTHER, "neither"),
        ("Heat tape | | | $24", RowKind.OTHER, "Heat tape"),
    ],
)
def test_rows_that_cannot_be_animals(line: str, kind: RowKind, word: str) -> None:
    plan = _plan("Id | Sex | Genes | Price", *(f"F-{n} | 0.1 | clown |" for n in range(30, 36)), line)
    row = plan.rows[-1]
    assert (row.kind, row.tier) == (kind, Tier.REFUSED)
    assert word in str(row.reason)
    assert len(plan.animals) == 6
    assert set(row.fates) <= {Fate.KEPT, Fate.EMPTY}


def test_a_tab_of_clutches_and_a_tab_of_money_are_kept_as_text() -> None:
    clutches = _sheet("Dam | Sire | Laid | Eggs | Slugs | Due", "F-14 | M-07 | 3/31/24 | 7 | 1 | 5/28", name="Clutches")
    money = _sheet("Date | What | Price", "2024-01-02 | tubs | 55", "2024-02-02 | rats | 80", name="Money")
    plan = propose([clutches, money], {}, NOBODY)
    assert not plan.animals
    assert [row.kind for row in plan.rows if row.tier is Tier.REFUSED] == [RowKind.CLUTCH, RowKind.OTHER, RowKind.OTHER]
    assert "clutches" in str(plan.sheets[0].sayings[0]) and "no column that names animals" in str(
        plan.sheets[1].sayings[0]
    )


def test_cells_that_cannot_be_read_are_kept_and_told() -> None:
    plan = _plan("Id | Sex | DOB | Weight", "F-01 | 0.1 | when it rained | big girl", "F-02 | ladyish | 2021? | ~900")
    assert [row.tier for row in plan.rows[1:]] == [Tier.TEXT_KEPT, Tier.TEXT_KEPT]
    first, second = plan.animals
    assert [note.text for note in first.notes] == ["DOB: when it rained", "Weight: big girl"]
    assert {note.text for note in second.notes} == {"Sex: ladyish", "DOB: 2021?", "Weight: ~900"}
    assert second.weights[0].mass.decigrams == 9000


def test_a_date_ahead_of_today_is_not_believed() -> None:
    plan = _plan("Id | Sex | DOB", "F-01 | 0.1 | 2027-01-01")
    assert plan.animals[0].hatched is None and plan.rows[1].warnings


def test_genetics_are_read_by_whoever_can() -> None:
    asked = Question("genetics|ph clown", say("?"), (Option("50", say("50%")),), Scope.WORD)

    class Reader:
        def learn(self, texts: Iterable[str], answers: Mapping[str, str]) -> None:
            assert list(texts) == ["ph clown", "clown", "the pretty one"]

        def read(self, text: str, answers: Mapping[str, str]) -> GeneticsReading:
            return GeneticsReading(text.upper(), (asked,) * (text == "ph clown"), text == "the pretty one")

        def doubt(self, text: str, young: object, dam: object, sires: Sequence[object]) -> Question | None:
            raise AssertionError("no animal of this sheet has parents")

    reader = Reader()
    sheet = _sheet("Id | Genes | Sex", "F-01 | ph clown | f", "F-02 | clown | f", "F-03 | the pretty one | f")
    plan = propose([sheet], {}, NOBODY, genetics_reader=reader)
    assert [row.tier for row in plan.rows[1:]] == [Tier.QUESTION, Tier.READY, Tier.TEXT_KEPT]
    assert (plan.animals[0].claim, plan.animals[0].finding) == ("ph clown", "PH CLOWN")
    assert propose([sheet], {asked.key: "50"}, NOBODY, genetics_reader=reader).counts.ready == 2


def test_proposing_can_be_stopped_and_tells_how_far_it_is() -> None:
    sheet = _sheet("Id | Sex", *(f"F-{n} | f" for n in range(1000)))
    told: list[tuple[int, int]] = []
    propose([sheet], {}, NOBODY, progress=lambda done, total: told.append((done, total)))
    assert len(told) >= 4 and told[-1] == (1001, 1001)
    with pytest.raises(Cancelled):
        propose([sheet], {}, NOBODY, cancelled=lambda: True)


def test_the_report_names_everything_not_written() -> None:
    plan = _plan("Id | Sex | Genes", "F-01 | 0.1 | clown", "f1 | 0.1 | clown", "Total | 2", "F-14 x M7 | 7+1")
    report = report_of(plan, "old.csv")
    assert [line.row for line in report.refused] == [4]
    assert [line.text for line in report.clutches] == ["F-14 x M7 | 7+1"]
    assert [line.row for line in report.not_written] == [3]
    stored = json.loads(report.as_json())
    assert stored["counts"]["rows"] == 4 and stored["questions"][0]["answer"] == ""


@pytest.mark.parametrize(("name", "rack"), [("R2", "R2"), ("b 11", "b 11"), ("Sheet1", ""), ("2024", ""), ("old", "")])
def test_a_tab_named_like_a_rack_is_one_where_its_rows_have_slots_alone(name: str, rack: str) -> None:
    plan = propose([_sheet("Slot | Id | Sex", "1 | F-01 | f", "2 | F-02 | f", name=name)], {}, NOBODY)
    places = [(a.place.rack, a.place.slot) for a in plan.animals if a.place is not None]
    assert places == [(rack, "1"), (rack, "2")]
    named = propose([_sheet("Rack | Slot | Id", "X9 | 1 | F-01", name=name)], {}, NOBODY)
    assert [a.place.rack for a in named.animals if a.place is not None] == ["X9"]
    without = propose([_sheet("Id | Sex", "F-01 | f", name=name)], {}, NOBODY)
    assert [a.place for a in without.animals] == [None]


def test_animals_that_would_descend_from_themselves_lose_the_parent_that_closes_the_ring() -> None:
    plan = _plan("Id | Dam | Sire", "A-1 | B-1 |", "B-1 | | C-1", "C-1 | A-1 |", "D-1 | A-1 | C-1")
    assert [a.dam.keeper_id if a.dam else "" for a in plan.animals] == ["B-1", "", "", "A-1"]
    assert [[p.keeper_id for p in a.sire] for a in plan.animals] == [[], ["C-1"], [], ["C-1"]]
    assert [note.text for note in plan.animals[2].notes] == ["Dam: A-1"]
    assert "descends from it" in str(plan.rows[3].warnings[0])
