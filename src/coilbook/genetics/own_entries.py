"""The keeper's own entries: how each is written as text, and whether it fits the catalogue.

Entries are made here, kept as text by whoever stores them, and laid over the shipped catalogue by `catalogue_text`.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Container, Iterable, Mapping, Sequence

from coilbook.genetics.catalogue import Catalogue, Caution, Combination, Gene, LineWord
from coilbook.genetics.catalogue_text import OwnEntry, as_one_caution, read_catalogue, read_strictly
from coilbook.genetics.gene_names import words_of
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_words import BEFORE_GENE, KEYWORDS, NEVER_FIRST
from coilbook.records.message import Refusal, say

#: what a keeper may say otherwise of a gene of the catalogue
CORRECTABLE = (
    "name", "inheritance", "complex", "unsure_complex", "gene", "aliases", "description", "hides",
    "hides_provenance", "two", "two_unseen",
    "two_lethal", "two_hides", "needs_line", "provenance", "citation", "linkage", "caution",
)  # fmt: skip
#: and of a complex
CORRECTABLE_COMPLEX = ("name", "description", "provenance", "citation", "linkage")


def own_gene(name: str, inheritance: Inheritance, /, **more: object) -> OwnEntry:
    """A gene the catalogue lacks; `more` are the other fields of a `[[gene]]` table."""
    key = _key(name)
    return OwnEntry(
        f"gene {key}", table_text("gene", {"key": key, "name": name, "inheritance": inheritance.value} | more)
    )


def own_correction(shipped: str, key: str, earlier: OwnEntry | None = None, /, **changes: object) -> OwnEntry:
    """Other words or facts for a gene, its name included; what the shipped text says today is kept beside.

    So an update that still says the same is no conflict, and one that says something new is shown. `earlier` is the
    keeper's entry of that gene, of which everything else stays. Raises `Refusal` for a field that cannot be changed.
    """
    if unknown := sorted(set(changes) - set(CORRECTABLE)):
        raise Refusal(say("'{field}' of a gene cannot be changed.", field=unknown[0]))
    return _said_over("gene", shipped, key, earlier, changes)


def own_complex(shipped: str, key: str, earlier: OwnEntry | None = None, /, **changes: object) -> OwnEntry:
    """A locus of several genes, or other words and facts for one; the rest as `own_correction` of a gene."""
    if unknown := sorted(set(changes) - set(CORRECTABLE_COMPLEX)):
        raise Refusal(say("'{field}' of a complex cannot be changed.", field=unknown[0]))
    return _said_over("complex", shipped, key, earlier, changes)


def _said_over(table: str, shipped: str, key: str, earlier: OwnEntry | None, changes: Mapping[str, object]) -> OwnEntry:
    kept: dict[str, object] = tomllib.loads(earlier.text)[table][0] if earlier is not None else {}
    tables = tomllib.loads(shipped).get(table, [])
    before: Mapping[str, object] = next((raw for raw in tables if raw["key"] == key), {})
    seen = kept.pop("was", {})
    was = {**(seen if isinstance(seen, dict) else {}), **{name: before[name] for name in changes if name in before}}
    fields = {**kept, "key": key, **changes}
    emptied = frozenset(name for name in fields if name in before)
    return OwnEntry(f"{table} {key}", table_text(table, fields | ({"was": was} if was else {}), emptied))


def own_line(line: LineWord) -> OwnEntry:
    """A keeper's word for a line of a gene, verbatim."""
    return OwnEntry(f"line {line.key}", table_text("line", {"of": line.of, "words": line.words}))


def own_combination(
    name: str, parts: Sequence[tuple[str, int]], aliases: Sequence[str] = (), *, key: str = "", shipped: str = ""
) -> OwnEntry:
    """A name for several genes together, new or in the place of a shipped one; `parts` are (gene key, dose).

    `key` is that of a combination named otherwise from now on. What `shipped` says of it today is kept beside, so that
    it is no conflict.
    """
    stands = _key(key or name)
    fields: dict[str, object] = {
        "name": name,
        "parts": [[gene, doses] for gene, doses in parts],
        "aliases": list(aliases),
    }
    if key and stands != _key(name):
        fields["key"] = stands
    tables = tomllib.loads(shipped).get("combination", []) if shipped else []
    before = next((raw for raw in tables if _key(raw.get("key") or raw["name"]) == stands), None)
    if before is not None:
        fields["was"] = {"parts": before["parts"], "name": before["name"]}
    return OwnEntry(f"combination {stands}", table_text("combination", fields))


def own_merge(gene: str, into: str) -> OwnEntry:
    """Two names of the catalogue are one gene: `gene` becomes another spelling of `into`."""
    return OwnEntry(f"merge {gene}", table_text("merge", {"gene": gene, "into": into}))


