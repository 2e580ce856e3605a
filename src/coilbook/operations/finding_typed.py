"""What a keeper types to add a finding, read: a look, what is not there, a test, a proof, a claim, a chance.

    clown                 seen (one dose, of a gene whose doses can be told apart)
    enchi yes             seen, one dose or two
    pastel 60%            seen, and how sure
    not clown             not seen
    not super pastel      not seen in two doses
    test clown 1          a test counted one copy; "test clown none 2%": none, wrong in 2 of 100
    proven clown          young that are not on record have shown it
    assume 10% clown      the chance taken for a founder
    card 25% clown        her card says at most that
    66% het clown         a claim, kept word for word; "; who" says whose

Several, with commas between, are one act.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from coilbook.derived.genetics_book import Genetics, book_of
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.masking import looks_showing
from coilbook.genetics.paper import rounded_down
from coilbook.genetics.statement import Reading, Says, Statement
from coilbook.operations.animals import add_claim
from coilbook.operations.findings import TEST_ERROR_PPM, FindingDetails, add_finding, add_findings
from coilbook.records.changes import Outcome
from coilbook.records.finding_words import SURE
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection

Read = Callable[[str], Reading]

_PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d{1,4})?)\s*%")
_COPIES = re.compile(r"\b(0|1|2|no|none|neg|negative|one|het|two|positive|pos)\b(?:\s+cop(?:y|ies))?", re.IGNORECASE)
_COUNTED = {"0": 0, "no": 0, "none": 0, "neg": 0, "negative": 0, "1": 1, "one": 1, "het": 1, "pos": 1, "positive": 1,
            "2": 2, "two": 2}  # fmt: skip
_HEAD = re.compile(r"^(not|no|test|tested|proven|assume|assumed|card)\b[:\s]*", re.IGNORECASE)
_SURELY = re.compile(r"\b(yes|sure|maybe|perhaps|seen)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """Findings, or a claim in somebody's words."""

    findings: tuple[FindingDetails, ...] = ()
    claim: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class _Gene:
    locus: str
    key: str


def enter_typed(collection: Collection, *, animal: AnimalId, text: str) -> Outcome[Any]:
    """Keep what a keeper typed of an animal's genes: findings in one act, or a claim."""
    book = book_of(collection)
    catalogue = book.catalogue_of(animal)
    if catalogue is None:
        raise Refusal(say("There is no catalogue of genes for this species."))
    found = typed_finding(text, catalogue, lambda words: book.reading_of(words, catalogue))
    details = tuple(replace(one, source=found.source) for one in found.findings)
    for one in details:
        if one.kind is FindingKind.CARD:
            _refuse_raised(book.current(), animal, one)
    outcome: Outcome[Any]
    if found.claim:
        outcome = add_claim(collection, animal=animal, text=found.claim, source=found.source)
    elif len(details) == 1:
        outcome = add_finding(collection, animal=animal, details=details[0])
    else:
        outcome = add_findings(collection, animal=animal, details=details)
    book.follow()
    return outcome


def _refuse_raised(genetics: Genetics, animal: AnimalId, details: FindingDetails) -> None:
    """A card can be lowered and never raised over what follows from the parents."""
    paper = genetics.paper(animal, details.gene)
    chance = paper.carrier if paper is not None else Fraction(0)
    if Fraction(details.ppm, SURE) > chance and int(100 * chance) < details.ppm * 100 // SURE:
        raise Refusal(say("On paper it is {paper}: a card can be lowered, never raised.", paper=rounded_down(chance)))


def typed_finding(text: str, catalogue: Catalogue, read: Read) -> Typed:
    """What was typed; refused with the reason where a word of it is not understood."""
    words, _, source = text.partition(";")
    plain = " ".join(words.split())
    if not plain:
        raise Refusal(say('Type a look, a claim, a test or "proven".'))
    if _is_claim(plain, read):
        return Typed(claim=plain, source=source.strip())
    # a line the catalogue has not met yet is a gene like any other
    catalogue = catalogue.with_lines(read(plain).lines)
    parts = [part.strip() for part in re.split(r",|\band\b", plain) if part.strip()]
    return Typed(tuple(_one(part, catalogue, read) for part in parts), source=source.strip())


def _is_claim(text: str, read: Read) -> bool:
    if _HEAD.match(text):
        return False
    statements = read(text).statements
    return bool(statements) and all(s.says in (Says.HET, Says.POSSIBLE_HET) for s in statements)


