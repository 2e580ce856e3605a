"""Builds loci, genes, combinations and masks from the tables of a catalogue's text, and says what does not add up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from coilbook.genetics.catalogue import (
    EVERYTHING,
    Catalogue,
    Caution,
    Combination,
    Complex,
    Evidence,
    Gene,
    Grade,
    Provenance,
)
from coilbook.genetics.locus import WILD, Inheritance, Linkage, Locus, Look, SexSystem
from coilbook.records.message import Refusal, say

if TYPE_CHECKING:
    from coilbook.genetics.catalogue_text import Tables

Raw = Mapping[str, Any]
_Masks = dict[tuple[str, str], frozenset[str]]
_WILD_LOOK = Look("", "normal")


def build(tables: Tables) -> Catalogue:
    """The catalogue of these tables. Raises `Refusal` naming the first entry that does not add up."""
    raw_genes = {key: raw for key, raw in tables.genes.items() if not raw.get("line")}
    genes = {key: gene_of(raw, None, tables.complexes) for key, raw in raw_genes.items()}
    members: dict[str, list[str]] = {}
    for key, gene in genes.items():
        members.setdefault(gene.locus, []).append(key)
    loci: dict[str, Locus] = {}
    masks: _Masks = {}
    for locus_key, keys in members.items():
        maker = _LocusMaker(locus_key, [raw_genes[key] for key in keys], tables)
        loci[locus_key] = maker.locus()
        masks.update(maker.masks)
    head = tables.head
    # a file says how it knows the sex system of its species, or is not taken
    provenance_of(head, str(head["name"]))
    return Catalogue(
        species=str(head["species"]),
        name=str(head["name"]),
        system=_one_of(SexSystem, head["system"], "system"),
        loci=loci,
        genes=genes,
        combinations=_combinations(tables, raw_genes, genes),
        shared_names=_shared_names(tables, raw_genes),
        pair_cautions=_pair_cautions(tables, genes),
        masks=masks,
        pair_sources={pair: provenance_of(raw, " + ".join(pair)) for pair, raw in tables.pairs.items()},
        complexes={key: _complex(raw) for key, raw in tables.complexes.items()},
        merged=dict(tables.merged),
        conflicts=tuple(tables.conflicts),
    )


def provenance_of(raw: Raw, entry: str) -> Provenance:
    """Where an entry comes from; `Refusal` where it does not say so, or names a paper without calling it published."""
    if "provenance" not in raw and raw.get("own"):
        return Provenance(Grade.KEEPER)
    grade = _one_of(Grade, raw.get("provenance"), entry)
    citation = _text(raw, "citation", entry)
    if (grade is Grade.PUBLISHED) != bool(citation):
        raise Refusal(say("{entry}: 'published' goes with a citation, and only that.", entry=entry))
    return Provenance(grade, citation)


def gene_of(raw: Raw, base: Gene | None, complexes: Mapping[str, Raw] | None = None) -> Gene:
    """A gene from its table; `base` is the line it changes, where it is one."""
    key = str(raw["key"])
    name = _text(raw, "name", key) or (base.name if base else "")
    aliases = tuple(dict.fromkeys(alias.casefold() for alias in _texts(raw, "aliases", key)))
    if not name.strip() or any(not alias.strip() for alias in aliases):
        raise Refusal(say("{entry}: a name or a spelling is empty.", entry=key))
    description = _text(raw, "description", key)
    if base is not None:
        return replace(base, name=name, aliases=aliases, description=description)
    group = _text(raw, "complex", key)
    if group and group not in (complexes or {}):
        raise Refusal(say("{entry}: there is no complex '{complex}'.", entry=key, complex=group))
    _one_of(Inheritance, raw.get("inheritance"), key)
    return Gene(
        key=key,
        name=name,
        locus=group or key,
        provenance=provenance_of(raw, key),
        aliases=aliases,
        description=description,
        gene=_text(raw, "gene", key),
        complex_name=str((complexes or {})[group]["name"]) if group else "",
        unsure_complex=bool(raw.get("unsure_complex")),
        needs_line=bool(raw.get("needs_line")),
        hides=_texts(raw, "hides", key),
        hides_source=_hides_source(raw, key),
        cautions=tuple(_caution(caution, key) for caution in raw.get("caution", ())),
        own=bool(raw.get("own")),
    )


def _complex(raw: Raw) -> Complex:
    key = str(raw["key"])
    name = _text(raw, "name", key)
    if not name.strip():
        raise Refusal(say("{entry}: a name or a spelling is empty.", entry=key))
    return Complex(key, name, provenance_of(raw, key), _text(raw, "description", key), bool(raw.get("own")))


def _hides_source(raw: Raw, key: str) -> Provenance | None:
    if not raw.get("hides") and not raw.get("two_hides"):
        return None
    told = {"own": raw.get("own")} | ({"provenance": raw["hides_provenance"]} if "hides_provenance" in raw else {})
    return provenance_of(told, f"{key}, what it hides")


class _LocusMaker:
    """Fills the table of looks of one locus."""

    def __init__(self, key: str, genes: Sequence[Raw], tables: Tables) -> None:
        self._key = key
        self._genes = genes
        self._keys = [str(raw["key"]) for raw in genes]
        self._pairs = {pair: raw for pair, raw in tables.pairs.items() if set(pair) <= set(self._keys)}
        self._linkage = tables.complexes.get(key, {}).get("linkage") or (genes[0].get("linkage") if genes else None)
        self._looks: dict[str, Look] = {"": _WILD_LOOK}
        self.masks: _Masks = {}

    def locus(self) -> Locus:
        """The locus; `masks` is filled on the way."""
        size = len(self._genes) + 1
        if size > 8:
            raise Refusal(say("{entry}: a locus has at most 7 genes.", entry=self._key))
        table = [[0] * size for _ in range(size)]
        for i, first in enumerate(self._genes, 1):
            self._set(table, 0, i, self._single(first), () if self._is_recessive(first) else self._hides(first))
            look = self._double(first)
            self._set(table, i, i, look, (*self._hides(first), *_texts(first, "two_hides", self._key)))
            for j, second in enumerate(self._genes[: i - 1], 1):
                look, hides = self._together(second, first)
                self._set(table, i, j, look, hides)
        try:
            return Locus(
                self._key,
                (WILD, *self._keys),
                tuple(self._looks.values()),
                tuple(tuple(row) for row in table),
                _linkage(self._linkage, self._key),
            )
        except ValueError as error:
            raise Refusal(say("{entry} does not add up: {why}", entry=self._key, why=str(error))) from error

    def _set(self, table: list[list[int]], i: int, j: int, look: Look, hides: Sequence[str]) -> None:
        known = self._looks.setdefault(look.key, look)
        if known != look:
            raise Refusal(say("{entry}: the look '{look}' is told in two ways.", entry=self._key, look=look.key))
        table[i][j] = table[j][i] = list(self._looks).index(look.key)
        if hides and look.key:
            before = self.masks.get((self._key, look.key), frozenset())
            found = before | frozenset(hides)
            self.masks[self._key, look.key] = frozenset({EVERYTHING}) if EVERYTHING in found else found

    def _is_recessive(self, gene: Raw) -> bool:
        return bool(gene["inheritance"] == Inheritance.RECESSIVE)

    def _hides(self, gene: Raw) -> tuple[str, ...]:
        return _texts(gene, "hides", self._key)

    def _single(self, gene: Raw) -> Look:
        return _WILD_LOOK if self._is_recessive(gene) else Look(str(gene["key"]), str(gene["name"]))

    def _double(self, gene: Raw) -> Look:
        key, name = str(gene["key"]), str(gene["name"])
        lethal, unseen = bool(gene.get("two_lethal")), bool(gene.get("two_unseen"))
        if self._is_recessive(gene):
            return Look(key, str(gene.get("two") or name), lethal, unseen)
        if gene["inheritance"] == Inheritance.DOMINANT and not (lethal or unseen):
            return self._single(gene)
        look = str(gene.get("two_same_look") or f"super {key}")
        return Look(look, str(gene.get("two") or f"Super {name}"), lethal, unseen)

    def _together(self, first: Raw, second: Raw) -> tuple[Look, tuple[str, ...]]:
        names = sorted(str(gene["key"]) for gene in (first, second))
        pair = self._pairs.get((names[0], names[1]), {})
        hides = (*self._hides(first), *self._hides(second), *_texts(pair, "hides", " + ".join(names)))
        shown = [gene for gene in (first, second) if not self._is_recessive(gene)]
        if len(shown) == 1 and not pair:
            # one copy of the recessive allele does not show beside one that does
            return self._single(shown[0]), self._hides(shown[0])
        look = str(pair.get("same_look") or " + ".join(names))
        name = str(pair.get("name") or f"{first['name']} {second['name']}")
        return Look(look, name, bool(pair.get("lethal")), bool(pair.get("unseen"))), hides


def _linkage(raw: object, entry: str) -> Linkage | None:
    if not raw:
        return None
    if not isinstance(raw, dict) or not {"recombination", "provenance"} <= set(raw):
        raise Refusal(say("{entry}: linkage needs its recombination and where that comes from.", entry=entry))
    provenance_of(raw, entry)
    return Linkage(float(raw["recombination"]), bool(raw.get("hemizygous")))


def _combinations(tables: Tables, raw_genes: Mapping[str, Raw], genes: Mapping[str, Gene]) -> dict[str, Combination]:
    """The trade's names: those of the table, and those of two alleles together."""
    found: dict[str, Combination] = {}
    for key, raw in raw_genes.items():
        if raw.get("two") and not raw.get("two_same_look") and raw["inheritance"] != Inheritance.RECESSIVE:
            name = str(raw["two"])
            found[name.casefold()] = Combination(name.casefold(), name, ((key, 2),), genes[key].provenance)
    for (first, second), raw in tables.pairs.items():
        if not {first, second} <= set(genes) or genes[first].locus != genes[second].locus:
            raise Refusal(say("{first} and {second} share no locus.", first=first, second=second))
        if raw.get("name") and not raw.get("same_look"):
            parts = ((first, 1), (second, 1)) if first != second else ((first, 2),)
            one = _combination({**raw, "key": str(raw["name"]).casefold(), "parts": parts}, genes)
            found[one.key] = one
    for key, raw in tables.combinations.items():
        one = found[key] = _combination(raw, genes)
        same = found.get(one.name.casefold(), one)
        if same.key != key and sorted(same.parts) == sorted(one.parts):
            # a look that a keeper named otherwise is one combination, under the key it always had
            del found[same.key]
    return found


