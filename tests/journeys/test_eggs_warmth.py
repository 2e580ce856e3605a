"""An incubator too warm is seen at a glance on Eggs and told as a story; eggs a dam keeps are not taken as at 31.5."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from coilbook.husbandry.profile import shipped_profile
from coilbook.records.ids import EggBoxId
from coilbook.ui.margin_content import Evidence
from tests.journeys.eggs_keeper import MORNING, Keeper, keeper, lay, lay_with_dam

__all__ = ["keeper"]


def hot_night(folder: Path) -> Path:
    """31.5 through a night, from 02:00 to 04:55 at 35.2."""
    start = dt.datetime(2026, 4, 9, 18)
    lines = ["Time,Temperature"]
    for step in range(12 * 14):
        moment = start + dt.timedelta(minutes=5 * step)
        lines.append(f"{moment:%Y-%m-%d %H:%M},{35.2 if 2 <= moment.hour < 5 else 31.5}")
    file = folder / "logger.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    return file


def test_heat_stands_at_the_head_and_is_told_with_what_is_not_known(keeper: Keeper, tmp_path: Path) -> None:
    lay(keeper)
    keeper.day(10)
    keeper.window.take_files([hot_night(tmp_path)])
    keeper.screen.desk_eggs.choose_box(EggBoxId(1))
    strong = keeper.screen.head._strong.text()
    assert strong == "Incubator 1 was too warm 10 Apr, 3 h 1 min, highest 35.2 \u00b0C."
    sections = keeper.screen.margin_content().sections
    section = next(s for s in sections if s.heading == "The heat in Incubator 1")
    assert section.text.count("Not known") == 2 and section.text.count("a vet sees") == 1
    assert "From 34.5 \u00b0C on eggs are taken to be in danger (common practice)" in section.text
    (row,) = [row.word for row in section.rows if isinstance(row, Evidence)]
    assert row.startswith("C26-01, day 10: candle at the next look")
    assert not any("outage" in s.heading for s in sections)


def test_heat_and_cold_are_both_told_heat_first(keeper: Keeper, tmp_path: Path) -> None:
    lay(keeper)
    keeper.day(10)
    file = hot_night(tmp_path)
    rows = file.read_text(encoding="utf-8").splitlines()
    cold = [row.split(",")[0] + ",27.0" if row[11:13] in ("20", "21") else row for row in rows]
    file.write_text("\n".join(cold), encoding="utf-8")
    keeper.window.take_files([file])
    strong = keeper.screen.head._strong.text()
    assert strong.startswith("Incubator 1 was too warm 10 Apr") and strong.endswith("Cold 9 Apr too.")
    headings = [s.heading for s in keeper.screen.margin_content().sections]
    assert headings.index("The heat in Incubator 1") < headings.index("The outage of Incubator 1")


def test_a_clutch_her_dam_keeps_has_a_wider_window_said_in_words(keeper: Keeper) -> None:
    lay(keeper)
    lay_with_dam(keeper)
    now = keeper.screen.desk_eggs.now
    (kept,) = now.with_dam
    boxed, with_dam = now.windows[now.boxes[0].clutches[0].id], now.windows[kept.id]
    assert boxed.ahead is not None and with_dam.ahead is not None and with_dam.forecast is not None
    wide, narrow = ((w.last - w.first).days for w in (with_dam.ahead, boxed.ahead))
    assert wide > 1.5 * narrow
    # brooded at 29.2 degrees eggs took 58 to 70 days (published: Ellis & Chappell 1987): the window reaches over that
    first, last = (MORNING.date() + dt.timedelta(days) for days in (58, 70))
    assert with_dam.ahead.first <= first and last <= with_dam.ahead.last + dt.timedelta(1)
    told = " ".join(keeper.window.desk.render(message) for message in with_dam.forecast.because)
    assert "The dam keeps the eggs" in told and "28.5 \u00b0C to 31.5 \u00b0C (from memory)" in told
    assert shipped_profile("corn_snake").incubation.with_dam is None