def _one(part: str, catalogue: Catalogue, read: Read) -> FindingDetails:
    head = _HEAD.match(part)
    kind = head[1].lower() if head is not None else ""
    rest = part[head.end() :] if head is not None else part
    percent = _percent(rest)
    rest = _PERCENT.sub(" ", rest)
    match kind:
        case "test" | "tested":
            counted = _COPIES.search(rest)
            if counted is None:
                raise Refusal(say("A test says how many copies she has: test clown 1, test clown none."))
            gene = _gene(_COPIES.sub(" ", rest, count=1), catalogue, read)
            error = TEST_ERROR_PPM if percent is None else percent
            copies = _COUNTED[counted[1].lower()]
            return FindingDetails(kind=FindingKind.TEST, locus=gene.locus, gene=gene.key, copies=copies, ppm=error)
        case "proven":
            gene = _gene(rest, catalogue, read)
            return FindingDetails(kind=FindingKind.PROVEN, locus=gene.locus, gene=gene.key)
        case "assume" | "assumed" | "card":
            if percent is None:
                raise Refusal(say("Say how likely: assume 10% clown, card 25% clown."))
            found = FindingKind.CARD if kind == "card" else FindingKind.ASSUMED
            gene = _gene(rest, catalogue, read)
            return FindingDetails(kind=found, locus=gene.locus, gene=gene.key, ppm=percent)
        case "not" | "no":
            if re.match(r"\s*het\b", rest, re.IGNORECASE):
                raise Refusal(say("What she carries is not seen. Say how likely it is: assume 0% clown."))
            gene = _gene(rest, catalogue, read)
            looks = _showing(gene, catalogue)
            if _statements(rest.strip(" ?:"), read)[0].says is Says.TWO:
                looks = (catalogue.look_of(gene.key, gene.key).key,)
            return FindingDetails(kind=FindingKind.NOT_SEEN, locus=gene.locus, looks=looks)
        case _:
            return _seen(rest, percent, catalogue, read)


def _seen(text: str, percent: int | None, catalogue: Catalogue, read: Read) -> FindingDetails:
    surely = [word.lower() for word in _SURELY.findall(text)]
    statements = _statements(_SURELY.sub(" ", text).rstrip("? "), read)
    loci = {catalogue.genes[s.gene].locus for s in statements}
    if len(loci) != 1:
        raise Refusal(say("One gene at a time, or commas between: clown, enchi yes, pastel 60%."))
    locus = catalogue.loci[loci.pop()]
    if len(statements) == 2:
        looks = {catalogue.look_of(statements[0].gene, statements[1].gene).key}
    else:
        looks = _looks(statements[0], catalogue, wide=percent is not None or "yes" in surely)
    sure = SURE if percent is None else percent
    if percent is None and (text.rstrip().endswith("?") or {"maybe", "perhaps"} & set(surely)):
        raise Refusal(say("Say how sure: pastel 60%. Without a number nothing can be counted."))
    return FindingDetails(kind=FindingKind.SEEN, locus=locus.key, looks=tuple(sorted(looks)), ppm=sure)


def _looks(statement: Statement, catalogue: Catalogue, *, wide: bool) -> set[str]:
    gene = _Gene(catalogue.genes[statement.gene].locus, statement.gene)
    if statement.says is Says.TWO:
        return {catalogue.look_of(statement.gene, statement.gene).key}
    if wide or statement.says is Says.ONE_OR_TWO:
        return set(_showing(gene, catalogue))
    locus, allele = catalogue.locus_of(statement.gene), catalogue.allele_of(statement.gene)
    other = allele if catalogue.is_recessive(statement.gene) else 0
    return {locus.look(other, allele).key}


def _showing(gene: _Gene, catalogue: Catalogue) -> tuple[str, ...]:
    locus = catalogue.loci[gene.locus]
    found = looks_showing(locus, locus.allele_index(gene.key))
    return tuple(sorted(locus.looks[index].key for index in found))


def _gene(text: str, catalogue: Catalogue, read: Read) -> _Gene:
    words = re.sub(r"^\s*(?:het|for|not)\s+", "", text.strip(" ?:"), flags=re.IGNORECASE)
    statements = _statements(words, read)
    if len(statements) != 1:
        raise Refusal(say("'{text}' is not one gene.", text=words))
    key = catalogue.current(statements[0].gene)
    return _Gene(catalogue.genes[key].locus, key)


def _statements(text: str, read: Read) -> tuple[Statement, ...]:
    reading = read(text)
    if not reading.statements or reading.rest or reading.refused is not None:
        unread = reading.rest or text
        raise Refusal(say("'{text}' is no gene of the catalogue. Add it there, or check the spelling.", text=unread))
    if reading.questions:
        raise Refusal(reading.questions[0].message)
    return reading.statements


def _percent(text: str) -> int | None:
    found = _PERCENT.search(text)
    if found is None:
        return None
    ppm = round(float(found[1].replace(",", ".")) * 10_000)
    if ppm > SURE:
        raise Refusal(say("A chance lies between 0 and 100 percent."))
    return ppm
