"""The word for every stable code of the season."""

from __future__ import annotations

from enum import StrEnum

from coilbook.records import season_vocabulary as v

SEASON_WORDS: tuple[tuple[StrEnum, str], ...] = (
    (v.OvulationCertainty.SEEN, "seen"),
    (v.OvulationCertainty.PHOTO, "on a picture"),
    (v.OvulationCertainty.INFERRED, "inferred"),
    (v.OvulationCertainty.UNSURE, "unsure"),
    (v.LockCertainty.LOCK, "lock seen"),
    (v.LockCertainty.LIKELY, "lock likely"),
    (v.LockCertainty.COURTING, "courting only"),
    (v.FollicleMethod.PALPATION, "felt"),
    (v.FollicleMethod.ULTRASOUND, "ultrasound"),
    (v.SeasonStage.RESTING, "resting"),
    (v.SeasonStage.COOLED, "cooled"),
    (v.SeasonStage.PAIRING, "being paired"),
    (v.SeasonStage.BUILDING, "building follicles"),
    (v.SeasonStage.GRAVID, "gravid"),
    (v.SeasonStage.PRE_LAY, "close to laying"),
    (v.SeasonStage.BROODING, "on her eggs"),
    (v.SeasonStage.RECOVERING, "recovering"),
    (v.PlanState.OPEN, "planned"),
    (v.PlanState.DONE, "done"),
    (v.PlanState.DROPPED, "dropped"),
    (v.PreLay.PRE_LAY, "pre-lay shed"),
    (v.PreLay.ORDINARY, "ordinary shed"),
    (v.PreLay.UNSURE, "unsure whether pre-lay"),
    (v.SeasonEnd.RESORBED, "resorbed"),
    (v.SeasonEnd.DID_NOT_TAKE, "did not take"),
    (v.SeasonEnd.SKIPPED, "skips the season"),
)
