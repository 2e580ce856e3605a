"""Chances in words: with evidence to the nearest tenth, on a card the highest of the trade's words not above it."""

from __future__ import annotations

#: the trade's words for a possible het
TRADE = (100, 66, 50, 33, 25)
#: what arithmetic leaves of certainty
_ROUNDING = 1e-12


def percent(chance: float, places: int = 1) -> str:
    """A chance (0 to 1) to the nearest; what is possible is never written 0%, what is not sure never 100%.

    >>> percent(0.65625), percent(1.0), percent(1 - 1e-15), percent(0.0001), percent(0.99999), percent(0.995, 0)
    ('65.6%', '100%', '100%', '<0.1%', '>99.9%', '>99%')
    """
    if chance <= _ROUNDING or chance >= 1 - _ROUNDING:
        return "0%" if chance <= _ROUNDING else "100%"
    least, text = 10.0**-places, f"{100 * chance:.{places}f}"
    if float(text) <= 0:
        return f"<{least:.{places}f}%"
    return f">{100 - least:.{places}f}%" if float(text) >= 100 else f"{text}%"


def short_percent(chance: float) -> str:
    """A chance in a name ("60% het clown"): without a tenth where there is none.

    >>> short_percent(0.6), short_percent(2 / 3), short_percent(1.0 - 1e-15)
    ('60%', '66.7%', '100%')
    """
    nearest = round(100 * chance)
    return f"{nearest}%" if abs(100 * chance - nearest) < 1e-6 else percent(chance)


def trade_word(chance: float) -> int | None:
    """The highest of the trade's percentages not above the chance; None below the lowest.

    >>> trade_word(0.6), trade_word(2 / 3), trade_word(0.2)
    (50, 66, None)
    """
    return next((word for word in TRADE if word / 100 <= chance + 1e-9), None)


def one_in(chance: float) -> str:
    """A small chance as the trade says it.

    >>> one_in(0.125)
    '1 in 8'
    """
    return f"1 in {round(1 / chance):,}" if chance > 0 else "never"
