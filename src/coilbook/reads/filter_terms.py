"""The terms of the typed filter: plain words, each with what it leaves.

A rule looks at the words from one place on and gives the term it finds with how many words it took, or None. Rules
are tried in order; the first that knows the words wins, and what no rule knows is a word to look for.
"""

from __future__ import annotations

import calendar
import datetime as dt
import operator
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coilbook.husbandry.waits import BLUE_DAYS
from coilbook.reads.filter_genes import gene_term
from coilbook.reads.filter_places import in_place
from coilbook.reads.filter_text import Question, Select, Term, TermState, negated
from coilbook.reads.filter_young import NOT_STARTED, READY, young_term
from coilbook.reads.herd import Herd
from coilbook.reads.herd_columns import IntArray, Mask
from coilbook.reads.standing import in_quarantine
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import parse_mass
from coilbook.records.vocabulary import Sex, Status

Found = tuple[Term, int]
Rule = Callable[[Question, int], Found | None]

OVER = ("over", "above", ">")
UNDER = ("under", "below", "<")
_DAY_UNITS = {"d": 1, "day": 1, "days": 1, "w": 7, "week": 7, "weeks": 7, "month": 30, "months": 30, "year": 365}
_MASS_UNITS = ("g", "gr", "gram", "grams", "kg", "kilo", "kilos", "oz", "ounce", "ounces", "lb", "lbs", "pounds")
_MONTHS = {name.casefold(): n for n, name in enumerate(calendar.month_abbr) if name}
#: "not offered" without a number
NOT_OFFERED_DAYS = 14
MEAL_PHRASE, OFFER_PHRASE = "last meal", "not offered"


@dataclass(frozen=True, slots=True)
class Fixed:
    """A term of fixed words."""

    select: Callable[[Question], Select]
    family: str
    opens: bool = False


def _status(*statuses: Status) -> Callable[[Question], Select]:
    return lambda _: lambda herd, still: herd.where_status(*statuses)


def _sex(sex: Sex) -> Callable[[Question], Select]:
    return lambda _: lambda herd, still: herd.where_sex(sex)


def _column(name: str, test: Callable[[Question, IntArray], Mask]) -> Callable[[Question], Select]:
    return lambda question: lambda herd, still: test(question, herd[name])


def _is_due(q: Question, due: IntArray) -> Mask:
    return np.asarray((due > 0) & (due <= q.today.toordinal()))


def _is_blue(q: Question, blue: IntArray) -> Mask:
    return np.asarray(blue > q.today.toordinal() - BLUE_DAYS)


def _none(q: Question, column: IntArray) -> Mask:
    return np.asarray(column == 0)


def _some(q: Question, column: IntArray) -> Mask:
    return np.asarray(column != 0)


#: every term of fixed words; the first spelling of a kind is the one offered
FIXED: dict[str, Fixed] = {
    "female": Fixed(_sex(Sex.FEMALE), "sex"),
    "females": Fixed(_sex(Sex.FEMALE), "sex"),
    "male": Fixed(_sex(Sex.MALE), "sex"),
    "males": Fixed(_sex(Sex.MALE), "sex"),
    "unsexed": Fixed(_sex(Sex.UNSEXED), "sex"),
    "due": Fixed(_column("due", _is_due), "due"),
    "pending": Fixed(_column("pending", _some), "pending"),
    "left in": Fixed(_column("pending", _some), "pending"),
    "in blue": Fixed(_column("blue", _is_blue), "blue"),
    "in quarantine": Fixed(lambda _: lambda herd, still: in_quarantine(herd), "quarantine"),
    "quarantine due": Fixed(_column("apart_due", _is_due), "quarantine"),
    "under treatment": Fixed(_column("treated", _some), "treatment"),
    "treatment due": Fixed(_column("treat_due", _is_due), "treatment"),
    "no place": Fixed(_column("place", _none), "place"),
    "no weight": Fixed(_column("weight", _none), "weight"),
    "no meal": Fixed(_column("taken", _none), "meal"),
    "here": Fixed(_status(Status.HERE), "status"),
    "sold": Fixed(_status(Status.SOLD), "status", opens=True),
    "dead": Fixed(_status(Status.DEAD), "status", opens=True),
    "on loan": Fixed(_status(Status.LOAN), "status", opens=True),
    "loan": Fixed(_status(Status.LOAN), "status", opens=True),
    "lost": Fixed(_status(Status.LOST), "status", opens=True),
    "outside": Fixed(_status(Status.OUTSIDE), "status", opens=True),
    "all": Fixed(lambda _: lambda herd, still: np.ones(len(herd), dtype=np.bool_), "status", opens=True),
}


