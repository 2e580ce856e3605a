"""The texts of the catalogues that come with the program, one for each species."""

from __future__ import annotations

from functools import lru_cache

from coilbook.records.message import Refusal, say
from coilbook.wording.resources import resource_path


@lru_cache(maxsize=1)
def shipped_texts() -> dict[str, str]:
    """The shipped catalogue of each species as TOML, by the key animals carry ("ball_python")."""
    files = sorted(resource_path("species").glob("*.toml"))
    return {file.stem: file.read_text(encoding="utf-8") for file in files}


def shipped_text(species: str) -> str:
    """The shipped catalogue of one species; `Refusal` where there is none."""
    text = shipped_texts().get(species)
    if text is None:
        raise Refusal(say("There is no catalogue of the species '{species}'.", species=species))
    return text
