"""What a genetics text says of each gene: what waits before it, what "het" covers, and where that ends (rules a, b)."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field

from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.gene_names import Sort, Target
from coilbook.genetics.notation_flags import Asked
from coilbook.genetics.statement import Says


@dataclass(slots=True, eq=False)
class Scope:
    """What one "het" (or "not") covers. `sure`: "double het", which needs no number; `count`: genes it speaks of."""

    negative: bool = False
    percents: list[int] = field(default_factory=list)
    possible: bool = False
    proven: bool = False
    sure: bool = False
    count: int = 0
    members: list[Mention] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Mention:
    """One gene as the text says it; `scope` where it is carried or not, rather than seen."""

    gene: str
    says: Says
    scope: Scope | None = None
    percent: int | None = None
    doubtful: bool = False
    proven: bool = False
    combination: str = ""
    #: the keeper has said that it is in doubt
    doubt_answered: bool = False

    def has_other(self, percent: int) -> bool:
        """Whether another chance was said of it before; "100%" is no other, it stands for sure until one is said."""
        said = [self.percent] if self.percent is not None else self.scope.percents if self.scope is not None else []
        return said not in ([], [100], [percent])


@dataclass(slots=True)
class Before:
    """The words waiting for the gene they are said of, and the tokens they came from."""

    tokens: list[int] = field(default_factory=list)
    percents: list[int] = field(default_factory=list)
    het: bool = False
    possible: bool = False
    proven: bool = False
    negative: bool = False
    super: bool = False
    visual: bool = False
    count: int = 0
    doubt: bool = False


class Saying:
    """Collects the mentions of one text in order; `before` are the words that wait for the next gene."""

    def __init__(self, catalogue: Catalogue, asked: Asked) -> None:
        self._catalogue = catalogue
        self._asked = asked
        self.before = Before()
        self.scope: Scope | None = None
        #: the mentions the last gene word made, for what is said behind it
        self.last: list[Mention] = []
        #: genes that ended what "het" covered
        self.closing: list[Mention] = []
        self.mentions: list[Mention] = []
        self.scopes: list[Scope] = []
        #: tokens that are not understood
        self.unknown: list[int] = []
        #: lines the text names that the catalogue lacks
        self.lines: list[LineWord] = []

    def drop_before(self) -> None:
        """Words that waited for a gene and found none are not understood, but for a "het" behind its gene."""
        if self.before.het and self._het_behind():
            return
        if self.before.possible and not self.before.percents and self.last:
            # "Enchi prob."
            self.doubt_last()
            self.before = Before()
        self.unknown.extend(self.before.tokens)
        self.before = Before()

    def doubt_last(self) -> None:
        """A question mark, or what is like one, behind the last gene word."""
        for mention in self.last:
            mention.doubtful = True

    def _het_behind(self) -> bool:
        """ "Clown het 66%": the gene before it is meant, once the keeper says so."""
        if self._can_be_behind():
            self._asked.het_behind()
            before, self.before = self.before, Before()
            self._carry_last(before)
            return True
        if self.last and self.last[-1].scope is not None:
            self._asked.het_before_and_behind()
        return False

    def _can_be_behind(self) -> bool:
        return bool(self.last) and self.last[-1].says is Says.VISUAL and not self.last[-1].combination

    def _carry_last(self, before: Before) -> None:
        gene = self.last[-1]
        gene.scope = self._open(before, sure=before.count > 0)
        gene.scope.members.append(gene)
        gene.says = Says.PROVEN_NOT if before.negative else Says.HET
        gene.doubtful |= before.doubt
        self.scope = None

    def percent_behind(self, percent: int) -> bool:
        """ "Clown 66%", as "66% Clown" is asked about; False where no recessive stands before it."""
        if not self._can_be_behind():
            return False
        self._asked.bare_percent(percent, self.name(self.last[-1].gene))
        self._carry_last(Before(percents=[percent], possible=True))
        return True

    def end_scope(self) -> None:
        """What "het" covered ends."""
        self.scope = None

    def take_line(self, line: LineWord) -> str:
        """The gene key of a line; today's, where the keeper put it into another."""
        if line not in self.lines and line.key not in self._catalogue.genes and line.key not in self._catalogue.merged:
            self.lines.append(line)
        return self._catalogue.current(line.key)

    def name(self, gene: str) -> str:
        """A gene's name, also of a line the catalogue lacks."""
        known = self._catalogue.genes.get(gene)
        if known is not None:
            return known.name
        return next((f"{self.name(line.of)} ({line.words})" for line in self.lines if line.key == gene), gene)

    def word_name(self, target: Target) -> str:
        """The name of what a word means."""
        if target.sort is Sort.COMBINATION:
            return self._catalogue.combinations[target.key].name
        return target.key if target.sort is Sort.SHARED else self.name(target.key)

    def is_recessive(self, gene: str) -> bool:
        """True where one copy does not show, also of a line the catalogue lacks."""
        if gene not in self._catalogue.genes:
            gene = next((line.of for line in self.lines if line.key == gene), gene)
        return self._catalogue.is_recessive(gene)

    def say(self, target: Target) -> None:
        """A gene or combination word, with what was said before it."""
        before, self.before = self.before, Before()
        self.last = []
        if target.sort is Sort.GENE:
            self._mention(target.key, before)
        else:
            self._combination(target.key, before)

    def say_pair(self, first: str, second: str) -> None:
        """Two alleles of one complex that show together."""
        doses = {first: 2} if first == second else {first: 1, second: 1}
        self.drop_before()
        self.scope, self.last = None, []
        for gene, dose in doses.items():
            twice = Says.VISUAL if self.is_recessive(gene) else Says.TWO
            self._add(Mention(gene, Says.ONE if dose == 1 else twice))

    def _combination(self, key: str, before: Before) -> None:
        if before.super:
            self.unknown.extend(before.tokens)
            before = Before()
        said = bool(before.tokens)
        first = len(self.mentions)
        for number, (gene, doses) in enumerate(self._catalogue.combinations[key].parts):
            of_each = before.visual or (before.possible and not before.het)
            part = copy.copy(before) if said and (of_each or number == 0) else Before(doubt=before.doubt)
            recessive = self.is_recessive(gene)
            part.super = not said and doses == 2 and not recessive
            if not said and doses == 1 and recessive and self.scope is None:
                self._add(Mention(gene, Says.ONE, doubtful=before.doubt))
            else:
                self._mention(gene, part)
        for mention in self.mentions[first:]:
            mention.combination = key

    def _add(self, mention: Mention) -> Mention:
        self.mentions.append(mention)
        self.last.append(mention)
        if mention.scope is not None:
            mention.scope.members.append(mention)
        return mention

    def _open(self, before: Before, *, sure: bool = False) -> Scope:
        scope = Scope(before.negative, before.percents, before.possible, before.proven, sure, before.count)
        self.scope = scope
        self.scopes.append(scope)
        return scope

    def _mention(self, gene: str, before: Before) -> None:
        """Note one gene with the words said before it."""
        recessive = self.is_recessive(gene)
        if before.negative:
            mention = self._add(Mention(gene, Says.PROVEN_NOT, self._open(before)))
        elif before.super:
            mention = self._super(gene, before, recessive)
        elif before.visual:
            self.scope = None
            mention = self._add(Mention(gene, Says.VISUAL if recessive else Says.ONE))
        elif before.het:
            scope = self._open(before, sure=before.count > 0)
            mention = self._carried(gene, scope, recessive, at_once=True)
        elif before.possible or before.percents or before.proven:
            mention = self._half_said(gene, before, recessive)
        elif self.scope is not None:
            mention = self._carried(gene, self.scope, recessive, at_once=False)
        else:
            mention = self._add(Mention(gene, Says.VISUAL if recessive else Says.ONE))
        mention.doubtful |= before.doubt

    def _super(self, gene: str, before: Before, recessive: bool) -> Mention:
        self.scope = None
        if not recessive:
            one_or_two = before.possible or before.doubt
            before.doubt = False
            return self._add(Mention(gene, Says.ONE_OR_TWO if one_or_two else Says.TWO))
        self._asked.super_recessive(self.name(gene))
        return self._add(Mention(gene, Says.VISUAL, doubtful=before.possible))

    def _half_said(self, gene: str, before: Before, recessive: bool) -> Mention:
        """ "poss", a number or "proven" without "het"."""
        if not recessive:
            if before.percents or before.proven:
                self.unknown.extend(before.tokens)
            self.scope = None
            return self._add(Mention(gene, Says.ONE, doubtful=before.possible))
        if before.proven:
            if self._asked.proven_what(self.name(gene)) == "visual":
                return self._add(Mention(gene, Says.VISUAL, proven=False))
        elif not before.possible:
            self._asked.bare_percent(before.percents[0], self.name(gene))
        scope = self._open(before)
        scope.possible |= not before.proven
        return self._carried(gene, scope, recessive, at_once=True)

    def _carried(self, gene: str, scope: Scope, recessive: bool, *, at_once: bool) -> Mention:
        """A gene in what "het" covers; one whose single dose shows ends it (rule b)."""
        if recessive:
            return self._add(Mention(gene, Says.PROVEN_NOT if scope.negative else Says.HET, scope))
        mention = self._add(Mention(gene, Says.ONE))
        if at_once:
            self._asked.het_shown(self.name(gene))
            mention.doubtful = scope.possible or any(percent < 100 for percent in scope.percents)
        else:
            self.closing.append(mention)
            if not self._asked.scope_stays_open():
                self.scope = None
        return mention

    def settle_scope_end(self) -> None:
        """Ask about the first gene that ended what "het" covered, now that it is known what stands behind it."""
        if not self.closing:
            return
        first = self.closing[0]
        behind = self.mentions[self.mentions.index(first) + 1 :]
        reopens = next((m.gene for m in behind if m.says in (Says.VISUAL, Says.HET) and self.is_recessive(m.gene)), "")
        answer = self._asked.scope(self.name(first.gene), self.name(reopens) if reopens else "")
        if answer == "doubt":
            for mention in self.closing:
                mention.doubtful = mention.doubt_answered = True
