"""The sentence at the head of the page of eggs, the line that warns of an outage, and choosing a logger's file."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from coilbook.reads.eggs_now import EggsNow
from coilbook.reads.outages import OutageSeen, worst_heat
from coilbook.ui.desk import Desk
from coilbook.ui.eggs.candling import Candling
from coilbook.wording.language import translated, translated_plural

#: an outage is told at the head of the page for this long
ALERT_DAYS = dt.timedelta(4)
LOGGER_FILES = (".csv", ".txt", ".tsv")


def sentence(now: EggsNow, candling: Candling | None) -> str:
    """What lies in the incubators, or how far a candling is."""
    if candling is not None:
        done, whole = len(candling.seen), len(candling.order)
        return translated("Candling: {done} of {whole} judged. Enter keeps them.").format(done=done, whole=whole)
    boxes, eggs, slugs, needy = now.counts
    parts = [translated_plural("{n} box", "{n} boxes", boxes), translated_plural("{n} egg", "{n} eggs", eggs)]
    parts += [translated_plural("{n} slug", "{n} slugs", slugs)] if slugs else []
    text = ", ".join(parts)
    return text + "; " + translated_plural("{n} box needs you", "{n} boxes need you", needy) if needy else text


def hint(candling: Candling | None, story: bool) -> str:
    """The keys that matter now, for the foot."""
    if candling is not None:
        return translated(
            "`G` veins  `A` faint  `D` doubtful  `S` slug  `X` dead  `E` `U` `K` dent, mould, wet  `.` nothing  "
            "`Space` on  `Enter` keeps"
        )
    if story:
        return translated("`T` `Esc` back to the eggs  `Ctrl P` as a PDF with pictures  `Ctrl S` share")
    return translated(
        "`1`-`9` egg  `V` look in full  `G` `D` `S` `X` verdict  `F` looked, fine  `L` weigh  `C` candle  `H` hatched"
    )


def alert(desk: Desk, now: EggsNow) -> str:
    """Heat or an outage of the last days in one line; of both the heat, as the greater danger, and when it was cold."""
    warm = _heat(desk, now)
    if not warm:
        return _cold(desk, now)
    cold = _recent_cold(now)
    if cold is None:
        return warm
    day = desk.style.date(cold.outage.end.date(), year=False)
    return warm + " " + translated("Cold {day} too.").format(day=day)


def _heat(desk: Desk, now: EggsNow) -> str:
    seen = worst_heat([one for one in now.heats if now.today - one.heat.end.date() <= ALERT_DAYS])
    if seen is None:
        return ""
    day = desk.style.date(seen.heat.end.date(), year=False)
    highest = desk.style.temperature(round(seen.heat.highest_c * 10))
    if seen.heat.only_most or seen.heat.hours_above == 0:
        told = translated("{name} was too warm, {highest} by {day}, how long is not known.")
        return told.format(name=seen.name, highest=highest, day=day)
    minutes = round(seen.heat.hours_above * 60)
    return translated("{name} was too warm {day}, {hours} h {minutes} min, highest {c}.").format(
        name=seen.name, day=day, hours=minutes // 60, minutes=minutes % 60, c=highest
    )


def _recent_cold(now: EggsNow) -> OutageSeen | None:
    seen = next(iter(now.outages), None)
    return seen if seen is not None and now.today - seen.outage.end.date() <= ALERT_DAYS else None


def _cold(desk: Desk, now: EggsNow) -> str:
    seen = _recent_cold(now)
    if seen is None:
        return ""
    minutes = round(seen.outage.hours * 60)
    return translated("{name} was cold {day}, {hours} h {minutes} min, lowest {c}.").format(
        name=seen.name,
        day=desk.style.date(seen.outage.end.date(), year=False),
        hours=minutes // 60,
        minutes=minutes % 60,
        c=desk.style.temperature(round(seen.outage.lowest_c * 10)),
    )


def choose_logger_file(parent: QWidget) -> Path | None:
    """Ask for a logger's file; None when the keeper left it."""
    kinds = translated("Readings") + " (" + " ".join(f"*{ending}" for ending in LOGGER_FILES) + ")"
    name, _ = QFileDialog.getOpenFileName(parent, translated("The readings to bring in"), "", kinds)
    return Path(name) if name else None