def _shared_names(tables: Tables, raw_genes: Mapping[str, Raw]) -> dict[str, tuple[tuple[str, str], ...]]:
    """Names of looks that several pairs of alleles share, by each way to write them."""
    pairs: dict[str, dict[tuple[str, str], None]] = {}
    words: dict[str, set[str]] = {}
    doubles = [((key, key), raw.get("two"), raw.get("two_same_look"), ()) for key, raw in raw_genes.items()]
    together = [
        (pair, raw.get("name"), raw.get("same_look"), raw.get("aliases", ())) for pair, raw in tables.pairs.items()
    ]
    for pair, name, shared, aliases in (*doubles, *together):
        if name and shared:
            pairs.setdefault(shared, {})[pair] = None
            words.setdefault(shared, set()).update(word.casefold() for word in (name, *aliases))
    return {word: tuple(pairs[shared]) for shared, found in words.items() for word in sorted(found)}


def _combination(raw: Raw, genes: Mapping[str, Gene]) -> Combination:
    key, name = str(raw["key"]), str(raw["name"])
    parts: list[tuple[str, int]] = []
    for part in raw["parts"]:
        if len(part) != 2 or part[0] not in genes or part[1] not in (1, 2):
            raise Refusal(say("{entry}: a part is a gene of the catalogue and its dose, 1 or 2.", entry=name))
        parts.append((str(part[0]), int(part[1])))
    if not parts or not name.strip():
        raise Refusal(say("{entry}: a combination has a name and parts.", entry=key))
    aliases = tuple(alias.casefold() for alias in _texts(raw, "aliases", key))
    return Combination(key, name, tuple(parts), provenance_of(raw, name), aliases, bool(raw.get("own")))