def own_pair(first: str, second: str, name: str, shipped: str = "", /, **more: object) -> OwnEntry:
    """What two alleles of a complex look like together; what `shipped` says of it today is kept beside."""
    genes = sorted((first, second))
    tables = tomllib.loads(shipped).get("pair", []) if shipped else []
    before: Mapping[str, object] = next((raw for raw in tables if sorted(raw["genes"]) == genes), {})
    said = {"name": name, **more}
    was = {field: before[field] for field in said if field in before}
    fields = {"genes": genes, **said} | ({"was": was} if was else {})
    emptied = frozenset(more) & frozenset(before)
    return OwnEntry(f"pair {' + '.join(genes)}", table_text("pair", fields, emptied))


def own_caution(pair: Sequence[str], cautions: Sequence[Caution], shipped: str = "") -> OwnEntry:
    """What is to be minded of two genes together (twice the same: two doses), in the place of what `shipped` says."""
    genes = sorted(pair)
    tables = tomllib.loads(shipped).get("caution", []) if shipped else []
    before = [raw for raw in tables if sorted(raw["genes"]) == genes]
    seen: dict[str, object] = {"was": as_one_caution(before)} if before else {}
    texts = [table_text("caution", {"genes": genes, **caution_fields(one), **seen}) for one in cautions]
    return OwnEntry(f"caution {' + '.join(genes)}", "".join(texts))


def caution_fields(caution: Caution) -> dict[str, object]:
    """A caution as the fields of its table."""
    source = caution.provenance
    fields = {"text": caution.text, "evidence": caution.evidence.value, "provenance": source.grade.value}
    return {**fields, "citation": source.citation} if source.citation else dict(fields)


def _key(name: str) -> str:
    return " ".join(name.casefold().split())


def check_own(entry: OwnEntry, shipped: str, own: Iterable[OwnEntry] = ()) -> Catalogue:
    """The catalogue with `entry` added, or in the place of one with its key. Raises `Refusal` when it does not fit.

    An entry fits when it adds up, takes no word that means another gene, and its names can be read in a text.
    """
    others = tuple(own)
    before = read_catalogue(shipped, [other for other in others if other.key != entry.key])
    left_out = {conflict.key for conflict in before.conflicts if conflict.what == "left out"}
    after = read_strictly(shipped, with_entry([other for other in others if other.key not in left_out], entry))
    _refuse_taken_words(before, after)
    _refuse_unreadable(before, after)
    return after


def with_entry(own: Iterable[OwnEntry], entry: OwnEntry) -> tuple[OwnEntry, ...]:
    """The keeper's entries with one more, or with it in the place of the one of its key."""
    others = tuple(own)
    if all(other.key != entry.key for other in others):
        return (*others, entry)
    return tuple(entry if other.key == entry.key else other for other in others)


def _refuse_taken_words(before: Catalogue, after: Catalogue) -> None:
    """A word that means one thing today may not come to mean another by the way."""
    owners: dict[str, Gene | Combination] = {}
    for one in _named(before):
        owners |= dict.fromkeys((one.name.casefold(), *one.aliases), one)
    named: list[Gene | Combination] = [*after.genes.values()]
    named += [combination for combination in after.combinations.values() if combination.own]
    for one in named:
        for word in (one.name.casefold(), *one.aliases):
            owner = owners.get(word, one)
            stays = owner.key in (after.combinations if isinstance(owner, Combination) else after.genes)
            key = after.current(owner.key) if isinstance(owner, Gene) else owner.key
            if stays and (type(owner), key) != (type(one), one.key):
                text = "'{word}' already means {name}. Merge the two, or choose another word."
                raise Refusal(say(text, word=word, name=owner.name))


def _refuse_unreadable(before: Catalogue, after: Catalogue) -> None:
    """Every new word is one that the notation can carry."""
    earlier = {word for one in _named(before) for word in (one.name, *one.aliases)}
    for one in _named(after):
        for word in (one.name, *one.aliases):
            if word not in earlier and not _is_readable(word):
                raise Refusal(say("'{name}' cannot be told from the notation's own words in a text.", name=word))


def _named(catalogue: Catalogue) -> list[Gene | Combination]:
    return [*catalogue.combinations.values(), *catalogue.genes.values()]


def _is_readable(word: str) -> bool:
    words = words_of(word)
    if not any(each.isalpha() for each in words) or words[0] in NEVER_FIRST:
        return False
    return len(words) > 1 or words[0] not in (*KEYWORDS, *BEFORE_GENE)


def table_text(table: str, fields: Mapping[str, object], emptied: Container[str] = ()) -> str:
    """One TOML table of an array, as text (TOML 1.0); fields of no value are left out but for those `emptied`.

    >>> print(table_text("line", {"of": "axanthic", "words": 'the "blue" one'}), end="")
    [[line]]
    of = "axanthic"
    words = "the \\"blue\\" one"
    """
    said = {name: value for name, value in fields.items() if name in emptied or value not in (None, "", (), [])}
    return f"[[{table}]]\n" + "".join(f"{name} = {_value(value)}\n" for name, value in said.items())


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # a JSON string is a TOML string but for one sign
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{name} = {_value(each)}" for name, each in value.items()) + "}"
    if isinstance(value, Sequence):
        return "[" + ", ".join(map(_value, value)) + "]"
    raise TypeError(f"a catalogue holds no {type(value).__name__}")
