"""Who to offer as sires of a clutch that is being entered: from stays and locks of the season, and stored sperm."""

from __future__ import annotations

import datetime as dt

from coilbook.derived.season_book import OVULATED_BEFORE_LAYING, read_book, season_start
from coilbook.husbandry.profile import shipped_profile
from coilbook.reads.season_lines import SireRow
from coilbook.records.ids import AnimalId
from coilbook.records.settings import Settings
from coilbook.storage.collection import Collection


def sires_offered(collection: Collection, dam: AnimalId, laid: dt.date, settings: Settings) -> tuple[SireRow, ...]:
    """Candidates with their shares, likeliest first, one not on record last; empty when no stay of hers is on record."""
    book = read_book(collection.read, settings.season_month, dam)
    start = season_start(laid, settings.season_month)
    season = book.counting(dam, start, laid)
    if not any(s.stays for s in book.seasons.get(dam, ())):
        return ()
    ovulated = laid - dt.timedelta(days=OVULATED_BEFORE_LAYING)
    if season.ovulation is not None and season.ovulation.day <= laid:
        ovulated = season.ovulation.day
    names = {AnimalId(i): str(name) for i, name in collection.read(
        "SELECT DISTINCT a.id, a.keeper_id FROM stay s JOIN animal a ON a.id = s.male_id WHERE s.female_id = ?", (dam,)
    )}  # fmt: skip
    rows = []
    for share in book.sires(dam, ovulated, season.start, shipped_profile(settings.species)):
        male = AnimalId(int(share.male)) if share.male else None
        name = names.get(male, "") if male is not None else ""
        rows.append(SireRow(male, name, share.share, share.stored, share.because))
    return tuple(rows)


def percents(offered: tuple[SireRow, ...], least: float = 0.02) -> dict[AnimalId, int]:
    """Whole percents for the sires of a clutch, those under `least` left to "not on record"; at most 100 together.

    >>> percents((SireRow(AnimalId(3), "M-03", 0.92, False, ()), SireRow(AnimalId(11), "M-11", 0.07, False, ()),
    ...           SireRow(None, "", 0.01, False, ())))
    {3: 92, 11: 7}
    """
    return {row.animal: int(100 * row.share) for row in offered if row.animal is not None and row.share >= least}
