"""Findings as the catalogue of today names them: a finding is kept by the key its gene had when it was entered.

When the keeper merges two genes, puts one into a complex or corrects how it is inherited, what was found of animals
stays found: its gene, locus and looks are looked up under the names they have now.
"""

from __future__ import annotations

from dataclasses import replace

from coilbook.derived.genetics_rows import FindingRow, Rows
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.locus import Locus


def with_findings_of_today(rows: Rows, catalogue: Catalogue) -> Rows:
    """`rows` with every finding under the names of `catalogue`; the same object where nothing is named otherwise."""
    moved = {
        animal: tuple(finding_today(finding, catalogue) for finding in findings)
        for animal, findings in rows.findings.items()
    }
    return rows if moved == rows.findings else replace(rows, findings=moved)


def finding_today(finding: FindingRow, catalogue: Catalogue) -> FindingRow:
    """One finding under the names of today; unchanged where its gene is no longer in the catalogue."""
    gene = catalogue.current(finding.gene)
    # the key of a locus of one gene is the key of that gene
    named = gene if gene in catalogue.genes else catalogue.current(finding.locus)
    if finding.locus in catalogue.loci and gene == finding.gene:
        locus = catalogue.loci[finding.locus]
    elif named in catalogue.genes:
        locus = catalogue.locus_of(named)
    else:
        return finding
    looks = tuple(dict.fromkeys(_look_today(look, locus, catalogue) for look in finding.looks))
    return replace(finding, locus=locus.key, gene=gene, looks=looks)


def _look_today(look: str, locus: Locus, catalogue: Catalogue) -> str:
    """A look's key in `locus`: looks of one and two doses are keyed by gene ("lantern", "super lantern", "a + b")."""
    if any(look == known.key for known in locus.looks):
        return look
    first, _, second = look.partition(" + ")
    two = look.removeprefix("super ")
    first, second = (two, two) if two != look else (first, second or first)
    places = [_place(catalogue.current(gene), locus) for gene in (first, second)]
    if 0 in places:
        return look
    one_dose = first == second and two == look and locus.look(0, places[0]).key
    return locus.look(0, places[0]).key if one_dose else locus.look(*places).key


def _place(gene: str, locus: Locus) -> int:
    return locus.allele_index(gene) if gene in locus.alleles else 0
