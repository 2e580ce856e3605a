"""The columns of the list: one description each (head, how it sorts, width, how it is written)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from coilbook.reads.herd_rows import HerdRow
from coilbook.reads.standing import LONG_DAYS, State
from coilbook.records.quantities import MassUnit
from coilbook.records.vocabulary import Precision, Status
from coilbook.records.when import PartialDate
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import words

#: a day older than this is written with its year
YEAR_DAYS = 330
#: hatchlings are weighed to the tenth of a gram, others are not
WHOLE_FROM_DG = 2_000


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell as it is painted and copied; `after` stands at the right in a second part of its own."""

    text: str
    after: str = ""
    shape: str = ""
    token: str = "ink"
    bold_after: bool = False

    @property
    def plain(self) -> str:
        """The cell in words."""
        return f"{self.text} {self.after}".strip()


@dataclass(frozen=True, slots=True)
class Writing:
    """What a cell is written with: the keeper's style and day."""

    style: Style
    today: dt.date


@dataclass(frozen=True, slots=True)
class Column:
    """One column; `sort` is the herd's name for it, `width` is in pixels at 100 percent (0 takes the rest)."""

    key: str
    head: str
    sort: str
    width: int
    write: Callable[[HerdRow, Writing], Cell]
    right: bool = False
    shown: bool = True
    #: the first press of its head sorts from the large end
    descends: bool = False


def _animal(row: HerdRow, w: Writing) -> Cell:
    sign, letter = w.style.sex_sign(row.sex, row.sex_percent)
    return Cell(row.keeper_id, f"{sign} {letter}".strip())


def _weight(row: HerdRow, w: Writing) -> Cell:
    """Whole grams from `WHOLE_FROM_DG` on: the tenths are in the margin."""
    if not row.weight_dg:
        return Cell("")
    whole = row.weight_dg >= WHOLE_FROM_DG and w.style.settings.mass_unit is MassUnit.GRAM
    shown = (row.weight_dg + 5) // 10 * 10 if whole else row.weight_dg
    return Cell(w.style.mass(shown, unit=w.style.settings.mass_unit is MassUnit.POUND_OUNCE))


def _hatched(row: HerdRow, w: Writing) -> Cell:
    """To the month at most: the day is in the margin."""
    hatched = row.hatched
    if hatched is None:
        return Cell("")
    if hatched.precision is Precision.DAY:
        hatched = PartialDate(hatched.first.replace(day=1), Precision.MONTH)
    return Cell(w.style.date(hatched), token="second")


def _meal(row: HerdRow, w: Writing) -> Cell:
    if row.taken is None:
        return Cell("")
    if not row.here:
        return Cell(short_day(row.taken, w), token="second")
    days = (w.today - row.taken).days
    long = days > LONG_DAYS and row.refused > 0
    return Cell(short_day(row.taken, w), w.style.days(days), token="second", bold_after=long)


def _day(name: str) -> Callable[[HerdRow, Writing], Cell]:
    def write(row: HerdRow, w: Writing) -> Cell:
        day = getattr(row, name)
        return Cell(short_day(day, w) if day else "", token="second")

    return write


def short_day(day: dt.date, w: Writing) -> str:
    """A day in a narrow cell: without its year while that is plain, else its month and year."""
    if abs((w.today - day).days) <= YEAR_DAYS:
        return w.style.date(day, year=False)
    return w.style.date(PartialDate(day, Precision.MONTH))


_STATES: dict[State, tuple[str, str]] = {
    State.SOLD: ("move", ""), State.DEAD: ("cross", ""), State.LOAN: ("dash", ""), State.LOST: ("lost", ""),
    State.OUTSIDE: ("photo", ""), State.TREATMENT: ("course", "treatment"),
    State.QUARANTINE: ("pause", "quarantine"), State.BLUE: ("blue", "in blue"),
    State.PENDING: ("dot", "left in"), State.NEW: ("flag", "new"),
}  # fmt: skip


def state_words(row: HerdRow, w: Writing) -> Cell:
    """The state in one word with its own shape; blank when there is nothing to say."""
    state = row.state
    if state is State.NONE:
        return Cell("")
    if state is State.FAST and row.taken is not None:
        return Cell(translated("fast {days}").format(days=w.style.days((w.today - row.taken).days)), shape="circle")
    if state is State.NOT_OFFERED and row.offered is not None:
        days = w.style.days((w.today - row.offered).days)
        return Cell(translated("not offered {days}").format(days=days), shape="not_offered")
    if state is State.REGURGITATED:
        return Cell(translated("meal came back"), shape="triangle", token="clay")
    shape, said = _STATES[state]
    return Cell(translated(said) if said else words(Status(state.value)), shape=shape)


def _place(row: HerdRow, w: Writing) -> Cell:
    return Cell(row.place)


#: every column there is, in the order a new list has them
COLUMNS: tuple[Column, ...] = (
    Column("animal", "Animal", "animal", 112, _animal),
    Column("name", "Name", "name", 96, lambda row, w: Cell(row.name), shown=False),
    Column("genetics", "Genetics", "genetics", 0, lambda row, w: Cell(row.genetics)),
    Column("place", "Place", "place", 70, _place),
    Column("hatched", "Hatched", "hatched", 80, _hatched),
    Column("weight", "Now", "weight", 64, _weight, right=True, descends=True),
    Column("curve", "12 months", "weighed", 112, lambda row, w: Cell(""), descends=True),
    Column("meal", "Last meal taken", "taken", 132, _meal, right=True),
    Column("due", "Due", "due", 72, _day("due"), shown=False),
    Column("shed", "Last shed", "shed", 80, _day("shed"), shown=False, descends=True),
    Column("state", "State", "state", 144, state_words),
)  # fmt: skip
BY_KEY: dict[str, Column] = {column.key: column for column in COLUMNS}


def head_of(column: Column, style: Style) -> str:
    """Head of a column in the keeper's language and unit."""
    head = translated(column.head)
    return f"{head}, {style.mass_unit()}" if column.key == "weight" else head
