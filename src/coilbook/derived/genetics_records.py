"""What is known of one animal itself, by its label and by what was found and claimed of it since."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from coilbook.derived.genetics_rows import FindingRow
from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.known import NOTHING, Claim, Known, LabelWords, LabTest, Sighting, hides_of
from coilbook.records.vocabulary import FindingKind


def with_records(
    known: Known, alleles: tuple[str, ...], claims: Iterable[Claim], findings: Iterable[FindingRow]
) -> Known:
    """What is known by the label, with claim rows and findings (newest first) laid over it.

    * A look found stands over the label's; the newest look found stands, with what was not seen after it.
    * A look not seen stands over the label's where that says the same look, and beside it where it says another.
    * Tests add up; "proven" adds up; the keeper's own carrier chance stands over claims.
    * A claim row counts for a gene of which the label claims nothing; the newest row for a gene counts.
    """
    sightings: list[Sighting] = []
    tests, proven, assumed = list(known.tests), list(known.proven), list(known.assumed)
    settled = False
    for finding in findings:
        known_gene = finding.gene in alleles
        match finding.kind:
            case FindingKind.SEEN | FindingKind.NOT_SEEN if not settled:
                seen = finding.kind is FindingKind.SEEN
                sightings.append(Sighting(frozenset(finding.looks), seen, finding.ppm / 1_000_000))
                settled = seen
            case FindingKind.TEST if known_gene:
                tests.append(LabTest(finding.gene, finding.copies or 0, finding.ppm / 1_000_000))
            case FindingKind.PROVEN if known_gene and finding.gene not in proven:
                proven.append(finding.gene)
            case FindingKind.ASSUMED if known_gene and finding.gene not in {a.gene for a in assumed}:
                assumed.append(Claim(finding.gene, finding.ppm / 1_000_000))
    if not settled:
        looked = [sighting.looks for sighting in sightings]
        sightings += [s for s in known.sightings if not any(s.looks <= looks for looks in looked)]
    said = {claim.gene for claim in known.claims}
    more = {claim.gene: claim for claim in reversed(tuple(claims)) if claim.gene not in said}
    return replace(
        known,
        sightings=tuple(sightings),
        tests=tuple(tests),
        proven=tuple(proven),
        assumed=tuple(assumed),
        claims=(*known.claims, *more.values()),
    )


def with_looks_found(words: LabelWords, findings: Iterable[FindingRow], catalogue: Catalogue) -> LabelWords:
    """A label's words with what the looks found hide of genes elsewhere; the same object where that is no other."""
    looked: dict[str, list[FindingRow]] = {}
    for finding in findings:
        if finding.kind in (FindingKind.SEEN, FindingKind.NOT_SEEN) and finding.locus in catalogue.loci:
            looked.setdefault(finding.locus, []).append(finding)
    if not looked:
        return words
    hides = dict(words.hides)
    for key, found in looked.items():
        label = words.named.get(key, NOTHING)
        hides[key] = hides_of(catalogue, key, with_records(label, catalogue.loci[key].alleles, (), found))
    hidden = frozenset[str]().union(*hides.values())
    return words if hidden == words.hidden else replace(words, hidden=hidden, hides=hides)
