"""Closed lists of the season, stored by their stable code (`.value`)."""

from __future__ import annotations

from enum import StrEnum


class OvulationCertainty(StrEnum):
    """How an ovulation is known."""

    SEEN = "seen"
    PHOTO = "photo"
    INFERRED = "inferred"
    UNSURE = "unsure"


class LockCertainty(StrEnum):
    """What was seen of a pair together."""

    LOCK = "lock"
    LIKELY = "likely"
    COURTING = "courting"


class FollicleMethod(StrEnum):
    """Felt follicles have a grade, scanned ones a size; the two are never averaged together."""

    PALPATION = "palpation"
    ULTRASOUND = "ultrasound"


class SeasonStage(StrEnum):
    """Where a female stands in her season; derived from events, never typed."""

    RESTING = "resting"
    COOLED = "cooled"
    PAIRING = "pairing"
    BUILDING = "building"
    GRAVID = "gravid"
    PRE_LAY = "pre_lay"
    BROODING = "brooding"
    RECOVERING = "recovering"


class PlanState(StrEnum):
    """What became of a planned pairing; DONE once the two were together."""

    OPEN = "open"
    DONE = "done"
    DROPPED = "dropped"


class PreLay(StrEnum):
    """What a shed of a female in season was, as the keeper answered."""

    PRE_LAY = "pre_lay"
    ORDINARY = "ordinary"
    UNSURE = "unsure"


class SeasonEnd(StrEnum):
    """How a season ended, or why there was none, without eggs."""

    RESORBED = "resorbed"
    DID_NOT_TAKE = "did_not_take"
    SKIPPED = "skipped"
