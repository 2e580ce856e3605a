"""Sexes, weights, prices and states as people write them in sheets.

Each reader answers None for what it cannot read, and says `exact=False` when the text holds more than the value
keeps, so that the words are kept beside it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from coilbook.records.composed import composed
from coilbook.records.message import Refusal
from coilbook.records.quantities import Mass, MassUnit, Money, parse_mass
from coilbook.records.vocabulary import PreyState, Sex, Status

_SEX_WORDS = {
    **dict.fromkeys(("m", "male", "males", "boy", "♂", "1.0", "1.0.0", "1", "♂ male"), Sex.MALE),
    **dict.fromkeys(("f", "female", "females", "fem", "girl", "♀", "0.1", "0.1.0", "0,1", "♀ female"), Sex.FEMALE),
    **dict.fromkeys(("u", "unsexed", "unk", "unknown", "ns", "?", "??", "0.0.1", "n/a", "not sexed"), Sex.UNSEXED),
    "1,0": Sex.MALE,
}
_DOUBT = re.compile(r"\s*\(?\?+\)?$|^(?:prob(?:ably|\.)?|poss(?:ibly|\.)?|maybe|likely|think)\s+", re.I)
#: the trade's count of males.females.unsexed (common practice)
_COUNT = re.compile(r"(\d{1,2})[.,](\d{1,2})(?:[.,](\d{1,2}))?")


@dataclass(frozen=True, slots=True)
class SexReading:
    """A sex and how sure the sheet is of it; `counts` (males, females, unsexed) when the row is a group."""

    sex: Sex
    sure: bool = True
    counts: tuple[int, int, int] | None = None


@lru_cache(maxsize=2_000)
def read_sex(text: str) -> SexReading | None:
    """Read ``1.0``, ``f``, ``♀``, ``male?``, ``1.2``.

    >>> read_sex("1.2").counts, read_sex("male?").sure, read_sex("0.1").sex.value
    ((1, 2, 0), False, 'female')
    """
    cleaned = text.strip().lower().rstrip(".")
    sex = _SEX_WORDS.get(cleaned)
    if sex is not None:
        return SexReading(sex)
    plain = _DOUBT.sub("", cleaned).strip()
    if plain != cleaned and plain in _SEX_WORDS:
        return SexReading(_SEX_WORDS[plain], sure=False)
    match = _COUNT.fullmatch(cleaned)
    if match:
        counts = (int(match[1]), int(match[2]), int(match[3] or 0))
        if sum(counts) > 1:
            return SexReading(Sex.UNSEXED, counts=counts)
        if sum(counts) == 1:
            return SexReading((Sex.MALE, Sex.FEMALE, Sex.UNSEXED)[counts.index(1)])
    return None


@dataclass(frozen=True, slots=True)
class MassReading:
    """A weight; `exact` is False when the text says more ("1500 before meal", "~1500")."""

    mass: Mass
    exact: bool = True


_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_GROUPED = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+")
#: "1,842 kg" is a decimal comma: nobody weighs 1842 kg
_COMMA_KILOS = re.compile(r"^(\d{1,2}),(\d{3}\s*k)", re.I)
_LEADING_MASS = re.compile(
    r"^\s*(?:~|ca\.?|about|approx\.?)?\s*"
    r"(\d[\d.,]*\s*(?:lbs?|pounds?|#)\s*(?:\d[\d.,]*\s*(?:oz|ounces?)?)?|\d[\d.,]*\s*(?:kg|kilos?|grams?|gr|g|oz|ounces?)?)"
    r"(?![\w.,/-]|\s\d{3}(?!\d))",
    re.I,
)


@lru_cache(maxsize=50_000)
def read_mass(text: str, default: MassUnit | None) -> MassReading | None:
    """Read a weight text; a bare number needs `default`, and is None without one."""
    if is_bare_number(text) and default is None:
        return None
    text = _COMMA_KILOS.sub(r"\1.\2", text)
    try:
        return MassReading(parse_mass(text, default or MassUnit.GRAM))
    except Refusal:
        pass
    match = _LEADING_MASS.match(text)
    if match is None:
        return None
    part = match[1].strip()
    if is_bare_number(part) and default is None:
        return None
    try:
        return MassReading(parse_mass(part, default or MassUnit.GRAM), exact=False)
    except Refusal:
        return None


def is_bare_number(text: str) -> bool:
    """True for a number without a unit."""
    return _BARE.fullmatch(text.strip()) is not None


def bare_number(text: str) -> Decimal | None:
    """The number of a text that is nothing else; a comma before three digits groups, any other is a decimal comma.

    >>> bare_number("1,842"), bare_number("1,5"), bare_number("3 oz")
    (Decimal('1842'), Decimal('1.5'), None)
    """
    cleaned = text.strip()
    if _GROUPED.fullmatch(cleaned):
        return Decimal(cleaned.replace(",", ""))
    return Decimal(cleaned.replace(",", ".")) if _BARE.fullmatch(cleaned) else None


_CURRENCIES = {
    "$": "USD", "usd": "USD", "us$": "USD", "€": "EUR", "eur": "EUR", "euro": "EUR", "£": "GBP", "gbp": "GBP",
    "chf": "CHF", "cad": "CAD", "aud": "AUD", "sek": "SEK", "pln": "PLN",
}  # fmt: skip
_PRICE = re.compile(
    r"(?P<before>us\$|[$€£]|[a-z]{3,4})?\s*(?P<number>\d[\d.,' ]*)(?P<dash>[.,]-)?\s*(?P<after>[$€£]|[a-z]{3,4})?",
    re.I,
)


@dataclass(frozen=True, slots=True)
class PriceReading:
    """An amount of money; `exact` is False when words stand beside it ("150 + ship")."""

    money: Money
    exact: bool = True


@lru_cache(maxsize=10_000)
def read_price(text: str, currency: str) -> PriceReading | None:
    """Read ``$350``, ``€ 1.200,50``, ``150 + ship``; `currency` is taken when none is named."""
    match = _PRICE.search(text.strip())
    if match is None:
        return None
    named = (match["before"] or match["after"] or "").lower()
    if named and named not in _CURRENCIES:
        named = ""
    amount = _amount(match["number"].strip(" .,'"))
    if amount is None:
        return None
    minor = int((amount * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    whole = match[0].strip() == text.strip() and bool(named or not (match["before"] or match["after"]))
    return PriceReading(Money(minor, _CURRENCIES.get(named, currency)), exact=whole)


def _amount(text: str) -> Decimal | None:
    plain = text.replace(" ", "").replace("'", "")
    mark = max(plain.rfind("."), plain.rfind(","))
    if mark >= 0 and len(plain) - mark - 1 in (1, 2):
        plain = re.sub(r"[.,]", "", plain[:mark]) + "." + plain[mark + 1 :]
    else:
        plain = re.sub(r"[.,]", "", plain)
    return Decimal(plain) if re.fullmatch(r"\d{1,9}(?:\.\d{1,2})?", plain) else None


_STATUS_WORDS = {
    **dict.fromkeys(("here", "alive", "active", "ok", "kept", "keeping", "in collection", "owned", "yes"), Status.HERE),
    **dict.fromkeys(("breeder", "holdback", "hold back", "hb", "available", "for sale", "on hold"), Status.HERE),
    **dict.fromkeys(("sold", "gone"), Status.SOLD),
    **dict.fromkeys(("dead", "died", "deceased", "rip", "†", "passed", "doa"), Status.DEAD),
    **dict.fromkeys(("loan", "on loan", "loaned", "loaned out", "out on loan"), Status.LOAN),
    **dict.fromkeys(("lost", "escaped", "missing"), Status.LOST),
}
#: states that say no more than the status itself
_PLAIN_STATES = frozenset(
    {
        "here",
        "alive",
        "active",
        "ok",
        "kept",
        "keeping",
        "in collection",
        "owned",
        "yes",
        "sold",
        "dead",
        "loan",
        "lost",
    }
)


@dataclass(frozen=True, slots=True)
class StatusReading:
    """Where the animal stands; `rest` is what the text says beyond that ("14 Mar to Teo")."""

    status: Status
    exact: bool
    rest: str = ""


@lru_cache(maxsize=2_000)
def read_status(text: str) -> StatusReading | None:
    """Read ``sold``, ``dead 3/2/23``, ``holdback``; None for other words."""
    cleaned = " ".join(text.strip().lower().rstrip(".!").split())
    if cleaned in _STATUS_WORDS:
        return StatusReading(_STATUS_WORDS[cleaned], exact=cleaned in _PLAIN_STATES)
    first, _, _ = cleaned.partition(" ")
    first = first.rstrip(":,-")
    if first in _STATUS_WORDS and first not in ("yes", "ok"):
        return StatusReading(_STATUS_WORDS[first], exact=False, rest=text.strip()[len(first) :].strip(" :,-"))
    return None


_CHUNKS = re.compile(r"[^\W\d_]+|\d+")


@lru_cache(maxsize=200_000)
def identity_key(text: str) -> str:
    """Spellings of one id share a key: case, separators and leading zeros do not matter.

    >>> identity_key("F-014") == identity_key("f14"), identity_key("F1-4") == identity_key("F14")
    (True, False)
    >>> identity_key("Ze\\u0301lie") == identity_key("z\\u00e9lie")
    True
    """
    key, plain = "", composed(text.casefold())
    for chunk in _CHUNKS.findall(plain):
        number = chunk.isdigit()
        if key and key[-1].isdigit() == number:
            key += "."
        key += str(int(chunk)) if number and chunk.isdecimal() else chunk
    return key or plain


#: what stands for a seller where an animal was bred by the keeper (common practice)
_OWN_BRED = frozenset(
    ("own", "own bred", "own breeding", "bred here", "bred by me", "home bred", "homebred", "produced here", "self",
     "self bred", "self produced", "in house", "mine", "hatched here")
)  # fmt: skip


def is_own_bred(text: str) -> bool:
    """True for a source that is the keeper.

    >>> is_own_bred("Own-bred"), is_own_bred("Wren")
    (True, False)
    """
    return " ".join(text.casefold().replace("-", " ").split()) in _OWN_BRED


#: how prey is given, as the trade writes it (common practice)
_PREY_STATES = {
    **dict.fromkeys(("f/t", "ft", "frozen", "frozen/thawed", "thawed"), PreyState.FROZEN_THAWED),
    **dict.fromkeys(("p/k", "pk", "prekilled", "pre-killed"), PreyState.PRE_KILLED),
    "live": PreyState.LIVE,
}


@dataclass(frozen=True, slots=True)
class PreyReading:
    """What an animal gets and how it is given; `state` None when not said, `exact` False when the text says more."""

    kind: str
    state: PreyState | None
    exact: bool = True


def read_prey(text: str) -> PreyReading:
    """Prey as a sheet has it, the way it is given taken out of it.

    >>> read_prey("f/t mice"), read_prey("small rat, live").kind, read_prey("multi").state
    (PreyReading(kind='mice', state=<PreyState.FROZEN_THAWED: 'ft'>, exact=True), 'small rat', None)
    """
    words = text.replace(",", " ").split()
    said = {word.strip("()").lower().rstrip("?"): word for word in words}
    states = {_PREY_STATES[plain] for plain in said if plain in _PREY_STATES}
    if len(states) != 1:
        return PreyReading(text, None)
    doubtful = any(word.rstrip(")").endswith("?") for plain, word in said.items() if plain in _PREY_STATES)
    rest = [word for word in words if word.strip("()").lower().rstrip("?") not in _PREY_STATES]
    return PreyReading(" ".join(rest), states.pop(), exact=not doubtful)
