"""What is logged of a season, from the Season screen and from an animal's page: what each form asks, and its act."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coilbook.operations.pairing_plans import PlanDetails, plan_pairing
from coilbook.operations.season_seen import GRADES, cool_rack, end_season, feel_follicles, mark_shed, see_ovulation
from coilbook.operations.stays import enter_stay, leave_stay, see_lock
from coilbook.reads.places import places_to_choose
from coilbook.reads.season_sheds import latest_sheds
from coilbook.reads.season_stays import pairable, recent_stays
from coilbook.records.ids import AnimalId, ShedId
from coilbook.records.message import Refusal, say
from coilbook.records.season_vocabulary import LockCertainty, OvulationCertainty, PreLay, SeasonEnd
from coilbook.records.vocabulary import PlaceKind, Sex
from coilbook.ui.animal.choice_strip import Option
from coilbook.ui.animal.entry_form import Ask, Call, Values, when
from coilbook.ui.animal.log_kinds import note, options
from coilbook.ui.desk import Desk
from coilbook.wording.language import translated
from coilbook.wording.texts import words


@dataclass(frozen=True, slots=True)
class Who:
    """The animal a form is opened for; None where it is not about one."""

    id: AnimalId | None = None
    keeper_id: str = ""
    sex: Sex = Sex.FEMALE


@dataclass(frozen=True, slots=True)
class SeasonKind:
    """One thing that can be logged of a season."""

    name: str
    words: str
    asks: Callable[[Desk, Who], tuple[Ask, ...]]
    call: Callable[[Who, Values], Call]


def _pair_asks(desk: Desk, who: Who) -> tuple[Ask, Ask]:
    needs_her, needs_him = translated("Type the id of the female."), translated("Type the id of the male.")
    her = who.keeper_id if who.sex is not Sex.MALE else ""
    him = who.keeper_id if who.sex is Sex.MALE else ""
    females, males = pairable(desk.collection, female=True), pairable(desk.collection, female=False)
    one = Ask("female", translated("Female"), "animal", her, known=females, required=needs_her)
    other = Ask("male", translated("Male"), "animal", him, known=males, required=needs_him)
    # the one that is still to be typed comes first
    return (one, other) if not her else (other, one)


def _stay_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    hint = translated("only against a caution: quarantine, treatment, weight")
    return (
        *_pair_asks(desk, who),
        when(),
        Ask("until", translated("Out"), "moment", hint=translated("he is still in")),
        Ask("in_spite", translated("All the same, because"), hint=hint, span=2),
        note(3),
    )


def _stay(_who: Who, v: Values) -> Call:
    return Call(enter_stay, {k: v[k] for k in ("female", "male", "at", "until", "in_spite", "note")})


def _which_stay(desk: Desk, who: Who, *, lasting: bool) -> Ask:
    stays = list(recent_stays(desk.collection, who.id)) if who.id is not None else []
    if lasting:
        stays = [s for s in stays if s.until is None]
    choices = tuple(Option(_stay_words(desk, s.other_name, s.since, s.until), s.id) for s in stays)
    start = choices[0].value if choices else None
    needed = translated("There is no stay to choose; enter one first.")
    return Ask("stay", translated("Of the stay"), "choice", start, span=3, options=choices, required=needed)


def _stay_words(desk: Desk, other: str, since: object, until: object) -> str:
    first = desk.style.date(since, year=False)  # type: ignore[arg-type]
    if until is None:
        return translated("{other}, in since {day}").format(other=other, day=first)
    return translated("{other}, {day} to {last}").format(
        other=other,
        day=first,
        last=desk.style.date(until, year=False),  # type: ignore[arg-type]
    )


def _lock_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    seen = options(*LockCertainty, keys="LYC")
    certainty = Ask("certainty", translated("What was seen"), "choice", LockCertainty.LOCK, span=3, options=seen)
    return _which_stay(desk, who, lasting=False), certainty, when(), note()


def _lock(_who: Who, v: Values) -> Call:
    return Call(see_lock, {k: v[k] for k in ("stay", "certainty", "at", "note")})


def _out_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    return _which_stay(desk, who, lasting=True), when()


def _out(_who: Who, v: Values) -> Call:
    return Call(leave_stay, {"stay": v["stay"], "at": v["at"]})


def _follicle_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    grades = tuple(Option(str(grade), grade, str(grade)) for grade in GRADES)
    return (
        Ask("mm", translated("Largest, mm by ultrasound"), hint=translated("or a grade below")),
        Ask("left", translated("Counted left"), "amount", hint=translated("not counted")),
        Ask("right", translated("Counted right"), "amount", hint=translated("not counted")),
        Ask("grade", translated("Grade by feel: 1 nothing, 3 marble, 5 large"), "choice", None, span=3, options=grades),
        when(),
        note(),
    )


def _follicle(who: Who, v: Values) -> Call:
    arguments = {"mm": v["mm"], "grade": v["grade"], "counted": (v["left"], v["right"])}
    return Call(feel_follicles, {"animal": _id(who), **arguments, "at": v["at"], "note": v["note"]})


def _ovulation_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    known = options(*OvulationCertainty, keys="SPIU")
    return (
        Ask("certainty", translated("How it is known"), "choice", OvulationCertainty.SEEN, span=3, options=known),
        when(),
        Ask("doubt_days", translated("Give or take days"), "amount", hint=translated("as usual for how it is known")),
        note(1),
    )


def _ovulation(who: Who, v: Values) -> Call:
    arguments = {k: v[k] for k in ("certainty", "doubt_days", "at", "note")}
    return Call(see_ovulation, {"animal": _id(who), **arguments})


def _mark_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    sheds = sheds_of(desk, who)
    needed = translated("No shed of hers is on record.")
    start = sheds[0].value if sheds else None
    was = Ask("was", translated("What it was"), "choice", PreLay.PRE_LAY, span=3, options=options(*PreLay, keys="POU"))
    return Ask("shed", translated("Shed of"), "choice", start, span=3, options=sheds, required=needed), was


def sheds_of(desk: Desk, who: Who) -> tuple[Option, ...]:
    """Her latest sheds with what they were called so far."""
    if who.id is None:
        return ()
    return tuple(
        Option(desk.style.date(day, year=False) + (f", {words(was)}" if was is not None else ""), row)
        for row, day, was in latest_sheds(desk.collection, who.id)
    )


def _mark(_who: Who, v: Values) -> Call:
    return Call(mark_shed, {"shed": ShedId(v["shed"]), "was": v["was"]})


def _end_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    needed = translated("Choose how it ended.")
    ends = options(*SeasonEnd, keys="RDS")
    how = Ask("outcome", translated("No eggs this season"), "choice", None, span=3, options=ends, required=needed)
    return how, when(), note()


def _end(who: Who, v: Values) -> Call:
    return Call(end_season, {"animal": _id(who), "outcome": v["outcome"], "at": v["at"], "note": v["note"]})


def _plan_asks(desk: Desk, who: Who) -> tuple[Ask, ...]:
    return (
        *_pair_asks(desk, who),
        Ask("backup", translated("If he cannot"), "animal", known=pairable(desk.collection, female=False)),
        Ask("day", translated("Meant for"), "later", hint=translated("some time")),
        Ask("target", translated("Target"), hint=translated("what is hoped for"), span=2),
        Ask("reason", translated("Reason"), span=3),
    )


def _plan(_who: Who, v: Values) -> Call:
    day = v["day"].first if v["day"] is not None else None
    details = PlanDetails(backup=v["backup"], day=day, target=v["target"] or None, reason=v["reason"] or None)
    return Call(plan_pairing, {"female": v["female"], "male": v["male"], "details": details})


def _cooling_asks(desk: Desk, _who: Who) -> tuple[Ask, ...]:
    racks = places_to_choose(desk.collection, PlaceKind.ROOM, PlaceKind.RACK)
    needed = translated("Type the rack or the room.")
    return (
        Ask("place", translated("Rack or room"), "known", known=racks, required=needed),
        Ask("since", translated("Cooled since"), "date", hint=translated("today; empty with an end ends it")),
        Ask("until", translated("Until"), "date", hint=translated("it goes on")),
        Ask("night", translated("At night"), "degrees", hint=desk.style.temperature(240)),
        note(),
    )


def _cooling(_who: Who, v: Values) -> Call:
    since, until = (v[k].first if v[k] is not None else None for k in ("since", "until"))
    return Call(cool_rack, {**{k: v[k] for k in ("place", "night", "note")}, "since": since, "until": until})


def _id(who: Who) -> AnimalId:
    if who.id is None:
        raise Refusal(say("Choose an animal first."))
    return who.id


KINDS: dict[str, SeasonKind] = {
    kind.name: kind
    for kind in (
        SeasonKind("stay", "Put a pair together", _stay_asks, _stay),
        SeasonKind("lock", "Seen of a pair", _lock_asks, _lock),
        SeasonKind("out", "Take him out", _out_asks, _out),
        SeasonKind("follicle", "Follicles", _follicle_asks, _follicle),
        SeasonKind("ovulation", "Ovulation", _ovulation_asks, _ovulation),
        SeasonKind("mark", "What a shed was", _mark_asks, _mark),
        SeasonKind("end", "No eggs this season", _end_asks, _end),
        SeasonKind("plan", "Plan a pairing", _plan_asks, _plan),
        SeasonKind("cooling", "Cool a rack", _cooling_asks, _cooling),
    )
}
