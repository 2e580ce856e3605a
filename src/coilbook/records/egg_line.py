"""A clutch typed in one line: a weight for each egg in order, with a sign for what is not a good egg.

``78 84 78? 36s`` is three eggs and a slug, the third doubtful. ``6x`` is six eggs not weighed; since ``2s`` would be a
slug of 2 g, two slugs without a weight are ``2xs``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coilbook.records.egg_vocabulary import Verdict
from coilbook.records.message import Refusal, say
from coilbook.records.quantities import Mass, MassUnit, parse_mass

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