def fixed_words(q: Question, at: int) -> Found | None:
    """female, due, in blue, sold ..."""
    for length in (2, 1):
        words = [q.word(at + k) for k in range(length)]
        phrase = " ".join(word or "" for word in words)
        if None not in words and phrase in FIXED:
            known = FIXED[phrase]
            start, end = q.span(at, at + length - 1)
            term = Term(start, end, phrase, TermState.UNDERSTOOD, known.select(q), known.family, known.opens)
            return term, length
    return None


# --- masses and days ---------------------------------------------------------------------------------------------
def mass_term(q: Question, at: int) -> Found | None:
    """over 1500 g, under 3 lb 2 oz, >1.2kg; a bare number is in the keeper's unit."""
    word = q.word(at) or ""
    joined = word[:1] if word[:1] in "<>" and len(word) > 1 else ""
    if (joined or word) not in (*OVER, *UNDER):
        return None
    first = at if joined else at + 1
    refused: Refusal | None = None
    for last in range(min(first + 3, len(q.tokens) - 1), first - 1, -1):
        text = " ".join(q.value(k) or "" for k in range(first, last + 1))[len(joined) :]
        if not any(letter.isdecimal() for letter in text):
            continue
        try:
            limit = parse_mass(text, q.unit).decigrams
        except Refusal as error:
            if last > first and (q.value(last) or "").lstrip("0123456789.,") in _MASS_UNITS:
                return _no_mass(q, at, last, error)
            refused = refused or error
            continue
        return _mass_found(q, at, last, limit, over=(joined or word) in OVER)
    if first > len(q.tokens) - 1 or (q.open_end(first) and refused is not None):
        return _typing(q, at, len(q.tokens) - 1, "weight")
    return _no_mass(q, at, first, refused) if refused is not None else None


def _no_mass(q: Question, at: int, last: int, error: Refusal) -> Found:
    start, end = q.span(at, last)
    told = error.message
    return Term(start, end, q.said(at, last), TermState.UNKNOWN, family="weight", message=told), last - at + 1


def _mass_found(q: Question, at: int, last: int, limit: int, *, over: bool) -> Found:
    following = q.word(last + 1)
    if following and q.open_end(last + 1) and any(u.startswith(following) for u in _MASS_UNITS):
        last += 1
    elif following in _DAY_UNITS:
        start, end = q.span(at, last + 1)
        said = q.said(at, last + 1)
        told = say("'{said}' of what? Type 'last meal {said}' or 'not offered {said}'.", said=said)
        return Term(start, end, said, TermState.UNKNOWN, family="meal", message=told), last - at + 2

    def select(herd: Herd, still: Mask) -> Mask:
        weight = herd["weight"]
        return np.asarray(weight > limit if over else (weight < limit) & (weight > 0))

    start, end = q.span(at, last)
    growing = q.open_end(last) and not over
    said = q.said(at, last)
    return Term(start, end, said, TermState.UNDERSTOOD, select, "weight", growing=growing), last - at + 1


def days_term(q: Question, at: int) -> Found | None:
    """last meal over 30 days (taken, with at least one refusal since); not offered over 14 days."""
    phrase = f"{q.word(at)} {q.word(at + 1)}"
    if phrase not in (MEAL_PHRASE, OFFER_PHRASE):
        return None
    family = "meal" if phrase == MEAL_PHRASE else "offer"
    compare = q.word(at + 2)
    if compare is None or compare not in (*OVER, *UNDER):
        if phrase == OFFER_PHRASE and not (compare and q.open_end(at + 2) and _starts_one(compare, (*OVER, *UNDER))):
            term, _ = _days_found(q, at, at + 1, NOT_OFFERED_DAYS, over=True, family=family)
            return term, 2
        if compare is None or (q.open_end(at + 2) and _starts_one(compare, (*OVER, *UNDER))):
            return _typing(q, at, min(at + 2, len(q.tokens) - 1), family)
        return None
    days, last = _days_from(q, at + 3)
    if days is None:
        return _typing(q, at, last, family) if q.is_last(last) else None
    return _days_found(q, at, last, days, over=compare in OVER, family=family)


