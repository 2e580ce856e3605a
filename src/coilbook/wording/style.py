"""How quantities and dates are written for this keeper: one object made from the settings."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

from coilbook.records.quantities import GRAMS_PER_OUNCE, MassUnit, Money, minor_digits
from coilbook.records.settings import DateOrder, Settings
from coilbook.records.vocabulary import Precision, Sex
from coilbook.records.when import PartialDate, moment_from
from coilbook.wording.language import translated, translated_plural

MINUS = "\u2212"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SEX_SIGNS = {Sex.FEMALE: ("\u2640", "F"), Sex.MALE: ("\u2642", "M")}


@dataclass(frozen=True, slots=True)
class Style:
    """Writes numbers, masses, dates and signs in the keeper's units and order."""

    settings: Settings = field(default_factory=Settings)

    # --- numbers -------------------------------------------------------------------------------------------
    def number(self, value: int | Decimal, places: int = 0, *, signed: bool = False) -> str:
        """A number with its thousands grouped and a true minus sign.

        >>> Style().number(12345), Style().number(-3, signed=True)
        ('12,345', '−3')
        """
        exact = Decimal(value).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
        digits = f"{abs(exact):,.{places}f}"
        if exact < 0:
            return MINUS + digits
        return f"+{digits}" if signed and exact > 0 else digits

    def mass(self, decigrams: int, unit: bool = True) -> str:
        """A mass given in tenths of a gram, in the keeper's unit, with or without its word.

        >>> Style().mass(18420), Style().mass(845)
        ('1,842 g', '84.5 g')
        """
        grams = Decimal(decigrams) / 10
        chosen = self.settings.mass_unit
        fine = 0 if decigrams % 10 == 0 else 1
        if chosen is MassUnit.KILOGRAM:
            return self._with_unit(self.number(grams / 1000, 3 + fine), "kg", unit)
        if chosen is MassUnit.OUNCE:
            return self._with_unit(self.number(grams / GRAMS_PER_OUNCE, 1), "oz", unit)
        if chosen is MassUnit.POUND_OUNCE:
            return self._pounds(grams)
        return self._with_unit(self.number(grams, fine), "g", unit)

    def mass_unit(self) -> str:
        """The unit word for a column's head."""
        return {MassUnit.POUND_OUNCE: "lb oz"}.get(self.settings.mass_unit, self.settings.mass_unit.value)

    def mass_change(self, before_dg: int, after_dg: int) -> str:
        """A change between two masses as a percentage of the first ("−3.9%"); "new" from nothing."""
        if before_dg <= 0:
            return translated("new")
        share = Decimal(after_dg - before_dg) * 100 / before_dg
        return self.number(share, 1, signed=True) + "%"

    def temperature(self, tenths_celsius: int) -> str:
        """A temperature given in tenths of a degree Celsius, in the keeper's degrees."""
        celsius = Decimal(tenths_celsius) / 10
        if self.settings.fahrenheit:
            return self.number(celsius * 9 / 5 + 32, 1) + " \u00b0F"
        return self.number(celsius, 1) + " \u00b0C"

    def money(self, money: Money) -> str:
        """An amount with its currency letters."""
        digits = minor_digits(money.currency)
        return f"{self.number(Decimal(money.minor).scaleb(-digits), digits)} {money.currency}"

    # --- dates ---------------------------------------------------------------------------------------------
    def date(self, value: PartialDate | dt.date, *, year: bool = True, weekday: bool = False) -> str:
        """A date to the precision it is known, in the keeper's order, with or without its year.

        >>> Style().date(dt.date(2026, 3, 19)), Style().date(PartialDate(dt.date(2021, 1, 1), Precision.YEAR))
        ('19 Mar 2026', '2021')
        """
        if isinstance(value, PartialDate):
            if value.precision is not Precision.DAY:
                return self._vague(value)
            value = value.first
        order, month = self.settings.date_order, self._month(value)
        if order is DateOrder.ISO:
            text = value.strftime("%Y-%m-%d") if year else value.strftime("%m-%d")
        elif order is DateOrder.MONTH_FIRST:
            text = f"{month} {value.day}" + (f", {value.year}" if year else "")
        else:
            text = f"{value.day} {month}" + (f" {value.year}" if year else "")
        return f"{translated(_WEEKDAYS[value.weekday()])} {text}" if weekday else text

    def time(self, value: dt.time | dt.datetime) -> str:
        """A time of day on the keeper's clock."""
        if self.settings.clock_24h:
            return value.strftime("%H:%M")
        return f"{(value.hour - 1) % 12 + 1}:{value.minute:02d} {'am' if value.hour < 12 else 'pm'}"

    def moment(self, text: str, *, year: bool = True) -> str:
        """A stored moment as date and time."""
        when = moment_from(text)
        return f"{self.date(when.date(), year=year)}, {self.time(when)}"

    def month(self, value: dt.date) -> str:
        """The short name of a day's month."""
        return self._month(value)

    def days(self, count: int) -> str:
        """A number of days in the short form of tables."""
        return translated("{n} d").format(n=self.number(count))

    def days_ago(self, then: dt.date, today: dt.date) -> str:
        """How long ago a day was, in words."""
        count = (today - then).days
        if count == 0:
            return translated("today")
        if count == 1:
            return translated("yesterday")
        if count < 0:
            return translated_plural("in {n} day", "in {n} days", -count)
        return translated_plural("{n} day ago", "{n} days ago", count)

    # --- animals -------------------------------------------------------------------------------------------
    def sex_sign(self, sex: Sex, certainty: int | None = None) -> tuple[str, str]:
        """Sign and letter; each with a question mark below 100 percent; no sign and a word when unsexed.

        >>> Style().sex_sign(Sex.FEMALE), Style().sex_sign(Sex.MALE, 80), Style().sex_sign(Sex.UNSEXED)
        (('♀', 'F'), ('♂?', 'M?'), ('', 'unsexed'))
        """
        if sex not in SEX_SIGNS:
            return "", translated("unsexed")
        sign, letter = SEX_SIGNS[sex]
        doubt = "?" if certainty is not None and certainty < 100 else ""
        return sign + doubt, letter + doubt

    # --- parts ---------------------------------------------------------------------------------------------
    @staticmethod
    def _with_unit(text: str, word: str, unit: bool) -> str:
        return f"{text} {word}" if unit else text

    def _pounds(self, grams: Decimal) -> str:
        ounces = int((grams / GRAMS_PER_OUNCE).quantize(Decimal(1), rounding=ROUND_HALF_UP))
        if abs(grams) < 16 * GRAMS_PER_OUNCE:
            return self.number(grams / GRAMS_PER_OUNCE, 1) + " oz"
        return f"{self.number(ounces // 16)} lb {ounces % 16} oz"

    @staticmethod
    def _month(value: dt.date) -> str:
        return translated(_MONTHS[value.month - 1])

    def _vague(self, value: PartialDate) -> str:
        if value.precision is Precision.YEAR:
            return str(value.first.year)
        if value.precision is Precision.MONTH:
            return f"{self._month(value.first)} {value.first.year}"
        return f"{self._month(value.first)}-{self._month(value.last)} {value.last.year}"
