"""A female's season in a few words, beside her id."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import FemaleSeason
from coilbook.husbandry.season_stage import StageFound
from coilbook.records.message import Message, say
from coilbook.records.season_vocabulary import SeasonStage

#: eggs of which nothing came are no longer told after this many days (64 at most are usual; `common practice`)
_EGGS_DAYS = 100


def headline(season: FemaleSeason, stage: StageFound, today: dt.date) -> Message:
    """Stage and the days that count in it, of the clutch that counts."""
    if not season.earlier:
        return _of_clutch(season, stage, today)
    return say("clutch {number}: {what}", number=len(season.rounds), what=_of_clutch(season, stage, today))


def _of_clutch(season: FemaleSeason, stage: StageFound, today: dt.date) -> Message:
    if season.outcome is not None and season.laying is None:
        return say("{outcome}", outcome=season.outcome.outcome)
    laying = season.laying
    if laying is not None:
        if laying.out is not None:
            return say("hatched, {stage}", stage=stage.stage)
        if laying.pip is not None:
            return say("pipped, {stage}", stage=stage.stage)
        days = today.toordinal() - round(laying.laid.middle)
        return say("eggs, day {n}", n=days) if days <= _EGGS_DAYS else say("{stage}", stage=stage.stage)
    if stage.since is not None and stage.stage in (SeasonStage.PRE_LAY, SeasonStage.GRAVID):
        word = "pre-lay, day {n}" if stage.stage is SeasonStage.PRE_LAY else "gravid, day {n}"
        return say(word, n=(today - stage.since).days)
    if stage.stage is SeasonStage.BUILDING and season.follicles:
        last = season.follicles[-1]
        if last.mm is not None:
            return say("building, {mm:g} mm", mm=last.mm)
        return say("building, grade {grade}", grade=last.grade or 0)
    return say("{stage}", stage=stage.stage)
