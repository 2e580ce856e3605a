"""Messages rendered, and the word for every stable code of the trade's vocabulary."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from enum import StrEnum

from coilbook.records import vocabulary as v
from coilbook.records.backups import BackupReason
from coilbook.records.health_vocabulary import CourseKind, StepKind
from coilbook.records.message import Message
from coilbook.records.quantities import Mass, MassUnit, Money, Temperature
from coilbook.records.settings import DateOrder, Theme
from coilbook.records.when import PartialDate, ShortDate
from coilbook.wording.acts import ACT_NAMES
from coilbook.wording.egg_words import EGG_WORDS
from coilbook.wording.language import translated, translated_form
from coilbook.wording.season_words import SEASON_WORDS
from coilbook.wording.style import Style


def render(message: Message, style: Style | None = None) -> str:
    """One sentence in the keeper's language and units; `n` chooses the plural."""
    chosen = style if style is not None else Style()
    count = message.values.get("n")
    if message.plural is not None:
        text = translated_form(message.text, message.plural, count if isinstance(count, int) else 2)
    else:
        text = translated(message.text)
    return text.format(**{name: _written(value, chosen) for name, value in message.values.items()})


def _written(value: object, style: Style) -> object:
    if isinstance(value, Message):
        return render(value, style)
    if isinstance(value, Mass):
        return style.mass(value.decigrams)
    if isinstance(value, Money):
        return style.money(value)
    if isinstance(value, Temperature):
        return style.temperature(value.tenths)
    if isinstance(value, dt.datetime):
        return f"{style.date(value.date())}, {style.time(value)}"
    if isinstance(value, ShortDate):
        return style.date(value.day, year=False)
    if isinstance(value, (PartialDate, dt.date)):
        return style.date(value)
    if isinstance(value, StrEnum):
        return words(value)
    if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
        return _Number(value, style)
    return value


class _Number:
    """A number in a sentence: grouped unless the sentence gives its own format."""

    def __init__(self, value: int | Decimal, style: Style) -> None:
        self._value, self._style = value, style

    def __format__(self, spec: str) -> str:
        if spec:
            return format(self._value, spec)
        whole = isinstance(self._value, int)
        return self._style.number(self._value) if whole else str(self._value)


def words(member: StrEnum) -> str:
    """The keeper's word for a stable code."""
    return translated(WORDS[type(member), member.value])


