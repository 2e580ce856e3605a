"""Who may have sired a clutch where the keeper has not said: from stays and locks on record, in whole percent."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import LAID_AFTER_DAYS, FemaleSeason, ovulated_before, season_start
from coilbook.derived.season_reading import read_book
from coilbook.derived.season_species import profile_for
from coilbook.husbandry.figures import Event
from coilbook.husbandry.known_day import KnownDay
from coilbook.husbandry.profile import Profile
from coilbook.operations.settings import settings_in
from coilbook.records.ids import AnimalId
from coilbook.storage.act import ActInHand


def sires_by_stays(act: ActInHand, dam: AnimalId, laid: KnownDay) -> dict[AnimalId, int]:
    """Candidates by percent, likeliest first; the rest to 100 is a male not on record. Empty without any stay."""
    month, profile = settings_in(act).season_month, profile_for(act.rows, dam)
    book = read_book(act.rows, month, dam)
    ovulated = _ovulated(book.seasons.get(dam, ()), laid, profile)
    start = season_start(dt.date.fromordinal(round(ovulated.middle)), month)
    shares = book.sires(dam, ovulated, start, profile)
    # rounded down, so that no list passes 100; 0.3 of 0.4 is a hair under three quarters in binary
    whole = {AnimalId(int(one.male)): int(100 * one.share + 1e-9) for one in shares if one.male}
    return {male: percent for male, percent in whole.items() if percent >= 1}


def _ovulated(seasons: tuple[FemaleSeason, ...], laid: KnownDay, profile: Profile) -> KnownDay:
    """The ovulation on record that led to this laying, else reckoned back from her pre-lay shed or the laying."""
    shed = None
    for season in reversed([one for whole in seasons for one in whole.rounds]):
        seen = season.happened(profile)
        ovulation = seen.get(Event.OVULATION)
        if ovulation is not None and 0 <= laid.middle - ovulation.middle <= LAID_AFTER_DAYS:
            return ovulation
        if shed is None and Event.SHED in seen and 0 <= laid.middle - seen[Event.SHED].middle <= LAID_AFTER_DAYS:
            shed = seen[Event.SHED]
    return ovulated_before(laid, shed, profile) or laid
