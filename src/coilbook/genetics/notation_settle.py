"""Settles what a text said: percentages dealt out, lines asked for, one gene said twice, too many alleles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from coilbook.genetics.catalogue import Catalogue
from coilbook.genetics.notation_flags import UNKNOWN, Asked
from coilbook.genetics.notation_say import Mention, Saying, Scope
from coilbook.genetics.statement import Says, Statement
from coilbook.records.message import Message, say

_COPIES = {Says.ONE: 1, Says.TWO: 2, Says.ONE_OR_TWO: 1, Says.VISUAL: 2, Says.HET: 1}
_WORDS: dict[Says, Message] = {
    Says.ONE: say("one copy shows"),
    Says.TWO: say("two copies"),
    Says.ONE_OR_TWO: say("one copy, possibly two"),
    Says.VISUAL: say("it shows"),
    Says.HET: say("carried, sure"),
    Says.POSSIBLE_HET: say("possibly carried"),
    Says.PROVEN_NOT: say("proven not carried"),
}


def settle(saying: Saying, catalogue: Catalogue, asked: Asked) -> tuple[Statement, ...]:
    """The statements of a text, questions asked on the way."""
    for scope in saying.scopes:
        _deal(scope, saying, asked)
    for mention in saying.mentions:
        gene = catalogue.genes.get(mention.gene)
        if gene is not None and gene.needs_line:
            answer = asked.which_line(mention.gene)
            mention.gene = answer if answer in catalogue.genes else mention.gene
    _settle_doubts(saying, asked)
    statements = _once_each([_statement(mention) for mention in saying.mentions], saying, asked)
    return _two_alleles(statements, saying, catalogue, asked)


def _statement(mention: Mention) -> Statement:
    carried = mention.says in (Says.HET, Says.POSSIBLE_HET)
    return Statement(
        mention.gene,
        mention.says,
        mention.percent if mention.says is Says.POSSIBLE_HET else None,
        mention.doubtful,
        carried and mention.proven,
        mention.combination,
    )


def _deal(scope: Scope, saying: Saying, asked: Asked) -> None:
    """Give every gene of a "het" its percentage, or ask."""
    if scope.negative:
        return
    found = len(scope.members)
    percents = scope.percents
    if scope.count and scope.count != found:
        asked.count(scope.count, found)
    if len(percents) > 1 and len(percents) != found:
        asked.count(len(percents), found)
        scope.possible, percents = True, []
    each = percents if len(percents) == found else percents * found
    for number, member in enumerate(scope.members):
        percent = member.percent if member.percent is not None else each[number] if each else None
        _carry(member, percent, scope, saying, asked)


def _carry(member: Mention, percent: int | None, scope: Scope, saying: Saying, asked: Asked) -> None:
    member.proven |= scope.proven
    if member.proven and (scope.possible or percent not in (None, 100)):
        answer = asked.proven_what(saying.name(member.gene))
        if answer:
            member.says = Says.VISUAL if answer == "visual" else Says.HET
            return
        member.proven = False
    if percent is None and not scope.possible and not (member.proven or scope.sure):
        percent = None if asked.bare_het() == UNKNOWN else 100
    elif percent is None and scope.possible:
        answer = asked.no_percent()
        percent = int(answer) if answer.isdecimal() else None
    elif percent is None:
        percent = 100
    member.says = Says.HET if percent == 100 else Says.POSSIBLE_HET
    member.percent = percent


def _settle_doubts(saying: Saying, asked: Asked) -> None:
    doubtful = [mention for mention in saying.mentions if mention.doubtful and not mention.doubt_answered]
    if doubtful and asked.doubt() == "sure":
        for mention in doubtful:
            mention.doubtful = False


def _once_each(statements: Sequence[Statement], saying: Saying, asked: Asked) -> list[Statement]:
    """Put together what is said of one gene; ask where it does not go together."""
    by_gene: dict[str, list[Statement]] = {}
    for statement in statements:
        by_gene.setdefault(statement.gene, []).append(statement)
    return [_one_of(gene, found, saying, asked) for gene, found in by_gene.items()]


def _one_of(gene: str, found: list[Statement], saying: Saying, asked: Asked) -> Statement:
    first = found[0]
    for other in found[1:]:
        if (first.says, first.percent) == (other.says, other.percent):
            first = replace(first, doubtful=first.doubtful or other.doubtful, proven=first.proven or other.proven)
        elif {first.says, other.says} == {Says.ONE, Says.ONE_OR_TWO}:
            first = replace(first, says=Says.ONE_OR_TWO, doubtful=first.doubtful and other.doubtful)
        else:
            marks = {statement.mark: _words_for(statement) for statement in found}
            answer = asked.twice(gene, saying.name(gene), marks)
            return next((statement for statement in found if statement.mark == answer), first)
    return first


def _words_for(statement: Statement) -> Message:
    if statement.percent is not None:
        return say("possibly carried, {percent}%", percent=statement.percent)
    return _WORDS[statement.says]


def _two_alleles(
    statements: list[Statement], saying: Saying, catalogue: Catalogue, asked: Asked
) -> tuple[Statement, ...]:
    """Two recessives of one complex that show are one copy each; more than two copies are asked about (rule f)."""
    by_locus: dict[str, list[Statement]] = {}
    for statement in statements:
        if statement.gene in catalogue.genes:
            by_locus.setdefault(catalogue.genes[statement.gene].locus, []).append(statement)
    for locus, found in by_locus.items():
        if len(found) > 1:
            changed = _settle_locus(locus, found, saying, catalogue, asked)
            statements = [changed.get(s.gene, s) for s in statements if s not in found or s.gene in changed]
    return tuple(statements)


def _settle_locus(
    locus: str, found: list[Statement], saying: Saying, catalogue: Catalogue, asked: Asked
) -> dict[str, Statement]:
    shown = [s for s in found if s.says is Says.VISUAL]
    if len(shown) == 2:
        found = [replace(s, says=Says.ONE) if s.says is Says.VISUAL else s for s in found]
    copies = [s.gene for s in found for _ in range(_COPIES.get(s.says, 0))]
    possible = [s.gene for s in found if s.says is Says.POSSIBLE_HET]
    if len(copies) <= 2 and not (len(copies) == 2 and possible):
        return {s.gene: s for s in found}
    pairs = dict.fromkeys(combinations([*copies, *possible], 2))
    names = {f"{a}+{b}": _pair_name(a, b, saying, catalogue) for a, b in pairs}
    answer = asked.alleles(locus, catalogue.genes[found[0].gene].complex_name or locus, names)
    if not answer:
        return {s.gene: s for s in found}
    first, second = answer.split("+")
    recessive = catalogue.is_recessive(first)
    if first == second:
        return {first: Statement(first, Says.VISUAL if recessive else Says.TWO)}
    return {gene: Statement(gene, Says.ONE) for gene in (first, second)}


def _pair_name(first: str, second: str, saying: Saying, catalogue: Catalogue) -> str:
    if first != second:
        return f"{saying.name(first)} + {saying.name(second)}"
    return saying.name(first) if catalogue.is_recessive(first) else f"2 x {saying.name(first)}"
