"""What the margin says of the entry in focus: everything the catalogue knows of it, and where each part comes from."""

from __future__ import annotations

from collections.abc import Callable

from coilbook.genetics.own_differences import Difference
from coilbook.reads.gene_page import ComplexPage, GenePage, Together, complex_page, gene_page
from coilbook.reads.genes import LEFT_OUT, CatalogueBook, CatalogueRow, EntryConflict, EntryKind
from coilbook.reads.genetics_words import SIRES_BY_GENE
from coilbook.records.message import Message
from coilbook.ui.genes.words import EVIDENCE, GRADES, KINDS, caution_heading, field_words, source_words, value_words
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.wording.language import translated, translated_plural

Render = Callable[[Message], str]
#: a value of more characters is set as a paragraph of its own
LONG = 48


def nothing_margin(filtered: bool) -> MarginContent:
    """Without an entry in focus."""
    why = translated("Empty the line, or add a gene of your own.") if filtered else ""
    return MarginContent(
        heading=translated("The entry in focus"),
        verdict=translated("Nothing fits what the line says") if filtered else translated("No catalogue yet"),
        why=why,
    )


def entry_margin(
    book: CatalogueBook, row: CatalogueRow, render: Render, links: tuple[MarginLink, ...]
) -> MarginContent:
    """The margin for a row; `links` are what can be done with its conflicts and its own entries."""
    page = gene_page(book, row)
    conflict = bool(row.conflicts)
    verdict = _sentence(render(row.inheritance)) if row.inheritance is not None else row.parts or _EMPTY
    if conflict:
        verdict = _conflict_words(row)
    sections = _conflicts(row) if conflict else []
    facts = [Fact(translated("made of"), row.parts)] if conflict and row.parts else []
    if page is not None:
        facts = _facts(book, row, page, render)
        sections += _sections(row, page, render)
    elif (whole := complex_page(book, row)) is not None:
        facts = _complex_facts(book, row, whole)
        sections += _complex_sections(row, whole, render)
    elif row.aliases:
        facts.append(Fact(translated("also written"), ", ".join(row.aliases)))
    sections += _inexact(row, render)
    rests_on = _rests_on(row, page)
    return MarginContent(
        heading=translated("What is known of it"),
        whose=row.name,
        about=_about(row),
        verdict=verdict,
        needs_you=conflict,
        why=_description(book, row),
        facts=tuple(facts),
        sections=tuple(sections),
        rests_on=rests_on,
        links=links,
        strip=f"{row.name}: {verdict}",
    )


#: a complex whose genes were all given loci of their own
_EMPTY = translated("No gene is of it")


def _description(book: CatalogueBook, row: CatalogueRow) -> str:
    if row.kind is EntryKind.COMPLEX:
        return book.catalogue.complexes[row.key].description
    return book.catalogue.genes[row.key].description if row.inheritance is not None else ""


def _sentence(words: str) -> str:
    """The words with a capital in front."""
    return words[:1].upper() + words[1:]


def _about(row: CatalogueRow) -> str:
    words = [KINDS[row.kind]]
    if row.group:
        words.append(translated("of {gene}").format(gene=row.group) if row.kind is EntryKind.LINE else row.group)
    return ", ".join(words)


def _conflict_words(row: CatalogueRow) -> str:
    if row.kind is EntryKind.LEFT_OUT:
        return translated("Your entry does not fit and is left out")
    count = len(row.conflicts)
    one, several = "Conflict: the shipped entry says otherwise", "{n} conflicts: the shipped entry says otherwise"
    return translated_plural(one, several, count)


def _conflicts(row: CatalogueRow) -> list[MarginSection]:
    rows: list[Fact] = []
    long: list[MarginSection] = []
    for conflict in row.conflicts:
        told = _conflict(conflict)
        if any(len(fact.value) > LONG for fact in told):
            long += [MarginSection(fact.name, text=fact.value) for fact in told]
        else:
            rows += told
    text = translated("Yours stands until you say otherwise.")
    if row.kind is EntryKind.LEFT_OUT:
        text = translated("The rest of the catalogue stands. Take the entry back, or bring back what it needs.")
    return [MarginSection(translated("Conflict"), tuple(rows), text), *long]


def _conflict(conflict: EntryConflict) -> list[Fact]:
    if conflict.what == LEFT_OUT:
        return [Fact(translated("why"), conflict.shipped)]
    what = field_words(conflict.what)
    return [
        Fact(translated("{field}, shipped").format(field=what), value_words(conflict.shipped)),
        Fact(translated("{field}, yours").format(field=what), value_words(conflict.own), strong=True),
    ]


def _facts(book: CatalogueBook, row: CatalogueRow, page: GenePage, render: Render) -> list[Fact]:
    facts = []
    if row.conflicts and row.inheritance is not None:
        facts.append(Fact(translated("inheritance"), render(row.inheritance)))
    if row.one is not None and row.two is not None:
        facts += [Fact(translated("one dose"), render(row.one)), Fact(translated("two doses"), render(row.two))]
    if page.recombination is not None:
        facts.append(Fact(translated("sex chromosomes"), _linkage(page)))
    if page.gene.gene:
        facts.append(Fact(translated("molecular gene"), page.gene.gene))
    if row.aliases:
        facts.append(Fact(translated("also written"), ", ".join(row.aliases)))
    if page.lines:
        facts.append(Fact(translated("lines"), ", ".join(page.lines)))
    if page.combinations:
        facts.append(Fact(translated("part of"), ", ".join(page.combinations)))
    return [*facts, _in_care(book, row)]


