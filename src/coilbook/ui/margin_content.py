"""What the margin says, as data: whose, the verdict, why, the evidence, what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtWidgets import QWidget


@dataclass(frozen=True, slots=True)
class Evidence:
    """One line of evidence: when, a shape (a name of `parts.shapes`), the word for it, and what stands at the right."""

    date: str = ""
    shape: str = ""
    word: str = ""
    right: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """A name and a value, the value at the right."""

    name: str
    value: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class MarginLink:
    """Words that can be pressed."""

    words: str
    run: Callable[[], None]


@dataclass(frozen=True, slots=True)
class MarginSection:
    """A headed part below the rest: rows, then a paragraph; without a heading it goes on with the one before."""

    heading: str
    rows: tuple[Evidence | Fact, ...] = ()
    text: str = ""


@dataclass(frozen=True, slots=True)
class MarginContent:
    """Everything the margin can say, top to bottom; what is empty takes no room."""

    #: "Why, for the cell in focus"
    heading: str = ""
    #: the id in 28 px, with sign and letter of the sex beside it
    whose: str = ""
    sex: tuple[str, str] = ("", "")
    #: look and place, in second ink
    about: str = ""
    verdict: str = ""
    #: the verdict needs the keeper: clay, with a triangle
    needs_you: bool = False
    why: str = ""
    evidence: tuple[Evidence, ...] = ()
    #: makes the chart, `304` wide at most; called each time the content is shown
    chart: Callable[[], QWidget] | None = None
    chart_note: str = ""
    facts: tuple[Fact, ...] = ()
    sections: tuple[MarginSection, ...] = ()
    #: where limits come from, small
    rests_on: str = ""
    links: tuple[MarginLink, ...] = field(default=())
    #: what the folded strip says instead; the verdict when empty
    strip: str = ""
