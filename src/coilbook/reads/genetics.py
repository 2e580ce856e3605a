"""An animal's genes as its page shows them. Asks the kept genetics: on a worker, for it may compute."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

import numpy as np

from coilbook.derived.genetics_book import Genetics, Herd, book_of
from coilbook.derived.genetics_explain import says_something
from coilbook.derived.genetics_locus import CERTAIN, LocusView
from coilbook.genetics.known import is_read_to_its_end, label_asks, questions_of
from coilbook.genetics.locus import Inheritance
from coilbook.genetics.notation_printer import in_order, print_statements
from coilbook.genetics.paper import PaperValue
from coilbook.genetics.statement import Reading, Says, Statement
from coilbook.genetics.states import Floats
from coilbook.reads.genetics_recorded import BARE_HET, bare_hets, recorded_words, without_number
from coilbook.reads.genetics_rows import Asks, GeneRow, GeneticsPart
from coilbook.reads.genetics_words import LEAST, SIRES_BY_GENE, joined, paper_basis, short_basis, young_shown
from coilbook.reads.genetics_young import YoungSeen, showing, young_seen
from coilbook.records.ids import AnimalId
from coilbook.records.message import Message, say
from coilbook.records.vocabulary import FindingKind
from coilbook.storage.collection import Collection
from coilbook.wording.language import translated

#: a recessive that shows with less than this is told as carried: so little is left of an animal nobody described
LEAST_SHOWN = 0.01


def genetics_part(
    collection: Collection, animal: AnimalId, cancelled: Callable[[], bool] = lambda: False
) -> GeneticsPart | None:
    """The genetics of one animal as the book stands now; None for a species without a catalogue, or nobody.

    Raises `coilbook.genetics.inference.Cancelled`; what was worked out until then is kept for the next asking.
    """
    book = book_of(collection)
    genetics = book.current(cancelled)
    herd = genetics.herd_of(animal)
    if herd is None:
        return None
    label = herd.rows.labels[herd.rows.label[herd.rows.place[animal]]]
    return part_of(collection, genetics, animal, book.reading_of(label, herd.inputs.catalogue))


def part_of(collection: Collection, genetics: Genetics, animal: AnimalId, reading: Reading) -> GeneticsPart | None:
    """The same from genetics at hand, with the animal's label as it was read."""
    herd = genetics.herd_of(animal)
    if herd is None:
        return None
    teller = Teller(collection, herd, herd.rows.place[animal])
    rows = [row for view in herd.loci.values() for row in teller.rows(view)]
    rows = teller.as_written(rows, reading)
    rows.sort(key=lambda row: _order(row, reading))
    catalogue = herd.inputs.catalogue
    statements = in_order((s for s in map(statement_of, rows) if s is not None), catalogue)
    questions = tuple(flag.message for flag in questions_of(reading))
    clash = any(row.contradiction is not None for row in rows)
    counted = bool(rows) or any(_counts(herd, said) for said in reading.statements)
    more = counted and not questions and not clash and _meant(statements) != _meant(reading.statements)
    head = _head(rows, print_statements(statements, catalogue), reading) if more else reading.text
    return GeneticsPart(
        animal,
        genetics.revision,
        tuple(rows),
        reading.text,
        head,
        statements,
        reading.rest,
        questions,
        label_asks(reading),
        reading.text.strip() != "" and is_read_to_its_end(reading),
    )


