"""The keeper's language: every sentence goes through one gettext catalogue; it is empty, so English shows."""

from __future__ import annotations

from gettext import NullTranslations

_catalogue = NullTranslations()


def translated(text: str) -> str:
    """The sentence in the keeper's language."""
    return _catalogue.gettext(text)


def translated_plural(one: str, many: str, count: int) -> str:
    """The form of a sentence for `count`, with `{n}` filled in."""
    return _catalogue.ngettext(one, many, count).format(n=count)


def translated_form(one: str, many: str, count: int) -> str:
    """The form of a sentence for `count`, its places still open."""
    return _catalogue.ngettext(one, many, count)
