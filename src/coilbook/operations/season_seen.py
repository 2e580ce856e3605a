"""What is seen of a female in season: follicles, ovulation, what a shed was, a season without eggs, a rack cooled."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import season_start
from coilbook.derived.season_reading import read_book
from coilbook.husbandry.ovulation import ShedOffer, meal_bulge, ovulation_day, shed_question, typed_follicle
from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import AnimalAtHand, female_here, happened, must_be_born, place_at_hand
from coilbook.operations.forecast_keeping import keep_forecasts, profile_in
from coilbook.operations.settings import settings_in
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PlaceId, ShedId
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Temperature
from coilbook.records.season_vocabulary import FollicleMethod, OvulationCertainty, PreLay, SeasonEnd
from coilbook.records.vocabulary import TAKEN_RESULTS, Act, PlaceKind, Sex
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.season_tables import Follicle, Ovulation, RackCooling, SeasonOutcome
from coilbook.storage.tables import ShedMark

#: grades of a palpation, from nothing felt to large (common practice: people grade differently)
GRADES = range(1, 6)


def feel_follicles(
    collection: Collection,
    *,
    animal: AnimalId,
    mm: str = "",
    grade: int | None = None,
    counted: tuple[int | None, int | None] = (None, None),
    sure: bool = False,
    at: dt.datetime | None = None,
    note: str = "",
) -> Outcome[int]:
    """The largest follicle: `mm` as typed from an ultrasound, or a `grade` by feel; `counted` left and right.

    Raises `Asks` for a size that was probably typed in cm (3.2 for 32 mm) unless `sure`.
    """
    with collection.act(Act.FEEL_FOLLICLES) as act:
        found, moment = female_here(act, animal), _happened_to(act, animal, at)
        if bool(mm.strip()) == (grade is not None):
            raise Refusal(say("Say a size in mm from an ultrasound, or a grade by feel."))
        values: dict[str, object]
        if grade is not None:
            if grade not in GRADES:
                raise Refusal(say("A grade lies between {low} and {high}.", low=GRADES[0], high=GRADES[-1]))
            values = {"method": FollicleMethod.PALPATION.value, "grade": grade}
            told = say("{animal}: follicles felt, grade {grade}", animal=found.keeper_id, grade=grade)
        else:
            tenths = _follicle_tenths(mm, sure)
            values = {"method": FollicleMethod.ULTRASOUND.value, "mm_tenths": tenths, "typed": mm.strip()}
            told = say("{animal}: follicles of {mm} mm", animal=found.keeper_id, mm=f"{tenths / 10:g}")
        left, right = counted
        values |= {"count_left": left, "count_right": right, "note": note.strip()}
        row = act.insert(Follicle, animal_id=animal, at=moment, **values)
        keep_forecasts(act, animal)
        act.tell(told)
    return act.outcome(Act.FEEL_FOLLICLES, row)


def _follicle_tenths(mm: str, sure: bool) -> int:
    typed = typed_follicle(mm)
    if typed.question is not None and typed.asked_mm is not None and not sure:
        raise Asks(
            typed.question,
            (
                Choice(say("{mm:g} mm", mm=typed.asked_mm), {"mm": f"{typed.asked_mm:g}", "sure": True}),
                Choice(say("{mm:g} mm", mm=typed.mm), {"sure": True}),
            ),
        )
    return round(10 * typed.mm)


def see_ovulation(
    collection: Collection,
    *,
    animal: AnimalId,
    certainty: OvulationCertainty = OvulationCertainty.SEEN,
    doubt_days: int | None = None,
    at: dt.datetime | None = None,
    note: str = "",
    sure: bool = False,
) -> Outcome[int]:
    """An ovulation, give or take `doubt_days`; the forecasts it gives are kept with it.

    Raises `Asks` when her last meal lies so close before that it may be the swelling, unless `sure`.
    """
    with collection.act(Act.SEE_OVULATION) as act:
        found, moment = female_here(act, animal), _happened_to(act, animal, at)
        day = moment_from(moment).date()
        if doubt_days is not None and doubt_days < 0:
            raise Refusal(say("Give or take some days, not less than none."))
        _ask_of_meal(act, animal, day, certainty, sure)
        start = season_start(day, settings_in(act).season_month)
        earlier = act.rows("SELECT max(at) FROM ovulation WHERE animal_id = ? AND at >= ?", (animal, start.isoformat()))
        if earlier[0][0]:
            other = moment_from(earlier[0][0]).date()
            act.warn(say("Another ovulation of hers stands on {day}; of two the later counts.", day=other))
        row = act.insert(
            Ovulation, animal_id=animal, at=moment, certainty=certainty.value, doubt_days=doubt_days, note=note.strip()
        )
        keep_forecasts(act, animal)
        act.tell(say("{animal}: ovulation, {certainty}", animal=found.keeper_id, certainty=certainty))
    return act.outcome(Act.SEE_OVULATION, row)


def _ask_of_meal(act: ActInHand, animal: AnimalId, day: dt.date, certainty: OvulationCertainty, sure: bool) -> None:
    marks = ", ".join("?" * len(TAKEN_RESULTS))
    sql = f"SELECT max(at) FROM feeding WHERE animal_id = ? AND result IN ({marks}) AND substr(at, 1, 10) <= ?"
    (last,) = act.rows(sql, (animal, *(r.value for r in TAKEN_RESULTS), day.isoformat()))[0]
    told = meal_bulge(day, moment_from(last).date() if last else None)
    if told is None:
        return
    if last is None or sure or certainty is OvulationCertainty.UNSURE:
        act.warn(told)
        return
    raise Asks(
        told,
        (
            Choice(say("It was an ovulation"), {"sure": True}),
            Choice(say("Keep it as unsure"), {"certainty": OvulationCertainty.UNSURE, "sure": True}),
        ),
    )


def mark_shed(collection: Collection, *, shed: ShedId, was: PreLay) -> Outcome[ShedId]:
    """Say what a shed of a female was; said again, it is corrected, and the journal keeps what stood before."""
    with collection.act(Act.MARK_SHED) as act:
        rows = act.rows("SELECT animal_id, at FROM shed WHERE id = ?", (shed,))
        if not rows:
            raise Refusal(say("That shed is no longer in the book; it may have been undone."))
        found = female_here(act, AnimalId(rows[0][0]))
        write_mark(act, found.id, shed, was)
        day = moment_from(rows[0][1]).date()
        act.tell(say("{animal}, shed of {day}: {was}", animal=found.keeper_id, day=day, was=was))
    return act.outcome(Act.MARK_SHED, shed)


def write_mark(act: ActInHand, animal: AnimalId, shed: ShedId, was: PreLay) -> None:
    """The row of what a shed was, with the forecasts it gives, inside an act."""
    rows = act.rows("SELECT id FROM shed_mark WHERE shed_id = ?", (shed,))
    if rows:
        act.update(ShedMark, rows[0][0], was=was.value)
    else:
        act.insert(ShedMark, shed_id=shed, was=was.value)
    if was is not PreLay.ORDINARY:
        keep_forecasts(act, animal)


def ask_of_shed(act: ActInHand, found: AnimalAtHand, moment: str) -> None:
    """Raise `Asks` when a shed may be the pre-lay shed: pre-lay, ordinary or unsure."""
    if found.sex is Sex.MALE:
        return
    day, settings, profile = moment_from(moment).date(), settings_in(act), profile_in(act, found.id)
    book = read_book(act.rows, settings.season_month, found.id)
    # an ovulation of July may bring the shed of August, when the calendar has begun another season
    season = book.counting(found.id, season_start(day, settings.season_month), day)
    if season.laying is not None or season.outcome is not None:
        return
    ovulated = None
    if season.ovulation is not None:
        o = season.ovulation
        ovulated = ovulation_day(o.day, o.certainty, o.doubt_days, profile)
    recorded = any(s.was is PreLay.PRE_LAY for s in season.sheds)
    question = shed_question(day, ovulated, season.is_paired, recorded, profile)
    if question.offer is ShedOffer.NO or question.because is None:
        return
    raise Asks(
        say("{animal}: {why} What was this shed?", animal=found.keeper_id, why=question.because),
        tuple(Choice(say("{was}", was=was), {"pre_lay": was}) for was in PreLay),
    )


def end_season(
    collection: Collection, *, animal: AnimalId, outcome: SeasonEnd, at: dt.datetime | None = None, note: str = ""
) -> Outcome[int]:
    """Her season brings no eggs: resorbed, did not take, or skipped with the reason in the note."""
    with collection.act(Act.END_SEASON) as act:
        found = female_here(act, animal)
        moment = _happened_to(act, animal, at)
        row = act.insert(SeasonOutcome, animal_id=animal, at=moment, outcome=outcome.value, note=note.strip())
        act.tell(say("{animal}: {outcome}", animal=found.keeper_id, outcome=outcome))
    return act.outcome(Act.END_SEASON, row)


def cool_rack(
    collection: Collection,
    *,
    place: PlaceId,
    since: dt.date | None = None,
    until: dt.date | None = None,
    night: Temperature | None = None,
    note: str = "",
) -> Outcome[int]:
    """A rack or room is cooled at night from a day on; with `until` alone the cooling that stands ends."""
    with collection.act(Act.COOL_RACK) as act:
        found = place_at_hand(act, place)
        if found.kind is PlaceKind.SLOT:
            raise Refusal(say("{place} is a slot; a rack or a room is cooled.", place=found.label))
        standing = act.rows("SELECT id, since FROM rack_cooling WHERE place_id = ? AND until IS NULL", (place,))
        if since is None and until is not None:
            if not standing:
                raise Refusal(say("{place} is not being cooled.", place=found.label))
            row = int(standing[0][0])
            if until.isoformat() < standing[0][1]:
                raise Refusal(say("It cannot end before it began."))
            act.update(RackCooling, row, until=until.isoformat())
            act.tell(say("{place} is warm again", place=found.label))
        elif standing and until is None:
            raise Refusal(say("{place} has been cooled since {day}.", place=found.label,
                              day=dt.date.fromisoformat(standing[0][1])))  # fmt: skip
        else:
            row = _write_cooling(act, place, since, until, night, note)
            text = "{place} cooled at night" if night is None else "{place} cooled at night to {night}"
            act.tell(say(text, place=found.label, night=night))
    return act.outcome(Act.COOL_RACK, row)


def _write_cooling(
    act: ActInHand, place: PlaceId, since: dt.date | None, until: dt.date | None, night: Temperature | None, note: str
) -> int:
    first = since.isoformat() if since is not None else act.now_text[:10]
    if until is not None and until.isoformat() < first:
        raise Refusal(say("It cannot end before it began."))
    return act.insert(
        RackCooling,
        place_id=place,
        since=first,
        until=None if until is None else until.isoformat(),
        night_tenths=None if night is None else night.tenths,
        note=note.strip(),
    )


def _happened_to(act: ActInHand, animal: AnimalId, at: dt.datetime | None) -> str:
    """The moment of an entry, refused before her own hatching."""
    moment = happened(act, at)
    must_be_born(act, animal, PartialDate(moment_from(moment).date()))
    return moment
