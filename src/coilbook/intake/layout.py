"""How a sheet is laid out: its header row, section titles, repeated headers, sums, clutches and stray lines.

A row that cannot be an animal is told apart here, with the reason a keeper reads.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from coilbook.intake.columns import Column, Meaning, looks_like_id, match_header
from coilbook.intake.dates import read_header_date
from coilbook.intake.sheet import Row, Sheet
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import Sex, Status


class RowKind(StrEnum):
    """What a row is; only ANIMAL rows become animals."""

    HEADER = "header"
    SECTION = "section"
    ANIMAL = "animal"
    CLUTCH = "clutch"
    SUM = "sum"
    LINE = "line"
    OTHER = "other"


#: rows that stand between the data and are no rows of it
STRUCTURE = frozenset({RowKind.HEADER, RowKind.SECTION})

_HEADER_SEARCH = 25
_TAB_OF_RACK = re.compile(r"[a-z]{1,2}[ -]?\d{1,3}", re.I)
_RACK = re.compile(r"\b((?:rack|tower|stack)\s*[#:]?\s*[\w-]{1,6})\b", re.I)
_ROOM = re.compile(r"\b(room\s+[\w-]{1,10}|[\w-]{2,12}\s+room)\b", re.I)
_FEMALES = re.compile(r"\b(?:females|girls|0\.1)\b|♀|^female$", re.I)
_MALES = re.compile(r"\b(?:males|boys|1\.0)\b|♂|^male$", re.I)
_STATES = (
    (re.compile(r"^(?:sold|gone)\b", re.I), Status.SOLD),
    (re.compile(r"^(?:dead|died|deceased|rip|losses|deaths)\b|†", re.I), Status.DEAD),
    (re.compile(r"^(?:on loan|loaned|out on loan)\b", re.I), Status.LOAN),
)
_TITLE_WORDS = re.compile(
    r"\b(?:hold ?backs?|breeders?|hatchlings?|juveniles?|babies|adults?|quarantine|for sale|projects?|collection|"
    r"subadults?|yearlings?|growers?|keepers?|season|snakes|animals|(?:19|20)\d\d)\b",
    re.I,
)
_SUM = re.compile(r"^(?:grand\s+)?(?:sub\s*-?)?(?:totals?|sum|count|average|avg|how many)\b", re.I)
_PAIR = re.compile(
    r"^\s*[^\s,;]{1,20}(?:\s[^\s,;]{1,12}){0,3}\s+[x×X]\s+[^\s,;]{1,20}(?:\s[^\s,;]{1,12}){0,3}(?=$|[\s,;:(])"
)
_EGGS = re.compile(
    r"\b\d{1,2}\s*[+/]\s*\d{1,2}\b|\b\d{1,2}\s*g(?:ood)?\s+\d{1,2}\s*s(?:lugs?)?\b|\beggs?\b|\bslugs?\b", re.I
)
_EGG_ID = re.compile(r"^(?:eggs?|slugs?|infertile|clutch)\b", re.I)
_LIST = re.compile(r"\s*[,;&+/]\s*|\s+and\s+")
_EMPTY_ID = re.compile(r"[?\-–—. ]+|n/?a|none|tbd|tba|unknown", re.I)


@dataclass(frozen=True, slots=True)
class Section:
    """What the title above a run of rows says about them; the rack and room last until the next one."""

    rack: str = ""
    room: str = ""
    sex: Sex | None = None
    status: Status | None = None
    tag: str = ""

    def followed_by(self, title: str, *, adjoining: bool) -> Section:
        """The section after one more title; titles in neighbouring rows belong together."""
        read = read_title(title)
        base = self if adjoining else Section(rack=self.rack, room=self.room)
        return Section(
            rack=read.rack or base.rack,
            room=read.room or base.room,
            sex=read.sex or base.sex,
            status=read.status or base.status,
            tag=read.tag or base.tag,
        )


def read_title(title: str) -> Section:
    """What a section title or a tab's name says: a rack, a room, a sex, a status, or else a tag."""
    rack, room = _RACK.search(title), _ROOM.search(title)
    sex = Sex.FEMALE if _FEMALES.search(title) else Sex.MALE if _MALES.search(title) else None
    status = next((status for pattern, status in _STATES if pattern.search(title.strip())), None)
    section = Section(
        rack=" ".join(rack[1].split()) if rack else "",
        room=" ".join(room[1].split()) if room and not rack else "",
        sex=sex,
        status=status,
    )
    return section if section != Section() else replace(section, tag=title.strip(" :-=*"))