class Teller:
    """Tells the genes of one animal (a place in a herd)."""

    def __init__(self, collection: Collection, herd: Herd, animal: int) -> None:
        self._collection, self._herd, self._animal = collection, herd, animal

    def name(self, animal: int) -> str:
        """The keeper's id of an animal by its place."""
        row = self._collection.read_one(
            "SELECT keeper_id FROM animal WHERE id = ?", (int(self._herd.rows.ids[animal]),)
        )
        return str(row[0]) if row else "?"

    def rows(self, view: LocusView) -> list[GeneRow]:
        """The rows of one locus: one for each gene there is something to say about."""
        law = view.law(self._animal)
        if np.isnan(law).any():
            return [self._contradiction(view)]
        found = (self._row(view, allele, law) for allele in range(1, len(view.states.locus.alleles)))
        return [row for row in found if row is not None]

    def _row(self, view: LocusView, allele: int, law: Floats) -> GeneRow | None:
        copies = view.states.copies(allele)
        carrier, two = float(law[copies > 0].sum()), float(law[copies == 2].sum())
        gene = view.states.locus.alleles[allele]
        if carrier < LEAST and gene not in self._claimed(view) and not view.paper.carries(self._animal, allele):
            return None
        paper = view.paper.value(self._animal, allele)
        shows = float(law[showing(view, allele)].sum())
        row = self._plain(view, allele, paper)
        if shows > CERTAIN:
            return self._seen(row, view, two, paper)
        return self._carried(row, view, carrier, shows, paper)

    def _seen(self, row: GeneRow, view: LocusView, two: float, paper: PaperValue | None) -> GeneRow:
        """A gene that shows for sure: what is left in doubt is whether there are two copies."""
        allele = view.states.locus.allele_index(row.gene)
        how = view.states.locus.inheritance(allele)
        one = float(view.law(self._animal)[view.states.copies(allele) == 1].sum())
        row = replace(row, evidence=1.0, rests_on=self._seen_in(row, paper))
        if how is Inheritance.RECESSIVE:
            if one > CERTAIN:
                return replace(row, says=Says.ONE, what=say("seen, with another of its complex"))
            return replace(row, says=Says.VISUAL, what=say("seen"))
        if two > CERTAIN:
            return replace(row, says=Says.TWO, what=say("two doses, seen"))
        if two < LEAST:
            return replace(
                row, says=Says.ONE, what=say("seen") if how is Inheritance.DOMINANT else say("one dose, seen")
            )
        # of an animal without parents on record nothing follows on paper: even odds are an assumption
        chance = paper.two if paper is not None and paper.dam is not None else None
        return replace(
            row,
            says=Says.ONE_OR_TWO,
            what=say("seen; two doses?"),
            asks=Asks.TWO,
            evidence=two,
            paper=chance,
            numbered=True,
            doubt=True,
        )

    def _carried(
        self, row: GeneRow, view: LocusView, carrier: float, shows: float, paper: PaperValue | None
    ) -> GeneRow:
        """A gene that does not show, or does not show for sure."""
        allele = view.states.locus.allele_index(row.gene)
        recessive = view.states.locus.inheritance(allele) is Inheritance.RECESSIVE
        young = young_seen(view, self._animal, allele) if recessive else YoungSeen()
        row = replace(
            row,
            evidence=carrier,
            numbered=True,
            doubt=carrier < CERTAIN,
            rests_on=self._rests(row, view, young, paper),
            young=young.looked_at,
            shown=len(young.proving),
        )
        if (LEAST_SHOWN if recessive else LEAST) < shows < CERTAIN:
            if recessive and carrier > CERTAIN:
                # nobody has said what it looks like: that it carries it is sure all the same
                return replace(row, says=Says.HET, what=say("het; may show it"), evidence=1.0)
            return replace(row, says=Says.ONE, what=say("may show it") if recessive else say("perhaps"), doubt=True)
        if carrier > CERTAIN:
            return replace(row, says=Says.HET, what=say("het"), evidence=1.0)
        if carrier < LEAST and self._claimed(view).get(row.gene, 0.0) is None:
            # a claim without a number is not known to be nothing
            words = say("possible, no number")
            return replace(row, what=words, evidence=None, paper=None, doubt=True)
        return replace(row, what=say("possible het") if carrier > LEAST else say("not carrying"))

    def _plain(self, view: LocusView, allele: int, paper: PaperValue | None) -> GeneRow:
        gene = view.states.locus.alleles[allele]
        name = self._herd.inputs.catalogue.genes[gene].name
        return GeneRow(
            locus=view.states.locus.key,
            gene=gene,
            name=name,
            says=Says.POSSIBLE_HET,
            what=say("possible het"),
            asks=Asks.CARRIES,
            evidence=None,
            paper=None if paper is None else paper.carrier,
            numbered=False,
            doubt=False,
            rests_on=say("parents not known"),
            basis=paper_basis(paper, name, self.name) if paper is not None else None,
            claimed=self._claim(view, gene, paper),
            taken=self._taken(view, paper),
            error=view.answer.error(self._animal),
            by_gene=view.by_gene(self._animal),
            card_at_most=self._card_at_most.get(gene),
            claim=self._claim_counted(view, gene),
        )

    def _contradiction(self, view: LocusView) -> GeneRow:
        clash = next((c for c in view.answer.clashes if self._animal in c.animals), None)
        clash = clash or next(iter(view.answer.clashes), None)
        # of young that share a sire, those of which nothing is known are in it and at no fault
        there = clash.animals if clash is not None else (self._animal,)
        at_fault = [a for a in there if any(says_something(one, a) for one in self._herd.loci.values())] or there
        who = ", ".join(self.name(a) for a in at_fault[:6])
        said = say("what is known of {animals} cannot all be true", animals=who)
        row = self._plain(view, 1, None)
        return replace(row, what=say("contradiction"), doubt=True, rests_on=said, contradiction=said, error=0.0)

    def _rests(self, row: GeneRow, view: LocusView, young: YoungSeen, paper: PaperValue | None) -> Message:
        gene, carrier = row.gene, view.carrier(self._animal, row.gene)
        # of a complex a young may show it by what the mate gave: then it proves nothing
        if young.proving and carrier > CERTAIN:
            return say("proven by {animal}", animal=self.name(young.proving[0]))
        known = view.known(self._animal)
        if gene in known.proven:
            return say("proven by young, as entered")
        parts: list[Message] = []
        if young.looked_at and carrier < CERTAIN:
            mates = [self.name(mate) for mate in young.mates]
            parts.append(young_shown(young.looked_at, len(young.proving), mates))
        parts += [say("a test: {n} copy", "a test: {n} copies", n=t.copies) for t in known.tests if t.gene == gene]
        doubted = [s.sure for s in known.sightings if 0 < s.sure < 1]
        parts += [say("seen, {percent}% sure", percent=f"{100 * sure:g}") for sure in doubted]
        basis = short_basis(paper, row.name, self.name) if paper is not None else None
        if basis is not None and not parts:
            parts.append(basis)
        if not parts and paper is not None:
            parts += self._else(row, view, paper, carrier)
        return joined(parts) if parts else say("relatives; see the margin")

    def _else(self, row: GeneRow, view: LocusView, paper: PaperValue, carrier: float) -> list[Message]:
        """What a number rests on where neither young, tests nor parents that may hand the gene on are told."""
        if paper.dam is None:
            return [self._said_of(view, row.gene)]
        if carrier < LEAST:
            return [row.basis] if row.basis is not None else []
        if row.claim:
            return [say("claimed; a parent not known")]
        return []

    def _said_of(self, view: LocusView, gene: str) -> Message:
        known = view.known(self._animal)
        if any(c.gene == gene for c in known.assumed):
            return say("the chance you took for it")
        if any(c.gene == gene and c.chance is None for c in known.claims):
            return say("claimed, no number: not counted")
        if any(c.gene == gene for c in known.claims):
            return say("claimed; parents not known")
        if self._animal in view.lifted:
            return say("young on record need it")
        return say("parents not known")

    def _seen_in(self, row: GeneRow, paper: PaperValue | None) -> Message:
        basis = short_basis(paper, row.name, self.name) if paper is not None else None
        return say("seen; {basis}", basis=basis) if basis is not None else say("seen")

    @cached_property
    def _has_parents(self) -> int:
        parents = self._herd.inputs.descent.parents(self._animal)
        return (parents[0] >= 0) + any(p >= 0 for p in parents[1:])

    def _claimed(self, view: LocusView) -> dict[str, float | None]:
        known = view.known(self._animal)
        return {claim.gene: claim.chance for claim in reversed(known.claims)}

    def _claim(self, view: LocusView, gene: str, paper: PaperValue | None) -> Message | None:
        """What is recorded, where that is not what the number says today."""
        value = paper.carrier if paper is not None else None
        assumed = any(one.gene == gene for one in view.known(self._animal).assumed)
        claim, known = self._claimed(view).get(gene), view.carrier(self._animal, gene)
        return recorded_words(claim, value, known, parents=self._has_parents, assumed=assumed)

    def _claim_counted(self, view: LocusView, gene: str) -> Fraction | None:
        """What was claimed of an animal one of whose parents is not on record."""
        claim = self._claimed(view).get(gene)
        lacks = self._herd.inputs.descent.lacks_parent[self._animal]
        return Fraction(claim).limit_denominator(1000) if claim is not None and lacks else None

    @cached_property
    def _card_at_most(self) -> dict[str, Fraction]:
        """What the keeper has lowered the card to, by gene: the newest word counts."""
        found: dict[str, Fraction] = {}
        for finding in self._herd.rows.findings.get(self._animal, ()):
            if finding.kind is FindingKind.CARD:
                found.setdefault(finding.gene, Fraction(finding.ppm, 1_000_000))
        return found

    def as_written(self, rows: list[GeneRow], reading: Reading) -> list[GeneRow]:
        """The rows with what the words of her label leave open: no number, or no word on how sure a het is."""
        catalogue = self._herd.inputs.catalogue
        bare = {catalogue.current(gene) for gene in bare_hets(reading)}
        rows = [
            replace(row, taken=(BARE_HET, *row.taken)) if row.gene in bare and row.says is Says.HET else row
            for row in rows
        ]
        there = {row.gene for row in rows}
        for said in () if questions_of(reading) else without_number(reading, catalogue):
            gene = catalogue.current(said.gene)
            view = self._herd.loci.get(catalogue.genes[gene].locus)
            if gene not in there and view is not None and self._has_parents < 2:
                row = self._plain(view, view.states.locus.allele_index(gene), None)
                words = say("perhaps, no number")
                rests = say("question mark: not counted")
                rows.append(replace(row, says=said.says, what=words, rests_on=rests, numbered=True, doubt=True))
        return rows

    def _taken(self, view: LocusView, paper: PaperValue | None) -> tuple[Message, ...]:
        found = []
        if self._animal in view.lifted and self._has_parents:
            words = (
                "Nothing said its parent not on record had this; what is known needs it, so it is taken as possible."
            )
            found.append(say(words))
        elif self._animal in view.lifted:
            found.append(say("Nothing said it carried this; its young need it, so it is taken as possible here."))
        if paper is not None and paper.dam is None and not self._claimed(view):
            found.append(say("An animal without parents on record is taken as carrying nothing that is not said."))
        if view.by_gene(self._animal):
            found.append(SIRES_BY_GENE)
        return tuple(found)


