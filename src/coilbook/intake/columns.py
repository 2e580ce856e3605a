"""What each column of a foreign sheet means, guessed from its header and its content.

A guess can be overruled by an answer under the key `Column.key`. A column nobody can place becomes notes: what is
in a sheet is never lost.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from statistics import median

from coilbook.intake.dates import HeaderDate, read_date, read_header_date
from coilbook.intake.sheet import Row, column_letter
from coilbook.intake.values import read_mass, read_price, read_sex, read_status
from coilbook.records.quantities import MassUnit


class Meaning(StrEnum):
    """What a column holds."""

    ID = "id"
    NAME = "name"
    SEX = "sex"
    GENETICS = "genetics"
    HATCHED = "hatched"
    WEIGHT = "weight"
    WEIGHED = "weighed"
    ROOM = "room"
    RACK = "rack"
    SLOT = "slot"
    PLACE = "place"
    DAM = "dam"
    SIRE = "sire"
    PARENTS = "parents"
    ACQUIRED = "acquired"
    SOURCE = "source"
    PRICE = "price"
    STATUS = "status"
    SOLD = "sold"
    DIED = "died"
    TAGS = "tags"
    PREY = "prey"
    NOTES = "notes"
    FEEDING_ON = "feeding_on"
    WEIGHT_ON = "weight_on"
    CLUTCH = "clutch"
    OTHER = "other"
    EMPTY = "empty"


#: meanings a sheet may have several columns of
_SEVERAL = frozenset(
    {Meaning.NOTES, Meaning.TAGS, Meaning.WEIGHT, Meaning.FEEDING_ON, Meaning.WEIGHT_ON, Meaning.CLUTCH, Meaning.OTHER,
     Meaning.EMPTY}
)  # fmt: skip

# headers keepers write (common practice); the first column of each line is the meaning
_HEADERS: dict[str, Meaning] = {}
for _meaning, _words in {
    Meaning.ID: "id|ids|animal id|snake id|animal|snake|no|nr|number|#|code|ref|id no|id number|id #|animal #|snake #",
    Meaning.NAME: "name|names|called|nickname|animal name|snake name|pet name|call name|given name|known as",
    Meaning.SEX: "sex|gender|m/f|f/m|sx|sexes|male/female|♂/♀",
    Meaning.GENETICS: "genetics|genetic|genes|gene|morph|morphs|mutation|mutations|traits|genotype|phenotype|look|looks"
    "|genetics/morph|genes/morph|hets|visuals",
    Meaning.HATCHED: "hatched|hatch date|hatch|dob|d.o.b|birth|born|birthday|birth date|date of birth|date hatched"
    "|hatch year|year|bday|b-day|born on|hatched on|doh|birth year",
    Meaning.WEIGHT: "weight|wt|grams|mass|current weight|last weight|latest weight|body weight|weight now|g|size g",
    Meaning.WEIGHED: "weighed|weight date|date weighed|weighed on|last weighed|date of weight",
    Meaning.ROOM: "room",
    Meaning.RACK: "rack|rack no|rack #|rack number",
    Meaning.SLOT: "slot|shelf|slot no|slot #|tub no|tub #|tub number|bin|drawer|level",
    Meaning.PLACE: "place|location|tub|where|housing|position|loc|cage|enclosure|rack/tub|rack/slot|home",
    Meaning.DAM: "dam|mother|mom|mum|female parent|dam id|dame",
    Meaning.SIRE: "sire|father|dad|male parent|sire id",
    Meaning.PARENTS: "parents|parentage|pairing|lineage|dam x sire|sire x dam|from pairing|dam/sire",
    Meaning.ACQUIRED: "acquired|date acquired|acquired on|bought|purchased|purchase date|date purchased|got|since"
    "|date in|arrived|bought on|date bought|acquisition date|acq date|acq",
    Meaning.SOURCE: "source|from|breeder|seller|bought from|origin|supplier|purchased from|acquired from"
    "|came from|who from",
    Meaning.PRICE: "price|paid|cost|$|€|£|value|amount|price paid|purchase price|asking",
    Meaning.STATUS: "status|state|alive|current status|alive/sold|disposition",
    Meaning.SOLD: "sold|date sold|sold on|sale date|sold to",
    Meaning.DIED: "died|dead|deceased|date died|death|died on",
    Meaning.TAGS: "tags|tag|group|project|category|label|labels|projects|plan",
    Meaning.PREY: "prey|food|feeder|feeds on|prey size|eats|feeding on|food type|prey type|feeder size|prey item",
    Meaning.NOTES: "notes|note|comments|comment|remarks|remark|misc|info|other|memo|details",
    Meaning.CLUTCH: "clutch|eggs|slugs|laid|lay date|date laid|due|due date|good eggs|fertile|good|clutch #|clutch no"
    "|hatch due|expected hatch|egg count",
    Meaning.OTHER: "date|when|what|item|description|qty|quantity|age|temperament|temper|chip|microchip|colour|color"
    "|length|last fed|last meal|last shed|shed|photo|link|generation|cites|permit",
}.items():
    for _word in _words.split("|"):
        _HEADERS[_word] = _meaning

_BRACKETS = re.compile(r"\([^)]*\)|\[[^\]]*\]")
_ID = re.compile(r"(?:[^\W\d_]{1,5}[-_ /.#]?)?\d{1,6}(?:[-_/.]?[^\W_]{1,3})?", re.UNICODE)
_GENE_WORDS = re.compile(
    r"\b(?:het|hets|ph|poss|pied|piebald|clown|pastel|enchi|albino|normal|axanthic|ghost|leopard|fire|yellow belly|yb|"
    r"butter|lesser|cinnamon|super|wild type|gravel|ultramel|desert ghost|dh|th)\b",
    re.I,
)
_SAMPLE = 400
#: so many different parents at least must be found in a column that is taken for the names
_FEWEST_NAMED = 2
#: grams; hatchlings weigh 50 to 80, the rats fed to adults up to some 250 (common practice)
_LIGHTEST_SNAKE, _HEAVIEST_PREY = 45, 250


class Basis(StrEnum):
    """Why a column is taken for what it is."""

    HEADER = "header"
    CONTENT = "content"
    ANSWER = "answer"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Column:
    """One column: where it is, what it is taken for and why. `doubtful`: its content does not look like that."""

    index: int
    header: str
    fingerprint: str
    meaning: Meaning
    basis: Basis
    filled: int = 0
    examples: tuple[str, ...] = ()
    date: HeaderDate | None = None
    unit: MassUnit | None = None
    doubtful: bool = False

    @property
    def key(self) -> str:
        """Key of the answer that overrules the guess; the answer is a `Meaning` value."""
        return f"column|{self.fingerprint}"

    @property
    def title(self) -> str:
        """The header, or the letter over a column without one."""
        return self.header or column_letter(self.index)


@lru_cache(maxsize=5_000)
def normal_header(text: str) -> str:
    """A header without case, brackets and outer punctuation."""
    plain = _BRACKETS.sub(" ", text).replace("_", " ").lower()
    plain = " ".join(plain.split()).strip(" .:;*!?-")
    return plain or text.strip().lower()


@lru_cache(maxsize=5_000)
def match_header(text: str) -> Meaning | None:
    """The meaning a header names, misspelt ones too; None for unknown words."""
    plain = normal_header(text)
    if not plain or len(plain) > 40:
        return None
    found = _HEADERS.get(plain)
    if found is not None:
        return found
    for part in re.split(r"\s*(?:/|&|,| - )\s*", plain):
        if len(part) > 2 and part in _HEADERS:
            return _HEADERS[part]
    words = plain.rstrip("s").split()
    unit_free = " ".join(word for word in words if word not in _UNITS)
    if unit_free != plain and unit_free in _HEADERS:
        return _HEADERS[unit_free]
    return _nearest(plain)


def _nearest(plain: str) -> Meaning | None:
    if len(plain) < 4 or any(map(str.isdigit, plain)):
        return None
    from rapidfuzz import fuzz, process  # on first use

    found = process.extractOne(plain, _LONG_HEADERS, scorer=fuzz.ratio, score_cutoff=83)
    return _HEADERS[found[0]] if found else None


_LONG_HEADERS = tuple(word for word in _HEADERS if len(word) >= 4)
_UNITS = {
    "g": MassUnit.GRAM, "gr": MassUnit.GRAM, "gram": MassUnit.GRAM, "grams": MassUnit.GRAM, "kg": MassUnit.KILOGRAM,
    "oz": MassUnit.OUNCE, "ounces": MassUnit.OUNCE, "lb": MassUnit.POUND_OUNCE, "lbs": MassUnit.POUND_OUNCE,
}  # fmt: skip


def _header_unit(text: str) -> MassUnit | None:
    found = {_UNITS[word] for word in re.findall(r"[a-z]+", text.lower()) if word in _UNITS}
    return found.pop() if len(found) == 1 else None


def looks_like_id(text: str) -> bool:
    """True for texts of the form keepers give ids: F-014, J22, 17, 23-04."""
    return len(text) <= 14 and _ID.fullmatch(text) is not None


def guess_columns(
    header: Sequence[str], rows: Sequence[Row], answers: Mapping[str, str], *, this_year: int
) -> tuple[Column, ...]:
    """What every column means; `header` is empty for a sheet without one."""
    width = max((len(row.cells) for row in rows), default=0)
    width = max(width, len(header))
    seen: Counter[str] = Counter()
    columns = []
    for index in range(width):
        title = header[index] if index < len(header) else ""
        values = [row.cells[index] for row in rows if index < len(row.cells) and row.cells[index]]
        columns.append(_one_column(index, title, values, _fingerprint(title, index, seen), this_year=this_year))
    return tuple(_named(_settle([_overrule(column, answers) for column in columns]), rows))


def _fingerprint(title: str, index: int, seen: Counter[str]) -> str:
    plain = normal_header(title) if title else f"column {column_letter(index)}"
    seen[plain] += 1
    return plain if seen[plain] == 1 else f"{plain} #{seen[plain]}"


def _one_column(index: int, title: str, values: list[str], fingerprint: str, *, this_year: int) -> Column:
    column = Column(
        index, title, fingerprint, Meaning.OTHER, Basis.NONE, len(values), tuple(dict.fromkeys(values[:200]))[:5]
    )
    sample = values if len(values) <= _SAMPLE else values[:: len(values) // _SAMPLE]
    if not values and not title:
        return replace(column, meaning=Meaning.EMPTY)
    meaning = match_header(title) if title else None
    dated = read_header_date(title, this_year) if title and meaning is None else None
    if dated is not None:
        return _dated_column(replace(column, basis=Basis.HEADER, date=dated), sample)
    if meaning is not None:
        unit = _header_unit(title) if meaning is Meaning.WEIGHT else None
        doubtful = len(sample) >= 5 and _share(sample, meaning, this_year) < 0.3
        return replace(column, meaning=meaning, basis=Basis.HEADER, unit=unit, doubtful=doubtful)
    dated_weight = _dated_weight(title, this_year)
    if dated_weight is not None:
        return replace(
            column, meaning=Meaning.WEIGHT_ON, basis=Basis.HEADER, date=dated_weight, unit=_header_unit(title)
        )
    guessed = _by_content(sample, this_year)
    return replace(column, meaning=guessed, basis=Basis.CONTENT) if guessed else column


def _dated_column(column: Column, sample: Sequence[str]) -> Column:
    """A date column of feedings or, when most cells are heavy numbers, of weights; doubtful if prey weighs as much."""
    grams = [reading.mass.grams for text in sample if (reading := read_mass(text, MassUnit.GRAM)) and reading.exact]
    if not grams or len(grams) < 0.6 * len(sample) or median(grams) < _LIGHTEST_SNAKE:
        return replace(column, meaning=Meaning.FEEDING_ON)
    return replace(column, meaning=Meaning.WEIGHT_ON, doubtful=median(grams) < _HEAVIEST_PREY)


def _dated_weight(title: str, this_year: int) -> HeaderDate | None:
    """The day in a header like ``Weight 3/1/24``."""
    first, _, rest = title.strip().partition(" ")
    if not rest or match_header(first) is not Meaning.WEIGHT:
        return None
    return read_header_date(rest.strip("( )"), this_year)


def _tests(this_year: int) -> dict[Meaning, Callable[[str], bool]]:
    def is_date(text: str) -> bool:
        return read_date(text, None, this_year) is not None

    return {
        Meaning.SEX: lambda text: read_sex(text) is not None,
        Meaning.HATCHED: is_date,
        Meaning.ACQUIRED: is_date,
        Meaning.WEIGHED: is_date,
        Meaning.WEIGHT: lambda text: read_mass(text, MassUnit.GRAM) is not None,
        Meaning.PRICE: lambda text: read_price(text, "EUR") is not None or len(text) < 12,
        Meaning.GENETICS: lambda text: not text.replace(".", "").replace(",", "").isdigit(),
        Meaning.STATUS: lambda text: read_status(text) is not None or len(text) < 20,
    }


def _share(values: Sequence[str], meaning: Meaning, this_year: int) -> float:
    test = _tests(this_year).get(meaning)
    if test is None or not values:
        return 1.0
    return sum(1 for value in values if test(value)) / len(values)


def _by_content(values: Sequence[str], this_year: int) -> Meaning | None:
    """What a column without a telling header holds, by its values alone; careful: None sends it to the notes."""
    if len(values) < 3:
        return None
    count = len(values)
    if sum(1 for value in values if read_sex(value) and not bare_integer(value)) >= 0.8 * count:
        return Meaning.SEX
    if sum(1 for value in values if read_status(value)) >= 0.8 * count:
        return Meaning.STATUS
    if sum(1 for value in values if _GENE_WORDS.search(value)) >= 0.4 * count:
        return Meaning.GENETICS
    ids = sum(1 for value in values if looks_like_id(value) and not value[0].isdigit())
    if ids >= 0.7 * count and len(set(values)) >= 0.8 * count:
        return Meaning.ID
    return None


def bare_integer(text: str) -> bool:
    """True for a plain whole number, which is no sign of a sex."""
    return text.isascii() and text.isdigit()


def _settle(columns: list[Column]) -> list[Column]:
    """One column a meaning: answer before header before content, then the fuller one; the others become notes."""
    best: dict[Meaning, Column] = {}
    for column in columns:
        held = best.get(column.meaning)
        if column.meaning not in _SEVERAL and (held is None or _rank(column) > _rank(held)):
            best[column.meaning] = column
    return [
        column
        if column.meaning in _SEVERAL or best[column.meaning] is column
        else replace(column, meaning=Meaning.OTHER, basis=Basis.NONE)
        for column in columns
    ]


def _named(columns: list[Column], rows: Sequence[Row]) -> list[Column]:
    """Where no column is the name, a column nobody can place is, if the cells of dams and sires are found in it."""
    if any(column.meaning is Meaning.NAME for column in columns):
        return columns
    parents = {text for c in columns if c.meaning in (Meaning.DAM, Meaning.SIRE) for text in _cells(c.index, rows)}
    found: dict[int, int] = {}
    for column in columns:
        if column.meaning is Meaning.OTHER and column.basis is Basis.NONE:
            found[column.index] = len(parents & _cells(column.index, rows))
    best = max(found, key=lambda index: found[index], default=-1)
    if best < 0 or found[best] < max(_FEWEST_NAMED, len(parents) / 2):
        return columns
    return [replace(c, meaning=Meaning.NAME, basis=Basis.CONTENT) if c.index == best else c for c in columns]


def _cells(index: int, rows: Sequence[Row]) -> set[str]:
    return {row.cells[index].casefold() for row in rows if index < len(row.cells) and row.cells[index]}


def _rank(column: Column) -> tuple[bool, bool, bool, bool, int]:
    exact = normal_header(column.header) in _HEADERS
    return (column.basis is Basis.ANSWER, column.basis is Basis.HEADER, not column.doubtful, exact, column.filled)


def _overrule(column: Column, answers: Mapping[str, str]) -> Column:
    given = answers.get(column.key)
    if given is None or given not in set(Meaning):
        return column
    return replace(column, meaning=Meaning(given), basis=Basis.ANSWER, doubtful=False)