def _days_from(q: Question, at: int) -> tuple[int | None, int]:
    """Days said from a word on, and the last word they take."""
    word = q.word(at)
    if word is None:
        return None, len(q.tokens) - 1
    digits = word.rstrip("abcdefghijklmnopqrstuvwxyz")
    if not digits.isdecimal() or len(digits) > 5:
        return None, at
    unit = word[len(digits) :]
    last = at
    if not unit:
        following = q.word(at + 1) or ""
        half = q.open_end(at + 1) and _starts_one(following, tuple(_DAY_UNITS)) if following else False
        if following in _DAY_UNITS or half:
            unit, last = following, at + 1
    return int(digits) * _DAY_UNITS.get(unit, 1), last


def _days_found(q: Question, at: int, last: int, days: int, *, over: bool, family: str) -> Found:
    today, compare = q.today.toordinal(), operator.gt if over else operator.lt

    def since_meal(herd: Herd, still: Mask) -> Mask:
        taken = herd["taken"]
        known = (taken > 0) & compare(today - taken, days)
        return np.asarray(known & (herd["refused"] > 0) if over else known)

    def since_offer(herd: Herd, still: Mask) -> Mask:
        offered = herd["offered"]
        return np.asarray(compare(today - offered, days) & ((offered > 0) | over))

    start, end = q.span(at, last)
    select = since_meal if family == "meal" else since_offer
    growing = q.open_end(last) and not over
    return Term(start, end, q.said(at, last), TermState.UNDERSTOOD, select, family, growing=growing), last - at + 1


# --- hatched -----------------------------------------------------------------------------------------------------
def hatched_term(q: Question, at: int) -> Found | None:
    """hatched 2023, hatched before 2022, hatched after May 2024, hatched since 2021, hatched unknown."""
    if q.word(at) != "hatched":
        return None
    how = q.word(at + 1)
    first = at + 2 if how in ("before", "after", "since", "in") else at + 1
    if q.word(first) is None or (q.open_end(first) and _starts_one(q.word(first) or "", ("before", "after", "since"))):
        return _typing(q, at, min(first, len(q.tokens) - 1), "hatched") if first >= len(q.tokens) - 1 else None
    if q.word(first) == "unknown" and first == at + 1:
        start, end = q.span(at, first)
        return Term(start, end, q.said(at, first), TermState.UNDERSTOOD, _no_date, "hatched"), 2
    return hatched_value(q, at, first, how or "")


def hatched_value(q: Question, at: int, first: int, how: str) -> Found | None:
    """The days a year, month or date covers, and the term it makes."""
    days, last = _stretch(q, first)
    if days is None:
        return _typing(q, at, last, "hatched") if q.open_end(last) else None
    begin, finish = days[0].toordinal(), days[1].toordinal()

    def select(herd: Herd, still: Mask) -> Mask:
        earliest, latest = herd["hatched"], herd["hatched_last"]
        if how == "before":
            return np.asarray((earliest > 0) & (latest < begin))
        if how == "after":
            return np.asarray(earliest > finish)
        if how == "since":
            return np.asarray(earliest >= begin)
        return np.asarray((earliest >= begin) & (earliest <= finish))

    start, end = q.span(at, last)
    return Term(start, end, q.said(at, last), TermState.UNDERSTOOD, select, "hatched"), last - at + 1


def _no_date(herd: Herd, still: Mask) -> Mask:
    return np.asarray(herd["hatched"] == 0)


def _stretch(q: Question, at: int) -> tuple[tuple[dt.date, dt.date] | None, int]:
    word = q.word(at) or ""
    month, last = _MONTHS.get(word[:3], 0) if word.isalpha() and len(word) >= 3 else 0, at
    if month:
        word, last = q.word(at + 1) or "", at + 1
    if word.isdecimal() and len(word) == 4 and 1900 <= int(word) <= 2200:
        year = int(word)
        first, final = (month, month) if month else (1, 12)
        return (dt.date(year, first, 1), dt.date(year, final, calendar.monthrange(year, final)[1])), last
    try:
        day = dt.date.fromisoformat(word)
    except ValueError:
        return None, min(last, len(q.tokens) - 1)
    return (day, day), last


# --- the rest ----------------------------------------------------------------------------------------------------
def tag_term(q: Question, at: int) -> Found | None:
    """tag keep, tag "line 2"."""
    if q.word(at) != "tag":
        return None
    if q.value(at + 1) is None:
        return _typing(q, at, at, "tag")
    return tag_value(q, at, at + 1)


