"""Figures of the Season screen: an invented collection of 150 females in season, read and painted offscreen."""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from coilbook.app.bench.figures import Line, p95, repaints_ms
from coilbook.app.bench.own_process import NotMeasured, measured

if TYPE_CHECKING:
    from coilbook.reads.season_lines import SeasonPage
    from coilbook.storage.act import ActInHand

FEMALES, MALES, YEARS = 150, 30, 3
SIZE = (1440, 900)
REPAINTS = 60
TODAY = dt.date(2026, 3, 29)


def season_lines() -> list[Line]:
    """Every line about the season; painting in a process of its own."""
    try:
        found = measured("coilbook.app.bench.of_season")
    except NotMeasured as error:
        return [Line("repaint of the season", 16, None, note=str(error))]
    note = f"{SIZE[0]}x{SIZE[1]}, {REPAINTS} repaints"
    return [
        Line(f"season of {FEMALES} females read, windows computed, on the worker", None, found["first"][0]),
        Line("season read again, nothing changed", None, found["again"][0]),
        Line(f"repaint of {FEMALES} females, lines kept, p95", 16, p95(found["kept"]), note=note),
        Line(f"repaint of {FEMALES} females, all laid out anew, p95", 16, p95(found["anew"]), note=note),
        Line(f"repaint with all {FEMALES} in sight, p95", None, p95(found["all"]), note="a page of 4,400 px"),
    ]


def _measure() -> dict[str, list[float]]:
    """Build, read and paint; to be run in a process of its own."""
    from PySide6.QtWidgets import QApplication

    from coilbook.ui.season.view import SeasonView
    from coilbook.ui.theme import Theme
    from coilbook.wording.style import Style

    app = QApplication.instance() or QApplication([])
    page, first, again = _read()
    theme = Theme()
    theme.apply()
    view = SeasonView(theme, Style())
    view.resize(*SIZE)
    view.show()
    app.processEvents()
    view.show_page(page)
    found = {"first": [first], "again": [again]}

    def elsewhere(chance: random.Random) -> None:
        view.focus_on(chance.randrange(FEMALES))

    def anew(chance: random.Random) -> None:
        elsewhere(chance)
        view.lay_out()

    found["kept"] = repaints_ms(view, REPAINTS, elsewhere)
    found["anew"] = repaints_ms(view, REPAINTS, anew)
    view.resize(SIZE[0], 4_400)
    app.processEvents()
    found["all"] = repaints_ms(view, REPAINTS, elsewhere)
    return found


def _read() -> tuple[SeasonPage, float, float]:
    """The season of an invented collection, with the times of reading it twice."""
    from coilbook.reads.season import season_page
    from coilbook.records.settings import Settings
    from coilbook.storage.collection import Collection

    now = dt.datetime.combine(TODAY, dt.time(20)).astimezone()
    with tempfile.TemporaryDirectory(prefix="coilbook-bench-") as place:
        with Collection.create(Path(place) / "season", lambda: now) as collection:
            _fill(collection)
            times = []
            for _ in range(2):
                began = time.perf_counter()
                page = season_page(collection, TODAY, Settings())
                times.append((time.perf_counter() - began) * 1000)
        return page, times[0], times[1]


def _fill(collection: object) -> None:
    from coilbook.records.vocabulary import Act, Sex
    from coilbook.storage.collection import Collection
    from coilbook.storage.tables import Animal

    assert isinstance(collection, Collection)
    chance = random.Random(11)
    with collection.act(Act.IMPORT) as act:
        males = [act.insert(Animal, keeper_id=f"M-{n:03d}", sex=Sex.MALE.value) for n in range(1, MALES + 1)]
        for number in range(1, FEMALES + 1):
            female = act.insert(Animal, keeper_id=f"F-{number:03d}", sex=Sex.FEMALE.value)
            for year in range(YEARS):
                _season(act, chance, female, males, TODAY - dt.timedelta(365 * (YEARS - 1 - year)))


def _season(act: ActInHand, chance: random.Random, female: int, males: list[int], today: dt.date) -> None:
    """One season: five stays with locks, follicles, an ovulation, a shed and a laying, as far as they lie behind."""
    from coilbook.storage.egg_tables import Clutch
    from coilbook.storage.season_tables import Follicle, LockSeen, Ovulation, Stay
    from coilbook.storage.tables import Shed, ShedMark

    ovulated = today - dt.timedelta(chance.randrange(-20, 90))
    for back in (80, 61, 44, 27, 9):
        day = ovulated - dt.timedelta(back + chance.randrange(4))
        end = day + dt.timedelta(2)
        if end > TODAY:
            continue
        stay = act.insert(Stay, female_id=female, male_id=chance.choice(males), at=f"{day}T19:00", until=f"{end}T19:00")
        if chance.random() < 0.7:
            act.insert(LockSeen, stay_id=stay, at=f"{day}T23:00", certainty="lock")
    for back in (60, 30, 8):
        day = ovulated - dt.timedelta(back)
        if day <= TODAY:
            act.insert(Follicle, animal_id=female, at=f"{day}T18:00", mm_tenths=380 - 4 * back)
    shed, laid = ovulated + dt.timedelta(19), ovulated + dt.timedelta(48 + chance.randrange(5))
    if ovulated <= TODAY:
        act.insert(Ovulation, animal_id=female, at=f"{ovulated}T21:00")
    if shed <= TODAY:
        row = act.insert(Shed, animal_id=female, at=f"{shed}T08:00")
        act.insert(ShedMark, shed_id=row, was="pre_lay")
    if laid <= TODAY:
        act.insert(Clutch, label=f"C{female}-{laid}", dam_id=female, laid=laid.isoformat())


if __name__ == "__main__":
    print(json.dumps(_measure()), flush=True)
    os._exit(0)
