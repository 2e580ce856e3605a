"""Every kind of entry of an animal's page: care, health, then the season.

What is asked of health and of a season is loaded by the first form that asks it: the first page of an animal does not
wait for it.
"""

from __future__ import annotations

from coilbook.reads.animal_rows import AnimalPage
from coilbook.ui.animal.entry_form import Ask, Call, Values
from coilbook.ui.animal.log_kinds import LOG_KINDS, LogKind
from coilbook.ui.desk import Desk

#: name of a kind of health, its letter and its word in the row of kinds
_HEALTH = (("treatment", "T", "Treatment"), ("quarantine", "Q", "Quarantine"), ("course", "K", "Course note"))
#: name of a kind of the season, its letter and its word in the row of kinds
_SEASON = (
    ("stay", "I", "Pair"), ("lock", "L", "Lock"), ("follicle", "O", "Follicles"), ("ovulation", "V", "Ovulation"),
)  # fmt: skip


def _of_season(name: str, letter: str, words: str) -> LogKind:
    def asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
        from coilbook.ui.season.kinds import KINDS, Who

        return KINDS[name].asks(desk, Who(page.who.id, page.who.keeper_id, page.who.sex))

    def call(page: AnimalPage, values: Values) -> Call:
        from coilbook.ui.season.kinds import KINDS, Who

        return KINDS[name].call(Who(page.who.id, page.who.keeper_id, page.who.sex), values)

    return LogKind(letter, name, words, asks, call)


def _of_health(name: str, letter: str, words: str) -> LogKind:
    def asks(desk: Desk, page: AnimalPage) -> tuple[Ask, ...]:
        from coilbook.ui.animal.health_kinds import HEALTH_KINDS

        return HEALTH_KINDS[name].asks(desk, page)

    def call(page: AnimalPage, values: Values) -> Call:
        from coilbook.ui.animal.health_kinds import HEALTH_KINDS

        return HEALTH_KINDS[name].call(page, values)

    return LogKind(letter, name, words, asks, call)


ALL_KINDS: tuple[LogKind, ...] = (
    *LOG_KINDS,
    *(_of_health(*kind) for kind in _HEALTH),
    *(_of_season(*kind) for kind in _SEASON),
)
#: what the margin explains while something is logged
EXPLAINS = {
    "move": "place", "weight": "weight", "feeding": "fast", "back": "meal", "shed": "shed", "treatment": "health",
    "quarantine": "health", "course": "health",
}  # fmt: skip