def _in_care(book: CatalogueBook, row: CatalogueRow) -> Fact:
    carry = translated_plural("{n} carries it", "{n} carry it", row.carry)
    if row.kind is EntryKind.COMPLEX:
        carry = translated_plural("{n} carries a gene of it", "{n} carry a gene of it", row.carry)
    may = translated_plural("{n} may", "{n} may", row.may)
    of = translated("{carry}, {may}, of {n}").format(carry=carry, may=may, n=book.animals)
    return Fact(translated("in your care"), of if row.carry or row.may else translated("nobody on record"))


def _inexact(row: CatalogueRow, render: Render) -> list[MarginSection]:
    """What is to be minded of how many may carry it."""
    found = []
    if row.by_gene:
        head = translated_plural("{n} that may: its possible sires", "{n} that may: their possible sires", row.by_gene)
        found.append(MarginSection(head, text=render(SIRES_BY_GENE)))
    if row.drawn:
        head = translated_plural("{n} that may: by drawn odds", "{n} that may: by drawn odds", row.drawn)
        found.append(
            MarginSection(head, text=translated("Too tangled to count: each page says how far it may be off."))
        )
    return found


def _complex_facts(book: CatalogueBook, row: CatalogueRow, page: ComplexPage) -> list[Fact]:
    facts = [Fact(translated("genes"), row.parts)] if row.conflicts and row.parts else []
    if page.recombination is not None:
        facts.append(Fact(translated("sex chromosomes"), _linkage(page)))
    return [*facts, _in_care(book, row)]


def _complex_sections(row: CatalogueRow, page: ComplexPage, render: Render) -> list[MarginSection]:
    found = _otherwise(row, page.different)
    if page.doubles:
        rows = tuple(Fact(one.other, render(one.look)) for one in page.doubles)
        found.append(MarginSection(translated("Two doses"), rows))
    if page.pairs:
        rows = tuple(Fact(pair.other, render(pair.look)) for pair in page.pairs)
        found.append(MarginSection(translated("Two of them together, as far as named"), rows, _sources(page.pairs)))
    if page.unsure:
        text = translated("Whether these belong to it is not sure: {genes}.").format(genes=", ".join(page.unsure))
        found.append(MarginSection(translated("Not sure"), text=text))
    return found


def _otherwise(row: CatalogueRow, different: tuple[Difference, ...]) -> list[MarginSection]:
    told = {conflict.what for conflict in row.conflicts}
    rows, long = [], []
    for one in different:
        what, value = field_words(one.what), value_words(one.shipped)
        if one.what in told:
            continue
        if len(value) > LONG:
            long.append(MarginSection(translated("You say otherwise: {field}, shipped").format(field=what), text=value))
        else:
            rows.append(Fact(what, translated("shipped: {value}").format(value=value)))
    return [*([MarginSection(translated("You say otherwise"), tuple(rows))] if rows else []), *long]


def _sources(pairs: tuple[Together, ...]) -> str:
    grades = dict.fromkeys(GRADES[pair.source.grade] for pair in pairs if pair.source is not None)
    return translated("Their looks together: {sources}.").format(sources=", ".join(grades)) if grades else ""


def _linkage(page: GenePage | ComplexPage) -> str:
    if page.hemizygous:
        return translated("on one of them only")
    return translated("{percent}% recombination").format(percent=f"{100 * (page.recombination or 0):g}")


def _sections(row: CatalogueRow, page: GenePage, render: Render) -> list[MarginSection]:
    found = _otherwise(row, page.different)
    for one in page.cautions:
        heading, caution = caution_heading(one.about), one.caution
        grade = translated("Evidence {grade}. {source}.").format(
            grade=EVIDENCE[caution.evidence], source=_sentence(source_words(caution.provenance))
        )
        found.append(MarginSection(heading, text=f"{caution.text} {grade}"))
    if page.together:
        rows = [Fact(pair.other, render(pair.look)) for pair in page.together]
        found.append(MarginSection(translated("With its alleles"), tuple(rows), _complex(row, page)))
    if page.hides:
        text = "; ".join(render(hidden) for hidden in page.hides)
        source = page.gene.hides_source
        said = f"{text} ({source_words(source)})" if source is not None else text
        found.append(MarginSection(translated("Hides"), text=said))
    if page.hidden_by:
        found.append(MarginSection(translated("One dose is hidden by"), text=", ".join(page.hidden_by)))
    if page.merged:
        found.append(MarginSection(translated("Merged into it"), text=", ".join(page.merged)))
    return found


def _complex(row: CatalogueRow, page: GenePage) -> str:
    words = []
    if page.complex is not None:
        words.append(translated("One locus: {source}.").format(source=source_words(page.complex.provenance)))
    if sources := _sources(page.together):
        words.append(sources)
    if page.gene.unsure_complex:
        words.append(translated("Whether {gene} belongs to it is not sure.").format(gene=row.name))
    return " ".join(words)


def _rests_on(row: CatalogueRow, page: GenePage | None) -> str:
    if row.source is None:
        return ""
    if row.kind is EntryKind.LINE and not row.own:
        return translated("Named in the text of an animal. What you change of it keeps it as an entry of yours.")
    words = translated("Source: {source}.").format(source=source_words(row.source).rstrip("."))
    if row.kind is EntryKind.COMPLEX:
        return translated("That its genes share one locus: {source}.").format(
            source=source_words(row.source).rstrip(".")
        )
    if page is not None and page.gene.unsure_complex and not page.together:
        words += " " + translated("Whether it shares its locus is not sure.")
    return words
