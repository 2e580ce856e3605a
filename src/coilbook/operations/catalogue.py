"""What a keeper does to the catalogue: add, correct, rename and merge genes, name lines, pairs and combinations.

Each is one act that writes entries of the keeper's own catalogue (`operations.own_genes`); the shipped one is never
written. Genes are named by their keys. All raise `Refusal` where the catalogue would no longer add up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from coilbook.derived.genetics_book import book_of
from coilbook.derived.genetics_catalogues import genetics_answers, own_entries
from coilbook.genetics.catalogue import Catalogue, Caution, Combination, Gene, LineWord
from coilbook.genetics.catalogue_text import OwnEntry, read_catalogue
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_reader import read
from coilbook.genetics.own_differences import settled, without
from coilbook.genetics.own_entries import (
    caution_fields,
    own_caution,
    own_combination,
    own_complex,
    own_correction,
    own_gene,
    own_line,
    own_merge,
    own_pair,
)
from coilbook.genetics.statement import Says
from coilbook.operations.own_genes import SPECIES, keep_entries, kind_and_key, remove_own_gene
from coilbook.records.changes import Outcome
from coilbook.records.message import Message, Refusal, say
from coilbook.records.vocabulary import OwnKind
from coilbook.storage.collection import Collection
from coilbook.storage.species import shipped_text

#: of a line of a gene only these can be said otherwise: how it is inherited is its gene's
OF_LINES = ("name", "aliases", "description")
_DOSES = {Says.ONE: 1, Says.TWO: 2, Says.VISUAL: 2}


def add_gene(
    collection: Collection,
    *,
    name: str,
    inheritance: Inheritance,
    more: Mapping[str, object] | None = None,
    allele_of: str = "",
    species: str = SPECIES,
) -> Outcome[int]:
    """Add a gene the catalogue lacks; `more` are other fields of `genetics.own_entries.CORRECTABLE`.

    `allele_of` is a gene whose locus it shares, "" where it has one of its own.
    """
    plain = " ".join(name.split())
    if not plain:
        raise Refusal(say("A gene needs a name."))
    desk = _Desk(collection, species)
    taken = desk.catalogue.genes.get(desk.catalogue.current(plain.casefold()))
    if taken is not None:
        raise Refusal(say("'{word}' already means {name}. Correct that one instead.", word=plain, name=taken.name))
    fields: dict[str, object] = dict(more or {})
    around = desk.locus(fields, allele_of, plain.casefold()) if allele_of else []
    entry = own_gene(plain, inheritance, **fields)
    return desk.keep([*around, entry], say("{gene} added to your catalogue", gene=plain))


def correct_gene(
    collection: Collection,
    *,
    gene: str,
    changes: Mapping[str, object],
    allele_of: str | None = None,
    species: str = SPECIES,
) -> Outcome[int]:
    """Say otherwise what `changes` names (`genetics.own_entries.CORRECTABLE`); what it does not name stays.

    `allele_of` is a gene whose locus it shares, "" to give it one of its own, None where that stays.
    """
    desk = _Desk(collection, species)
    found = desk.gene(gene)
    fields: dict[str, object] = dict(changes)
    if not changes and allele_of is None:
        raise Refusal(say("Nothing was changed."))
    if found.line_of and (set(changes) - set(OF_LINES) or allele_of is not None):
        text = "{line} is a line: how it is inherited is said of {gene}. Correct that one."
        raise Refusal(say(text, line=found.name, gene=desk.gene(found.line_of).name))
    around = desk.line_of(found) or desk.locus(fields, allele_of, found.key)
    corrected = [desk.correction(found.key, fields)] if fields else []
    return desk.keep([*around, *corrected], say("{gene} corrected", gene=found.name))


def correct_complex(
    collection: Collection, *, complex_key: str, changes: Mapping[str, object], species: str = SPECIES
) -> Outcome[int]:
    """Say otherwise what `changes` names of a locus that genes share (`own_entries.CORRECTABLE_COMPLEX`).

    Which genes share it is said of each gene (`correct_gene`); what is said of its place in a meiosis holds for all.
    """
    desk = _Desk(collection, species)
    found = desk.catalogue.complexes.get(complex_key)
    if found is None:
        raise Refusal(say("'{gene}' is not in the catalogue; it may have been undone.", gene=complex_key))
    fields: dict[str, Any] = dict(changes)
    if not fields:
        raise Refusal(say("Nothing was changed."))
    if "name" in fields:
        plain = fields["name"] = " ".join(str(fields["name"]).split())
        if not plain:
            raise Refusal(say("A complex needs a name."))
        others = (one for one in desk.catalogue.complexes.values() if one.key != complex_key)
        if any(one.name.casefold() == plain.casefold() for one in others):
            raise Refusal(say("{name} is a complex already.", name=plain))
    return desk.keep([desk.complex(complex_key, **fields)], say("{gene} corrected", gene=found.name))


def rename_gene(collection: Collection, *, gene: str, name: str, species: str = SPECIES) -> Outcome[int]:
    """Another name for a gene or a line. The name it had stays readable, and everything said under it."""
    desk = _Desk(collection, species)
    found, plain = desk.gene(gene), " ".join(name.split())
    if not plain or plain == found.name:
        raise Refusal(say("Type another name."))
    old = found.name.casefold()
    changes: dict[str, object] = {"name": plain}
    if old not in (gene, *found.aliases) and old != plain.casefold():
        changes["aliases"] = [*found.aliases, old]
    told = say("{gene} is called {name} from now on", gene=found.name, name=plain)
    return desk.keep([*desk.line_of(found), desk.correction(gene, changes)], told)


def merge_genes(collection: Collection, *, gene: str, into: str, species: str = SPECIES) -> Outcome[int]:
    """Two genes, or two lines, are one: `gene` becomes another spelling of `into`, with all that was said of it."""
    desk = _Desk(collection, species)
    one, other = desk.gene(gene), desk.gene(into)
    if one.key == other.key:
        raise Refusal(say("Choose another gene than {gene} itself.", gene=one.name))
    told = say("{gene} and {other} are one: {other}", gene=one.name, other=other.name)
    return desk.keep([*desk.line_of(one), *desk.line_of(other), own_merge(one.key, other.key)], told)


def add_line(collection: Collection, *, gene: str, words: str, species: str = SPECIES) -> Outcome[int]:
    """Keep a keeper's word for a line of a gene, verbatim."""
    desk = _Desk(collection, species)
    found, plain = desk.gene(gene), " ".join(words.split())
    if not plain:
        raise Refusal(say("Type your word for the line."))
    if found.line_of:
        raise Refusal(say("{gene} is a line itself; choose the gene it is a line of.", gene=found.name))
    line = LineWord(found.key, plain)
    if line.key in {other.key for other in desk.kept.lines_of(found.key)}:
        raise Refusal(say("'{words}' is a line of {gene} already.", words=plain, gene=found.name))
    return desk.keep([own_line(line)], say("{words} kept as a line of {gene}", words=plain, gene=found.name))


