"""The kinds of rows a column has, by which focus and the margin know them."""

from __future__ import annotations

from enum import StrEnum


class FactKey(StrEnum):
    """A row of facts."""

    CLUTCH = "clutch"
    EGGS = "eggs"
    CARDS = "cards"
    INBREEDING = "inbreeding"
    PROVEN_DAM = "proven dam"
    PROVEN_SIRE = "proven sire"
    NONE = "none"
    SEX = "sex"
    HATCH = "hatch"
    MIND = "mind"
    SIRES = "sires"
    OPEN = "open"
    BOUNDED = "bounded"


class PieceKind(StrEnum):
    """A part of a column."""

    TITLE = "title"
    NUMBER = "number"
    PICTURE = "picture"
    LOOKS_HEAD = "looks head"
    LOOK = "look"
    INSIDE = "inside"
    MORE = "more"
    FACT = "fact"
    REFUSED = "refused"
