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
