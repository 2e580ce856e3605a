"""Reads a catalogue from its TOML text and the keeper's own entries, which outrank what is shipped.

A file has `[[gene]]`, `[[complex]]` (a locus of several genes), `[[pair]]` (what two alleles of a complex look like
together), `[[caution]]` and `[[combination]]` tables; an own entry is a fragment with the same tables, and besides
`[[line]]` (a keeper's word for a line of a gene) and `[[merge]]` (two names, one gene). `resources/species` shows all.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from coilbook.genetics.catalogue import Catalogue, Conflict, LineWord, line_gene
from coilbook.genetics.catalogue_build import build, gene_of
from coilbook.records.message import Refusal, say

Raw = dict[str, Any]

#: what a table may hold, and of it what it must
_FIELDS: dict[str, tuple[frozenset[str], frozenset[str]]] = {
    "gene": (
        frozenset({
            "key", "name", "inheritance", "complex", "unsure_complex", "gene", "aliases", "description", "hides",
            "hides_provenance", "two",
            "two_unseen", "two_lethal", "two_hides", "two_same_look", "needs_line", "provenance", "citation", "linkage",
            "caution", "was",
        }),
        frozenset({"key"}),
    ),
    "complex": (
        frozenset({"key", "name", "description", "provenance", "citation", "linkage", "was"}), frozenset({"key"}),
    ),
    "pair": (
        frozenset({
            "genes", "name", "aliases", "same_look", "unseen", "lethal", "hides", "provenance", "citation", "was",
        }),
        frozenset({"genes"}),
    ),
    "caution": (
        frozenset({"genes", "text", "evidence", "provenance", "citation", "was"}), frozenset({"genes", "text"}),
    ),
    "combination": (
        frozenset({"key", "name", "aliases", "parts", "provenance", "citation", "was"}), frozenset({"name", "parts"}),
    ),
    "line": (frozenset({"of", "words"}), frozenset({"of", "words"})),
    "merge": (frozenset({"gene", "into"}), frozenset({"gene", "into"})),
}  # fmt: skip
#: what of an entry is no statement about the gene
NO_STATEMENT = ("key", "genes", "own", "was")
_HEAD = frozenset({"format", "species", "name", "system", "provenance", "citation"})


@dataclass(frozen=True, slots=True)
class OwnEntry:
    """One entry of the keeper's: a TOML fragment kept as text; a new one with the same `key` takes its place.

    `key` is what the entry is and of what, as in "gene clown" or "line axanthic (line b)"; `own_entries` makes them.
    """

    key: str
    text: str


@dataclass
class Tables:
    """The tables of a catalogue while entries are laid over one another."""

    head: Raw
    genes: dict[str, Raw] = field(default_factory=dict)
    complexes: dict[str, Raw] = field(default_factory=dict)
    pairs: dict[tuple[str, str], Raw] = field(default_factory=dict)
    cautions: list[Raw] = field(default_factory=list)
    combinations: dict[str, Raw] = field(default_factory=dict)
    lines: list[LineWord] = field(default_factory=list)
    merged: dict[str, str] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)


def read_catalogue(shipped: str, own: Iterable[OwnEntry] = ()) -> Catalogue:
    """The catalogue of the shipped text with the keeper's entries laid over it, in their order.

    An own entry that no longer fits the shipped text is left out and shown among the conflicts: an update never locks
    a keeper out. Raises `Refusal` where the shipped text itself is wrong; `own_entries.check_own` is strict about both.
    """
    entries = tuple(own)
    try:
        return read_strictly(shipped, entries)
    except Refusal:
        if not entries:
            raise
    good: list[OwnEntry] = []
    left_out: list[Conflict] = []
    for entry in entries:
        try:
            read_strictly(shipped, (*good, entry))
        except Refusal as refusal:
            left_out.append(Conflict(entry.key, "left out", str(refusal), entry.text))
        else:
            good.append(entry)
    return read_strictly(shipped, tuple(good), left_out)


def read_strictly(shipped: str, own: Iterable[OwnEntry], left_out: Iterable[Conflict] = ()) -> Catalogue:
    """The catalogue with every own entry taken in. Raises `Refusal` at the first one that does not fit."""
    loaded = _loaded(shipped, say("the catalogue"))
    head = {key: value for key, value in loaded.items() if not isinstance(value, list)}
    if set(head) - _HEAD or not {"species", "name", "system"} <= set(head):
        raise Refusal(say("The catalogue does not say of which species it is, or says things it may not."))
    tables = Tables(head)
    lay_over(tables, loaded, own=False)
    for entry in own:
        lay_over(tables, _loaded(entry.text, say("the entry {entry}", entry=entry.key)), own=True)
    tables.conflicts.extend(left_out)
    catalogue = build(tables)
    catalogue = catalogue.with_lines(LineWord(tables.merged.get(line.of, line.of), line.words) for line in tables.lines)
    return _with_line_fields(catalogue, tables)


def _loaded(text: str, what: object) -> Raw:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Refusal(say("{what} cannot be read: {why}", what=what, why=str(error))) from error


def lay_over(tables: Tables, loaded: Mapping[str, Any], *, own: bool) -> None:
    """Add the tables of one text to `tables`, over what is there. Raises `Refusal` at the first one that is wrong."""
    for kind, entries in loaded.items():
        if not isinstance(entries, list):
            if own:
                raise Refusal(say("An entry of your own has nothing called '{name}'.", name=kind))
            continue
        if kind not in _FIELDS or not all(isinstance(entry, dict) for entry in entries):
            raise Refusal(say("The catalogue has no tables called '{name}'.", name=kind))
        for entry in entries:
            _check_fields(kind, entry)
            _LAYERS[kind](tables, {**entry, "own": True} if own else dict(entry), own)


def _check_fields(kind: str, entry: Raw) -> None:
    allowed, needed = _FIELDS[kind]
    name = str(entry.get("key") or entry.get("name") or entry.get("genes") or entry.get("words") or kind)
    if unknown := sorted(set(entry) - allowed):
        raise Refusal(say("{entry}: a {kind} has no '{field}'.", entry=name, kind=kind, field=unknown[0]))
    if missing := sorted(field for field in needed if not entry.get(field)):
        raise Refusal(say("{entry}: a {kind} needs '{field}'.", entry=name, kind=kind, field=missing[0]))


def _lay_gene(tables: Tables, entry: Raw, own: bool) -> None:
    key = str(entry["key"])
    key = tables.merged.get(key, key)
    was = entry.pop("was", {})
    before = tables.genes.get(key)
    if before is None or not own:
        if own and "inheritance" not in entry and any(line.key == key for line in tables.lines):
            entry["line"] = True
        elif missing := [name for name in ("name", "inheritance") if name not in entry]:
            raise Refusal(say("{entry}: a {kind} needs '{field}'.", entry=key, kind="gene", field=missing[0]))
        if before is not None:
            raise Refusal(say("{entry} stands twice in the catalogue.", entry=key))
        tables.genes[key] = entry
        return
    tables.conflicts += _differing("gene", key, before, entry, was)
    tables.genes[key] = {**before, **entry, "key": key}


def _differing(kind: str, key: str, shipped: Raw, entry: Raw, was: Raw) -> list[Conflict]:
    """What the keeper's entry says otherwise than the shipped one does today and did when it was made (`was`)."""
    return [
        Conflict(key, name, shown_value(shipped[name]), shown_value(value), kind)
        for name, value in entry.items()
        if name in shipped and name not in NO_STATEMENT and shipped[name] not in (value, was.get(name))
    ]


