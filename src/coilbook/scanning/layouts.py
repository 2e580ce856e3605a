"""What a scanner meant when it and the computer do not agree on the keyboard.

A keyboard scanner sends keys, not letters: set to one layout on a computer set to another, A arrives as Q and
digits as signs. Each candidate reading takes the typed signs back to keys by the computer's layout and forward
to letters by the scanner's.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from coilbook.labels.code import CODE_LENGTH, QR_ALPHANUMERIC, LabelCode, parse
from coilbook.records.message import Refusal


class Keyboard(StrEnum):
    """Layouts a scanner or a computer may be set to."""

    QWERTY = "qwerty"
    AZERTY = "azerty"
    QWERTZ = "qwertz"


# Keys row by row, plain then with shift: US English, French and German layouts, from memory; a reference test
# holds them against entries of the X keyboard data base (symbols/fr and symbols/de).
_PLAIN = {
    Keyboard.QWERTY: "1234567890-=qwertyuiop[]asdfghjkl;'zxcvbnm,./",
    Keyboard.AZERTY: "&é\"'(-è_çà)=azertyuiop^$qsdfghjklmùwxcvbn,;:!",
    Keyboard.QWERTZ: "1234567890ß´qwertzuiopü+asdfghjklöäyxcvbnm,.-",
}
_SHIFTED = {
    Keyboard.QWERTY: '!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"ZXCVBNM<>?',
    Keyboard.AZERTY: "1234567890°+AZERTYUIOP¨£QSDFGHJKLM%WXCVBN?./§",
    Keyboard.QWERTZ: '!"§$%&/()=?`QWERTZUIOPÜ*ASDFGHJKLÖÄYXCVBNM;:_',
}


@dataclass(frozen=True, slots=True)
class Pairing:
    """Which layout the scanner is set to and which the computer."""

    scanner: Keyboard
    computer: Keyboard


AGREEING = Pairing(Keyboard.QWERTY, Keyboard.QWERTY)
PAIRINGS = (
    AGREEING,
    *(Pairing(scanner, computer) for scanner in Keyboard for computer in Keyboard if scanner is not computer),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read what was typed, and the code it ends in."""

    pairing: Pairing
    text: str
    code: LabelCode


@lru_cache(maxsize=len(PAIRINGS))
def _table(pairing: Pairing) -> dict[int, str]:
    typed = _PLAIN[pairing.computer] + _SHIFTED[pairing.computer]
    meant = _PLAIN[pairing.scanner] + _SHIFTED[pairing.scanner]
    return {ord(sign): letter for sign, letter in zip(typed, meant, strict=True)}


def read_as(text: str, pairing: Pairing) -> str:
    """What the scanner meant by the typed `text`, were it and the computer set as `pairing` says."""
    return text if pairing.scanner is pairing.computer else text.translate(_table(pairing))


def code_readings(text: str, settled: Pairing | None = None) -> tuple[Reading, ...]:
    """Every reading of `text` that ends in a valid code, each code once.

    More than one means that the check character cannot tell and the keeper has to be asked. A pairing that was
    `settled` by an earlier scan is believed as long as it gives a valid code.
    """
    if settled is not None:
        trusted = _reading(text, settled)
        if trusted is not None:
            return (trusted,)
    found: dict[LabelCode, Reading] = {}
    for pairing in PAIRINGS:
        reading = _reading(text, pairing)
        if reading is not None:
            found.setdefault(reading.code, reading)
    return tuple(found.values())


def _reading(text: str, pairing: Pairing) -> Reading | None:
    meant = read_as(text, pairing)
    tail = meant[-CODE_LENGTH:]
    # a scanner sends exactly what is printed: no blanks or hyphens inside a code, no I, L or O, and all letters
    # in one case (small ones under Caps Lock)
    if tail not in (tail.upper(), tail.lower()):
        return None
    try:
        code = parse(tail)
    except Refusal:
        return None
    return Reading(pairing, meant, code) if tail.upper() == code.text else None


def looks_scanned(text: str) -> bool:
    """Whether a scanner set to some layout could mean this by a printed symbol: no small letter, no odd sign."""
    return any(set(read_as(text, pairing)) <= QR_ALPHANUMERIC for pairing in PAIRINGS)
