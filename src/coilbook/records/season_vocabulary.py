"""Closed lists of the season and of eggs, stored by their stable code (`.value`)."""

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


class EggVerdict(StrEnum):
    """What a look at an egg says; an egg keeps all its verdicts. NOT_JUDGED is looked at and left open."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    SLUG = "slug"
    DEAD = "dead"
    NOT_JUDGED = "not_judged"


class EggOutcome(StrEnum):
    """What became of an egg."""

    HATCHED = "hatched"
    DEAD_IN_SHELL = "dead_in_shell"
    REMOVED = "removed"
    OPEN = "open"


class BoxKind(StrEnum):
    """What keeps the eggs of a box from drying: a moist medium, or open water under a grid."""

    MEDIUM = "medium"
    GRID_OVER_WATER = "grid_over_water"