def shown_value(value: object) -> str:
    """A value of an entry as a keeper reads it; lists with commas, a caution by its sentence."""
    if isinstance(value, dict) and "text" in value:
        return str(value["text"])
    return ", ".join(map(shown_value, value)) if isinstance(value, list) else str(value)


def _lay_complex(tables: Tables, entry: Raw, own: bool) -> None:
    key = str(entry["key"])
    before = tables.complexes.get(key, {})
    was = entry.pop("was", {})
    if not before and "name" not in entry:
        entry["name"] = key
    if own:
        tables.conflicts += _differing("complex", key, before, entry, was)
    tables.complexes[key] = {**before, **entry}


def _lay_pair(tables: Tables, entry: Raw, own: bool) -> None:
    genes = _pair_of(tables, entry)
    before = tables.pairs.get(genes, {})
    was = entry.pop("was", {})
    if own:
        tables.conflicts += _differing("pair", " + ".join(genes), before, entry, was)
    tables.pairs[genes] = {**before, **entry, "genes": list(genes)}


def _pair_of(tables: Tables, entry: Raw) -> tuple[str, str]:
    genes = entry["genes"]
    if not isinstance(genes, list) or len(genes) != 2:
        raise Refusal(say("{genes}: a pair is of two genes.", genes=shown_value(genes)))
    first, second = sorted(tables.merged.get(str(gene), str(gene)) for gene in genes)
    return first, second


