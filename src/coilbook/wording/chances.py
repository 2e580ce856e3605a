"""Chances in words: with evidence to the nearest tenth, on a card the highest of the trade's words not above it."""

from __future__ import annotations

#: the trade's words for a possible het
TRADE = (100, 66, 50, 33, 25)
#: what each stands for
_EXACT = {100: 1.0, 66: 2 / 3, 50: 0.5, 33: 1 / 3, 25: 0.25}


def percent(chance: float, places: int = 1) -> str:
    """A chance (0 to 1) to the nearest; what is possible is never written 0%, what is not sure never 100%.

    >>> percent(0.65625), percent(1.0), percent(0.0001), percent(0.99999)
    ('65.6%', '100%', '<0.1%', '>99.9%')
    """
    if chance <= 0 or chance >= 1:
        return "100%" if chance >= 1 else "0%"
    least = 10.0**-places
    if 100 * chance < least / 2:
        return f"<{least:.{places}f}%"
    if 100 * (1 - chance) < least / 2:
        return f">{100 - least:.{places}f}%"
    return f"{100 * chance:.{places}f}%"


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
    return next((word for word in TRADE if _EXACT[word] <= chance + 1e-9), None)


def one_in(chance: float) -> str:
    """A small chance as the trade says it.

    >>> one_in(0.125)
    '1 in 8'
    """
    return f"1 in {round(1 / chance):,}" if chance > 0 else "never"
