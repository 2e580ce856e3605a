"""Stays of a male with a female: in, out, what was seen of them, and what is said before two are put together."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import season_start
from coilbook.derived.season_rows import stays as stay_rows
from coilbook.husbandry.fit_to_pair import WEIGHED_DAYS, Breeder, Floors, against_pairing
from coilbook.husbandry.male_load import HisStay, male_load
from coilbook.operations.asks import Asks, Choice
from coilbook.operations.at_hand import AnimalAtHand, happened, must_be_born, place_at_hand
from coilbook.operations.forecast_keeping import keep_forecasts, profile_in
from coilbook.operations.health_at_hand import course_sentence, open_courses
from coilbook.operations.pairing_plans import pair_of, plans_done
from coilbook.operations.settings import settings_in
from coilbook.records.changes import Outcome
from coilbook.records.health_vocabulary import CourseKind
from coilbook.records.ids import AnimalId, PlaceId, StayId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.season_vocabulary import LockCertainty
from coilbook.records.vocabulary import Act
from coilbook.records.when import PartialDate, moment_from
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.season_tables import LockSeen, Stay
from coilbook.storage.tables import ON_A_DAY


def enter_stay(
    collection: Collection,
    *,
    female: AnimalId,
    male: AnimalId,
    at: dt.datetime | None = None,
    until: dt.datetime | None = None,
    place: PlaceId | None = None,
    close_first: bool | None = None,
    in_spite: str = "",
    note: str = "",
) -> Outcome[StayId]:
    """Put a male with a female, or write up a stay that is over (`until`). `place`: her own where not said.

    Raises `Asks` when he is still with another female (`close_first`: that stay ends now, or he is with both), and
    for quarantine, treatment, retirement, a weight below the keeper's floor or too low an age of either; then
    `in_spite` says in a line why it goes on, and the act's own sentence tells both.
    """
    with collection.act(Act.ENTER_STAY) as act:
        her, him = pair_of(act, female, male)
        moment, end = happened(act, at), None if until is None else happened(act, until)
        if end is not None and end < moment:
            raise Refusal(say("He cannot be out before he is in."))
        for animal in (female, male):
            must_be_born(act, animal, PartialDate(moment_from(moment).date()))
        _check_same_pair(act, her, him, moment, end)
        said = _before(act, her, him, moment, close_first, in_spite) if end is None else None
        told = {"in_spite": in_spite.strip(), "note": note.strip()}
        where = her.place if place is None else place
        row = act.insert(Stay, female_id=female, male_id=male, place_id=where, at=moment, until=end, **told)
        plans_done(act, female, male)
        keep_forecasts(act, female)
        act.tell(_told(her, him, said, in_spite))
    return act.outcome(Act.ENTER_STAY, StayId(row))


def _before(
    act: ActInHand, her: AnimalAtHand, him: AnimalAtHand, moment: str, close_first: bool | None, in_spite: str
) -> Message | None:
    """Everything asked or told before he is with her; what was said against it, None when nothing stands against it."""
    _end_his_first(act, him, moment, close_first)
    said = _say_before(act, her, him, moment, in_spite)
    _warn_of_load(act, him, moment)
    return said


def _told(her: AnimalAtHand, him: AnimalAtHand, said: Message | None, in_spite: str) -> Message:
    """What the act was; with what was said before and why it went on, when something stood against it."""
    if said is None:
        return say("{male} put with {female}", male=him.keeper_id, female=her.keeper_id)
    told = "{male} put with {female} all the same, {why}. {said}"
    return say(told, male=him.keeper_id, female=her.keeper_id, why=in_spite.strip(), said=said)


def leave_stay(collection: Collection, *, stay: StayId, at: dt.datetime | None = None) -> Outcome[StayId]:
    """He is out again; a stay that has ended is refused, since its end is corrected as an entry."""
    with collection.act(Act.LEAVE_STAY) as act:
        female, male, since, until = _stay(act, stay)
        moment = happened(act, at)
        if until is not None:
            raise Refusal(say("{male} was taken out on {day} already.", male=male, day=moment_from(until).date()))
        if moment < since:
            raise Refusal(say("He cannot be out before he is in."))
        act.update(Stay, stay, until=moment)
        days = (moment_from(moment).date() - moment_from(since).date()).days
        act.tell(say("{male} out of {female}, {n} day", "{male} out of {female}, {n} days",
                     male=male, female=female, n=days))  # fmt: skip
    return act.outcome(Act.LEAVE_STAY, stay)


def see_lock(
    collection: Collection,
    *,
    stay: StayId,
    certainty: LockCertainty = LockCertainty.LOCK,
    at: dt.datetime | None = None,
    note: str = "",
) -> Outcome[int]:
    """What was seen of a pair; several a stay. A day together alone is no lock."""
    with collection.act(Act.SEE_LOCK) as act:
        female, male, since, until = _stay(act, stay)
        moment = happened(act, at)
        if moment < since or (until is not None and moment > until):
            raise Refusal(say("{male} was not with {female} then.", male=male, female=female))
        row = act.insert(LockSeen, stay_id=stay, at=moment, certainty=certainty.value, note=note.strip())
        act.tell(say("{male} with {female}: {seen}", male=male, female=female, seen=certainty))
    return act.outcome(Act.SEE_LOCK, row)


def _stay(act: ActInHand, stay: StayId) -> tuple[str, str, str, str | None]:
    """(her id, his id, since, until) of a stay."""
    rows = act.rows(
        "SELECT f.keeper_id, m.keeper_id, s.at, s.until FROM stay s JOIN animal f ON f.id = s.female_id"
        " JOIN animal m ON m.id = s.male_id WHERE s.id = ?",
        (stay,),
    )
    if not rows:
        raise Refusal(say("That stay is no longer in the book; it may have been undone."))
    return rows[0][0], rows[0][1], rows[0][2], rows[0][3]


def _check_same_pair(act: ActInHand, her: AnimalAtHand, him: AnimalAtHand, moment: str, end: str | None) -> None:
    sql = """SELECT at FROM stay WHERE female_id = ?1 AND male_id = ?2 AND (until IS NULL OR until > ?3)
        AND (?4 IS NULL OR at < ?4)"""
    for (since,) in act.rows(sql, (her.id, him.id, moment, end)):
        told = say("{male} has been with {female} since {day} already.", male=him.keeper_id, female=her.keeper_id,
                   day=moment_from(since).date())  # fmt: skip
        raise Refusal(told)


def _end_his_first(act: ActInHand, him: AnimalAtHand, moment: str, close_first: bool | None) -> None:
    sql = """SELECT s.id, s.at, a.keeper_id FROM stay s JOIN animal a ON a.id = s.female_id
        WHERE s.male_id = ? AND s.until IS NULL AND s.at <= ? ORDER BY s.at"""
    open_ones = act.rows(sql, (him.id, moment))
    if not open_ones:
        return
    if close_first is None:
        _row, since, other = open_ones[-1]
        raise Asks(
            say("{male} has been with {other} since {day}. Is he out of there?", male=him.keeper_id, other=other,
                day=moment_from(since).date()),
            (
                Choice(say("Out of there, in here"), {"close_first": True}),
                Choice(say("With both"), {"close_first": False}),
            ),
        )  # fmt: skip
    if close_first:
        for row, _since, _other in open_ones:
            act.update(Stay, row, until=moment)


def _say_before(act: ActInHand, her: AnimalAtHand, him: AnimalAtHand, moment: str, in_spite: str) -> Message | None:
    """What stands against pairing either of them, asked once; None when nothing does."""
    told = [*_against(act, her, moment), *_against(act, him, moment)]
    if not told:
        return None
    sentence = told[0]
    for more in told[1:]:
        sentence = say("{first} {second}", first=sentence, second=more)
    if in_spite.strip():
        return sentence
    raise Asks(
        say("{what} Put them together all the same? Say why in a line, or choose.", what=sentence),
        (
            Choice(say("Looked at, fit"), {"in_spite": "looked at, fit"}),
            Choice(say("Known and meant"), {"in_spite": "known and meant"}),
        ),
    )


def _against(act: ActInHand, animal: AnimalAtHand, moment: str) -> list[Message]:
    courses = open_courses(act, animal.id, moment)
    told = [course_sentence(animal.keeper_id, course) for course in courses]
    apart = any(course.kind is CourseKind.QUARANTINE for course in courses)
    if not apart and animal.place is not None and place_at_hand(act, animal.place).quarantine:
        told.insert(0, say("{animal} is in quarantine.", animal=animal.keeper_id))
    today = moment_from(moment).date()
    found = _breeder(act, animal, moment)
    floors = Floors.of(settings_in(act), profile_in(act, animal.id), today)
    told += [say("{animal}: {what}.", animal=animal.keeper_id, what=what) for what in against_pairing(found, floors)]
    if found.weight_dg and found.weighed is None:
        act.warn(say("On which day {animal} was weighed is not on record: whether the weight is enough is not known.",
                     animal=animal.keeper_id))  # fmt: skip
    elif not found.weighed_lately(today):
        act.warn(say("{animal} was not weighed for {n} days: whether the weight is enough is not known.",
                     animal=animal.keeper_id, n=WEIGHED_DAYS))  # fmt: skip
    return told


def _breeder(act: ActInHand, animal: AnimalAtHand, moment: str) -> Breeder:
    """The animal as it was at a moment."""
    ((retired, hatched),) = act.rows("SELECT retired, hatched FROM animal WHERE id = ?", (animal.id,))
    sql = f"""SELECT mass_dg, CASE WHEN {ON_A_DAY} THEN at END FROM weight
        WHERE animal_id = ? AND doubted = 0 AND at <= ? ORDER BY at DESC, id DESC LIMIT 1"""
    mass_dg, at = next(iter(act.rows(sql, (animal.id, moment))), (0, None))
    weighed = moment_from(at).date() if at is not None else None
    day = dt.date.fromisoformat(hatched[:10]) if hatched else None
    return Breeder(animal.sex, mass_dg, weighed, day, bool(retired))


def _warn_of_load(act: ActInHand, him: AnimalAtHand, moment: str) -> None:
    """What his season so far says against one more stay."""
    today = moment_from(moment).date()
    start = season_start(today, settings_in(act).season_month)
    his = [s for s in stay_rows(act.rows) if s.male == him.id and start <= s.first <= today]
    profile = profile_in(act, him.id)
    floors = Floors.of(settings_in(act), profile, today)
    load = male_load([HisStay(s.female_name, s.first, s.last or today) for s in his], None, None, profile, floors)
    for caution in load.cautions:
        act.warn(say("{male}: {what}", male=him.keeper_id, what=caution))
