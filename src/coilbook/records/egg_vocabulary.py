"""Closed lists for eggs, their boxes and incubators, stored by their stable code (`.value`)."""

from __future__ import annotations

from enum import StrEnum


class Medium(StrEnum):
    """What eggs lie on; GRID is a light diffuser over water, which has no ratio."""

    VERMICULITE = "vermiculite"
    PERLITE = "perlite"
    MIX = "mix"
    GRID = "grid"


class Lid(StrEnum):
    """Whether a total was weighed with the lid on; only like is compared with like."""

    WITH = "with"
    WITHOUT = "without"


class ReadingSource(StrEnum):
    """Where a temperature was read."""

    PROBE = "probe"
    EYE = "eye"


class Verdict(StrEnum):
    """What a look made of an egg; every one is kept. UNSAID is a look that judged nothing."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    SLUG = "slug"
    DEAD = "dead"
    UNSAID = "unsaid"


class Veins(StrEnum):
    """Vessels seen in the light; UNSAID is not candled, NONE is candled and none seen."""

    CLEAR = "clear"
    FAINT = "faint"
    NONE = "none"
    UNSAID = "unsaid"


class Dents(StrEnum):
    """How far a shell has sunk in; UNSAID is not looked at."""

    NONE = "none"
    SLIGHT = "slight"
    DEEP = "deep"
    UNSAID = "unsaid"


class ClutchMass(StrEnum):
    """How the mass of a clutch was come by: egg by egg, or one weight of eggs that stick."""

    EGGS = "eggs"
    CLUMP = "clump"


class EggDeed(StrEnum):
    """What was done to an egg or a box."""

    WIPED = "wiped"
    TREATED = "treated"
    DAMP_COVER = "damp_cover"
    COVER_OFF = "cover_off"
    WATER = "water"
    VENTED = "vented"
    MOVED = "moved"
    SEPARATED = "separated"
    CUT_BEFORE_PIP = "cut_before_pip"
    CUT_AFTER_PIP = "cut_after_pip"
    REMOVED = "removed"
    OTHER = "other"


class Outcome(StrEnum):
    """How it stood at the next look after something was done."""

    BETTER = "better"
    SAME = "same"
    WORSE = "worse"
    UNSAID = "unsaid"


class HatchEvent(StrEnum):
    """The end of an egg: PIP opens the shell, OUT leaves it, DEAD_IN_SHELL never does."""

    PIP = "pip"
    OUT = "out"
    DEAD_IN_SHELL = "dead_in_shell"


class Navel(StrEnum):
    """Where the yolk went in; UNSAID is not looked at."""

    CLOSED = "closed"
    OPEN = "open"
    YOLK = "yolk"
    UNSAID = "unsaid"


class DoubtKind(StrEnum):
    """What is not known and written down as such."""

    FERTILE = "fertile"
    ALIVE = "alive"
    SMELL = "smell"
    SIRE = "sire"
    SEX = "sex"
    GENE = "gene"
    OTHER = "other"


class EggState(StrEnum):
    """How an egg stands now: its last verdict, or what ended it."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    SLUG = "slug"
    DEAD = "dead"
    UNSAID = "unsaid"
    PIPPED = "pipped"
    HATCHED = "hatched"
    DEAD_IN_SHELL = "dead_in_shell"
    REMOVED = "removed"


#: states in which an egg lies in its box and is waited for or watched
IN_THE_BOX = (EggState.GOOD, EggState.DOUBTFUL, EggState.SLUG, EggState.DEAD, EggState.UNSAID, EggState.PIPPED)
#: states of which young may still come
MAY_HATCH = (EggState.GOOD, EggState.DOUBTFUL, EggState.UNSAID, EggState.PIPPED)
