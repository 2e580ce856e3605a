"""The words of the genes screen for what the catalogue keeps by stable codes."""

from __future__ import annotations

from coilbook.genetics.catalogue import Evidence, Grade, Provenance
from coilbook.genetics.locus import Inheritance
from coilbook.reads.genes import LEFT_OUT, CatalogueRow, EntryKind
from coilbook.records.vocabulary import OwnKind
from coilbook.wording.language import translated
from coilbook.wording.texts import words

KINDS = {
    EntryKind.GENE: translated("gene"),
    EntryKind.LINE: translated("line"),
    EntryKind.COMBINATION: translated("combination"),
    EntryKind.COMPLEX: translated("complex"),
    EntryKind.LEFT_OUT: translated("entry left out"),
}
GRADES = {
    Grade.PUBLISHED: translated("published"),
    Grade.COMMON_PRACTICE: translated("common practice"),
    Grade.FROM_MEMORY: translated("from memory"),
    Grade.KEEPER: translated("your own"),
}
EVIDENCE = {
    Evidence.PUBLISHED: translated("A, published"),
    Evidence.MANY_KEEPERS: translated("B, reported by many keepers"),
    Evidence.RUMOUR: translated("C, hearsay"),
}
INHERITANCE = {
    Inheritance.RECESSIVE: translated("recessive"),
    Inheritance.INCOMPLETE_DOMINANT: translated("incomplete dominant"),
    Inheritance.DOMINANT: translated("dominant"),
}
#: fields of an entry, as a keeper speaks of them
FIELDS = {
    "name": translated("name"),
    "inheritance": translated("inheritance"),
    "complex": translated("complex"),
    "unsure_complex": translated("whether it is of its complex"),
    "gene": translated("molecular gene"),
    "aliases": translated("other spellings"),
    "description": translated("description"),
    "hides": translated("what it hides"),
    "two": translated("name of two doses"),
    "two_unseen": translated("two doses not seen"),
    "two_lethal": translated("two doses do not hatch"),
    "two_hides": translated("what two doses hide"),
    "needs_line": translated("whether a line is asked for"),
    "provenance": translated("source"),
    "citation": translated("citation"),
    "linkage": translated("sex linkage"),
    "caution": translated("caution"),
    "text": translated("caution"),
    "evidence": translated("evidence"),
    "unseen": translated("not seen together"),
    "lethal": translated("do not hatch together"),
    "hides_provenance": translated("source of what it hides"),
    "parts": translated("parts"),
    LEFT_OUT: translated("left out"),
}


def field_words(what: str) -> str:
    """The keeper's word for a field of an entry."""
    return FIELDS.get(what, what.replace("_", " "))


def entry_words(entry: str) -> str:
    """One of the keeper's entries by its key, as in "merged gene butter"."""
    kind, _, key = entry.partition(" ")
    return key if key.endswith(f" {kind}") else f"{words(OwnKind(kind))} {key}"


def value_words(value: str) -> str:
    """What a field says, for the margin: nothing is said to be nothing."""
    return {"": translated("nothing"), "True": translated("yes"), "False": translated("no")}.get(value, value)


def row_source(row: CatalogueRow) -> str:
    """Where a row comes from, in a word or two; a line that no entry keeps stands in the text of an animal."""
    if row.kind is EntryKind.LINE and not row.own:
        return translated("an animal's text")
    return GRADES[row.source.grade] if row.source is not None else ""


def source_words(source: Provenance) -> str:
    """The grade, and the citation where there is one."""
    grade = GRADES[source.grade]
    return f"{grade}: {source.citation}" if source.citation else grade


def searched(row: CatalogueRow, rendered: tuple[str, ...]) -> str:
    """Everything a row can be found by, in small letters; `rendered` are its words as they stand in the table."""
    own = translated("yours mine own") if row.own else ""
    conflict = translated("conflict") if row.conflicts else ""
    # an entry of the keeper's may still rest on a paper
    source = source_words(row.source) if row.source is not None else ""
    return " ".join([*rendered, row.key, *row.aliases, KINDS[row.kind], own, conflict, source]).casefold()


def caution_heading(about: str) -> str:
    """What a caution is on; `about` as in `reads.gene_page.CautionOf`."""
    if not about:
        return translated("Caution")
    if about == "2":
        return translated("Caution, two doses")
    return translated("Caution, with {gene}").format(gene=about)
