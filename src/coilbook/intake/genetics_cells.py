"""The genetics of a sheet's cells, read by the catalogue: findings, and questions asked once and remembered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from coilbook.genetics.catalogue import Catalogue, LineWord
from coilbook.genetics.notation_flags import normalised
from coilbook.genetics.notation_printer import print_statements
from coilbook.genetics.notation_reader import ANSWERS_KEPT_UNDER, read
from coilbook.genetics.statement import Flag, Reading, Says, Tier
from coilbook.intake.family_check import TEXT
from coilbook.intake.planned import GeneticsReading
from coilbook.intake.questions import Option, Question, Scope
from coilbook.records.message import say


class GeneticsCells:
    """A `GeneticsReader`: reads every different text once, whatever its case and spaces.

    Its findings are `Reading`s; those with an open question are carried along, but say nothing yet.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        self._shipped = catalogue
        self._catalogue = catalogue
        self._readings: dict[str, GeneticsReading] = {}

    def learn(self, texts: Iterable[str], answers: Mapping[str, str]) -> None:
        """Take up the lines that some texts name, so that a text without its line can be asked about them."""
        own = _own_answers(answers)
        lines = {
            line: None for text in dict.fromkeys(texts) for line in read(text, self._shipped, answers=own).sure_lines
        }
        self._catalogue = self._catalogue.with_lines(lines)
        self._readings.clear()

    def read(self, text: str, answers: Mapping[str, str]) -> GeneticsReading:
        """Read one text; the answers are those of one import, and the same for all its texts."""
        found = self._readings.get(text)
        if found is None:
            found = self._readings[text] = self._read(text, answers)
        return found

    def _read(self, text: str, answers: Mapping[str, str]) -> GeneticsReading:
        reading = read(text, self._catalogue, answers=_own_answers(answers))
        return GeneticsReading(
            finding=replace(reading, lines=(*reading.lines, *self._learned(reading))),
            questions=tuple(_question(flag) for flag in reading.flags if flag.options),
            text_kept=reading.tier is Tier.TEXT_KEPT,
            sex=reading.sex,
            sex_sure=reading.sex_sure,
            read_as=print_statements(reading.statements, self._catalogue.with_lines(reading.lines)),
        )

    def _learned(self, reading: Reading) -> tuple[LineWord, ...]:
        """The lines the text names that only this sheet has taught."""
        genes = (self._catalogue.genes.get(statement.gene) for statement in reading.statements)
        taught = [gene for gene in genes if gene is not None and gene.line_of and gene.key not in self._shipped.genes]
        return tuple(LineWord(gene.line_of, gene.line) for gene in taught)

    def doubt(self, text: str, young: object, dam: object, sires: Sequence[object]) -> Question | None:
        """Ask where neither the dam nor any possible sire has a gene the text names.

        Nothing is asked while a parent's genes are not known: an empty cell is not a normal animal.
        """
        if not _is_settled(young):
            return None
        parents = [parent for parent in (dam, *sires) if _is_settled(parent)]
        if len(parents) != 1 + len(sires):
            return None
        assert isinstance(young, Reading)
        readings = [parent for parent in parents if isinstance(parent, Reading)]
        missing = unexplained(young, readings, self._catalogue)
        if not missing:
            return None
        return _unexplained_question(text.strip(), [young, *readings], ", ".join(map(self._name, missing)))

    def _name(self, gene: str) -> str:
        return self._catalogue.genes[gene].name if gene in self._catalogue.genes else gene


def _unexplained_question(text: str, readings: Sequence[Reading], genes: str) -> Question:
    """Ask about genes that no parent has; `readings` are those of the young, the dam and the sires."""
    told = " / ".join(f"'{reading.text.strip()}'" for reading in readings[1:])
    key = "|".join(("parents", *(normalised(reading.text) for reading in readings)))
    asked = say(
        "'{text}': no parent is known to have {genes} ({parents}). Is it right?", text=text, genes=genes, parents=told
    )
    options = (
        Option("right", say("yes: a parent carries it, or another animal is the parent")),
        Option(TEXT, say("not sure: keep it as a remark only")),
    )
    return Question(ANSWERS_KEPT_UNDER + key, asked, options, Scope.WORD)


def unexplained(young: Reading, parents: Sequence[Reading], catalogue: Catalogue) -> tuple[str, ...]:
    """The genes a text says an animal has or may have, of which no parent has a copy by its own text.

    A gene without its line may be any of its lines.
    """
    offered = {s.gene for parent in parents for s in parent.statements if s.says is not Says.PROVEN_NOT}
    bare = {gene for gene in offered if gene in catalogue.genes and catalogue.genes[gene].needs_line}
    lines_of = {_base(gene, catalogue) for gene in offered}
    missing: list[str] = []
    for statement in young.statements:
        gene, base = statement.gene, _base(statement.gene, catalogue)
        known = gene in offered or base in bare or (gene == base and base in lines_of)
        if statement.says is not Says.PROVEN_NOT and not known:
            missing.append(gene)
    return tuple(missing)


def _base(gene: str, catalogue: Catalogue) -> str:
    """The gene a line is of; a gene without lines is its own."""
    entry = catalogue.genes.get(gene)
    return entry.line_of or gene if entry is not None else gene.partition(" (")[0]


def _is_settled(finding: object) -> bool:
    return isinstance(finding, Reading) and finding.tier is Tier.READY


def _own_answers(answers: Mapping[str, str]) -> dict[str, str]:
    start = len(ANSWERS_KEPT_UNDER)
    return {key[start:]: value for key, value in answers.items() if key.startswith(ANSWERS_KEPT_UNDER)}


def _question(flag: Flag) -> Question:
    options = tuple(Option(choice.value, choice.message) for choice in flag.options)
    return Question(ANSWERS_KEPT_UNDER + flag.key, flag.message, options, Scope.WORD, suggested=options[0].value)