_SAID: tuple[tuple[StrEnum, str], ...] = (
    (v.Sex.MALE, "male"),
    (v.Sex.FEMALE, "female"),
    (v.Sex.UNSEXED, "unsexed"),
    (v.SexBasis.POPPED, "popped"),
    (v.SexBasis.PROBED, "probed"),
    (v.SexBasis.BRED, "has bred"),
    (v.SexBasis.SHED_TEST, "shed test"),
    (v.SexBasis.SELLER, "seller said"),
    (v.SexBasis.LOOKS, "by its looks"),
    (v.SexBasis.UNKNOWN, "not known how"),
    (v.Status.HERE, "here"),
    (v.Status.SOLD, "sold"),
    (v.Status.DEAD, "dead"),
    (v.Status.LOAN, "on loan"),
    (v.Status.LOST, "lost"),
    (v.Status.OUTSIDE, "somebody else's"),
    (v.Precision.DAY, "to the day"),
    (v.Precision.MONTH, "to the month"),
    (v.Precision.SEASON, "to the season"),
    (v.Precision.YEAR, "to the year"),
    (v.Origin.BRED_HERE, "bred here"),
    (v.Origin.BOUGHT, "bought"),
    (v.Origin.SWAPPED, "swapped"),
    (v.Origin.LOAN, "breeding loan"),
    (v.Origin.RESCUE, "rescued"),
    (v.Origin.GIFT, "a gift"),
    (v.Origin.UNKNOWN, "not known"),
    (v.PlaceKind.ROOM, "room"),
    (v.PlaceKind.RACK, "rack"),
    (v.PlaceKind.SLOT, "slot"),
    (v.PersonRole.KEEPER, "keeper"),
    (v.PersonRole.HELPER, "helper"),
    (v.PersonRole.SELLER, "seller"),
    (v.PersonRole.BUYER, "buyer"),
    (v.PersonRole.VET, "vet"),
    (v.PersonRole.OTHER, "other"),
    (v.FeedingResult.PENDING, "left in"),
    (v.FeedingResult.TAKEN, "taken"),
    (v.FeedingResult.TAKEN_LATE, "taken late"),
    (v.FeedingResult.REFUSED, "refused"),
    (v.FeedingResult.STRUCK, "struck, not eaten"),
    (v.FeedingResult.NOT_OFFERED, "not offered"),
    (v.RefusalReason.BLUE, "in blue"),
    (v.RefusalReason.SEASON, "season"),
    (v.RefusalReason.GRAVID, "gravid"),
    (v.RefusalReason.NEW, "new here"),
    (v.RefusalReason.SIZE, "prey size"),
    (v.RefusalReason.UNKNOWN, "not known why"),
    (v.PreyState.FROZEN_THAWED, "f/t"),
    (v.PreyState.PRE_KILLED, "p/k"),
    (v.PreyState.LIVE, "live"),
    (v.WeightTag.EMPTY, "empty"),
    (v.WeightTag.AFTER_MEAL, "after a meal"),
    (v.WeightTag.GRAVID, "gravid"),
    (v.WeightTag.AFTER_LAYING, "after laying"),
    (v.WeightTag.UNSAID, "not said"),
    (v.ShedKind.BLUE, "in blue"),
    (v.ShedKind.CLEAR, "clear again"),
    (v.ShedKind.COMPLETE, "shed, complete"),
    (v.ShedKind.INCOMPLETE, "shed, incomplete"),
    (v.ShedKind.EYECAPS, "shed, eyecaps kept"),
    (v.Sign.GLOW, "glow"),
    (v.Sign.WRAPS_BOWL, "wraps bowl"),
    (v.Sign.INVERTED, "inverted"),
    (v.Sign.SEEKS_HEAT, "seeks heat"),
    (v.Sign.SEEKS_COOL, "seeks cool"),
    (v.Sign.SWELLING, "swelling"),
    (v.Sign.WHEEZE, "wheeze"),
    (v.Sign.MITES, "mites"),
    (v.Sign.STOOL, "stool"),
    (v.Sign.URATES, "urates"),
    (v.CleaningExtent.SPOT, "spot clean"),
    (v.CleaningExtent.FULL, "full change"),
    (v.MoveReason.PAIRING, "pairing"),
    (v.MoveReason.CLEANING, "cleaning"),
    (v.MoveReason.QUARANTINE, "quarantine"),
    (v.MoveReason.LAYING, "laying"),
    (v.MoveReason.SALE_HOLD, "held for sale"),
    (v.MoveReason.TEMPORARY, "for a while"),
    (v.MoveReason.UNSAID, "not said"),
    (v.DepartureKind.SOLD, "sold"),
    (v.DepartureKind.DIED, "died"),
    (v.DepartureKind.LOANED, "loaned out"),
    (v.DepartureKind.LOST, "lost"),
    (v.DepartureKind.RETURNED, "came back"),
    (v.PhotoAngle.TOP, "top"),
    (v.PhotoAngle.SIDE, "side"),
    (v.PhotoAngle.BELLY, "belly"),
    (v.PhotoAngle.HEAD, "head"),
    (v.PhotoAngle.TAIL, "tail"),
    (v.PhotoAngle.UNSAID, "angle not said"),
    (v.CodeKind.ANIMAL, "animal"),
    (v.CodeKind.SLOT, "slot"),
    (v.CodeKind.EGG_BOX, "egg box"),
    (v.CodeKind.HATCHLING, "hatchling"),
    (v.FindingKind.SEEN, "seen"),
    (v.FindingKind.NOT_SEEN, "not seen"),
    (v.FindingKind.TEST, "test"),
    (v.FindingKind.PROVEN, "proven"),
    (v.FindingKind.ASSUMED, "assumed"),
    (v.FindingKind.CARD, "card says at most"),
    (v.FindingKind.RETRACTED, "taken back"),
    (v.OwnKind.GENE, "gene"),
    (v.OwnKind.COMPLEX, "complex"),
    (v.OwnKind.PAIR, "pair of genes"),
    (v.OwnKind.CAUTION, "caution"),
    (v.OwnKind.LINE, "line"),
    (v.OwnKind.MERGE, "merged gene"),
    (v.OwnKind.COMBINATION, "combination"),
    (Theme.LIGHT, "light"),
    (Theme.DARK, "dark"),
    (Theme.DIM, "dim room"),
    (BackupReason.HOURLY, "hourly"),
    (BackupReason.CLOSE, "on closing"),
    (BackupReason.BY_HAND, "asked for"),
    (BackupReason.BEFORE_RESTORE, "before a restore"),
    (BackupReason.BEFORE_UPGRADE, "before an update"),
    (MassUnit.GRAM, "grams"),
    (MassUnit.KILOGRAM, "kilograms"),
    (MassUnit.OUNCE, "ounces"),
    (MassUnit.POUND_OUNCE, "pounds and ounces"),
    (DateOrder.DAY_FIRST, "19 Mar 2026"),
    (DateOrder.MONTH_FIRST, "Mar 19, 2026"),
    (DateOrder.ISO, "2026-03-19"),
    (CourseKind.TREATMENT, "treatment"),
    (CourseKind.QUARANTINE, "quarantine"),
    (StepKind.NOTED, "noted"),
    (StepKind.ENDED, "ended"),
    *EGG_WORDS,
    *SEASON_WORDS,
    *ACT_NAMES.items(),
)

#: by type and code: members of two lists may share a code, and text enums compare as their text
WORDS: dict[tuple[type[StrEnum], str], str] = {(type(member), member.value): text for member, text in _SAID}