def rack_of_tab(name: str, meanings: Sequence[Meaning]) -> str:
    """The rack a tab is of by its bare name ("R2", "B 11"): only where its rows have slots and do not name racks."""
    if Meaning.SLOT not in meanings or Meaning.RACK in meanings or Meaning.PLACE in meanings:
        return ""
    return name.strip() if _TAB_OF_RACK.fullmatch(name.strip()) else ""


@dataclass(frozen=True, slots=True)
class Layout:
    """Where a sheet's header is (index into its rows, -1 for none) and the header's texts."""

    header_at: int
    header: tuple[str, ...]


def find_header(sheet: Sheet, this_year: int) -> Layout:
    """The row that names the columns: the one among the first with most known headers, at least two of them."""
    best, best_score = -1, 0.0
    for at, row in enumerate(sheet.rows[:_HEADER_SEARCH]):
        filled = row.filled
        known = sum(1 for cell in row.cells if cell and len(cell) <= 40 and match_header(cell))
        dated = sum(1 for cell in row.cells if cell and read_header_date(cell, this_year))
        enough = known >= 2 or (known == 1 and (filled <= 2 or dated >= 3))
        score = known + min(dated, 5) * 0.2 if enough and (known + dated) * 2 >= min(filled, 8) else 0.0
        if not score and known and _stands_over_numbers(sheet.rows, at):
            score = 0.5
        if score > best_score:
            best, best_score = at, score
    return Layout(best, sheet.rows[best].cells if best >= 0 else ())


def _stands_over_numbers(rows: Sequence[Row], at: int) -> bool:
    """True for a first row of words over rows with numbers: a header, though most of its words are unknown."""
    if at > 0 or len(rows) < 2 or rows[at].filled < 2:
        return False
    digits = any(sign.isdigit() for cell in rows[at].cells for sign in cell)
    return not digits and all(any(sign.isdigit() for cell in row.cells for sign in cell) for row in rows[1:4])


