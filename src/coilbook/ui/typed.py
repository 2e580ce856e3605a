"""What a keeper types in a field, read in the keeper's own order and units: moments, dates, a sex call, money."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

from coilbook.intake.dates import read_date, read_header_date
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Money, minor_digits
from coilbook.records.settings import DateOrder, Settings
from coilbook.records.vocabulary import UNSURE_PERCENT, Sex, SexBasis
from coilbook.records.when import PartialDate
from coilbook.wording.texts import words

#: an entry whose day was said without a time stands at noon
NOON = dt.time(12)
_TIME = re.compile(r"(?:^|[\s,])(?:at\s+)?(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?$", re.IGNORECASE)
_AGO = re.compile(r"(\d{1,3})\s*(?:d|days?)(?:\s+ago)?$")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: parts of a day as keepers say them (common practice: the evening is feeding time)
_DAY_PARTS = {"morning": dt.time(8), "noon": NOON, "afternoon": dt.time(15), "evening": dt.time(20)}
_DAY_PARTS |= {"night": dt.time(22)}
_SEXES = {"f": Sex.FEMALE, "female": Sex.FEMALE, "♀": Sex.FEMALE, "m": Sex.MALE, "male": Sex.MALE, "♂": Sex.MALE}
_SEXES |= {"u": Sex.UNSEXED, "unsexed": Sex.UNSEXED, "unknown": Sex.UNSEXED}

#: no snake is sold for more, in whatever currency (from memory); a larger number is a slip of the finger
LARGEST_AMOUNT = 1_000_000_000
_AMOUNT = re.compile(r"(\d[\d.,' ]*?)\s*([A-Za-z]{3})?")
_GROUPED = re.compile(r"(\d{1,3}([.,' ])\d{3}(?:\2\d{3})*)(?:[.,](\d{1,2}))?")


def order_of(settings: Settings) -> DateOrder:
    """How ``3/4/21`` is read: the keeper's order, day first for those who write year-month-day."""
    return DateOrder.DAY_FIRST if settings.date_order is DateOrder.ISO else settings.date_order


def typed_date(text: str, now: dt.datetime, settings: Settings) -> PartialDate | None:
    """A date with the precision it was typed to ("2021", "May 2021", "14.6.2020"); None for an empty field.

    "about 14 June 2020" is June 2020: what was not claimed to the day is not shown as one.
    """
    cleaned = " ".join(text.split())
    if not cleaned:
        return None
    day = _named_day(cleaned.lower(), now.date())
    if day is not None:
        return PartialDate(day)
    reading = read_date(cleaned, order_of(settings), now.year)
    if reading is None or reading.value is None:
        raise Refusal(say("'{text}' is not a date. Type 2021, May 2021 or 14 June 2020.", text=cleaned))
    if reading.value.first > now.date():
        raise Refusal(say("{date} lies ahead of today.", date=reading.value))
    return reading.value if reading.exact else reading.value.about


def typed_moment(text: str, now: dt.datetime, settings: Settings) -> dt.datetime | None:
    """When something happened ("yesterday 20:00", "20:30", "24 Mar", "3 days ago"); None for an empty field: now.

    A time alone that lies ahead means yesterday's; a day without its year means the last such day.
    """
    cleaned = " ".join(text.split()).lower()
    if not cleaned or cleaned == "now":
        return None
    day_text, time = _split_time(cleaned)
    moment = _moment(day_text, time, now, settings)
    if moment is None and time is not None:
        # the number at the end belonged to the date ("24 mar 2026", "3.4.")
        moment = _moment(cleaned, None, now, settings)
    if moment is None:
        raise Refusal(say("'{text}' is not a time. Type yesterday 20:00, 20:30 or 24 Mar 19:00.", text=text.strip()))
    return moment


def _moment(day_text: str, time: dt.time | None, now: dt.datetime, settings: Settings) -> dt.datetime | None:
    today = now.date()
    if not day_text:
        if time is None:
            return None
        moment = dt.datetime.combine(today, time)
        return moment if moment <= now.replace(tzinfo=None) else moment - dt.timedelta(days=1)
    day = _named_day(day_text, today) or _written_day(day_text, now, settings)
    if day is None:
        return None
    if time is None and day == today:
        return now.replace(tzinfo=None, second=0, microsecond=0)
    return dt.datetime.combine(day, time or NOON)


def _split_time(text: str) -> tuple[str, dt.time | None]:
    *head, last = text.split(" ")
    if last in _DAY_PARTS:
        return " ".join(head) or "today", _DAY_PARTS[last]
    found = _TIME.search(text)
    if found is None or (found[2] is None and found[3] is None and not _is_day_word(text[: found.start()])):
        return text, None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:
            return text, None
        hour = hour % 12 + (12 if found[3].lower() == "pm" else 0)
    if hour > 23 or minute > 59:
        return text, None
    return text[: found.start()].strip(" ,"), dt.time(hour, minute)