def name_combination(
    collection: Collection,
    *,
    name: str,
    parts: str,
    aliases: Sequence[str] | None = None,
    combination: str = "",
    species: str = SPECIES,
) -> Outcome[int]:
    """A name for several genes together; `parts` as on a card ("Pastel Clown", "super Pastel Enchi").

    `combination` is the key of one that is said otherwise from now on; the name it had stays readable, and without
    `aliases` its other spellings do.
    """
    desk = _Desk(collection, species)
    plain = " ".join(name.split())
    if not plain:
        raise Refusal(say("A combination needs a name."))
    before = desk.catalogue.combinations.get(combination)
    if before is None and plain.casefold() in desk.catalogue.combinations:
        raise Refusal(say("{name} is a combination already. Correct that one instead.", name=plain))
    doses = parts_typed(parts, desk.catalogue, genetics_answers(collection))
    spellings = list(aliases if aliases is not None else before.aliases if before is not None else ())
    if before is not None and before.name.casefold() not in (plain.casefold(), *spellings):
        spellings.append(before.name.casefold())
    key = before.key if before is not None else ""
    entries = desk.look_named(before, plain) if before is not None and doses == before.parts else []
    entries.append(own_combination(plain, doses, spellings, key=key, shipped=desk.shipped))
    told = say("{name} corrected", name=plain) if before is not None else say("{name} named", name=plain)
    return desk.keep(entries, told)


