"""Exact quantities: mass in tenths of a gram, temperature in tenths of a degree Celsius, money in minor units.

`Mass` is a whole number of decigrams so that no float ever reaches the file. Conversions use the exact
international avoirdupois pound, 453.59237 g, and ounce, 28.349523125 g (NIST Handbook 44, appendix C; from memory,
checked in tests against pound = 16 ounces and the 1959 definition).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum

from coilbook.records.message import Refusal, say


class MassUnit(StrEnum):
    """Units a keeper weighs or reads in."""

    GRAM = "g"
    KILOGRAM = "kg"
    OUNCE = "oz"
    POUND_OUNCE = "lb"


GRAMS_PER_OUNCE = Decimal("28.349523125")
GRAMS_PER_POUND = Decimal("453.59237")
_PER_UNIT = {
    MassUnit.GRAM: Decimal(1),
    MassUnit.KILOGRAM: Decimal(1000),
    MassUnit.OUNCE: GRAMS_PER_OUNCE,
    MassUnit.POUND_OUNCE: GRAMS_PER_POUND,
}
#: no snake of this kind weighs more; a larger number is a slip of the finger (25 kg, `from memory`)
LARGEST_MASS_DG = 250_000

_NUMBER = r"(\d{1,3}(?:[ ,]\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?|[.,]\d+)"
#: what spreadsheets put between thousands besides a plain space: no-break, thin and narrow no-break space
_SPACES = re.compile("[\u00a0\u2009\u202f]")
_POUNDS_OUNCES = re.compile(rf"^{_NUMBER}\s*(?:lb|lbs|pounds?|#)\s*(?:{_NUMBER}\s*(?:oz|ounces?)?)?$", re.IGNORECASE)
#: in grams it may be a thousand and some, as grouped in much of Europe, or a little over one: nobody can tell
_DOT_OF_THREE = re.compile(r"[1-9]\d{0,2}\.\d{3}")
_ONE_UNIT = re.compile(rf"^{_NUMBER}\s*(g|gr|gram|grams|kg|kilos?|oz|ounces?)?\.?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class Mass:
    """A mass of `decigrams` tenths of a gram."""

    decigrams: int

    @property
    def grams(self) -> Decimal:
        return Decimal(self.decigrams) / 10


def _decimal(text: str, unit: MassUnit) -> Decimal:
    """A typed number. "1,842" is grouped thousands for grams; of a larger unit, which nobody weighs a thousand of, and
    after a leading nought the comma is a decimal one: "1,842 kg", "0,021 kg"."""
    one_comma = text.count(",") == 1 and " " not in text and "." not in text
    is_decimal = one_comma and (unit is not MassUnit.GRAM or text.startswith("0"))
    grouped = not is_decimal and re.fullmatch(r"\d{1,3}(?:[ ,]\d{3})+(?:\.\d+)?", text)
    plain = re.sub(r"[ ,]", "", text) if grouped else text.replace(",", ".")
    try:
        return Decimal(plain)
    except InvalidOperation as error:  # pragma: no cover - the patterns let only numbers through
        raise Refusal(say("'{text}' is not a number.", text=text)) from error


def _to_mass(grams: Decimal, text: str) -> Mass:
    decigrams = int((grams * 10).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    if decigrams <= 0:
        raise Refusal(say("A weight is more than nothing; '{text}' is not.", text=text))
    if decigrams > LARGEST_MASS_DG:
        raise Refusal(say("'{text}' is over 25 kg; check the number and its unit.", text=text))
    return Mass(decigrams)


def parse_mass(text: str, default: MassUnit = MassUnit.GRAM) -> Mass:
    """Read a typed weight; a bare number is in `default`.

    >>> parse_mass("1.42kg").decigrams, parse_mass("3lb 2oz").decigrams, parse_mass("50.1oz").decigrams
    (14200, 14175, 14203)
    >>> parse_mass("1,842").decigrams
    18420
    """
    cleaned = _SPACES.sub(" ", text.strip())
    both = _POUNDS_OUNCES.match(cleaned)
    if both:
        ounces = _decimal(both[2], MassUnit.OUNCE) if both[2] else Decimal(0)
        return _to_mass(_decimal(both[1], MassUnit.POUND_OUNCE) * GRAMS_PER_POUND + ounces * GRAMS_PER_OUNCE, text)
    one = _ONE_UNIT.match(cleaned)
    if not one:
        raise Refusal(say("'{text}' is not a weight. Type 1842, 1.842 kg, 65 oz or 4 lb 1 oz.", text=text))
    word = (one[2] or "").lower()
    unit = default
    if word.startswith("k"):
        unit = MassUnit.KILOGRAM
    elif word.startswith("o"):
        unit = MassUnit.OUNCE
    elif word:
        unit = MassUnit.GRAM
    if unit is MassUnit.GRAM and _DOT_OF_THREE.fullmatch(one[1]):
        whole = one[1].replace(".", "")
        raise Refusal(
            say("'{text}': {whole} g, or {kilos} kg? Type it that way.", text=text, whole=whole, kilos=one[1])
        )
    return _to_mass(_decimal(one[1], unit) * _PER_UNIT[unit], text)


@dataclass(frozen=True, slots=True)
class Money:
    """`minor` units (cents) of `currency`, an ISO 4217 letter code."""

    minor: int
    currency: str


#: of the few currencies that have none or three (ISO 4217, from memory)
_MINOR_DIGITS = {"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "BHD": 3, "KWD": 3, "OMR": 3, "TND": 3, "JOD": 3}


def minor_digits(currency: str) -> int:
    """How many digits of an amount stand behind the point.

    >>> minor_digits("EUR"), minor_digits("JPY")
    (2, 0)
    """
    return _MINOR_DIGITS.get(currency, 2)


@dataclass(frozen=True, slots=True, order=True)
class Temperature:
    """A temperature of `tenths` of a degree Celsius."""

    tenths: int

    @classmethod
    def of(cls, celsius: float) -> Temperature:
        """The nearest tenth of a degree."""
        return cls(round(celsius * 10))

    @property
    def celsius(self) -> float:
        return self.tenths / 10

    def __str__(self) -> str:
        return f"{self.tenths / 10:.1f} \u00b0C"
