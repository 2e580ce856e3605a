"""The catalogues of a collection: what is shipped for each species, with the keeper's own entries laid over it."""

from __future__ import annotations

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.storage.collection import Collection
from coilbook.wording.resources import resource_path


def shipped_texts() -> dict[str, str]:
    """The shipped catalogue of each species, by the key animals carry ("ball_python")."""
    files = sorted(resource_path("species").glob("*.toml"))
    return {file.stem: file.read_text(encoding="utf-8") for file in files}


def own_entries(collection: Collection, species: str) -> tuple[OwnEntry, ...]:
    """The keeper's own entries of a species, oldest first."""
    rows = collection.read("SELECT kind, key, body FROM own_gene WHERE species = ? ORDER BY id", (species,))
    return tuple(OwnEntry(f"{kind} {key}", str(body)) for kind, key, body in rows)


def catalogues_of(collection: Collection) -> dict[str, Catalogue]:
    """The catalogue of every species, by the key animals carry."""
    return {
        species: read_catalogue(text, own_entries(collection, species)) for species, text in shipped_texts().items()
    }