def _is_day_word(text: str) -> bool:
    cleaned = text.strip(" ,")
    return cleaned in ("today", "yesterday") or cleaned[:3] in _WEEKDAYS


def _named_day(text: str, today: dt.date) -> dt.date | None:
    if text in ("today", "yesterday"):
        return today - dt.timedelta(days=text == "yesterday")
    ago = _AGO.match(text)
    if ago:
        return today - dt.timedelta(days=int(ago[1]))
    if text.isalpha() and text[:3] in _WEEKDAYS:
        back = (today.weekday() - _WEEKDAYS.index(text[:3])) % 7 or 7
        return today - dt.timedelta(days=back)
    return None


def _written_day(text: str, now: dt.datetime, settings: Settings) -> dt.date | None:
    short = read_header_date(text, now.year)
    if short is not None:
        day = short.on(order_of(settings), now.year)
        if day is not None and short.year is None and day > now.date():
            day = short.on(order_of(settings), now.year - 1)
        return day
    reading = read_date(text, order_of(settings), now.year)
    whole = reading is not None and reading.value is not None and reading.value.first == reading.value.last
    return reading.value.first if whole and reading is not None and reading.value is not None else None


def typed_sex(text: str) -> tuple[Sex, int, SexBasis | None]:
    """A sex call: sex, how sure in percent, and how it is known when said ("F probed", "male? 70%", "unsexed")."""
    rest = text.strip().lower().replace(",", " ")
    percent = re.search(r"(\d{2,3})\s*%?", rest)
    sure = int(percent[1]) if percent else (UNSURE_PERCENT if "?" in rest else 100)
    tokens = re.sub(r"(\d{2,3})\s*%?|[?:]", " ", rest).split()
    sex = next((_SEXES[t] for t in tokens if t in _SEXES), None)
    if sex is None:
        raise Refusal(say("'{text}' is not a sex. Type F probed, M? 80% or unsexed.", text=text.strip()))
    said = " ".join(t for t in tokens if t not in _SEXES)
    if not said:
        return sex, 100 if sex is Sex.UNSEXED else sure, None
    basis = next((b for b in SexBasis if said in words(b) or words(b) in said), None)
    if basis is None:
        known = ", ".join(words(b) for b in SexBasis)
        raise Refusal(say("'{text}' is not a way to know a sex; these are: {known}.", text=said, known=known))
    return sex, sure, basis


def typed_money(text: str, currency: str) -> Money | None:
    """An amount ("250", "249.50 USD") in the keeper's currency unless another stands beside it; None when empty."""
    cleaned = text.strip()
    if not cleaned:
        return None
    found = _AMOUNT.fullmatch(cleaned)
    letters = ((found[2] if found else "") or currency).upper()
    amount = _amount(found[1], minor_digits(letters)) if found else None
    if amount is None:
        raise Refusal(say("'{text}' is not an amount. Type 250 or 249.50 {currency}.", text=cleaned, currency=currency))
    if amount > LARGEST_AMOUNT:
        raise Refusal(say("'{text}' is too large for a price; check the number.", text=cleaned))
    return Money(int(amount.scaleb(minor_digits(letters))), letters)


def _amount(number: str, digits: int) -> Decimal | None:
    """The number of an amount in a currency with so many digits behind the point; three digits group, as in sheets."""
    grouped = _GROUPED.fullmatch(number) if digits < 3 else None
    if grouped is not None:
        whole, rest = re.sub(r"\D", "", grouped[1]), grouped[3] or "0"
    else:
        whole, _, rest = number.replace(",", ".").partition(".")
    if not (whole.isdecimal() and (not rest or rest.isdecimal())) or len(rest.rstrip("0")) > digits:
        return None
    return Decimal(f"{whole}.{rest or 0}")


def money_text(money: Money | None) -> str:
    """An amount as `typed_money` reads it back; empty for none."""
    if money is None:
        return ""
    return f"{Decimal(money.minor).scaleb(-minor_digits(money.currency))} {money.currency}"


def typed_day_ahead(text: str, now: dt.datetime, settings: Settings) -> PartialDate | None:
    """A day still to come ("24 Apr", "in 3 days", "tomorrow"); without its year the next such day; None when empty."""
    cleaned = " ".join(text.split()).lower()
    if not cleaned:
        return None
    ahead = re.fullmatch(r"(?:in\s+)?(\d{1,3})\s*(?:d|days?)", cleaned)
    if cleaned == "tomorrow" or ahead:
        return PartialDate(now.date() + dt.timedelta(days=int(ahead[1]) if ahead else 1))
    short = read_header_date(cleaned, now.year)
    day = short.on(order_of(settings), now.year) if short is not None else None
    if day is not None and short is not None and short.year is None and day < now.date():
        day = short.on(order_of(settings), now.year + 1)
    if day is None:
        raise Refusal(say("'{text}' is not a day. Type 24 Apr, tomorrow or in 3 days.", text=text.strip()))
    return PartialDate(day)
