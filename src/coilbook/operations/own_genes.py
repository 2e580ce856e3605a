"""The keeper's own catalogue: genes, loci and combinations that stand over the shipped ones of the same key."""

from __future__ import annotations

from coilbook.derived.genetics_catalogues import own_entries
from coilbook.genetics.catalogue_text import OwnEntry
from coilbook.genetics.own_entries import check_own
from coilbook.records.changes import Outcome
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, OwnKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_texts
from coilbook.storage.tables import OwnGene


def keep_own_gene(
    collection: Collection, *, kind: OwnKind, key: str, body: str, species: str = "ball_python"
) -> Outcome[int]:
    """Write an entry of the keeper's own catalogue; one of the same kind and key is replaced.

    `body` is a TOML fragment with the tables of the shipped catalogue (`genetics.catalogue_text`), as
    `genetics.own_entries` writes it. Raises `Refusal` when the entry does not add up, or takes a word that means
    another gene.
    """
    plain = " ".join(key.split()).casefold()
    if not plain:
        raise Refusal(say("A gene needs a name."))
    if not body.strip():
        raise Refusal(say("There is nothing in it to keep."))
    shipped = shipped_texts().get(species)
    if shipped is None:
        raise Refusal(say("There is no catalogue of the species '{species}'.", species=species))
    check_own(OwnEntry(f"{kind.value} {plain}", body), shipped, own_entries(collection, species))
    with collection.act(Act.KEEP_OWN_GENE) as act:
        row = _row(act, species, kind, plain)
        if row is None:
            row = act.insert(OwnGene, species=species, kind=kind.value, key=plain, body=body)
        else:
            act.update(OwnGene, row, body=body)
        act.tell(say("{kind} {key} kept in your catalogue", kind=kind, key=plain))
    return act.outcome(Act.KEEP_OWN_GENE, row)


def keep_entry(collection: Collection, *, entry: OwnEntry, species: str = "ball_python") -> Outcome[int]:
    """Write an entry made by `genetics.own_entries`: a gene, a correction or other name, a line, a merge, a name."""
    kind, _, key = entry.key.partition(" ")
    return keep_own_gene(collection, kind=OwnKind(kind), key=key, body=entry.text, species=species)


def remove_own_gene(collection: Collection, *, kind: OwnKind, key: str, species: str = "ball_python") -> Outcome[int]:
    """Take an entry out of the keeper's own catalogue; the shipped one, if there is one, stands again."""
    with collection.act(Act.REMOVE_OWN_GENE) as act:
        row = _row(act, species, kind, key)
        if row is None:
            raise Refusal(say("{key} is not in your catalogue; it may have been undone.", key=key))
        act.delete(OwnGene, row)
        act.tell(say("{kind} {key} taken out of your catalogue", kind=kind, key=key))
    return act.outcome(Act.REMOVE_OWN_GENE, row)


def _row(act: ActInHand, species: str, kind: OwnKind, key: str) -> int | None:
    sql = "SELECT id FROM own_gene WHERE species = ? AND kind = ? AND key = ?"
    rows = act.rows(sql, (species, kind.value, key))
    return int(rows[0][0]) if rows else None
