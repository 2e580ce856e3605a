"""How a typed filter can go on: the rest of a half-typed term, or a kind of term not used yet."""

from __future__ import annotations

import datetime as dt

from coilbook.reads.filter import read_terms
from coilbook.reads.filter_genes import CARRIES, MAY_CARRY, names_going_on
from coilbook.reads.filter_terms import FIXED, MEAL_PHRASE, OFFER_PHRASE
from coilbook.reads.filter_text import Term, TermState
from coilbook.reads.filter_young import NOT_STARTED, READY
from coilbook.reads.herd import Herd
from coilbook.records.quantities import MassUnit

#: ways offered at a time
LIMIT = 6
#: a weight worth asking for, as it is typed in each unit
_WEIGHTS = {
    MassUnit.GRAM: "1500 g",
    MassUnit.KILOGRAM: "1.5 kg",
    MassUnit.OUNCE: "53 oz",
    MassUnit.POUND_OUNCE: "3 lb 5 oz",
}


def completions(herd: Herd, text: str, today: dt.date, unit: MassUnit = MassUnit.GRAM) -> tuple[str, ...]:
    """Whole texts the line could become, best first; none for an empty line."""
    terms = read_terms(herd, text, today, unit)
    if not terms:
        return ()
    last = terms[-1]
    if last.end < len(text) or last.state is TermState.UNDERSTOOD:
        if last.state is TermState.TYPING:
            return _going_on(herd, text, text[last.start :].lstrip(), today, unit)
        return _next_kinds(text, terms, today, unit)
    if last.state in (TermState.TYPING, TermState.WORD):
        return _going_on(herd, text, text[last.start :], today, unit)
    return ()


def _going_on(herd: Herd, text: str, begun: str, today: dt.date, unit: MassUnit) -> tuple[str, ...]:
    negated = begun.casefold().startswith("not ") and not OFFER_PHRASE.startswith(begun.casefold().strip())
    beginning = begun[4:] if negated and not begun.casefold().startswith(OFFER_PHRASE) else begun
    stem = text[: len(text) - len(beginning)]
    wanted = beginning.casefold()
    found = [
        stem + beginning + phrase[len(wanted) :]
        for phrase in (*_phrases(today, unit), *_values(herd, wanted))
        if phrase.casefold().startswith(wanted) and phrase.casefold() != wanted
    ]
    return tuple(dict.fromkeys(found))[:LIMIT]


def _phrases(today: dt.date, unit: MassUnit) -> tuple[str, ...]:
    year = today.year
    return (
        *FIXED, READY, NOT_STARTED,
        f"{MEAL_PHRASE} over 30 days", f"{MEAL_PHRASE} under 10 days", f"{OFFER_PHRASE} over 14 days",
        f"over {_WEIGHTS[unit]}", f"under {_WEIGHTS[unit]}", f"hatched {year - 1}", f"hatched before {year - 1}",
        f"hatched after {year - 1}", f"hatched since {year - 1}", "not sold", f"{CARRIES} ", f"{MAY_CARRY} ",
    )  # fmt: skip


def _values(herd: Herd, wanted: str) -> list[str]:
    """Places after "in", tags after "tag" and genes after "carries" that go on from what is typed."""
    if phrase := next((p for p in (f"{CARRIES} ", f"{MAY_CARRY} ") if wanted.startswith(p)), ""):
        return [phrase + name for name in names_going_on(herd.genes, wanted.removeprefix(phrase).lstrip())[:LIMIT]]
    words = wanted.split(" ", 1)
    if len(words) == 2 and words[0] in ("in", "or"):
        known = herd.places.starting(words[1], LIMIT) if words[1] else herd.places.containers[:LIMIT]
        return [f"{words[0]} {label}" for label in known]
    if words[0] == "tag":
        beginning = words[1] if len(words) == 2 else ""
        return [f"tag {w}" for w, held in sorted(herd.tags.items()) if held and w.startswith(beginning)][:LIMIT]
    return ["in R"] if not herd.places.containers else [f"in {herd.places.containers[0]}"]


def _next_kinds(text: str, terms: tuple[Term, ...], today: dt.date, unit: MassUnit) -> tuple[str, ...]:
    used = {term.family for term in terms}
    kinds = (
        ("sex", "female"), ("weight", f"over {_WEIGHTS[unit]}"), ("meal", f"{MEAL_PHRASE} over 30 days"),
        ("hatched", f"hatched {today.year - 1}"), ("offer", f"{OFFER_PHRASE} over 14 days"), ("due", "due"),
    )  # fmt: skip
    stem = text if text.endswith(" ") else text + " "
    return tuple(stem + phrase for kind, phrase in kinds if kind not in used)[:LIMIT]
