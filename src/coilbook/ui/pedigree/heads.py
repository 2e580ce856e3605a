"""Title, sentence and column names of a tree."""

from __future__ import annotations

from coilbook.genetics.known_ancestors import GenerationKnown
from coilbook.reads.pedigree_words import generation_name, known_short, young_name
from coilbook.ui.pedigree.making import Kind, Made, Wanted
from coilbook.wording.language import translated, translated_plural


def title(made: Made) -> str:
    """What of whose family is shown."""
    animal = made.wanted.animal
    name = made.book.lines.names.get(animal or 0, "")
    titles = {
        Kind.ANCESTORS: translated("Pedigree of {animal}"),
        Kind.DESCENDANTS: translated("Descendants of {animal}"),
        Kind.BOTH: translated("Family of {animal}"),
        Kind.MAP: translated("The whole family"),
    }
    return titles[made.wanted.kind].format(animal=name)


def sentence(made: Made, found: int | None = None) -> str:
    """How much is drawn; while something is looked for, how many fit."""
    if not made.scene.keys and not made.too_large:
        return ""
    animals = translated_plural("{n} animal", "{n} animals", len(made.scene.animals))
    if made.wanted.kind is Kind.MAP:
        parts = [animals, translated_plural("{n} family", "{n} families", len(made.pictures))]
        parts += [translated("a family of {n} is too large for the map").format(n=n) for n in made.too_large[:2]]
        if (rest := len(made.too_large) - 2) > 0:
            parts.append(translated_plural("{n} family more does not fit", "{n} families more do not fit", rest))
    else:
        loops = len({mark.number for mark in made.scene.loops})
        parts = [animals]
        if loops:
            parts.append(translated_plural("{n} loop, drawn once", "{n} loops, each drawn once", loops))
    if found is not None:
        parts.append(translated("{n} found").format(n=found))
    return ", ".join(parts)


def generations_words(wanted: Wanted) -> str:
    """How far the tree goes, on its button."""
    texts = {
        Kind.DESCENDANTS: translated("{n} on"),
        Kind.BOTH: translated("{n} each way"),
    }
    return texts.get(wanted.kind, translated("{n} back")).format(n=wanted.generations)


def headings(made: Made) -> tuple[tuple[int, str], ...]:
    """The left edge of each column of a tree and its name, with how many of its places are known."""
    if made.wanted.kind is Kind.MAP or not made.pictures:
        return ()
    focus = made.pictures[0].focus_column
    known = made.of_animal.known if made.of_animal is not None and made.wanted.back else ()
    found = []
    for number, x in enumerate(made.scene.columns):
        back = number - focus
        if back == 0:
            words = translated("The animal")
        elif back < 0:
            words = young_name(-back)
        else:
            words = _ancestors(back, known)
        found.append((x, words))
    return tuple(found)


def _ancestors(back: int, known: tuple[GenerationKnown, ...]) -> str:
    name = generation_name(back)
    if back > len(known):
        return name
    return translated("{generation}, {known}").format(generation=name, known=known_short(known[back - 1]))