def _lay_caution(tables: Tables, entry: Raw, own: bool) -> None:
    """The keeper's cautions on two genes stand in the place of the shipped ones on them."""
    genes = list(_pair_of(tables, entry))
    was = entry.pop("was", {})
    shipped = [caution for caution in tables.cautions if caution["genes"] == genes and not caution.get("own")]
    if own and shipped:
        # an entry that does not say how well the shipped one was founded was made before that was kept
        told = {name: value for name, value in as_one_caution(shipped).items() if name == "text" or name in was}
        tables.conflicts += _differing("caution", " + ".join(genes), told, entry, was)
        tables.cautions = [caution for caution in tables.cautions if caution not in shipped]
    tables.cautions.append({**entry, "genes": genes})


def as_one_caution(cautions: Sequence[Mapping[str, Any]]) -> Raw:
    """What several cautions on the same genes say, as one: their sentences, and how well each is founded."""
    return {name: " ".join(str(one[name]) for one in cautions if one.get(name)) for name in ("text", "evidence")}


def _lay_combination(tables: Tables, entry: Raw, own: bool) -> None:
    key = str(entry.get("key") or entry["name"]).casefold()
    before = tables.combinations.get(key)
    was = entry.pop("was", {})
    if own and before is not None:
        # an entry that does not keep what its name was is compared by its parts alone
        told = {name: before[name] for name in ("parts", "name") if name == "parts" or name in was}
        tables.conflicts += _differing("combination", key, told, entry, was)
    tables.combinations[key] = {**entry, "key": key}


def _lay_line(tables: Tables, entry: Raw, own: bool) -> None:
    line = LineWord(str(entry["of"]), str(entry["words"]))
    if not line.words.strip() or line.of not in tables.genes:
        raise Refusal(say("'{words}' cannot be a line of {gene}.", words=line.words, gene=line.of))
    tables.lines.append(line)


def _lay_merge(tables: Tables, entry: Raw, own: bool) -> None:
    gene, into = str(entry["gene"]), tables.merged.get(str(entry["into"]), str(entry["into"]))
    lines = {line.key: line for line in tables.lines}
    if gene == into or not {gene, into} <= {*tables.genes, *lines}:
        raise Refusal(say("{gene} cannot be put into {other}: both must be in the catalogue.", gene=gene, other=into))
    tables.merged.update({key: into for key, value in tables.merged.items() if value == gene})
    tables.merged[gene] = into
    if gene in lines:
        tables.lines.remove(lines[gene])
    gone = tables.genes.pop(gene, None)
    kept = tables.genes.setdefault(into, {"key": into, "line": True})
    # under its key too: a gene that was renamed before is still written so in older texts
    words = [str(gone["name"]).casefold(), gene, *gone.get("aliases", ())] if gone and "name" in gone else []
    if gene in lines:
        line = lines[gene]
        words += [f"{line.of} {line.words}".casefold(), f"{line.words} {line.of}".casefold()]
    kept["aliases"] = list(dict.fromkeys([*kept.get("aliases", ()), *words]))
    tables.pairs = {genes: pair for genes, pair in tables.pairs.items() if gene not in genes}
    for caution in tables.cautions:
        caution["genes"] = sorted(into if each == gene else each for each in caution["genes"])
    for combination in tables.combinations.values():
        combination["parts"] = [[into if part == gene else part, doses] for part, doses in combination["parts"]]


_LAYERS = {
    "gene": _lay_gene,
    "complex": _lay_complex,
    "pair": _lay_pair,
    "caution": _lay_caution,
    "combination": _lay_combination,
    "line": _lay_line,
    "merge": _lay_merge,
}


def _with_line_fields(catalogue: Catalogue, tables: Tables) -> Catalogue:
    """Lines with what else the keeper said of them: another name, more spellings, a description."""
    changed = {
        key: gene_of(raw, line_gene(catalogue.genes[catalogue.genes[key].line_of], _line_word(catalogue, key)))
        for key, raw in tables.genes.items()
        if raw.get("line") and key in catalogue.genes
    }
    return replace(catalogue, genes={**catalogue.genes, **changed}) if changed else catalogue


def _line_word(catalogue: Catalogue, key: str) -> LineWord:
    gene = catalogue.genes[key]
    return LineWord(gene.line_of, gene.line)
