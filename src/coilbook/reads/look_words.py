"""What young are called: the looks that can be told, what they may hide, what they may carry."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.locus import Inheritance, Look
from coilbook.genetics.masking import look_indexes
from coilbook.genetics.notation_printer import lowered_name
from coilbook.genetics.outlook import Carries, Group, Outlook
from coilbook.genetics.outlook_pair import NEVER
from coilbook.genetics.states import Bools, LocusStates
from coilbook.genetics.wish import showing
from coilbook.wording.chances import short_percent
from coilbook.wording.language import translated

#: more hidden looks than these are not named one by one
MOST_HIDDEN = 3


def looks_of(states: LocusStates, mask: Bools, possible: Bools) -> tuple[Look, ...]:
    """The looks of a class, the wild look first, those that no young have left out."""
    indexes = np.array(look_indexes(states))[mask & possible]
    return tuple(states.locus.looks[index] for index in sorted(set(indexes.tolist())))


def group_title(outlook: Outlook, group: Group) -> str:
    """What a group looks like: "Clown, Enchi or not", "Pastel Enchi", "normal-looking"."""
    shown: list[tuple[bool, str]] = []
    hidden: list[str] = []
    for place, locus in enumerate(outlook.loci):
        looks = looks_of(locus.states, group.masks[locus.key], outlook.young[place].max(axis=0) > NEVER)
        if len(looks) == 1 and looks[0].key:
            shown.append((not _one_dose_shows(locus.states, looks[0]), looks[0].name))
        elif len(looks) > 1:
            hidden += [look.name for look in looks if look.key]
    # in the order of the printed notation: what shows with one dose before the recessives
    names = [name for _, name in sorted(shown, key=lambda pair: pair[0])]
    parts = [" ".join(names) if names else translated("normal-looking")]
    if hidden:
        parts.append(_or_not(hidden))
    return ", ".join(parts)


def _one_dose_shows(states: LocusStates, look: Look) -> bool:
    """Whether a look falls with one copy beside the wild type."""
    locus = states.locus
    return any(locus.looks[locus.table[0][allele]] is look for allele in range(1, len(locus.alleles)))


def _or_not(names: Sequence[str]) -> str:
    if len(names) > MOST_HIDDEN:
        return translated("whatever else it hides")
    joined = (
        names[0]
        if len(names) == 1
        else translated("{some} and {last}").format(some=", ".join(names[:-1]), last=names[-1])
    )
    return translated("{looks} or not").format(looks=joined)


def carried_words(outlook: Outlook, group: Group) -> list[str]:
    """What is carried without showing: "het clown" when sure, "60% het clown", "33.3% two copies of Leopard"."""
    places = {locus.key: place for place, locus in enumerate(outlook.loci)}
    words = []
    for carries in outlook.carries(group):
        place = places[carries.locus]
        states = outlook.loci[place].states
        possible = group.masks[carries.locus] & (outlook.young[place].max(axis=0) > NEVER)
        shows = not (possible & ~showing(states, carries.allele)).any()
        said = _carried(outlook.catalogue, states, carries, shows=shows)
        words += [said] if said else []
    return words


def _carried(catalogue: Catalogue, states: LocusStates, carries: Carries, *, shows: bool) -> str:
    gene = catalogue.genes[states.locus.alleles[carries.allele]]
    kind = states.locus.inheritance(carries.allele)
    if kind is Inheritance.DOMINANT and shows and NEVER < carries.two < carries.any:
        share = short_percent(carries.two / carries.any)
        return translated("{percent} two copies of {gene}").format(percent=share, gene=gene.name)
    one = carries.any - carries.two
    if kind is not Inheritance.RECESSIVE or shows or one < NEVER:
        return ""
    name = lowered_name(gene.name)
    if one > 1 - NEVER:
        return translated("het {gene}").format(gene=name)
    return translated("{percent} het {gene}").format(percent=short_percent(one), gene=name)
