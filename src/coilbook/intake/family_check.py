"""Compares what a sheet says of an animal's genes with what it and the book say of the parents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coilbook.intake.draft import Draft
from coilbook.intake.planned import Fate, GeneticsReader, Known, PlannedNote, PlannedParent
from coilbook.intake.questions import QuestionBook
from coilbook.intake.values import identity_key

#: the answer that keeps the text and drops what was read of it
TEXT = "text"


def check_findings(
    drafts: Sequence[Draft], known: Known, reader: GeneticsReader, book: QuestionBook, answers: Mapping[str, str]
) -> None:
    """Ask about every finding that no parent explains, where dam and all possible sires are known."""
    findings = _Findings(drafts, known, reader, answers)
    for draft in drafts:
        if draft.withheld or draft.finding is None or draft.dam is None or not draft.sire:
            continue
        question = reader.doubt(
            draft.claim, draft.finding, findings.of(draft.dam), [findings.of(sire) for sire in draft.sire]
        )
        if question is None:
            continue
        answer = book.ask(question.key, lambda question=question: question, draft.label)  # type: ignore[misc]
        if answer is None:
            draft.wait(question.key)
        elif answer == TEXT:
            _keep_as_remark(draft)


def _keep_as_remark(draft: Draft) -> None:
    """Nothing is taken from the genetics text; its words stay as a note."""
    draft.notes += (PlannedNote(f"{draft.claim_title}: {draft.claim}"),)
    draft.fates = [
        Fate.NOTE if cell == draft.claim and fate is Fate.FIELD else fate
        for cell, fate in zip(draft.row.cells, draft.fates, strict=True)
    ]
    draft.claim, draft.finding, draft.read_as, draft.text_kept = "", None, "", True


class _Findings:
    """What is known of a parent's genes: from its own row, or from the book."""

    def __init__(
        self, drafts: Sequence[Draft], known: Known, reader: GeneticsReader, answers: Mapping[str, str]
    ) -> None:
        self._in_plan: dict[str, Draft] = {}
        for draft in drafts:
            if not draft.withheld and draft.into is None:
                self._in_plan.setdefault(identity_key(draft.keeper_id), draft)
        self._in_book = {animal.id: animal.genetics for animal in known.animals if animal.genetics}
        self._reader = reader
        self._answers = answers

    def of(self, parent: PlannedParent) -> object:
        """The finding of a parent, None where nothing is known."""
        if parent.existing is not None:
            text = self._in_book.get(parent.existing, "")
            return self._reader.read(text, self._answers).finding if text else None
        draft = self._in_plan.get(identity_key(parent.keeper_id)) if parent.in_plan else None
        return draft.finding if draft is not None and draft.counts is None else None