class RowSorter:
    """Tells what each row of one sheet is, from its columns' meanings."""

    def __init__(self, columns: Sequence[Column], header: Sequence[str]) -> None:
        self._header = tuple(header)
        self._titles = frozenset(title.lower() for title in header)
        self._of = {column.meaning: column.index for column in columns}
        self._key_columns = [self._of[meaning] for meaning in (Meaning.ID, Meaning.NAME) if meaning in self._of]
        clutch_columns = sum(1 for column in columns if column.meaning is Meaning.CLUTCH)
        evidence = [self._of[m] for m in (Meaning.SEX, Meaning.GENETICS, Meaning.HATCHED) if m in self._of]
        self._evidence = evidence
        self._body = [*evidence, *(c.index for c in columns if c.meaning in (Meaning.WEIGHT, Meaning.WEIGHT_ON))]
        self.is_clutches = clutch_columns >= 2 and Meaning.SEX not in self._of and Meaning.WEIGHT not in self._of
        self.names_animals = bool(self._key_columns) or len(evidence) >= 2
        self.ids_have_digits = False

    def learn(self, rows: Sequence[Row]) -> None:
        """See whether ids of this sheet have digits, so that a word in their column stands out."""
        ids = [text for row in rows if (text := self._cell(row, Meaning.ID))]
        self.ids_have_digits = len(ids) >= 5 and sum(1 for text in ids if any(map(str.isdigit, text))) >= 0.8 * len(ids)

    def _cell(self, row: Row, meaning: Meaning) -> str:
        index = self._of.get(meaning, -1)
        return row.cells[index] if 0 <= index < len(row.cells) else ""

    def kind(self, row: Row) -> tuple[RowKind, Message | None]:
        """What the row is, and for a row that cannot be an animal the reason."""
        first = next(cell for cell in row.cells if cell)
        if self._repeats_header(row, first):
            return RowKind.HEADER, None
        if _SUM.match(first):
            return RowKind.SUM, say("'{text}' is a sum or count, not an animal.", text=first)
        pair = _PAIR.match(first)
        if self.is_clutches or (pair and _EGGS.search(" ".join(row.cells))):
            return RowKind.CLUTCH, say(
                "This is a clutch, not an animal. Its text is kept for the records of eggs.", text=first
            )
        if pair:
            return RowKind.OTHER, say("'{text}' is a pairing, not an animal.", text=pair[0].strip())
        if row.filled == 1:
            lone = self._lone_cell(row, first)
            if lone is not None:
                return lone
        return self._animal_or_not(row)

    def _repeats_header(self, row: Row, first: str) -> bool:
        if first.lower() not in self._titles:
            return False
        same = sum(1 for cell, title in zip(row.cells, self._header) if cell and cell.lower() == title.lower())
        return same >= 2 and same * 2 >= row.filled

    def _lone_cell(self, row: Row, text: str) -> tuple[RowKind, Message | None] | None:
        """A row with one cell: a title, a stray line, or (None) an animal of which only the id is known."""
        if _EMPTY_ID.fullmatch(text):
            return None
        words = text.split()
        named = _RACK.search(text) or _ROOM.search(text) or _FEMALES.search(text) or _MALES.search(text)
        stated = any(pattern.search(text) for pattern, _ in _STATES)
        sentence = len(words) > 6 or text.endswith((".", "!", "?"))
        titled = named or stated or _TITLE_WORDS.search(text) or text.endswith(":")
        if not sentence and (titled or row.spread or (row.fill and not looks_like_id(text))):
            return RowKind.SECTION, None
        if len(words) > 3 or sentence:
            return RowKind.LINE, say("'{text}' is a line of text, not an animal.", text=text)
        return None

    def _animal_or_not(self, row: Row) -> tuple[RowKind, Message | None]:
        if not self.names_animals:
            return RowKind.OTHER, say("No column of this tab names animals, so this row is not one.")
        key = next((row.cells[at] for at in self._key_columns if at < len(row.cells) and row.cells[at]), "")
        if key and _EMPTY_ID.fullmatch(key):
            key = ""
        known = sum(1 for at in self._evidence if at < len(row.cells) and row.cells[at])
        if not key:
            if known >= 2:
                return RowKind.ANIMAL, None
            return RowKind.OTHER, say("The row has neither an id nor a name, and too little else to be an animal.")
        if _EGG_ID.match(key):
            return RowKind.OTHER, say("'{text}' is an egg or a clutch, not an animal.", text=key)
        parts = _LIST.split(key)
        if _are_several(parts):
            return RowKind.OTHER, say(
                "'{text}' names {n} animals in one row. Give each its own row.", text=key, n=len(parts)
            )
        if self._is_thing(row, key):
            return RowKind.OTHER, say(
                "'{text}' has no sex, genetics, hatch date or weight and is not named like the other animals.", text=key
            )
        if len(key) > 60:
            return RowKind.LINE, say("'{text}' is a line of text, not an animal.", text=key[:60] + "...")
        return RowKind.ANIMAL, None

    def _is_thing(self, row: Row, key: str) -> bool:
        if any(map(str.isdigit, key)) and len(key.split()) <= 2:
            return False
        bare = not any(at < len(row.cells) and row.cells[at] for at in self._body)
        return bare and self.ids_have_digits and not self._cell(row, Meaning.NAME)


def has_no_id(text: str) -> bool:
    """True for cells that stand where an id should, without being one: ?, -, n/a."""
    return not text or _EMPTY_ID.fullmatch(text) is not None


def _are_several(parts: Sequence[str]) -> bool:
    """True for the parts of ``F-01, F-02``; not for one id with a sign in it, as ``23/104``."""
    if len(parts) < 2 or not all(looks_like_id(part) and any(map(str.isdigit, part)) for part in parts):
        return False
    return len(parts) > 2 or not any(part[0].isdigit() for part in parts)
