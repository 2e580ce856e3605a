"""The keyboard tables against entries of the X keyboard data base (xkeyboard-config, symbols/fr and symbols/de).

The lines are quoted from its "basic" sections: key name, plain sign, sign with shift. Dead keys are left out:
no printed code has their signs.
"""

from __future__ import annotations

import pytest

from coilbook.scanning.layouts import Keyboard, Pairing, read_as

# rows of the data base's key names: AE is the digit row, AD, AC and AB the letter rows below it
US = {
    **{f"AE{n:02}": pair for n, pair in enumerate(zip("1234567890-=", "!@#$%^&*()_+"), 1)},
    **{f"AD{n:02}": pair for n, pair in enumerate(zip("qwertyuiop[]", "QWERTYUIOP{}"), 1)},
    **{f"AC{n:02}": pair for n, pair in enumerate(zip("asdfghjkl;'", 'ASDFGHJKL:"'), 1)},
    **{f"AB{n:02}": pair for n, pair in enumerate(zip("zxcvbnm,./", "ZXCVBNM<>?"), 1)},
}
FR = """AE01 & 1;AE02 é 2;AE03 " 3;AE04 ' 4;AE05 ( 5;AE06 - 6;AE07 è 7;AE08 _ 8;AE09 ç 9;AE10 à 0;AE11 ) °
AE12 = +;AD01 a A;AD02 z Z;AD03 e E;AD12 $ £;AC01 q Q;AC10 m M;AC11 ù %;AB01 w W;AB07 , ?
AB09 : /;AB10 ! §"""
DE = """AE02 2 ";AE03 3 §;AE04 4 $;AE11 ß ?;AD03 e E;AD06 z Z;AD11 ü Ü;AD12 + *;AC02 s S;AC07 j J;AC10 ö Ö
AC11 ä Ä;AB01 y Y;AB02 x X;AB09 . :;AB10 - _"""


@pytest.mark.parametrize(("computer", "entries"), [(Keyboard.AZERTY, FR), (Keyboard.QWERTZ, DE)])
def test_each_key_is_taken_back_to_what_a_us_scanner_meant(computer: Keyboard, entries: str) -> None:
    pairing = Pairing(scanner=Keyboard.QWERTY, computer=computer)
    for entry in entries.replace("\n", ";").split(";"):
        name, plain, shifted = entry.split()
        assert (read_as(plain, pairing), read_as(shifted, pairing)) == US[name], entry
