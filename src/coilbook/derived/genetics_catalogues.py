"""The catalogues of a collection: what is shipped for each species, with the keeper's own entries laid over it."""

from __future__ import annotations

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.notation_reader import ANSWERS_KEPT_UNDER
from coilbook.storage.species import shipped_texts
from coilbook.storage.without_act import Readable


def own_entries(collection: Readable, species: str) -> tuple[OwnEntry, ...]:
    """The keeper's own entries of a species, oldest first."""
    rows = collection.read("SELECT kind, key, body FROM own_gene WHERE species = ? ORDER BY id", (species,))
    return tuple(OwnEntry(f"{kind} {key}", str(body)) for kind, key, body in rows)


def genetics_answers(collection: Readable) -> dict[str, str]:
    """What the keeper answered to questions about genetics texts, by the key of the flag."""
    rows = collection.read(
        "SELECT fingerprint, answer FROM import_answer WHERE substr(fingerprint, 1, ?) = ? ORDER BY id",
        (len(ANSWERS_KEPT_UNDER), ANSWERS_KEPT_UNDER),
    )
    return {str(key)[len(ANSWERS_KEPT_UNDER) :]: str(answer) for key, answer in rows}


def catalogues_of(collection: Readable) -> dict[str, Catalogue]:
    """The catalogue of every species, by the key animals carry."""
    return {
        species: read_catalogue(text, own_entries(collection, species)) for species, text in shipped_texts().items()
    }
