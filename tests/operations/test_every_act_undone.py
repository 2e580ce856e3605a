"""One sweep over every act there is: do it, take it back, and the book is as it was; do it again, and it is done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from coilbook.genetics.locus import Inheritance
from coilbook.genetics.own_entries import own_gene
from coilbook.husbandry.figures import FigureKey
from coilbook.intake.plan import propose
from coilbook.intake.workbook import read_sheets
from coilbook.operations import (
    animals,
    care,
    clutches,
    departures,
    doubts,
    egg_boxes,
    eggs,
    entries,
    feeding,
    findings,
    hatching,
    health,
    incubators,
    label_answers,
    moving,
    own_genes,
    own_numbers,
    pairing_plans,
    people,
    photos,
    places,
    printed,
    season_seen,
    settings,
    stays,
)
from coilbook.operations.animals import AcquisitionDetails, AnimalDetails
from coilbook.operations.clutches import ClutchDetails, Laying
from coilbook.operations.doubts import DoubtDetails
from coilbook.operations.egg_boxes import BoxDetails, BoxSeen
from coilbook.operations.eggs import EggDetails, EggSeen
from coilbook.operations.feeding import close_feedings, offer_feeding, offer_rack
from coilbook.operations.findings import FindingDetails
from coilbook.operations.hatching import NewHatchling, OfEgg
from coilbook.operations.health import CourseDetails
from coilbook.operations.import_sheet import accept_import
from coilbook.operations.incubators import IncubatorDetails
from coilbook.operations.pairing_plans import PlanDetails
from coilbook.operations.undo import redo_last, undo_act, undo_last
from coilbook.operations.weighing import weigh
from coilbook.reads.import_known import known_for_import
from coilbook.records.changes import Outcome
from coilbook.records.egg_line import read_egg_line
from coilbook.records.egg_vocabulary import DoubtKind, EggDeed, HatchEvent, Medium, Veins, Verdict
from coilbook.records.ids import EggBoxId, EggId, IncubatorId, PersonId
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, Temperature
from coilbook.records.season_vocabulary import LockCertainty, PlanState, PreLay, SeasonEnd
from coilbook.records.settings import Settings
from coilbook.records.vocabulary import Act, FeedingResult, FindingKind, OwnKind, PhotoAngle, Sign
from tests.operations.conftest import Room, content

Doing = Callable[[Room], Outcome[object]]


def _png() -> bytes:
    import io

    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (32, 24), (140, 100, 60)).save(stream, "PNG")
    return stream.getvalue()


def _photo(room: Room) -> int:
    return int(photos.add_photo(room.book, animal=room.female, picture=_png()).value)


def _pending(room: Room) -> int:
    return offer_feeding(room.book, animal=room.female).value


def _weight(room: Room) -> int:
    return weigh(room.book, animal=room.female, mass=Mass(21_000)).value


#: for each act: what must stand before it, and the act itself with what that gave
SWEPT: dict[Act, tuple[Callable[[Room], object], Callable[[Room, object], Outcome[object]]]] = {}


def _sweep(
    act: Act, doing: Callable[[Room, object], object], before: Callable[[Room], object] = lambda _room: None
) -> None:
    SWEPT[act] = (before, doing)  # type: ignore[assignment]


_sweep(
    Act.ADD_ANIMAL, lambda r, _: animals.add_animal(r.book, details=AnimalDetails(keeper_id="X-1"), weight=Mass(900))
)
_sweep(Act.EDIT_ANIMAL, lambda r, _: animals.edit_animal(r.book, animal=r.female, details=AnimalDetails(name="Moss")))
_sweep(
    Act.EDIT_ANIMALS,
    lambda r, _: animals.edit_animals(r.book, animals=[r.female, r.male], details=AnimalDetails(interval_days=9)),
)
_sweep(Act.SET_PARENTS, lambda r, a: animals.set_parents(r.book, animal=a, dam=r.female, sires={r.male: 60}),
       lambda r: animals.add_animal(r.book, details=AnimalDetails(keeper_id="X-1")).value)  # fmt: skip
_sweep(Act.DELETE_ANIMAL, lambda r, a: animals.delete_animal(r.book, animal=a),
       lambda r: animals.add_animal(r.book, details=AnimalDetails(keeper_id="X-1"), claim="het").value)  # fmt: skip
_sweep(
    Act.ACQUIRE, lambda r, _: animals.acquire(r.book, animal=r.female, details=AcquisitionDetails(genetic_claim="ph"))
)
_sweep(Act.ADD_CLAIM, lambda r, _: animals.add_claim(r.book, animal=r.female, text="66% het clown"))
_LOOKS = FindingDetails(kind=FindingKind.SEEN, locus="clown", looks=("clown",))
_sweep(Act.ADD_FINDING, lambda r, _: findings.add_finding(r.book, animal=r.female, details=_LOOKS))
_sweep(
    Act.CORRECT_FINDING,
    lambda r, f: findings.correct_finding(r.book, finding=f, details=replace(_LOOKS, ppm=600_000)),
    lambda r: findings.add_finding(r.book, animal=r.female, details=_LOOKS).value,
)
_sweep(Act.RETRACT_FINDING, lambda r, f: findings.retract_finding(r.book, finding=f, why="misread"),
       lambda r: findings.add_finding(r.book, animal=r.female, details=_LOOKS).value)  # fmt: skip
_OWN = {"kind": OwnKind.GENE, "key": "heather", "body": own_gene("Heather", Inheritance.RECESSIVE).text}
_OWN_KEY = {"kind": OwnKind.GENE, "key": "heather"}
_sweep(Act.KEEP_OWN_GENE, lambda r, _: own_genes.keep_own_gene(r.book, **_OWN))
_sweep(Act.REMOVE_OWN_GENE, lambda r, _: own_genes.remove_own_gene(r.book, **_OWN_KEY),
       lambda r: own_genes.keep_own_gene(r.book, **_OWN))  # fmt: skip
_sweep(
    Act.ANSWER_LABEL,
    lambda r, _: label_answers.answer_label(r.book, animal=r.female, key="line|axanthic|old pond", answer="line"),
    lambda r: animals.edit_animal(r.book, animal=r.female, details=AnimalDetails(genetics="Axanthic Old Pond")),
)
_sweep(Act.TAG, lambda r, _: animals.tag(r.book, animals=[r.female], word="show"))
_sweep(Act.UNTAG, lambda r, _: animals.untag(r.book, animals=[r.female], word="show"),
       lambda r: animals.tag(r.book, animals=[r.female], word="show"))  # fmt: skip
_sweep(Act.ADD_PLACE, lambda r, _: places.add_rack(r.book, name="R9", rows="AB", columns=4))
_sweep(Act.EDIT_PLACE, lambda r, _: places.edit_place(r.book, place=r.rack, quarantine=True, note="north wall"))
_sweep(Act.REMOVE_PLACE, lambda r, _: places.remove_place(r.book, place=r.slots["R2-B3"]))
_sweep(Act.RENUMBER_RACK, lambda r, _: places.rename_rack(r.book, rack=r.rack, name="R8"))
_sweep(Act.MOVE_ANIMAL, lambda r, _: moving.move_animal(r.book, animal=r.female, place=r.slots["R2-B1"]))
_sweep(
    Act.MOVE_ANIMALS,
    lambda r, _: moving.move_animals(r.book, moves={r.female: r.slots["R2-A2"], r.male: r.slots["R2-A1"]}),
)
_sweep(Act.OFFER_FEEDING, lambda r, _: offer_feeding(r.book, animal=r.female))
_sweep(Act.OFFER_RACK, lambda r, _: offer_rack(r.book, animals=[r.female, r.male], rack="R2"))
_sweep(Act.CLOSE_FEEDINGS, lambda r, f: close_feedings(r.book, results={f: (FeedingResult.REFUSED, None)}), _pending)
_sweep(Act.REGURGITATION, lambda r, _: feeding.record_regurgitation(r.book, animal=r.female),
       lambda r: offer_feeding(r.book, animal=r.female, result=FeedingResult.TAKEN))  # fmt: skip
_sweep(Act.WEIGH, lambda r, _: weigh(r.book, animal=r.female, mass=Mass(21_000)))
_sweep(Act.SHED, lambda r, _: care.record_shed(r.book, animal=r.female))
_sweep(Act.SEE_SIGN, lambda r, _: care.see_sign(r.book, animal=r.female, sign=Sign.GLOW))
_sweep(Act.CLEAN, lambda r, _: care.clean_place(r.book, place=r.slots["R2-A1"]))
_sweep(Act.CLEAN_RACK, lambda r, _: care.clean_place(r.book, place=r.rack))
_sweep(Act.WRITE_NOTE, lambda r, _: care.write_note(r.book, animal=r.female, text="calm"))
_sweep(Act.ADD_PHOTO, lambda r, _: photos.add_photo(r.book, animal=r.female, picture=_png()))
_sweep(Act.EDIT_PHOTO, lambda r, p: photos.edit_photo(r.book, photo=p, angle=PhotoAngle.HEAD), _photo)
_sweep(Act.REMOVE_PHOTO, lambda r, p: photos.remove_photo(r.book, photo=p), _photo)
_sweep(Act.SELL, lambda r, _: departures.sell(r.book, animal=r.female))
_sweep(Act.DIE, lambda r, _: departures.die(r.book, animal=r.female))
_sweep(Act.LOAN, lambda r, _: departures.lend(r.book, animal=r.female))
_sweep(Act.LOSE, lambda r, _: departures.lose(r.book, animal=r.female))
_sweep(Act.RETURN, lambda r, _: departures.return_animal(r.book, animal=r.female),
       lambda r: departures.sell(r.book, animal=r.female))  # fmt: skip
_sweep(Act.ADD_PERSON, lambda r, _: people.add_person(r.book, name="Teo"))
_sweep(Act.EDIT_PERSON, lambda r, _: people.edit_person(r.book, person=PersonId(1), contact="wren@room.example"))
_sweep(Act.EDIT_ENTRY, lambda r, w: entries.edit_entry(r.book, table="weight", row=w, values={"note": "x"}), _weight)
_sweep(Act.REMOVE_ENTRY, lambda r, w: entries.remove_entry(r.book, table="weight", row=w), _weight)
_sweep(
    Act.PRINT_LABELS,
    lambda r, _: printed.note_printed(r.book, labels=[printed.PrintedLabel("AAAAAA", r.female)], stock="card"),
)
_sweep(Act.CHANGE_SETTING, lambda r, _: settings.change_settings(r.book, settings=Settings(currency="GBP")))
_sweep(Act.SET_NUMBER, lambda r, _: own_numbers.set_number(r.book, key=FigureKey.SALE_MASS_G, value=110.0))
_sweep(Act.SAVE_VIEW, lambda r, _: settings.save_view(r.book, name="heavy", query="over 1500 g"))
_sweep(Act.REMOVE_VIEW, lambda r, _: settings.remove_view(r.book, name="heavy"),
       lambda r: settings.save_view(r.book, name="heavy", query="over 1500 g"))  # fmt: skip


_COURSE = CourseDetails(what_for="as the vet wrote it", done="course as the vet wrote it", new_person="Ash Rill")


def _course(room: Room) -> int:
    return int(health.begin_treatment(room.book, animal=room.female, details=_COURSE).value)


_sweep(Act.BEGIN_TREATMENT, lambda r, _: health.begin_treatment(r.book, animal=r.female, details=_COURSE))
_sweep(Act.BEGIN_QUARANTINE, lambda r, _: health.begin_quarantine(r.book, animal=r.female, details=_COURSE))
_sweep(Act.NOTE_COURSE, lambda r, c: health.note_course(r.book, course=c, words="second visit"), _course)
_sweep(Act.END_COURSE, lambda r, c: health.end_course(r.book, course=c, words="well again"), _course)


def _clutch(room: Room) -> int:
    """A clutch of three eggs in a box of its own; their ids are 1 to 3, the box is 1."""
    laid = Laying(dam=room.female, eggs=read_egg_line("78 84? 36s"), box=BoxDetails(start=Mass(18_640)))
    return int(clutches.lay_clutch(room.book, laying=laid).value)


def _hatched(room: Room) -> object:
    _clutch(room)
    return hatching.hatch_eggs(room.book, eggs=[OfEgg(EggId(1))], event=HatchEvent.PIP)


_BOX = EggBoxId(1)
_EGG = EggId(1)
_sweep(
    Act.LAY_CLUTCH,
    lambda r, _: clutches.lay_clutch(
        r.book,
        laying=Laying(dam=r.female, eggs=read_egg_line("78 54? 36s"), sires={r.male: 90}, box=BoxDetails(),
                      dam_after=Mass(13_900)),
    ),
)  # fmt: skip
_sweep(
    Act.EDIT_CLUTCH,
    lambda r, c: clutches.edit_clutch(r.book, clutch=c, details=ClutchDetails(sires={r.male: 100}, note="found late")),
    _clutch,
)
_sweep(Act.SET_UP_BOX, lambda r, _: egg_boxes.set_up_box(r.book, details=BoxDetails(medium=Medium.PERLITE)))
_sweep(Act.EDIT_BOX, lambda r, _: egg_boxes.edit_box(r.book, box=_BOX, details=BoxDetails(note="x")), _clutch)
_sweep(
    Act.LOOK_AT_BOX,
    lambda r, _: egg_boxes.look_at_box(r.book, box=_BOX, seen=BoxSeen(total=Mass(18_600), smell=True)),
    _clutch,
)
_sweep(Act.WATER_BOX, lambda r, _: egg_boxes.water_box(r.book, box=_BOX, added=Mass(140)), _clutch)
_sweep(
    Act.LOOK_AT_EGGS,
    lambda r, _: eggs.look_at_eggs(r.book, looks={EggId(2): EggSeen(verdict=Verdict.GOOD, veins=Veins.CLEAR)}),
    _clutch,
)
_sweep(Act.DO_TO_EGGS, lambda r, _: eggs.do_to_eggs(r.book, eggs=[_EGG], what=EggDeed.WIPED, why="mould"), _clutch)
_sweep(
    Act.MOVE_EGGS,
    lambda r, box: eggs.move_eggs(r.book, eggs=[_EGG], box=box, separated=True),
    lambda r: (_clutch(r), egg_boxes.set_up_box(r.book, details=BoxDetails()).value)[1],
)
_sweep(Act.EDIT_EGG, lambda r, _: eggs.edit_egg(r.book, egg=_EGG, details=EggDetails(x=500, y=500)), _clutch)
_sweep(
    Act.HATCH_EGGS,
    lambda r, _: hatching.hatch_eggs(r.book, eggs=[OfEgg(EggId(2))], event=HatchEvent.PIP),
    _clutch,
)
_sweep(
    Act.MAKE_HATCHLINGS,
    lambda r, _: hatching.make_hatchlings(
        r.book, young=[NewHatchling(egg=_EGG, mass=Mass(620), genetics="Clown", findings=(_LOOKS,))]
    ),
    _hatched,
)
_sweep(
    Act.ASK_DOUBT,
    lambda r, c: doubts.ask_doubt(r.book, details=DoubtDetails(kind=DoubtKind.SIRE, clutch=c, candidates="M-03, M-11")),
    _clutch,
)
_sweep(
    Act.SETTLE_DOUBT,
    lambda r, d: doubts.settle_doubt(r.book, doubt=d, answer="egg 2", by="smelt alone"),
    lambda r: (_clutch(r), doubts.ask_doubt(r.book, details=DoubtDetails(kind=DoubtKind.SMELL, box=_BOX)).value)[1],
)
_sweep(
    Act.PUT_OFF_DOUBT,
    lambda r, d: doubts.put_off_doubt(r.book, doubt=d, look_again=dt.date(2099, 1, 1)),
    lambda r: (_clutch(r), doubts.ask_doubt(r.book, details=DoubtDetails(kind=DoubtKind.SMELL, box=_BOX)).value)[1],
)

_WARM = IncubatorDetails(name="Warm 1", set_at=Temperature.of(31.5), shelves=("top", "low"))
_sweep(Act.ADD_INCUBATOR, lambda r, _: incubators.add_incubator(r.book, details=_WARM))
_sweep(
    Act.EDIT_INCUBATOR,
    lambda r, i: incubators.edit_incubator(r.book, incubator=i, details=IncubatorDetails(per_shelf=4)),
    lambda r: incubators.add_incubator(r.book, details=_WARM).value,
)
_sweep(
    Act.READ_INCUBATOR,
    lambda r, i: incubators.read_incubator(r.book, incubator=i, typed="31.4"),
    lambda r: incubators.add_incubator(r.book, details=_WARM).value,
)


def _logger(room: Room) -> Path:
    incubators.add_incubator(room.book, details=_WARM)
    file = room.book.folder.parent / "logger.csv"
    file.write_text("No;Time;Temp (C)\n1;2026-03-28 10:00;31,4\n2;2026-03-28 10:10;31,5\n", encoding="utf-8")
    return file


_sweep(
    Act.IMPORT_READINGS,
    lambda r, f: incubators.import_readings(r.book, incubator=IncubatorId(1), file=f),
    _logger,
)


def _plan(room: Room) -> object:
    return pairing_plans.plan_pairing(room.book, female=room.female, male=room.male).value


def _stay(room: Room) -> object:
    return stays.enter_stay(room.book, female=room.female, male=room.male).value


def _shed(room: Room) -> object:
    return care.record_shed(room.book, animal=room.female).value


_sweep(
    Act.PLAN_PAIRING,
    lambda r, _: pairing_plans.plan_pairing(r.book, female=r.female, male=r.male, details=PlanDetails(target="Clown")),
)
_sweep(
    Act.EDIT_PLAN,
    lambda r, p: pairing_plans.edit_plan(r.book, plan=p, details=PlanDetails(state=PlanState.DROPPED)),
    _plan,
)
_sweep(Act.ENTER_STAY, lambda r, _: stays.enter_stay(r.book, female=r.female, male=r.male), _plan)
_sweep(Act.LEAVE_STAY, lambda r, s: stays.leave_stay(r.book, stay=s), _stay)
_sweep(Act.SEE_LOCK, lambda r, s: stays.see_lock(r.book, stay=s, certainty=LockCertainty.LIKELY), _stay)
_sweep(Act.FEEL_FOLLICLES, lambda r, _: season_seen.feel_follicles(r.book, animal=r.female, mm="31"))
_sweep(Act.SEE_OVULATION, lambda r, _: season_seen.see_ovulation(r.book, animal=r.female))
_sweep(Act.MARK_SHED, lambda r, s: season_seen.mark_shed(r.book, shed=s, was=PreLay.PRE_LAY), _shed)
_sweep(Act.COOL_RACK, lambda r, _: season_seen.cool_rack(r.book, place=r.rack, night=Temperature.of(24)))
_sweep(
    Act.END_SEASON,
    lambda r, _: season_seen.end_season(r.book, animal=r.female, outcome=SeasonEnd.RESORBED),
    _stay,
)


def _sheet(room: Room) -> Path:
    file = room.book.folder.parent / "sheet.csv"
    file.write_text("ID,Sex,Weight,Tub\nJ-77,0.1,412,R5-A1\nJ-78,1.0,398,R5-A2\n", encoding="utf-8")
    return file


def _import(room: Room, file: Path) -> Outcome[object]:
    plan = propose(read_sheets(file), {}, known_for_import(room.book))
    return accept_import(room.book, plan=plan, file=file)  # type: ignore[return-value]


_sweep(Act.IMPORT, _import, _sheet)  # type: ignore[arg-type]


@pytest.mark.parametrize("act", list(SWEPT), ids=lambda a: str(a.value))
def test_an_act_is_taken_back_whole_and_done_again_whole(room: Room, act: Act) -> None:
    before_it, doing = SWEPT[act]
    given = before_it(room)
    room.clock.pass_(minutes=3)
    before = content(room.book)
    outcome = doing(room, given)
    assert outcome.kind is act
    assert outcome.changes.act is not None
    assert outcome.notice.text
    after = content(room.book)
    assert after != before
    undo_act(room.book, act=outcome.changes.act)
    assert content(room.book) == before
    redo_last(room.book)
    assert content(room.book) == after


def test_several_undos_are_done_again_one_after_the_other(room: Room) -> None:
    stood = [content(room.book)]
    for word in ("one", "two", "three"):
        animals.tag(room.book, animals=[room.female], word=word)
        stood.append(content(room.book))
    for round_of in range(2):
        for step in (2, 1, 0):
            undo_last(room.book)
            assert content(room.book) == stood[step], round_of
        for step in (1, 2, 3):
            redo_last(room.book)
            assert content(room.book) == stood[step], round_of
        with pytest.raises(Refusal, match="nothing to do again"):
            redo_last(room.book)
    undo_last(room.book)
    animals.tag(room.book, animals=[room.male], word="new")
    with pytest.raises(Refusal, match="nothing to do again"):
        redo_last(room.book)
