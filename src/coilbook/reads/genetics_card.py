"""What a card may say of an animal's genes: never more than follows from its parents, and no less than the truth.

Certain things stand in bold; a possible het stands with its paper percentage, rounded down, and where the evidence says
less the card says both: "66% het clown from parents; 0 of 6 shown". The keeper can lower a percentage, never raise it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from coilbook.derived.genetics_book import Genetics, book_of
from coilbook.genetics.notation_printer import lowered_name, print_statements
from coilbook.genetics.paper import rounded_down
from coilbook.genetics.statement import Says, Statement
from coilbook.reads.genetics import lowered, part_of
from coilbook.reads.genetics_rows import GeneRow, GeneticsPart
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from coilbook.wording.language import translated

#: a doubtful look under this stands on no card
LEAST_SEEN = 0.01


@dataclass(frozen=True, slots=True)
class CardText:
    """`certain` and `doubt` as a card prints them; `warnings` say where a card says more than the evidence."""

    certain: str
    doubt: str
    warnings: tuple[Message, ...] = ()


def card_texts(
    collection: Collection, animals: Iterable[AnimalId], cancelled: Callable[[], bool] = lambda: False
) -> dict[AnimalId, CardText]:
    """The card texts of animals whose label is understood and of whose genes something is known; computes."""
    book = book_of(collection)
    genetics = book.current()
    found = {}
    for animal in animals:
        herd = genetics.herd_of(animal)
        if herd is None or cancelled():
            continue
        label = herd.rows.labels[herd.rows.label[herd.rows.place[animal]]]
        part = part_of(collection, genetics, animal, book.reading_of(label, herd.inputs.catalogue))
        if part is not None and part.rows and not part.in_question:
            found[animal] = card_text(genetics, part)
    return found


def card_text(genetics: Genetics, part: GeneticsPart) -> CardText:
    """The card of one animal."""
    limits, claimed = card_limits(genetics, part.animal), _claimed(genetics, part.animal)
    catalogue = genetics.catalogue_of(part.animal)
    if catalogue is None or any(row.contradiction is not None for row in part.rows):
        warned = tuple(row.contradiction for row in part.rows if row.contradiction is not None)
        return CardText(part.label, "", warned)
    sure: list[Statement] = []
    doubts: list[str] = []
    warnings: list[Message] = []
    for row in part.rows:
        limit = limits.get(row.gene)
        if _is_certain(row) and limit in (None, Fraction(1)):
            sure.append(Statement(row.gene, row.says))
            continue
        if row.says is Says.ONE_OR_TWO:
            sure.append(Statement(row.gene, Says.ONE))
        if row.gene in claimed and not _is_certain(row):
            limit = min(claimed[row.gene], limit if limit is not None else Fraction(1))
        said = card_line(row, limit)
        if said:
            doubts.append(said)
        if lowered(row) and said:
            warnings.append(more_than_known(row, limit))
    certain = print_statements(sure, catalogue)
    return CardText(" ".join(t for t in (certain, part.unread) if t), ", ".join(doubts), tuple(warnings))


def card_limits(genetics: Genetics, animal: AnimalId) -> Mapping[str, Fraction]:
    """What the keeper has lowered the card to, by gene: the newest word counts."""
    herd = genetics.herd_of(animal)
    if herd is None:
        return {}
    found: dict[str, Fraction] = {}
    for finding in herd.rows.findings.get(herd.rows.place[animal], ()):
        if finding.kind is FindingKind.CARD:
            found.setdefault(finding.gene, Fraction(finding.ppm, 1_000_000))
    return found


def _claimed(genetics: Genetics, animal: AnimalId) -> Mapping[str, Fraction]:
    """What was claimed of an animal one of whose parents is not on record: no card says more than the seller did."""
    herd = genetics.herd_of(animal)
    place = herd.rows.place[animal] if herd is not None else 0
    if herd is None or not herd.inputs.descent.lacks_parent[place]:
        return {}
    claims = (claim for view in herd.loci.values() for claim in view.known(place).claims)
    return {c.gene: Fraction(c.chance).limit_denominator(1000) for c in claims if c.chance is not None}


def card_line(row: GeneRow, limit: Fraction | None = None) -> str:
    """What a card says of a doubtful gene; empty when nothing."""
    name = lowered_name(row.name)
    if row.says is Says.ONE_OR_TWO:
        return translated("poss super {gene}").format(gene=row.name) if (row.evidence or 0) >= LEAST_SEEN else ""
    if row.says not in (Says.HET, Says.POSSIBLE_HET):
        seen = (row.evidence or 0) >= LEAST_SEEN
        return translated("poss {gene}").format(gene=row.name) if seen else ""
    paper = row.paper if row.paper is not None else Fraction(0)
    chance = paper if limit is None else min(paper, limit)
    if chance <= 0:
        return ""
    line = translated("{percent} het {gene}").format(percent=rounded_down(chance), gene=name)
    if lowered(row) and (row.evidence or 0) < float(chance) - 0.005:
        line = translated("{line} from parents; {evidence}").format(line=line, evidence=_evidence(row))
    return line


def _evidence(row: GeneRow) -> str:
    if row.young:
        return translated("{shown} of {n} shown").format(shown=row.shown, n=row.young)
    return translated("{percent} with evidence").format(percent=f"{100 * (row.evidence or 0):.0f}%")


def more_than_known(row: GeneRow, limit: Fraction | None) -> Message:
    """The warning of a card that says more than the evidence."""
    paper = row.paper or Fraction(0)
    return say(
        "{gene}: {paper} from parents is more than the {evidence} with evidence, so the card prints both.",
        gene=row.name,
        paper=rounded_down(paper if limit is None else min(paper, limit)),
        evidence=f"{100 * (row.evidence or 0):.0f}%",
    )


def _is_certain(row: GeneRow) -> bool:
    return not row.doubt and row.evidence == 1.0
