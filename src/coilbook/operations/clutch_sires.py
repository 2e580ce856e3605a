"""Who may have sired a clutch where the keeper has not said: from stays and locks on record, in whole percent."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import LAID_AFTER_DAYS, OVULATED_BEFORE_LAYING, read_book, season_start
from coilbook.derived.season_profile import profile_now
from coilbook.operations.settings import settings_in
from coilbook.records.ids import AnimalId
from coilbook.storage.act import ActInHand


def sires_by_stays(act: ActInHand, dam: AnimalId, laid: dt.date) -> dict[AnimalId, int]:
    """Candidates by percent, likeliest first; the rest to 100 is a male not on record. Empty without any stay."""
    month = settings_in(act).season_month
    book = read_book(act.rows, month, dam)
    ovulated = laid - dt.timedelta(days=OVULATED_BEFORE_LAYING)
    for season in book.seasons.get(dam, ()):
        seen = season.ovulation
        if seen is not None and 0 <= (laid - seen.day).days <= LAID_AFTER_DAYS:
            ovulated = seen.day
    shares = book.sires(dam, ovulated, season_start(ovulated, month), profile_now(act.rows))
    whole = {AnimalId(int(one.male)): int(100 * one.share) for one in shares if one.male}
    return {male: percent for male, percent in whole.items() if percent >= 1}
