"""What the margin says of the gene in focus: the number, why, the stair, what would settle it, what a card will say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from coilbook.genetics.notation_printer import lowered_name
from coilbook.reads.animal_rows import AnimalPage, Entry
from coilbook.reads.genetics_card import card_line
from coilbook.reads.genetics_rows import GeneRow, GeneticsPart
from coilbook.reads.genetics_why import Why
from coilbook.ui.animal.genes_stair import Stair, StairView
from coilbook.ui.animal.genes_words import number_words, paper_words, percent_of
from coilbook.ui.animal.words import entry_words
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.theme import Theme
from coilbook.wording.language import translated
from coilbook.wording.style import Style
from coilbook.wording.texts import render


@dataclass(frozen=True, slots=True)
class GeneWays:
    """Where the links of this margin lead."""

    begin: Callable[[str], None]
    retract: Callable[[Entry], None]
    #: the key of a gene: what the catalogue says of it
    catalogue: Callable[[str], None]


@dataclass(frozen=True, slots=True)
class GeneMargin:
    """Builds the content for one gene of the animal in view."""

    theme: Theme
    style: Style
    page: AnimalPage
    part: GeneticsPart
    ways: GeneWays

    def of(self, row: GeneRow, why: Why | None) -> MarginContent:
        """The content; `why` is None while it is being worked out."""
        clash = translated("{gene}: contradiction").format(gene=row.name)
        verdict = number_words(row) if row.contradiction is None else clash
        return MarginContent(
            heading=translated("Why, for the number in focus"),
            verdict=verdict,
            needs_you=row.contradiction is not None,
            why=self._sentence(row),
            chart=self._chart(row, why) if row.numbered else None,
            chart_note=self._notes(row, why),
            sections=(*self._causes(row, why), *self._ways(why), *self._card(row), *self._findings(row)),
            rests_on=self._rests_on(row),
            links=self._links(row),
            strip=verdict,
        )

    def _say(self, message: object) -> str:
        return render(message, self.style)  # type: ignore[arg-type]

    def _sentence(self, row: GeneRow) -> str:
        if row.contradiction is not None:
            return translated(
                "{what}. The numbers of this family rest until one of them is corrected; all others stand."
            ).format(what=_upper(self._say(row.contradiction)))
        parts = [self._say(m) for m in (row.basis or row.rests_on, row.claimed) if m is not None]
        return ". ".join(_upper(part) for part in parts) + "."

    def _chart(self, row: GeneRow, why: Why | None) -> Callable[[], QWidget]:
        value = percent_of(row.evidence, 1) if row.evidence is not None else "?"
        paper = ""
        if row.paper is not None:
            paper = translated("{percent} on paper").format(percent=paper_words(row))
        steps: list[tuple[str, float, str]] = []
        if why is not None:
            begins = translated("from the parents") if row.basis is not None else translated("as recorded")
            steps.append((begins, why.start, percent_of(why.start, 1)))
            steps += [(self._say(step.words), step.after, percent_of(step.after, 1)) for step in why.steps]
        tick = float(row.paper) if row.paper is not None else None
        words = translated("{percent} with evidence").format(percent=value)
        stair = Stair(row.evidence, words, tick, paper, row.doubt, tuple(steps) if len(steps) > 1 else ())
        return lambda: StairView(self.theme, stair)

    def _notes(self, row: GeneRow, why: Why | None) -> str:
        notes = [translated("working out what moved it ...")] if why is None and row.numbered else []
        notes += [self._say(note) for note in (why.notes if why is not None else row.taken)]
        if row.error:
            notes.append(
                translated("Too tangled to count: drawn, not counted, give or take {error}.").format(
                    error=f"{100 * row.error:.1f}%"
                )
            )
        return " ".join(notes)

    def _causes(self, row: GeneRow, why: Why | None) -> tuple[MarginSection, ...]:
        if row.contradiction is None:
            return ()
        waiting = translated("looking into it ...")
        told = "\n".join(self._say(note) for note in why.notes) if why is not None else waiting
        return (MarginSection(translated("Any one of these would explain it"), text=told or "\u2013"),)

    def _ways(self, why: Why | None) -> tuple[MarginSection, ...]:
        if why is None or not why.ways:
            return ()
        head = translated("What would settle it, by cost and wait")
        return tuple(
            MarginSection("" if place else head, (Fact(self._say(way.name), self._say(way.wait)),), self._say(way.says))
            for place, way in enumerate(why.ways)
        )

    def _card(self, row: GeneRow) -> tuple[MarginSection, ...]:
        if row.contradiction is not None or not row.numbered:
            return ()
        line = card_line(row) if row.doubt or row.card_at_most is not None else ""
        says = line or (
            translated("het {gene}").format(gene=lowered_name(row.name))
            if not row.doubt
            else translated("nothing of it")
        )
        note = translated("You can lower what a card says, never raise it.") if row.doubt else ""
        return (MarginSection(translated("The card will say"), text=f"{says}\n{note}".strip()),)

    def _findings(self, row: GeneRow) -> tuple[MarginSection, ...]:
        entries = self.entries(row)
        rows = tuple(Fact(self._day(e), entry_words(e, self.style)) for e in entries)
        return (MarginSection(translated("Findings"), rows),) if rows else ()

    def entries(self, row: GeneRow) -> Sequence[Entry]:
        """The findings of this animal at the locus of a row that are in force, newest first."""
        found = [e for e in self.page.entries if e.table == "finding" and (e.values or {}).get("locus") == row.locus]
        return [
            e for e in found if not (e.values or {}).get("corrected") and (e.values or {}).get("kind") != "retracted"
        ]

    def _day(self, entry: Entry) -> str:
        from coilbook.reads.animal_facts import day_of

        return self.style.date(day_of(entry.at)) if entry.at else ""

    def _rests_on(self, row: GeneRow) -> str:
        return translated(
            "On paper: from the parents alone, rounded down. With evidence: everything known of every relative."
        )

    def _links(self, row: GeneRow) -> tuple[MarginLink, ...]:
        links = [MarginLink(translated("Add a finding"), lambda: self.ways.begin(""))]
        if row.doubt and row.contradiction is None and row.paper:
            lower = translated("Lower what the card says")
            links.append(MarginLink(lower, lambda: self.ways.begin(f"card {_lower(row)}% {lowered_name(row.name)}")))
        for entry in self.entries(row)[:1]:
            links.append(MarginLink(translated("Take the newest finding back"), lambda e=entry: self.ways.retract(e)))  # type: ignore[misc]
        known = translated("What is known of {gene}").format(gene=row.name)
        links.append(MarginLink(known, lambda: self.ways.catalogue(row.gene)))
        return tuple(links)


def _lower(row: GeneRow) -> int:
    """A first proposal for a lowered card: what the evidence says, rounded down."""
    return int(100 * (row.evidence or 0))


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
