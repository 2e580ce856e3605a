"""Label codes: a kind letter, a short allotted id and a check character, and reading them back.

The check character is ISO 7064 MOD 37,36 over kind letter and id. The ids leave out I, L, O and U (signs that
a hand or an eye takes for 1, 0 and V), and an id whose check character would be one of them is never issued;
so a typed I or L can always be read as 1 and a typed O as 0.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import CodeKind

#: the 32 signs of an id: digits and letters without I, L, O, U
ID_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
#: the 36 characters of ISO 7064 MOD 37,36, in order of their value
CHECK_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
BODY_LENGTH = 5
#: kind letter, id, check character
CODE_LENGTH = BODY_LENGTH + 2
#: how many bodies the scramble goes through; the counter runs from 0 to one less
BODY_COUNT = len(ID_ALPHABET) ** BODY_LENGTH
#: QR alphanumeric mode (ISO/IEC 18004, table of the alphanumeric mode; `from memory`, checked by decoding)
QR_ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
#: characters a symbol of 29 modules (version 3) holds in alphanumeric mode at level Q: ISO/IEC 18004
#: `from memory`; a test checks it against the symbols that are really made
LONGEST_PAYLOAD = 47
LARGEST_MODULES = 29

_KINDS = frozenset(kind.value for kind in CodeKind)
_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0"})
_SEPARATORS = re.compile(r"[\s\-‐‑‒–—_]+")
_BITS = 25
_MASK = (1 << _BITS) - 1


@dataclass(frozen=True, slots=True, order=True)
class LabelCode:
    """One code: what kind of thing it stands for and its allotted id of five signs."""

    kind: CodeKind
    body: str

    def __post_init__(self) -> None:
        """Hold the form, so that a code that exists can always be printed and read back."""
        if len(self.body) != BODY_LENGTH or any(sign not in ID_ALPHABET for sign in self.body):
            raise ValueError(f"not an id of a label code: {self.body!r}")

    @property
    def text(self) -> str:
        """The code as it stands in a symbol, check character included."""
        stem = self.kind.value + self.body
        return stem + check_character(stem)

    @property
    def shown(self) -> str:
        """The code grouped for reading: four signs, a hyphen, three signs."""
        text = self.text
        return f"{text[:4]}-{text[4:]}"


def check_character(text: str) -> str:
    """ISO 7064 MOD 37,36 check character of `text` (characters 0-9A-Z).

    Source of the rule: ISO 7064, hybrid systems (`from memory`), held by published examples in the tests.

    >>> check_character("A12425GABC1234002")
    'M'
    """
    carry = 36
    for character in text:
        carry = (carry + CHECK_ALPHABET.index(character)) % 36 or 36
        carry = carry * 2 % 37
    return CHECK_ALPHABET[(37 - carry) % 36]


def nth_body(kind: CodeKind, n: int) -> str | None:
    """Id number `n` (from 0) of a kind, or None where that number is never issued.

    The counter is scrambled by steps that can each be undone, so no two numbers share an id and an id tells
    neither sex nor place nor order. Numbers whose check character would be I, L, O or U give None: skip them.
    """
    if not 0 <= n < BODY_COUNT:
        raise ValueError(f"label ids run from 0 to {BODY_COUNT - 1}, not {n}")
    body = _spell(_scramble(n ^ (ord(kind.value) * 0x2F0B5)))
    return body if check_character(kind.value + body) in ID_ALPHABET else None


def _scramble(number: int) -> int:
    """A bijection on 25 bits: odd multipliers and xor with own high bits are both invertible."""
    x = number & _MASK
    for multiplier, shift in ((0x1C4F2D9, 13), (0x0D3A5E7, 11), (0x19F8B43, 14)):
        x = (x * multiplier + 0x5A7D1) & _MASK
        x ^= x >> shift
    return x


def _spell(number: int) -> str:
    return "".join(ID_ALPHABET[(number >> (5 * place)) & 31] for place in reversed(range(BODY_LENGTH)))


def parse(text: str) -> LabelCode:
    """The code a scanned or typed `text` ends in.

    Lower case, spaces and hyphens do not matter; I and L are read as 1, O as 0. Whatever stands before the
    code (a web address) is passed over. Raises `Refusal` that says what was read and what is wrong with it.

    >>> parse("https://wren.example/aFKt-38f").kind
    <CodeKind.ANIMAL: 'A'>
    """
    packed = _SEPARATORS.sub("", text.upper())
    tail = packed[-CODE_LENGTH:].translate(_READ_AS)
    fault = _fault(tail, text.strip())
    if fault is not None:
        raise Refusal(fault)
    return LabelCode(CodeKind(tail[0]), tail[1:-1])


def _fault(tail: str, read: str) -> Message | None:
    """What is wrong with the last signs of a text, or None when they are a code."""
    if not read:
        return say("Nothing was read. Scan the code again or type the id.")
    if len(tail) < CODE_LENGTH:
        return say(
            "'{read}' is too short for a code; a code has 7 signs, like {example}.",
            read=read,
            example=_EXAMPLE,
        )
    if tail[0] not in _KINDS:
        return say(
            "'{read}' is not a code: its kind letter would be {sign}; there are only {kinds}.",
            read=read,
            sign=tail[0],
            kinds=", ".join(sorted(_KINDS)),
        )
    strange = [sign for sign in tail if sign not in ID_ALPHABET]
    if strange:
        return say("'{read}' is not a code: no code has the sign {sign}.", read=read, sign=strange[0])
    if check_character(tail[:-1]) != tail[-1]:
        return say(
            "'{read}' does not check: at least one sign of {tail} was misread. Scan it again or type the id.",
            read=read,
            tail=f"{tail[:4]}-{tail[4:]}",
        )
    return None


_EXAMPLE = LabelCode(CodeKind.ANIMAL, "FKT38").shown


def check_prefix(text: str) -> None:
    """Refuse a prefix that could not be printed before every code; raises `Refusal` with the reason.

    A symbol stays in alphanumeric mode only in upper case, and stays readable in a wet room only while it has
    no more than 29 modules a side.
    """
    if text.upper() != text:
        changed = next(sign for sign in text if sign.upper() != sign)
        raise Refusal(
            say(
                "The prefix has the small letter '{sign}'. A code is printed in capitals only, which would"
                " turn '{prefix}' into '{upper}'. Type it in capitals, if the address allows it.",
                sign=changed,
                prefix=text,
                upper=text.upper(),
            )
        )
    for sign in text:
        if sign not in QR_ALPHANUMERIC:
            raise Refusal(
                say(
                    "The prefix has the sign '{sign}', which would make every code larger. It may have"
                    " capitals, digits, spaces and $ % * + - . / :",
                    sign=sign,
                )
            )
    longest = LONGEST_PAYLOAD - CODE_LENGTH
    if len(text) > longest:
        raise Refusal(
            say(
                "The prefix has {n} signs. With more than {longest} the code would pass 29 modules a side and"
                " no longer fit its place on a label. Shorten it.",
                n=len(text),
                longest=longest,
            )
        )