def tag_value(q: Question, at: int, first: int) -> Found | None:
    """Animals with a tag; told when nobody has it."""
    tags, value = q.herd.tags, q.value(first) or ""
    last = first
    while value not in tags and last + 1 < len(q.tokens):
        longer = f"{value} {q.value(last + 1)}"
        if not any(word.startswith(longer) for word in tags):
            break
        value, last = longer, last + 1
    start, end = q.span(at, last)
    if value not in tags or not tags[value]:
        if q.open_end(last) and any(word.startswith(value) and held for word, held in tags.items()):
            return _typing(q, at, last, "tag")
        told = say("No animal has the tag '{tag}'.", tag=value)
        return Term(start, end, q.said(at, last), TermState.UNKNOWN, _nobody, "tag", message=told), last - at + 1
    holders = np.array(sorted(tags[value]), dtype=np.int32)

    def select(herd: Herd, still: Mask) -> Mask:
        return np.isin(herd.ids, holders)

    return Term(start, end, q.said(at, last), TermState.UNDERSTOOD, select, "tag"), last - at + 1


def _nobody(herd: Herd, still: Mask) -> Mask:
    return np.zeros(len(herd), dtype=np.bool_)


def negation(q: Question, at: int) -> Found | None:
    """not sold, not in R2, not clown."""
    if q.word(at) != "not" or q.word(at + 1) == "not":
        return None
    if q.is_last(at):
        return _typing(q, at, at, "not")
    term, taken = read_one(q, at + 1)
    words = q.said(at, at + taken)
    if term.select is None or term.state is TermState.TYPING:
        return _typing(q, at, at + taken, "not")
    # "not sold" asks for nobody who is away, so it leaves the list at those who are here
    state = TermState.UNDERSTOOD if term.state is TermState.WORD else term.state
    start = q.tokens[at].start
    changed = replace(
        term, start=start, words=words, state=state, select=negated(term.select), opens=False, growing=False
    )
    return changed, taken + 1


def free_word(q: Question, at: int) -> Found:
    """Any other word, or a quoted phrase: looked for in everything written of an animal."""
    token = q.tokens[at]
    word = token.word

    def select(herd: Herd, still: Mask) -> Mask:
        return herd.texts.containing(word, still)

    chosen = select if word else None
    state = TermState.WORD if word else TermState.TYPING
    growing = q.open_end(at) and not token.quoted and any(p.startswith(word) for p in PHRASES)
    said = f"“{token.word}”" if token.quoted else q.said(at, at)
    return Term(token.start, token.end, said, state, chosen, growing=growing), 1


def half_phrase(q: Question, at: int) -> Found | None:
    """The rest of the line, when it is the beginning of a term of several words ("last me", "in bl")."""
    if q.tokens[at].quoted or q.is_last(at):
        return None
    rest = " ".join(token.word for token in q.tokens[at:])
    if q.open_end(len(q.tokens) - 1) and any(p.startswith(rest) and p != rest for p in PHRASES):
        return _typing(q, at, len(q.tokens) - 1, "")
    return None


def lone_keyword(q: Question, at: int) -> Found | None:
    """A word that only begins a term, at the end of the line."""
    if q.is_last(at) and q.word(at) in {p.split(" ", 1)[0] for p in PHRASES if " " in p}:
        return _typing(q, at, at, "")
    return None


RULES: tuple[Rule, ...] = (
    days_term, young_term, gene_term, fixed_words, half_phrase, negation,
    mass_term, hatched_term, tag_term, in_place, lone_keyword,
)  # fmt: skip
#: what a half-typed word may become
PHRASES: tuple[str, ...] = (
    *FIXED, READY, NOT_STARTED, "last meal over ", "last meal under ", "not offered over ", "over ", "under ", "in ",
    "hatched ", "hatched before ", "hatched after ", "hatched since ", "tag ", "not ", "carries ", "may carry ",
)  # fmt: skip


def read_one(q: Question, at: int) -> Found:
    """The term that begins at a word, and how many words it takes."""
    for rule in RULES:
        found = rule(q, at)
        if found is not None:
            return found
    return free_word(q, at)


def _typing(q: Question, first: int, last: int, family: str) -> Found:
    last = min(last, len(q.tokens) - 1)
    return Term(*q.span(first, last), q.said(first, last), TermState.TYPING, family=family), last - first + 1


def _starts_one(word: str, choices: tuple[str, ...]) -> bool:
    return bool(word) and any(choice.startswith(word) and choice != word for choice in choices)
