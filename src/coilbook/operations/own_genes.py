"""The keeper's own catalogue: genes, loci and combinations that stand over the shipped ones of the same key."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.derived.genetics_catalogues import own_entries
from coilbook.genetics.catalogue_text import OwnEntry
from coilbook.genetics.own_entries import check_own, with_entry
from coilbook.records.changes import Outcome
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import Act, OwnKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_text
from coilbook.storage.tables import OwnGene

SPECIES = "ball_python"


def keep_own_gene(
    collection: Collection, *, kind: OwnKind, key: str, body: str, species: str = SPECIES
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
    told = say("{kind} {key} kept in your catalogue", kind=kind, key=plain)
    return keep_entries(collection, entries=(OwnEntry(f"{kind.value} {plain}", body),), told=told, species=species)


def keep_entry(collection: Collection, *, entry: OwnEntry, species: str = SPECIES) -> Outcome[int]:
    """Write an entry made by `genetics.own_entries`: a gene, a correction or other name, a line, a merge, a name."""
    kind, _, key = entry.key.partition(" ")
    return keep_own_gene(collection, kind=OwnKind(kind), key=key, body=entry.text, species=species)


def keep_entries(
    collection: Collection, *, entries: Sequence[OwnEntry], told: Message, species: str = SPECIES
) -> Outcome[int]:
    """Write several entries that belong together, in one act told as `told`; each may rest on those before it.

    Raises `Refusal` as `keep_own_gene`; then none is written. Returns the row of the last.
    """
    check_entries(collection, entries, species)
    kept = own_entries(collection, species)
    if all(entry in kept for entry in entries):
        raise Refusal(say("Your catalogue says that already."))
    row = 0
    with collection.act(Act.KEEP_OWN_GENE) as act:
        for entry in entries:
            kind, key = kind_and_key(entry)
            found = _row(act, species, kind, key)
            if found is None:
                row = act.insert(OwnGene, species=species, kind=kind.value, key=key, body=entry.text)
            else:
                row = found
                act.update(OwnGene, row, body=entry.text)
        act.tell(told)
    return act.outcome(Act.KEEP_OWN_GENE, row)


def check_entries(collection: Collection, entries: Sequence[OwnEntry], species: str) -> None:
    """Raise `Refusal` at the first entry that does not fit the catalogue, what the keeper has and those before it."""
    shipped = shipped_text(species)
    own = own_entries(collection, species)
    for entry in entries:
        check_own(entry, shipped, own)
        own = with_entry(own, entry)


def kind_and_key(entry: OwnEntry) -> tuple[OwnKind, str]:
    """The kind and key an entry is kept by."""
    kind, _, key = entry.key.partition(" ")
    return OwnKind(kind), key


def remove_own_gene(collection: Collection, *, kind: OwnKind, key: str, species: str = SPECIES) -> Outcome[int]:
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
