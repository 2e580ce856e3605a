"""A clutch typed in one line, when it is laid and when it hatches.

Laid: a weight for each egg in order, with a sign for what is not a good egg.

``78 84 78? 36s`` is three eggs and a slug, the third doubtful. ``6x`` is six eggs not weighed; since ``2s`` would be a
slug of 2 g, two slugs without a weight are ``2xs``.

Hatched: a weight for each egg still waited for, in order of number. ``61 58m 4:63f - x`` is 61 g unsexed, 58 g male,
egg 4 with 63 g female, one not out yet, one dead in its shell; ``3a:28 3b:30`` are twins.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from coilbook.records.egg_vocabulary import Verdict
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass, MassUnit, parse_mass
from coilbook.records.vocabulary import Sex

_WORD = re.compile(r"^(?:(?P<many>\d{1,2})x)?(?P<mass>\d+(?:[.,]\d+)?)?(?P<sign>[?s]?)$", re.IGNORECASE)
_SIGNS = {"": Verdict.GOOD, "?": Verdict.DOUBTFUL, "s": Verdict.SLUG}
#: more eggs than any clutch of these snakes (15 published, 30 leaves room for larger species; from memory)
MOST_EGGS = 40


@dataclass(frozen=True, slots=True)
class LaidEgg:
    """One egg as it was laid: its mass when it was weighed by itself, and how it looks."""

    mass: Mass | None = None
    verdict: Verdict = Verdict.GOOD


def read_egg_line(text: str, unit: MassUnit = MassUnit.GRAM) -> tuple[LaidEgg, ...]:
    """The eggs of a typed line, in order. Raises `Refusal` with the word that cannot be read.

    >>> [(e.mass.grams if e.mass else None, e.verdict.value) for e in read_egg_line("78 54? 36s 2x")]
    [(Decimal('78'), 'good'), (Decimal('54'), 'doubtful'), (Decimal('36'), 'slug'), (None, 'good'), (None, 'good')]
    """
    eggs: list[LaidEgg] = []
    for word in text.split():
        found = _WORD.match(word)
        if found is None or not word.strip("0"):
            raise Refusal(say("'{word}' is no egg. Type weights: 78 84 54? 36s, or 6x for six not weighed.", word=word))
        mass = parse_mass(found["mass"], unit) if found["mass"] else None
        eggs += [LaidEgg(mass, _SIGNS[found["sign"].lower()])] * int(found["many"] or 1)
    if not eggs:
        raise Refusal(say("A clutch needs its eggs: type a weight for each, or 6x for six not weighed."))
    if len(eggs) > MOST_EGGS:
        raise Refusal(say("{n} eggs are more than a clutch; check the line.", n=len(eggs)))
    return tuple(eggs)


_YOUNG = re.compile(
    r"^(?:(?P<number>\d{1,2})(?P<twin>[ab]?):)?(?P<mass>\d+(?:[.,]\d+)?|o)(?P<sex>[mf]?)$", re.IGNORECASE
)
_ENDED = re.compile(r"^(?:(?P<number>\d{1,2}):)?(?P<sign>[-x])$", re.IGNORECASE)
_SEXES = {"": Sex.UNSEXED, "m": Sex.MALE, "f": Sex.FEMALE}


@dataclass(frozen=True, slots=True)
class HatchedYoung:
    """One egg of a typed line: the young one with its mass and sex, or that it died in the shell."""

    number: int
    twin: str = ""
    mass: Mass | None = None
    sex: Sex = Sex.UNSEXED
    dead: bool = False


def read_hatch_line(text: str, numbers: Sequence[int], unit: MassUnit = MassUnit.GRAM) -> tuple[HatchedYoung, ...]:
    """The young of a typed line, for the eggs `numbers` that are waited for. Raises `Refusal` with the wrong word.

    >>> [(y.number, str(y.mass.grams), y.sex.value) for y in read_hatch_line("61 58m - 7:60", [1, 3, 4, 7])]
    [(1, '61', 'unsexed'), (3, '58', 'male'), (7, '60', 'unsexed')]
    """
    waiting = list(numbers)
    found: list[HatchedYoung] = []
    for word in text.split():
        young, ended = _YOUNG.match(word), _ENDED.match(word)
        said = young or ended
        if said is None:
            raise Refusal(
                say("'{word}' is no hatchling. Type weights: 61 58m 63f, - for not yet, x for dead.", word=word)
            )
        number = int(said["number"]) if said["number"] else next(iter(waiting), None)
        if number is None or number not in numbers:
            raise Refusal(
                say("No egg is left for '{word}'; eggs waited for: {eggs}.", word=word, eggs=_listed(numbers))
            )
        if number in waiting:
            waiting.remove(number)
        if young is not None:
            mass = parse_mass(young["mass"], unit) if young["mass"].lower() != "o" else None
            sex = _SEXES[young["sex"].lower()]
            found.append(HatchedYoung(number, (young["twin"] or "").lower(), mass, sex))
        elif said["sign"].lower() == "x":
            found.append(HatchedYoung(number, dead=True))
    if not found:
        raise Refusal(say("Type a weight for each that is out; o for one not weighed."))
    return tuple(found)


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers) or "-"
