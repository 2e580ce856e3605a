"""The questions a genetics text raises, in plain words, each under the key its answer is kept by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.gene_names import Sort, Target
from coilbook.genetics.statement import Choice, Flag, FlagKind
from coilbook.records.message import Message, say

NOTE = "note"
TEXT = "text"
UNKNOWN = "unknown"
_NOTE_CHOICE = Choice(NOTE, say("no gene: keep it as a remark"))
_TEXT_CHOICE = Choice(TEXT, say("keep the whole text as it is"))


def normalised(text: str) -> str:
    """A text as its answers are kept by: case and spaces do not count."""
    return " ".join(text.casefold().split())


class Asked:
    """Collects the flags of one text, each once, with the answers given."""

    def __init__(self, text: str, catalogue: Catalogue, answers: Mapping[str, str]) -> None:
        self._text = text
        self._catalogue = catalogue
        self._answers = answers
        self._flags: dict[str, Flag] = {}

    @property
    def flags(self) -> tuple[Flag, ...]:
        """All flags in the order they were raised."""
        return tuple(self._flags.values())

    def scope_stays_open(self) -> bool:
        """True where the keeper said that "het" goes on after the gene that would end it."""
        return self._answers.get(f"{FlagKind.SCOPE.value}|{normalised(self._text)}") == "open"

    def _ask(self, kind: FlagKind, key: str, message: Message, choices: Iterable[Choice], *, lasting: bool) -> str:
        if key not in self._flags:
            options = tuple(choices)
            given = self._answers.get(key, "")
            answer = given if any(option.value == given for option in options) else ""
            self._flags[key] = Flag(kind, message, key, options, lasting, answer)
        return self._flags[key].answer

    def _of_text(self, kind: FlagKind, message: Message, choices: Iterable[Choice], *, of: str = "") -> str:
        key = "|".join(part for part in (kind.value, of, normalised(self._text)) if part)
        return self._ask(kind, key, message, choices, lasting=False)

    def remark(self, words: str) -> None:
        """Something kept beside, nothing to ask."""
        self._flags.setdefault(
            f"remark|{words}", Flag(FlagKind.REMARK, say("{words} is kept as a remark.", words=words))
        )

    def spelling(self, word: str, near: Sequence[Target]) -> str:
        """A word that is nearly a known one."""
        choices = [Choice(t.value, say("{name}", name=self._name(t))) for t in near]
        message = say("'{word}': is {name} meant?", word=word, name=self._name(near[0]))
        key = f"spelling|{normalised(word)}"
        return self._ask(FlagKind.SPELLING, key, message, [*choices, _NOTE_CHOICE], lasting=True)

    def _name(self, target: Target) -> str:
        if target.sort is Sort.GENE:
            return self._catalogue.genes[target.key].name
        if target.sort is Sort.COMBINATION:
            return self._catalogue.combinations[target.key].name
        return target.key

    def unknown_word(self, words: str) -> str:
        """A word or phrase that means nothing here."""
        message = say("'{words}' is not understood. Keep it as a remark?", words=words)
        choices = [Choice(NOTE, say("yes, a remark")), _TEXT_CHOICE]
        key = f"word|{normalised(words)}"
        return self._ask(FlagKind.UNKNOWN_WORD, key, message, choices, lasting=True)

    def own_line(self, line: LineWord, gene: str) -> str:
        """A word beside a gene that is kept in lines."""
        message = say("Is '{words}' your word for a line of {gene}?", words=line.words, gene=gene)
        choices = [Choice("line", say("yes: remember it as a line")), _NOTE_CHOICE]
        key = f"line|{line.of}|{normalised(line.words)}"
        return self._ask(FlagKind.LINE, key, message, choices, lasting=True)

    def which_line(self, gene: str) -> str:
        """A gene that is kept in lines, without its line."""
        name = self._catalogue.genes[gene].name
        lines = [Choice(one.key, say("{name}", name=one.name)) for one in self._catalogue.lines_of(gene)]
        unknown = Choice(UNKNOWN, say("the line is not known"))
        message = say("Which line of {gene} is meant where none is written?", gene=name)
        return self._ask(FlagKind.LINE, f"line|{gene}", message, [*lines, unknown], lasting=True)

    def bare_het(self) -> str:
        """ "het" without a number."""
        message = say("Does 'het' without a number mean sure (100%) where you write it?")
        choices = [
            Choice("100", say("yes: it carries the gene for sure")),
            Choice(UNKNOWN, say("no: possible, and how likely is not known")),
        ]
        return self._ask(FlagKind.BARE_HET, "bare-het", message, choices, lasting=True)

    def no_percent(self) -> str:
        """ "possible het" without a number."""
        message = say("'{text}': how likely is 'possible'?", text=self._text.strip())
        choices = [Choice(UNKNOWN, say("not known"))]
        choices += [Choice(str(p), say("{percent}%", percent=p)) for p in (66, 50, 33, 25)]
        return self._of_text(FlagKind.NO_PERCENT, message, choices)

    def bare_percent(self, percent: int, gene: str) -> str:
        """A number before a recessive gene, without "het"."""
        message = say("Does '{percent}% {gene}' mean that it may carry {gene}?", percent=percent, gene=gene)
        choices = [Choice("het", say("yes: {percent}% possible het", percent=percent)), _TEXT_CHOICE]
        return self._ask(FlagKind.BARE_PERCENT, "bare-percent", message, choices, lasting=True)

    def loose_percent(self, percent: int, before: str, after: str) -> str:
        """A number between two genes."""
        message = say("'{text}': is {percent}% said of {gene} or of {other}?", text=self._text.strip(),
                      percent=percent, gene=before, other=after)  # fmt: skip
        choices = [Choice("after", say("of {gene}", gene=after)), Choice("before", say("of {gene}", gene=before))]
        return self._of_text(FlagKind.LOOSE_PERCENT, message, choices)

    def scope(self, gene: str, reopens: str) -> str:
        """A gene that shows with one dose, in what "het" covers; `reopens`: a recessive named after it, if any."""
        if reopens:
            message = say("'{text}': does 'het' go on after {gene}?", text=self._text.strip(), gene=gene)
            closed = Choice("closed", say("no: {gene} shows, and so does {other}", gene=gene, other=reopens))
            other = Choice("open", say("yes: {gene} shows, {other} is carried", gene=gene, other=reopens))
        else:
            message = say("'{text}': does {gene} show?", text=self._text.strip(), gene=gene)
            closed = Choice("closed", say("yes: 'het' ends before {gene}", gene=gene))
            other = Choice("doubt", say("not sure: {gene} with a question mark", gene=gene))
        return self._of_text(FlagKind.SCOPE, message, [closed, other, _TEXT_CHOICE])

    def doubt(self) -> str:
        """A question mark in the text."""
        message = say("'{text}': is it still in doubt?", text=self._text.strip())
        choices = [Choice("keep", say("yes: keep the doubt")), Choice("sure", say("no: it is sure by now"))]
        return self._of_text(FlagKind.DOUBT, message, choices)

    def het_behind(self) -> str:
        """ "het" with no gene behind it but one before it: "Clown het 66%"."""
        message = say("'{text}': is 'het' said of the gene that stands before it?", text=self._text.strip())
        choices = [Choice("het", say("yes: that gene is carried")), _TEXT_CHOICE]
        return self._of_text(FlagKind.HET_BEHIND, message, choices)

    def het_before_and_behind(self) -> str:
        """ "Pied het Clown het": of which gene the first is said changes what shows."""
        message = say("'{text}': does 'het' stand before its gene, or behind it?", text=self._text.strip())
        choices = [Choice("before", say("before it: the last one is a remark")), _TEXT_CHOICE]
        return self._of_text(FlagKind.HET_BEHIND, message, choices)

    def super_recessive(self, gene: str) -> str:
        """ "super" before a recessive."""
        message = say("{gene} is recessive: does 'super {gene}' mean that it shows?", gene=gene)
        choices = [Choice("visual", say("yes: it shows {gene}", gene=gene)), _TEXT_CHOICE]
        return self._ask(FlagKind.SUPER_RECESSIVE, f"super|{normalised(gene)}", message, choices, lasting=True)

    def proven_what(self, gene: str) -> str:
        """ "proven" before a gene, without "het"."""
        message = say("What is proven of {gene}?", gene=gene)
        choices = [Choice("het", say("that it carries {gene}", gene=gene)), Choice("visual", say("it shows {gene}",
                   gene=gene)), _TEXT_CHOICE]  # fmt: skip
        return self._of_text(FlagKind.PROVEN, message, choices)

    def het_shown(self, gene: str) -> str:
        """ "het" before a gene whose one dose shows."""
        message = say("One copy of {gene} shows: does 'het {gene}' mean one copy?", gene=gene)
        choices = [Choice("one", say("yes: it shows one copy")), _TEXT_CHOICE]
        return self._ask(FlagKind.HET_SHOWN, f"het-shown|{normalised(gene)}", message, choices, lasting=True)

    def count(self, said: int, found: int) -> str:
        """ "double het" and its like with another number of genes."""
        message = say("'{text}' speaks of {said} genes and names {found}. Is what it names right?",
                      text=self._text.strip(), said=said, found=found)  # fmt: skip
        return self._of_text(FlagKind.COUNT, message, [Choice("named", say("yes, as named")), _TEXT_CHOICE])

    def alleles(self, locus: str, name: str, pairs: Mapping[str, str]) -> str:
        """More alleles of one complex than an animal can have; `pairs`: value and name of what it can have."""
        message = say("'{text}': an animal has at most two alleles of the {complex}. Which does it have?",
                      text=self._text.strip(), complex=name)  # fmt: skip
        choices = [Choice(value, say("{genes}", genes=genes)) for value, genes in pairs.items()]
        return self._of_text(FlagKind.ALLELES, message, [*choices, _TEXT_CHOICE], of=locus)

    def which_pair(self, word: str, pairs: Mapping[str, str]) -> str:
        """The name of a look that several pairs of alleles have; `pairs`: value and name of each."""
        message = say("'{text}': which two alleles are meant by '{word}'?", text=self._text.strip(), word=word)
        choices = [Choice(value, say("{genes}", genes=genes)) for value, genes in pairs.items()]
        unknown = Choice(NOTE, say("not known: keep it as a remark"))
        return self._of_text(FlagKind.ALLELES, message, [*choices, unknown], of=word)

    def twice(self, gene: str, name: str, marks: Mapping[str, Message]) -> str:
        """One gene said in two ways that do not go together."""
        message = say("'{text}' says {gene} twice, in two ways. Which is right?", text=self._text.strip(), gene=name)
        choices = [Choice(mark, words) for mark, words in marks.items()]
        return self._of_text(FlagKind.TWICE, message, [*choices, _TEXT_CHOICE], of=gene)

    def several(self, sexes: str) -> str:
        """Sexes of several animals in one genetics text."""
        message = say("'{sexes}' stands for several animals. Is the genetics said of each?", sexes=sexes)
        return self._of_text(FlagKind.SEVERAL, message, [Choice("each", say("yes, of each")), _TEXT_CHOICE])
