"""The keeper's language: one gettext catalogue, English when there is none for it."""

from __future__ import annotations

import gettext
from pathlib import Path

_catalogue: gettext.NullTranslations = gettext.NullTranslations()


def choose_language(folder: Path, languages: list[str] | None = None) -> None:
    """Read the catalogue of the first of `languages` that `folder` has; the source sentences otherwise."""
    global _catalogue
    _catalogue = gettext.translation("coilbook", folder, languages, fallback=True)


def translated(text: str) -> str:
    """The sentence in the keeper's language."""
    return _catalogue.gettext(text)


def translated_plural(one: str, many: str, count: int) -> str:
    """The form of a sentence for `count`, with `{n}` filled in."""
    return _catalogue.ngettext(one, many, count).format(n=count)


def translated_form(one: str, many: str, count: int) -> str:
    """The form of a sentence for `count`, its places still open."""
    return _catalogue.ngettext(one, many, count)