def parts_typed(text: str, catalogue: Catalogue, answers: Mapping[str, str]) -> tuple[tuple[str, int], ...]:
    """The genes of a combination and their doses, read from how it is written on a card."""
    reading = read(text, catalogue, answers=answers)
    rest = reading.rest.strip()
    if reading.refused is not None:
        raise Refusal(reading.refused)
    if rest or not reading.statements:
        raise Refusal(say("'{rest}' is no gene here. Write it as on a card, like Pastel Clown.", rest=rest or text))
    if unsure := [s for s in reading.statements if s.says not in _DOSES or s.doubtful]:
        name = catalogue.genes[unsure[0].gene].name if unsure[0].gene in catalogue.genes else unsure[0].gene
        raise Refusal(say("A combination is of genes that show; {gene} is in doubt or only carried.", gene=name))
    if reading.questions:
        raise Refusal(reading.questions[0].message)
    return tuple((s.gene, _DOSES[s.says]) for s in reading.statements)


def name_pair(
    collection: Collection,
    *,
    first: str,
    second: str,
    name: str,
    more: Mapping[str, object] | None = None,
    species: str = SPECIES,
) -> Outcome[int]:
    """What two alleles of one complex look like together; `more`: `unseen`, `lethal`, `hides` and `aliases`."""
    desk = _Desk(collection, species)
    one, other, plain = desk.gene(first), desk.gene(second), " ".join(name.split())
    if not plain:
        raise Refusal(say("Type the name of the look."))
    fields: dict[str, Any] = dict(more or {})
    entry = own_pair(one.key, other.key, plain, desk.shipped, **fields)
    told = say("{gene} with {other}: {name}", gene=one.name, other=other.name, name=plain)
    return desk.keep([entry], told)


def keep_caution(
    collection: Collection,
    *,
    gene: str,
    caution: Caution,
    other: str | None = None,
    before: str = "",
    species: str = SPECIES,
) -> Outcome[int]:
    """What is to be minded of a gene; with `other`, of the two together, or of two doses where it is the gene itself.

    `before` is the text of the caution that is said otherwise; a caution without a text takes it away.
    """
    desk = _Desk(collection, species)
    one = desk.gene(gene)
    if one.line_of:
        raise Refusal(say("{line} is a line: say it of {gene}.", line=one.name, gene=desk.gene(one.line_of).name))
    pair = tuple(sorted((one.key, desk.gene(other).key))) if other is not None else ()
    standing = desk.catalogue.pair_cautions.get((pair[0], pair[1]), ()) if pair else one.cautions
    fresh = [caution] if caution.text else []
    place = next((n for n, each in enumerate(standing) if each.text == before), len(standing))
    after = [*standing[:place], *fresh, *standing[place + 1 :]]
    if after == list(standing):
        raise Refusal(say("Nothing was changed.") if caution.text else say("A caution says something."))
    names = " + ".join(desk.gene(key).name for key in dict.fromkeys(pair)) or one.name
    told = say("caution on {genes} kept", genes=names) if fresh else say("caution on {genes} taken out", genes=names)
    if not pair:
        return desk.keep([desk.correction(one.key, {"caution": [caution_fields(each) for each in after]})], told)
    if after:
        return desk.keep([own_caution(pair, after, desk.shipped)], told)
    if desk.entry_or_none(f"{OwnKind.CAUTION.value} {' + '.join(pair)}") is None:
        raise Refusal(say("The shipped caution can be said otherwise, not taken out."))
    return remove_own_gene(collection, kind=OwnKind.CAUTION, key=" + ".join(pair), species=species)


def keep_yours(collection: Collection, *, entry: str, what: str, species: str = SPECIES) -> Outcome[int]:
    """Settle a conflict for the keeper: what the shipped catalogue says of `what` today is seen, and not taken."""
    desk = _Desk(collection, species)
    told = say("{entry}: yours stands", entry=_name_of(entry))
    return desk.keep([settled(desk.shipped, desk.entry(entry), what)], told)


