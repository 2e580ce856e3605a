"""The sentence under the title: how many are shown of how many, and what each term left."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from coilbook.reads.filter import Filtered, Left
from coilbook.reads.filter_text import TermState
from coilbook.reads.herd import Herd
from coilbook.records.message import Message
from coilbook.records.vocabulary import Status
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style
from coilbook.wording.texts import words

Render = Callable[[Message], str]
_AWAY = (Status.LOAN, Status.SOLD, Status.DEAD, Status.LOST, Status.OUTSIDE)


def whole(herd: Herd, left: Filtered, style: Style) -> tuple[str, str]:
    """Without a filter: how many are here, and how many the list leaves out."""
    here = translated_plural("{n} animal", "{n} animals", left.count).replace(str(left.count), style.number(left.count))
    away = []
    for status in _AWAY:
        count = int(np.count_nonzero(herd.where_status(status)))
        if count:
            away.append(f"{style.number(count)} {words(status)}")
    return here, translated("not shown: {counts}").format(counts=", ".join(away)) if away else ""


def leaves(left: Filtered, style: Style, render: Render) -> tuple[str, str]:
    """With a filter: "24 of 187" and "female leaves 96, over 1500 g leaves 38"."""
    parts = []
    for found in left.terms:
        term = found.term
        if term.state is TermState.TYPING:
            parts.append(translated("{term} … typing").format(term=term.words))
        elif term.message is not None:
            parts.append(render(term.message).rstrip("."))
        elif term.words != "all":
            said = translated("{term} leaves {n}").format(term=term.words, n=style.number(found.count))
            parts.append(" ".join([said, *_rough(found, style)]))
    strong = translated("{n} of {all}").format(n=style.number(left.count), all=style.number(left.among))
    return strong, ", ".join(parts)


def _rough(found: Left, style: Style) -> list[str]:
    """What is to be minded of the odds a term went by."""
    told = []
    for count, one, several in (
        (
            found.by_gene,
            "({n} judged by this gene alone: too many possible sires)",
            "({n} judged by this gene alone: too many possible sires)",
        ),
        (found.drawn, "({n} by drawn odds, not exact)", "({n} by drawn odds, not exact)"),
    ):
        if count:
            told.append(translated_plural(one, several, count).replace(str(count), style.number(count)))
    return told


def nothing_fits(left: Filtered, render: Render) -> tuple[str, str]:
    """A title and a sentence for an empty list: which words together fit nobody, and what is not as thought."""
    said = " ".join(found.term.words for found in left.terms)
    told = " ".join(render(message) for message in left.messages)
    last = next((f for f in reversed(left.terms) if f.count and f.term.state is not TermState.TYPING), None)
    if last is not None and not told:
        told = translated("Up to “{term}” there were {n}.").format(term=last.term.words, n=last.count)
    return translated("No animal fits “{words}”").format(
        words=said
    ), f"{told} {translated('Esc clears the line.')}".strip()
