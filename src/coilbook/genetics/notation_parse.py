"""Goes through the tokens of a genetics text once and notes what is said of which gene (grammar: job.md 10.2).

What "het" covers is a `Scope`; percentages are dealt out and contradictions settled by `notation_settle` afterwards.
"""

from __future__ import annotations

from collections.abc import Callable

from coilbook.genetics import notation_words as w
from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.gene_names import GeneNames, Sort, Target
from coilbook.genetics.notation_asides import aside_end, short_for
from coilbook.genetics.notation_flags import NOTE, Asked
from coilbook.genetics.notation_percents import percentages_at
from coilbook.genetics.notation_say import Before, Saying
from coilbook.genetics.notation_sex import SexSaid
from coilbook.genetics.notation_tokens import Kind, Token
from coilbook.records.vocabulary import Sex

_LONGEST_LINE = 3
#: misspellings looked up in one text; a page of prose is no genetics
_MOST_LOOKED_UP = 24


class Parse:
    """One pass over the tokens of `text`; the results are its public fields."""

    def __init__(self, text: str, tokens: list[Token], catalogue: Catalogue, names: GeneNames, asked: Asked) -> None:
        self._text = text
        self._tokens = tokens
        self._words = [t.text if t.kind in (Kind.WORD, Kind.NUMBER) else "" for t in tokens]
        self._catalogue = catalogue
        self._names = names
        self._asked = asked
        self._at = 0
        #: the token behind the last gene
        self._gene_end = -1
        self.saying = Saying(catalogue, asked)
        self._looked_up = 0
        self.remarks: list[int] = []
        self.normal = False
        self.sex = SexSaid(asked)

    # ---- the walk

    def run(self) -> None:
        """Read all tokens."""
        steps: dict[Kind, Callable[[Token], None]] = {
            Kind.WORD: self._word,
            Kind.NUMBER: self._number,
            Kind.SOFT: self._soft,
            Kind.HARD: self._hard,
            Kind.DOUBT: self._doubt,
            Kind.QUOTED: self._quoted,
            Kind.SEX: self._sex_sign,
            Kind.CROSS: self._other,
            Kind.OTHER: self._other,
        }
        while self._at < len(self._tokens):
            token = self._tokens[self._at]
            was_sex, self.sex.at_hand = self.sex.at_hand, False
            if token.kind is Kind.DOUBT and was_sex:
                self.sex.sure = False
                self._at += 1
                continue
            steps[token.kind](token)
        self.saying.drop_before()
        self.saying.settle_scope_end()

    def _soft(self, token: Token) -> None:
        if self.saying.before.het and self.saying.before.tokens[:1] == [self._gene_end]:
            # "Pied het 66%, Clown het": said of the gene before it, not of the next
            self.saying.drop_before()
        self._at += 1

    def _hard(self, token: Token) -> None:
        if token.text == "." and self.saying.before.tokens[-1:] == [self._at - 1]:
            self._at += 1  # the dot of an abbreviation: "poss. het"
            return
        self.saying.drop_before()
        self.saying.end_scope()
        self._at += 1

    def _other(self, token: Token) -> None:
        self.saying.unknown.append(self._at)
        self._at += 1

    def _quoted(self, token: Token) -> None:
        self.remarks.append(self._at)
        self._at += 1

    def _sex_sign(self, token: Token) -> None:
        self.sex.say(Sex.MALE if token.text == "♂" else Sex.FEMALE)
        self._at += 1

    def _doubt(self, token: Token) -> None:
        if self.saying.unknown[-1:] == [self._at - 1]:
            self.saying.unknown.append(self._at)
        elif self.saying.before.tokens:
            self.saying.before.doubt = True
            self.saying.before.tokens.append(self._at)
        elif self.saying.last:
            self.saying.doubt_last()
        else:
            self.saying.unknown.append(self._at)
        self._at += 1

    # ---- words

    def _word(self, token: Token) -> None:
        found = self._names.at(self._words, self._at)
        if found is not None:
            self._target(*found)
        elif not self._aside() and not self._keyword(token.text):
            self._strange_word()

    def _aside(self) -> bool:
        end = aside_end(self._tokens, self._words, self._names, self._at)
        if end == self._at or self.saying.before.proven:
            return False
        self.saying.unknown.extend(range(self._at, end))
        self._at = end
        return True

    def _next(self, ahead: int = 1) -> str:
        at = self._at + ahead
        return self._words[at] if at < len(self._words) else ""

    def _keyword(self, word: str) -> bool:
        before = self.saying.before
        if (before.het and word in w.SHOWN | w.NOT) or (word in w.HET and (before.visual or before.super)):
            # "Clown het visual yb": the one is not said of what the other is
            self.saying.drop_before()
            before = self.saying.before
        if word in w.HET:
            before.het = True
        elif word in w.POSSIBLE_HET:
            before.het = before.possible = True
        elif word in w.POSSIBLE:
            before.possible = True
        elif word in w.COUNTED:
            before.het, before.count = True, w.COUNTED[word]
        elif word in w.COUNTED_LONG and self._next() in w.HET:
            before.count = w.COUNTED_LONG[word]
        elif word in w.SUPER:
            before.super = True
        elif word in w.VISUAL:
            if self.saying.last and not before.tokens and not self._gene_follows():
                self._at += 1  # "Clown (visual)"
                return True
            before.visual = True
        elif word in w.PROVEN:
            return self._proven()
        elif word in w.NOT and (self._next() in w.HET or before.proven):
            before.negative = True
        else:
            return self._plain_keyword(word)
        before.tokens.append(self._at)
        self._at += 1
        return True

    def _gene_follows(self) -> bool:
        return bool(self._next()) and self._names.at(self._words, self._at + 1) is not None

    def _plain_keyword(self, word: str) -> bool:
        if word in w.NORMAL or (word == "wild" and self._next() == "type"):
            self.normal = True
            self._at += 1 if word != "wild" else 2
            return True
        if word in w.MALE or word in w.FEMALE:
            if self._next() in w.MAKER:
                self.saying.unknown.extend((self._at, self._at + 1))
                self._at += 2
                return True
            possible = self.saying.before.possible and not self.saying.before.het
            self.sex.say(Sex.MALE if word in w.MALE else Sex.FEMALE, sure=not possible)
            if possible:
                # "possible female" is said of the sex, not of the gene that follows
                self.saying.before = Before()
        elif word == w.OR and self.saying.last and (self._next() in w.GOES_ON or self._gene_follows()):
            self.saying.doubt_last()
            self.saying.before.doubt = True
        elif word not in w.FILLER:
            return False
        self._at += 1
        return True

    def _proven(self) -> bool:
        following = self._next()
        goes_on = following in w.BEFORE_GENE or following in w.NOT or following in w.HET_MISSPELLED
        if (
            not goes_on
            and self.saying.last
            and self.saying.last[-1].scope is not None
            and not self.saying.before.tokens
        ):
            for mention in self.saying.last:
                mention.proven = True
        else:
            self.saying.before.proven = True
            self.saying.before.tokens.append(self._at)
        self._at += 1
        return True

    # ---- numbers

    def _number(self, token: Token) -> None:
        found = self._names.at(self._words, self._at)
        if found is not None:
            self._target(*found)
            return
        percents, width = percentages_at(self._tokens, self._words, self._at)
        if percents:
            self._take_percents(percents, width)
        elif not token.percent and self.sex.count(
            token.text, genes_before=bool(self.saying.mentions), last=self._at == len(self._tokens) - 1
        ):
            self._at += 1
        elif token.text == "0" and token.percent and self._next() in w.HET:
            self.saying.drop_before()
            self.saying.before.negative = True
            self.saying.before.tokens.append(self._at)
            self._at += 1
        else:
            # a number that is no chance leaves a "het" behind it without one
            self.saying.before.possible |= self._next() in w.HET and (token.percent or len(token.text) == 2)
            self.saying.unknown.append(self._at)
            self._at += 1

    def _take_percents(self, percents: list[int], width: int) -> None:
        at = self._at + width
        following = self._words[at] if at < len(self._words) else ""
        before_het = following in w.AFTER_PERCENT
        ahead = self._names.at(self._words, at) if following else None
        said = self.saying
        last = said.last[-1] if said.last else None
        carried = last if last is not None and last.scope is not None and not last.scope.negative else None
        inside = self._tokens[self._at].inside and len(percents) == 1
        taken_back = False
        if carried and len(percents) == 1 and not (before_het or inside) and ahead is not None and said.scope:
            # "het clown 66% pied"
            answer = self._asked.loose_percent(percents[0], said.name(carried.gene), said.word_name(ahead[0]))
            if answer == "before":
                ahead, taken_back = None, True
            else:
                said.before.het = said.before.possible = True
        if carried is not None and len(percents) == 1 and (inside or not (before_het or ahead)):
            if carried.has_other(percents[0]) and not taken_back:
                said.unknown.extend(range(self._at, at))
            else:
                carried.percent = percents[0]
        elif said.before.percents not in ([], percents):
            said.unknown.extend(range(self._at, at))
        elif before_het or ahead is not None:
            said.before.percents = percents
            said.before.tokens.extend(range(self._at, at))
        elif said.before.het and not said.before.percents:
            # "Clown het 66%"
            said.before.percents = percents
            said.before.tokens.extend(range(self._at, at))
        elif len(percents) != 1 or self._at != self._gene_end or not said.percent_behind(percents[0]):
            said.unknown.extend(range(self._at, at))
        self._at = at

    # ---- words that are none

    def _strange_word(self) -> None:
        """A misspelling, a keeper's word for a line, or a remark."""
        token = self._tokens[self._at]
        if token.text in w.HET_MISSPELLED:
            self._misspelled(Target(Sort.WORD, "het"), 1, (Target(Sort.WORD, "het"),))
            return
        if short := short_for(self._tokens, self._words, self._names, self._at):
            self._misspelled(Target(Sort.WORD, short), 1, (Target(Sort.WORD, short),))
            return
        found = self._near_here(self._at)
        if found is not None:
            self._misspelled(found[0][0], found[1], found[0])
            return
        end = self._at + 1
        while end < len(self._tokens) and self._is_strange(end):
            end += 1
        if not self._line_before(end) and not self._line_after(end):
            self.saying.unknown.extend(range(self._at, end))
            self._at = end

    def _near_here(self, at: int) -> tuple[tuple[Target, ...], int] | None:
        if self._words[at] == w.LINE:
            return None
        for count in range(min(self._names.most_words, 3), 0, -1):
            words = self._words[at : at + count]
            if len(words) == count and all(words) and self._looked_up < _MOST_LOOKED_UP:
                self._looked_up += 1
                near = self._names.near(" ".join(words))
                if near:
                    return near, count
        return None

    def _is_strange(self, at: int) -> bool:
        word = self._words[at]
        if not word or self._tokens[at].percent or self._names.at(self._words, at) is not None:
            return False
        if word in w.RELATIVES or word in w.SHORT:
            return False
        return word == w.LINE or (word not in w.KEYWORDS | w.DENIED and self._near_here(at) is None)

    def _misspelled(self, target: Target, count: int, near: tuple[Target, ...]) -> None:
        start, end = self._tokens[self._at].start, self._tokens[self._at + count - 1].end
        answer = self._asked.spelling(self._text[start:end], near)
        if answer == NOTE:
            self._keep_beside(self._at + count)
            return
        target = next((one for one in near if one.value == answer), target)
        if target.sort is not Sort.WORD:
            self._target(target, count)
        elif not self._keyword(target.key):
            self._at += count

    # ---- lines

    def _needs_line(self, at: int) -> str:
        found = self._names.at(self._words, at) if at < len(self._words) and self._words[at] else None
        if found is None or found[0].sort is not Sort.GENE or not self._catalogue.genes[found[0].key].needs_line:
            return ""
        return found[0].key

    def _line_before(self, end: int) -> bool:
        """Strange words up to `end` directly before a gene that is kept in lines."""
        gene = self._needs_line(end)
        if not gene:
            return False
        words = self._words[self._at : end]
        start = self._at
        if w.LINE in words[:-1] and len(words) > _LONGEST_LINE:
            start += words.index(w.LINE)
        if end - start > _LONGEST_LINE:
            return False
        line = LineWord(gene, self._verbatim(start, end))
        if w.LINE not in words and self._asked.own_line(line, self.saying.name(gene)) == NOTE:
            self._keep_beside(end)
            return True
        self.saying.unknown.extend(range(self._at, start))
        found = self._names.at(self._words, end)
        assert found is not None
        self._at = end
        self._target(Target(Sort.GENE, self.saying.take_line(line)), found[1])
        return True

    def _line_after(self, end: int) -> bool:
        """Strange words directly after a gene that is kept in lines, up to `end`."""
        bare = self.saying.last[-1] if self.saying.last and not self.saying.before.tokens else None
        if bare is None or bare.combination or not self._words[self._at - 1]:
            return False
        gene = self._catalogue.genes.get(bare.gene)
        if gene is None or not gene.needs_line:
            return False
        words = self._words[self._at : end]
        explicit = words[0] == w.LINE and len(words) > 1
        if explicit:
            end = self._at + 2
        elif end - self._at > _LONGEST_LINE:
            return False
        line = LineWord(bare.gene, self._verbatim(self._at, end))
        explicit = explicit or w.LINE in words
        if not explicit and self._asked.own_line(line, self.saying.name(bare.gene)) == NOTE:
            self._keep_beside(end)
            return True
        bare.gene = self.saying.take_line(line)
        self._at = end
        return True

    def _keep_beside(self, end: int) -> None:
        self.remarks.extend(range(self._at, end))
        self._at = end

    def _verbatim(self, start: int, end: int) -> str:
        return " ".join(self._text[token.start : token.end] for token in self._tokens[start:end])

    def _target(self, target: Target, count: int) -> None:
        if target.sort is Sort.SHARED:
            self._shared(target.key, count)
        else:
            self.saying.say(target)
        self._at += count
        self._gene_end = self._at

    def _shared(self, word: str, count: int) -> None:
        """A look that several pairs of alleles have: which pair is for the keeper to say."""
        pairs = {"+".join(pair): " + ".join(map(self.saying.name, pair)) for pair in self._catalogue.shared_names[word]}
        answer = self._asked.which_pair(word, pairs)
        if answer in pairs:
            first, second = answer.split("+")
            self.saying.say_pair(first, second)
        elif answer:
            self.remarks.extend(range(self._at, self._at + count))
