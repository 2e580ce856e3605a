"""A message as text for the journal, with its typed values kept, so that it can be worded again in other units."""

from __future__ import annotations

import datetime as dt
import json
from enum import StrEnum

from coilbook.records import egg_vocabulary, health_vocabulary, season_vocabulary, vocabulary
from coilbook.records.message import Message, say
from coilbook.records.quantities import Mass, Money
from coilbook.records.vocabulary import Precision
from coilbook.records.when import PartialDate

#: every closed list whose words may stand in a message, by its name
_LISTS: dict[str, type[StrEnum]] = {
    name: kind
    for module in (vocabulary, egg_vocabulary, season_vocabulary, health_vocabulary)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and issubclass(kind, StrEnum) and kind is not StrEnum
}


def stored(message: Message) -> str:
    """Text form of a message; empty for an empty one.

    >>> again = from_stored(stored(say("{who} weighed {mass}", who="F-014", mass=Mass(20140))))
    >>> again.values["mass"]
    Mass(decigrams=20140)
    """
    if not message.text:
        return ""
    values = {name: _packed(value) for name, value in message.values.items()}
    whole: dict[str, object] = {"text": message.text, "values": values}
    if message.plural is not None:
        whole["plural"] = message.plural
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"))


def from_stored(text: str) -> Message:
    """The message of a stored text; a text of another form is taken as the sentence itself."""
    try:
        whole = json.loads(text)
        values = {name: _unpacked(value) for name, value in whole["values"].items()}
        return say(whole["text"], whole.get("plural"), **values)
    except (ValueError, KeyError, TypeError, AttributeError):
        return say("{said}", said=text)


def _packed(value: object) -> object:
    if isinstance(value, Mass):
        return {"dg": value.decigrams}
    if isinstance(value, Money):
        return {"minor": value.minor, "currency": value.currency}
    if isinstance(value, StrEnum):
        return {"word": [type(value).__name__, value.value]}
    if isinstance(value, PartialDate):
        return {"date": value.stored, "precision": value.precision.value}
    if isinstance(value, dt.datetime):
        return {"moment": value.isoformat(timespec="minutes")}
    if isinstance(value, dt.date):
        return {"date": value.isoformat(), "precision": "day"}
    if isinstance(value, Message):
        return {"message": stored(value)}
    if value is None or isinstance(value, (bool, int)):
        return value
    return str(value)


def _unpacked(value: object) -> object:
    if not isinstance(value, dict):
        return value
    if "dg" in value:
        return Mass(int(value["dg"]))
    if "minor" in value:
        return Money(int(value["minor"]), str(value["currency"]))
    if "word" in value:
        kind, code = value["word"]
        return _LISTS[kind](code)
    if "date" in value:
        return PartialDate(dt.date.fromisoformat(value["date"]), Precision(value["precision"]))
    if "moment" in value:
        return dt.datetime.fromisoformat(value["moment"])
    return from_stored(str(value["message"]))
