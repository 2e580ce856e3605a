"""Dams and sires a sheet names: by id before by name, by name only when it can mean one animal."""

from __future__ import annotations

import datetime as dt

from coilbook.intake.plan import ImportPlan, propose
from coilbook.intake.planned import Known, KnownAnimal
from coilbook.intake.sheet import Row, Sheet
from coilbook.intake.tiers import Tier
from coilbook.records.ids import AnimalId
from coilbook.records.vocabulary import Sex

KNOWN = Known(
    dt.date(2026, 11, 25),
    animals=(
        KnownAnimal(AnimalId(1), "F-01", "Luna", Sex.FEMALE),
        KnownAnimal(AnimalId(2), "F-02", "Luna", Sex.FEMALE),
        KnownAnimal(AnimalId(3), "M-77", "Luna", Sex.MALE),
        KnownAnimal(AnimalId(4), "M-78", "F-02", Sex.MALE),
        KnownAnimal(AnimalId(5), "M-79", "Onyx", Sex.MALE),
    ),
)


def plan_of(*lines: str, known: Known = KNOWN) -> ImportPlan:
    rows = tuple(Row(number, tuple(line.split(","))) for number, line in enumerate(lines, 1))
    return propose([Sheet("room", rows)], {}, known)


def test_an_id_is_believed_before_another_animals_name() -> None:
    (young,) = plan_of("Id,Sex,Dam", "Y-1,f,F-02").animals
    assert young.dam is not None and young.dam.existing == AnimalId(2)


def test_a_name_that_several_share_is_kept_as_words() -> None:
    """The last of them was taken for the parent, were it a male for a dam."""
    plan = plan_of("Id,Sex,Dam,Sire", "Y-1,f,Luna,Onyx")
    (young,) = plan.animals
    assert young.dam is None and [note.text for note in young.notes] == ["Dam: Luna"]
    assert [parent.existing for parent in young.sire] == [AnimalId(5)]
    assert "several animals are called 'Luna'" in str(plan.rows[1].warnings[0])
    assert plan.rows[1].tier is Tier.TEXT_KEPT


def test_of_one_name_the_animal_of_the_right_sex_is_meant() -> None:
    (young,) = plan_of("Id,Sex,Dam,Sire", "Y-1,f,,Luna").animals
    assert [parent.existing for parent in young.sire] == [AnimalId(3)]
    sheet = plan_of("Id,Name,Sex,Sire", "A-1,Ash,f,", "A-2,Ash,m,", "Y-1,,f,Ash", known=Known(KNOWN.today))
    assert [parent.keeper_id for parent in sheet.animals[2].sire] == ["A-2"]


def test_a_list_of_sires_with_a_shared_name_stays_whole() -> None:
    known = Known(KNOWN.today, animals=(*KNOWN.animals, KnownAnimal(AnimalId(6), "M-80", "Luna", Sex.MALE)))
    (young,) = plan_of("Id,Sex,Sire", "Y-1,f,Onyx or Luna", known=known).animals
    assert young.sire == () and [note.text for note in young.notes] == ["Sire: Onyx or Luna"]