def statement_of(row: GeneRow) -> Statement | None:
    """The row as the notation says it, by its paper value; None for what is not worth a word on a card."""
    if row.contradiction is not None:
        return None
    if row.says is Says.POSSIBLE_HET and row.evidence is None:
        return Statement(row.gene, Says.POSSIBLE_HET)
    if row.says is Says.POSSIBLE_HET:
        percent = int(row.paper * 100) if row.paper is not None else 0
        return Statement(row.gene, Says.POSSIBLE_HET, percent) if percent >= 1 else None
    if row.says is Says.HET:
        return Statement(row.gene, Says.HET)
    return Statement(row.gene, row.says, doubtful=row.doubt and row.says is not Says.ONE_OR_TWO)


def _meant(statements: Iterable[Statement]) -> set[tuple[object, ...]]:
    """Statements by what they say of the animal; how a het was proven is not part of it."""
    return {(s.gene, s.says, s.percent, s.doubtful) for s in statements}


def _counts(herd: Herd, said: Statement) -> bool:
    """Whether what a label says is of a gene that is answered here."""
    gene = herd.inputs.catalogue.genes.get(herd.inputs.catalogue.current(said.gene))
    return gene is not None and gene.locus in herd.loci


def _head(rows: Iterable[GeneRow], text: str, reading: Reading) -> str:
    low = [row for row in rows if lowered(row) and row.young]
    words = translated("{shown} of {n} shown") if len(low) == 1 else translated("{gene} {shown} of {n} shown")
    tails = [words.format(gene=row.name, shown=row.shown, n=row.young) for row in low]
    if not text and reading.text.strip():
        # what was written is not so, and nothing else is known of it
        text = translated("normal")
    return ", ".join([" ".join(part for part in (text, reading.rest) if part), *tails])


def lowered(row: GeneRow) -> bool:
    """True where the evidence says less than the paper, by more than rounding."""
    return (
        row.numbered and row.evidence is not None and row.paper is not None and row.evidence < float(row.paper) - 0.005
    )


def _order(row: GeneRow, reading: Reading) -> tuple[int, float, int]:
    places = {s.gene: place for place, s in enumerate(reading.statements)}
    kind = {Says.HET: 2, Says.POSSIBLE_HET: 3}.get(row.says, 1 if row.doubt and row.says is not Says.ONE_OR_TWO else 0)
    least = -(float(row.paper or 0)) if kind == 3 else 0.0
    return kind, least, places.get(row.gene, len(places))
