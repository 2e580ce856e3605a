"""Planned pairings: made, corrected, dropped. One is done by the stay of the two, not by saying so."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from coilbook.operations.at_hand import AnimalAtHand, living_here
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId, PlanId
from coilbook.records.message import Refusal, say
from coilbook.records.season_vocabulary import PlanState
from coilbook.records.vocabulary import Act, Sex
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.season_tables import PairingPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDetails:
    """What is said of a plan; None leaves it as it is. `day` when it is meant for; `target` what is hoped for."""

    backup: AnimalId | None = None
    day: dt.date | None = None
    target: str | None = None
    reason: str | None = None
    state: PlanState | None = None
    note: str | None = None

    def columns(self) -> dict[str, object]:
        """Values by column name, of what was said."""
        said: dict[str, object] = {
            "backup_id": self.backup,
            "day": None if self.day is None else self.day.isoformat(),
            "state": None if self.state is None else self.state.value,
        }
        for name in ("target", "reason", "note"):
            text = getattr(self, name)
            said[name] = None if text is None else " ".join(text.split())
        return {name: value for name, value in said.items() if value is not None}


def plan_pairing(
    collection: Collection, *, female: AnimalId, male: AnimalId, details: PlanDetails | None = None
) -> Outcome[PlanId]:
    """Plan a male for a female."""
    with collection.act(Act.PLAN_PAIRING) as act:
        her, him = pair_of(act, female, male)
        same = "SELECT 1 FROM pairing_plan WHERE female_id = ? AND male_id = ? AND state = 'open'"
        if act.rows(same, (female, male)):
            raise Refusal(say("{male} is planned for {female} already.", male=him.keeper_id, female=her.keeper_id))
        values = (details or PlanDetails()).columns()
        _check_backup(act, male, values)
        row = PlanId(act.insert(PairingPlan, female_id=female, male_id=male, made_on=act.now_text[:10], **values))
        act.tell(say("{male} planned for {female}", male=him.keeper_id, female=her.keeper_id))
    return act.outcome(Act.PLAN_PAIRING, row)


def edit_plan(collection: Collection, *, plan: PlanId, details: PlanDetails) -> Outcome[PlanId]:
    """Correct a plan, drop it, or take it up again."""
    with collection.act(Act.EDIT_PLAN) as act:
        rows = act.rows(
            "SELECT f.keeper_id, m.keeper_id, p.male_id FROM pairing_plan p JOIN animal f ON f.id = p.female_id"
            " JOIN animal m ON m.id = p.male_id WHERE p.id = ?",
            (plan,),
        )
        if not rows:
            raise Refusal(say("That plan is no longer in the book; it may have been undone."))
        female, male, his = rows[0]
        values = details.columns()
        _check_backup(act, AnimalId(his), values)
        if values:
            act.update(PairingPlan, plan, **values)
        dropped = details.state is PlanState.DROPPED
        told = "{male} for {female}: dropped" if dropped else "plan of {male} for {female} corrected"
        act.tell(say(told, male=male, female=female))
    return act.outcome(Act.EDIT_PLAN, plan)


def pair_of(act: ActInHand, female: AnimalId, male: AnimalId) -> tuple[AnimalAtHand, AnimalAtHand]:
    """A female and a male in the keeper's care; refused for sexes that cannot be, warned of where not known."""
    her, him = living_here(act, female), living_here(act, male)
    if female == male or her.sex is Sex.MALE:
        raise Refusal(say("{animal} is entered as a male; a pair needs a female.", animal=her.keeper_id))
    if him.sex is Sex.FEMALE:
        raise Refusal(say("{animal} is entered as a female; a pair needs a male.", animal=him.keeper_id))
    for animal in (her, him):
        if animal.sex is Sex.UNSEXED:
            act.warn(say("{animal} is not sexed; kept as said.", animal=animal.keeper_id))
    return her, him


def plans_done(act: ActInHand, female: AnimalId, male: AnimalId) -> None:
    """Mark open plans of a pair, or with the male as backup, as done, inside an act."""
    sql = "SELECT id FROM pairing_plan WHERE female_id = ?1 AND ?2 IN (male_id, backup_id) AND state = 'open'"
    for (row,) in act.rows(sql, (female, male)):
        act.update(PairingPlan, row, state=PlanState.DONE.value)


def _check_backup(act: ActInHand, male: AnimalId, values: dict[str, object]) -> None:
    backup = values.get("backup_id")
    if not isinstance(backup, int):
        return
    found = living_here(act, AnimalId(backup))
    if backup == male or found.sex is Sex.FEMALE:
        raise Refusal(say("{animal} cannot stand in for him.", animal=found.keeper_id))