def _pair_cautions(tables: Tables, genes: Mapping[str, Gene]) -> dict[tuple[str, str], tuple[Caution, ...]]:
    found: dict[tuple[str, str], tuple[Caution, ...]] = {}
    for raw in tables.cautions:
        first, second = raw["genes"]
        if not {first, second} <= set(genes):
            raise Refusal(say("A caution names {first} and {second}; one is unknown.", first=first, second=second))
        caution = _caution(raw, f"{first} + {second}")
        if caution not in found.get((first, second), ()):
            found[first, second] = (*found.get((first, second), ()), caution)
    return found


def _caution(raw: Raw, entry: str) -> Caution:
    text = _text(raw, "text", entry)
    if not text:
        raise Refusal(say("{entry}: a caution says something.", entry=entry))
    return Caution(text, _one_of(Evidence, raw.get("evidence"), entry), provenance_of(raw, entry))


def _one_of(kind: Any, value: object, entry: str) -> Any:
    try:
        return kind(value)
    except ValueError:
        allowed = ", ".join(member.value for member in kind)
        text = "" if value is None else str(value)
        raise Refusal(
            say("{entry}: '{value}' is none of: {allowed}.", entry=entry, value=text, allowed=allowed)
        ) from None


def _text(raw: Raw, name: str, entry: str) -> str:
    value = raw.get(name, "")
    if not isinstance(value, str):
        raise Refusal(say("{entry}: '{field}' is a text.", entry=entry, field=name))
    return value


def _texts(raw: Raw, name: str, entry: str) -> tuple[str, ...]:
    value = raw.get(name, ())
    if not isinstance(value, list | tuple) or not all(isinstance(each, str) for each in value):
        raise Refusal(say("{entry}: '{field}' is a list of texts.", entry=entry, field=name))
    return tuple(value)
