"""What usually goes wrong in a stage of the season, and the signs that mean a vet now. No drug, no dose, no cure.

Each note says how it is known; the keeper's vet and local law decide.
"""

from __future__ import annotations

from dataclasses import dataclass

from coilbook.husbandry.figures import Mark
from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import SeasonStage


@dataclass(frozen=True, slots=True)
class StageNote:
    """One thing to know in a stage, and how it is known; `vet` where it is a sign to call a vet for."""

    told: Message
    mark: Mark
    vet: bool = False


def _usual(text: str) -> StageNote:
    return StageNote(say(text), Mark.COMMON_PRACTICE)


#: signs that need no threshold in any stage
VET_NOW = StageNote(
    say("A vet now, in any stage: open-mouth breathing or wheezing, mucus from the mouth, prolapse, blood, limpness, "
        "loss of balance."), Mark.COMMON_PRACTICE, vet=True,
)  # fmt: skip
_STRAINING = StageNote(
    say("A vet now: straining without an egg, or a swelling that stays a day or two after the last egg."),
    Mark.COMMON_PRACTICE, vet=True,
)  # fmt: skip

NOTES: dict[SeasonStage, tuple[StageNote, ...]] = {
    SeasonStage.RESTING: (_usual("Breeding her thin on the memory of last year's weight: weigh before you plan."),),
    SeasonStage.COOLED: (
        _usual("Cooling the wrong rack: hatchlings and gravid females stay warm."),
        _usual("Too cold too long brings trouble with breathing; many keepers cool little or not at all."),
    ),
    SeasonStage.PAIRING: (
        _usual("A male left in by accident, or used too often in a row."),
        _usual("Every day together taken for a lock: write a lock only when it was seen."),
    ),
    SeasonStage.BUILDING: (
        _usual('Follicles that go back are read as "did not take": feel or scan again after some weeks.'),
        _usual("The ovulation shows for a day or less; a day missed widens all that follows."),
    ),
    SeasonStage.GRAVID: (
        _usual("A refused meal is expected now; a loss beyond the limit of this stage is not."),
        _usual("The shed after ovulation is taken for an ordinary one."),
        _STRAINING,
    ),
    SeasonStage.PRE_LAY: (
        _usual("Nothing to lay in, no room in the incubator, nobody at home."),
        _usual("Live prey in the tub of a female about to lay."),
        _STRAINING,
    ),
    SeasonStage.BROODING: (
        _usual("Eggs dry out when she cannot cover them all or leaves them."),
        StageNote(
            say(
                "She keeps water in, not warmth: never more than a few tenths of a degree above the air (Ellis & "
                "Chappell 1987, abstract)."
            ),
            Mark.PUBLISHED,
        ),
        _STRAINING,
    ),
    SeasonStage.RECOVERING: (
        _usual("Too large a first meal; small ones, then every week."),
        _usual("Bred again next year by default: compare her weight with the start of this season first."),
        _STRAINING,
    ),
}


def stage_notes(stage: SeasonStage) -> tuple[StageNote, ...]:
    """The notes of a stage, signs for a vet last."""
    return (*NOTES[stage], VET_NOW)