def take_shipped(collection: Collection, *, entry: str, what: str, species: str = SPECIES) -> Outcome[int]:
    """Settle a conflict for the shipped catalogue: the keeper's entry says nothing of `what` any more."""
    desk = _Desk(collection, species)
    mine = desk.entry(entry)
    rest = without(mine, what)
    if rest is None:
        kind, key = kind_and_key(mine)
        return remove_own_gene(collection, kind=kind, key=key, species=species)
    return desk.keep([rest], say("{entry}: as in the shipped catalogue", entry=_name_of(entry)))


def _name_of(entry: str) -> str:
    return entry.partition(" ")[2]


class _Desk:
    """The catalogues of one species, and what is kept of the keeper's own."""

    def __init__(self, collection: Collection, species: str) -> None:
        shipped = shipped_text(species)
        self._collection, self._species, self.shipped = collection, species, shipped
        self.own = own_entries(collection, species)
        #: without the lines that only texts of animals name
        self.kept = read_catalogue(shipped, self.own)
        herd = book_of(collection).current().herds.get(species)
        self.catalogue = herd.inputs.catalogue if herd is not None else self.kept

    def gene(self, key: str) -> Gene:
        found = self.catalogue.genes.get(self.catalogue.current(key))
        if found is None:
            raise Refusal(say("'{gene}' is not in the catalogue; it may have been undone.", gene=key))
        return found

    def line_of(self, gene: Gene) -> list[OwnEntry]:
        """The entry of a line that only the text of an animal names, so that more can be said of it."""
        return [own_line(LineWord(gene.line_of, gene.line))] if gene.line_of and gene.key not in self.kept.genes else []

    def locus(self, fields: dict[str, object], allele_of: str | None, gene: str) -> list[OwnEntry]:
        """The entries of the locus a gene is put into; what is said of the whole locus is taken out of `fields`."""
        made: list[OwnEntry] = []
        known = self.catalogue.genes.get(gene)
        key = known.locus if known is not None and known.complex_name else ""
        if allele_of is not None:
            key = ""
            if allele_of:
                other = self.gene(allele_of)
                if other.key == gene or other.line_of:
                    raise Refusal(say("{gene} cannot share a locus with it; choose another gene.", gene=other.name))
                key = other.locus if other.complex_name else f"{other.key} complex"
                if not other.complex_name:
                    made += [self.complex(key, name=f"{other.name} complex")]
                    made += [self.correction(other.key, {"complex": key})]
            fields["complex"] = key
        if key and "linkage" in fields:
            entry = self.complex(key, made, linkage=fields.pop("linkage"))
            made = [entry, *(each for each in made if each.key != entry.key)]
        return made

    def complex(self, key: str, made: Sequence[OwnEntry] = (), **fields: object) -> OwnEntry:
        """The keeper's entry of a complex with `fields` said otherwise; over the one among `made`, where it is."""
        earlier = next((entry for entry in made if entry.key == f"complex {key}"), None)
        return own_complex(self.shipped, key, earlier or self.entry_or_none(f"complex {key}"), **fields)

    def look_named(self, combination: Combination, name: str) -> list[OwnEntry]:
        """The entry by which a combination that is the look of one locus is called `name` wherever it is shown."""
        genes = [gene for gene, doses in combination.parts for _ in range(doses)]
        catalogue = self.catalogue
        if len(genes) != 2 or len({catalogue.genes[gene].locus for gene in genes}) != 1:
            return []
        first, second = genes
        if catalogue.look_of(first, second).name != combination.name or name == combination.name:
            return []
        if first == second:
            return [self.correction(first, {"two": name})]
        return [own_pair(first, second, name, self.shipped)]

    def entry_or_none(self, key: str) -> OwnEntry | None:
        return next((entry for entry in self.own if entry.key == key), None)

    def entry(self, key: str) -> OwnEntry:
        found = self.entry_or_none(key)
        if found is None:
            raise Refusal(say("{key} is not in your catalogue; it may have been undone.", key=_name_of(key)))
        return found

    def correction(self, gene: str, changes: Mapping[str, object]) -> OwnEntry:
        fields: dict[str, Any] = dict(changes)
        return own_correction(self.shipped, gene, self.entry_or_none(f"{OwnKind.GENE.value} {gene}"), **fields)

    def keep(self, entries: Sequence[OwnEntry], told: Message) -> Outcome[int]:
        return keep_entries(self._collection, entries=entries, told=told, species=self._species)
