"""Why, for the card in focus: its loop or its own inbreeding, what that rests on, and what would change it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coilbook.reads.kin import Inbreeding, InbreedingLine
from coilbook.reads.pedigree import CardFacts
from coilbook.reads.pedigree_genes import GeneWords
from coilbook.reads.pedigree_words import (
    generation_name,
    known_short,
    known_words,
    look_text,
    percent,
    unknown_text,
    verdict_words,
    where_text,
)
from coilbook.records.vocabulary import Sex
from coilbook.ui.margin_content import Fact, MarginContent, MarginLink, MarginSection
from coilbook.ui.pedigree import making
from coilbook.ui.pedigree.making import Kind, Made
from coilbook.wording.language import translated, translated_plural
from coilbook.wording.style import Style

#: lines of an inbreeding told one by one, and animals named in a sentence
MOST_LINES, MOST_NAMES = 6, 4


@dataclass(frozen=True, slots=True)
class Ways:
    """Where the links lead."""

    travel: Callable[[int], None]
    page: Callable[[int], None]


@dataclass(frozen=True, slots=True)
class PedigreeMargin:
    """Explains one tree or map."""

    made: Made
    style: Style
    ways: Ways

    def of(self, focus: int) -> MarginContent:
        """The explanation of a card; of the whole when none is in focus."""
        made = self.made
        if focus in made.scene.unknown:
            return self._unknown(focus)
        card = made.facts.get(focus)
        if card is None:
            return self._whole()
        mark = made.scene.loop_of(focus)
        if mark is not None and made.of_animal is not None and made.wanted.animal is not None:
            lines = tuple(line for line in made.of_animal.lines if line.ancestor == focus)
            if lines:
                return self._told(card, made.wanted.animal, made.of_animal, lines, loop=True)
        own = made.of_animal if focus == made.wanted.animal else None
        found = own or made.book.kin.inbreeding(focus, max(made.wanted.generations, 1))
        return self._told(card, focus, found, found.lines, loop=False)

    def _told(
        self, card: CardFacts, whose: int, found: Inbreeding, lines: Sequence[InbreedingLine], *, loop: bool
    ) -> MarginContent:
        names = self.made.book.lines.names
        heading = translated("Why, for the loop in focus") if loop else translated("Why, for the animal in focus")
        sections = [self._known(found), *self._gene(card), *self._change(whose, found)]
        return MarginContent(
            heading=heading,
            whose=card.keeper_id,
            sex=self.style.sex_sign(card.sex, card.sex_percent if card.sex is not Sex.UNSEXED else None),
            about=", ".join(part for part in (look_text(card), where_text(card)) if part),
            verdict=verdict_words(names.get(whose, ""), found, self.style),
            why=self._why(card, whose, found, lines, loop=loop),
            facts=tuple(self._line(line) for line in lines[:MOST_LINES]),
            sections=tuple(sections),
            rests_on=self._rests_on(found),
            links=self._links(card.id),
        )

    def _rests_on(self, found: Inbreeding) -> str:
        said = translated(
            "Counted along the recorded parents (Wright 1922); an ancestor that is not recorded counts as unrelated, "
            "so this is the least it can be."
        )
        limit = self.style.settings.inbreeding_limit_tenths / 1000
        if found.coefficient < limit:
            return said
        reached = translated("Your limit for a pair is {limit}; this is at it or over it.")
        return f"{said} {reached.format(limit=percent(limit, self.style))}"

    def _why(
        self, card: CardFacts, whose: int, found: Inbreeding, lines: Sequence[InbreedingLine], *, loop: bool
    ) -> str:
        names = self.made.book.lines.names
        if not lines:
            member = self.made.book.lines.members[whose]
            if member.dam is None or not member.sires:
                return translated("Not both parents are recorded, so nothing can be counted.")
            return translated("No recorded ancestor of the dam is one of the sire.")
        total = sum(line.share for line in lines)
        count = translated_plural("{n} line", "{n} lines", len(lines))
        if loop:
            text = translated("{count} from the dam to the sire of {animal} through {ancestor}: {f} in all.")
            said = text.format(
                count=count, animal=names.get(whose, ""), ancestor=card.keeper_id, f=percent(total, self.style)
            )
        else:
            met = list(dict.fromkeys(names.get(line.ancestor, "?") for line in lines))
            text = translated("{count} from dam to sire, through {ancestors}.")
            said = text.format(count=count, ancestors=_named(met))
        if not found.all_lines:
            said += " " + translated("There are more than can be told one by one; the figure counts them all.")
        if found.doubtful:
            said += " " + translated("A list of sires is on the way: the figure is the mean over them.")
        return said

    def _line(self, line: InbreedingLine) -> Fact:
        names = self.made.book.lines.names
        return Fact(" \u2013 ".join(names.get(one, "?") for one in line.animals), percent(line.share, self.style), True)

    def _known(self, found: Inbreeding) -> MarginSection:
        rows = tuple(Fact(generation_name(back), known_short(g)) for back, g in enumerate(found.known, 1))
        text = known_words(found) + ". "
        text += translated("Not known is not the same as unrelated, so the true figure may be higher.")
        return MarginSection(translated("How much is known"), rows, text)

    def _gene(self, card: CardFacts) -> list[MarginSection]:
        made = self.made
        words: GeneWords | None = made.gene_words.get(card.id)
        gene = next((gene.name for gene in made.genes if gene.key == made.wanted.gene), "")
        if words is None or not gene:
            return []
        rows = [Fact(translated("with evidence"), words.text, True)]
        if words.paper_text:
            rows.append(Fact(translated("on paper"), words.paper_text))
        return [MarginSection(gene, tuple(rows))]

    def _change(self, whose: int, found: Inbreeding) -> list[MarginSection]:
        """Whose missing parents are nearest."""
        if not any(g.unknown for g in found.known):
            return []
        members, names = self.made.book.lines.members, self.made.book.lines.names
        level, missing = [whose], []
        for _ in found.known:
            missing += [key for key in level if members[key].dam is None or not members[key].sires]
            level = list(dict.fromkeys(p for key in level for p in members[key].parents if p in members))
        said = _named([names.get(key, "?") for key in dict.fromkeys(missing)])
        text = translated("Recording the missing parents of {animals}.").format(animals=said)
        return [MarginSection(translated("What would change the figure"), text=text)]

    def _links(self, animal: int) -> tuple[MarginLink, ...]:
        links = [MarginLink(translated("Open its page"), lambda: self.ways.page(animal))]
        if animal != self.made.wanted.animal:
            links.insert(0, MarginLink(translated("Its pedigree"), lambda: self.ways.travel(animal)))
        return tuple(links)

    def _unknown(self, key: int) -> MarginContent:
        parent = self.made.scene.unknown[key]
        return MarginContent(
            heading=translated("Why, for the place in focus"),
            verdict=unknown_text(parent, dict(self.made.book.lines.names)),
            why=translated(
                "Nobody is recorded here. A parent that is not known counts as unrelated to everyone, so inbreeding "
                "can only be higher than it is shown."
            ),
            links=(MarginLink(translated("Name the parents"), lambda: self.ways.page(parent.of)),),
        )

    def _whole(self) -> MarginContent:
        made = self.made
        if made.wanted.kind is not Kind.MAP:
            return MarginContent(heading=translated("Pedigree"))
        shown, everyone = len(made.scene.animals), len(made.book.lines.members)
        alone = everyone - shown - sum(made.too_large)
        why = translated_plural(
            "{n} animal has no recorded relative and is not drawn.",
            "{n} animals have no recorded relative and are not drawn.",
            alone,
        )
        said = [why] if alone else []
        if made.too_large:
            large = translated(
                "One map holds {most} animals, the larger families first. Left out: {families}. Open the tree of one of"
                " their animals."
            )
            left = [translated_plural("a family of {n}", "a family of {n}", n) for n in made.too_large]
            said.append(large.format(most=self.style.number(making.MOST_DRAWN), families=_named(left)))
        families = translated_plural("{n} family", "{n} families", len(made.pictures))
        animals = translated_plural("{n} animal", "{n} animals", shown)
        return MarginContent(
            heading=translated("The whole family"),
            verdict=translated("{animals} in {families}").format(animals=animals, families=families),
            why=" ".join(said),
        )


def _named(names: Sequence[str]) -> str:
    """Some names, and how many more."""
    said = ", ".join(names[:MOST_NAMES])
    more = len(names) - MOST_NAMES
    return translated("{names} and {n} more").format(names=said, n=more) if more > 0 else said
