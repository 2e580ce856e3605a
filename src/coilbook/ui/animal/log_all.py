"""Every kind of entry of an animal's page: care, then the season."""

from __future__ import annotations

from coilbook.reads.animal_rows import AnimalPage
from coilbook.ui.animal.entry_form import Ask
from coilbook.ui.animal.log_kinds import LOG_KINDS, Call, LogKind, Values
from coilbook.ui.desk import Desk
from coilbook.ui.season.kinds import KINDS, SeasonKind, Who

#: letters of what is logged of a season
_LETTERS = {"stay": "I", "lock": "L", "follicle": "O", "ovulation": "V"}
#: short words for the row of kinds
_WORDS = {"stay": "Pair", "lock": "Lock", "follicle": "Follicles", "ovulation": "Ovulation"}


def _who(page: AnimalPage) -> Who:
    return Who(page.who.id, page.who.keeper_id, page.who.sex)


def _of_season(letter: str, kind: SeasonKind) -> LogKind:
    def asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
        return kind.asks(desk, _who(page))

    def call(page: AnimalPage, values: Values) -> Call:
        return kind.call(_who(page), values)

    return LogKind(letter, kind.name, _WORDS[kind.name], asks, call)


ALL_KINDS: tuple[LogKind, ...] = (*LOG_KINDS, *(_of_season(key, KINDS[name]) for name, key in _LETTERS.items()))
