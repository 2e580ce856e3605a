"""Whose row is whose: repeated ids, one animal on several tabs, animals the collection has, rows without an id."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.intake.asking import (
    LEAVE_OUT,
    MERGE,
    SEPARATE,
    in_collection_question,
    no_id_question,
    same_id_question,
    same_on_tabs_question,
    spelling_question,
)
from coilbook.intake.draft import Draft
from coilbook.intake.planned import Known, KnownAnimal
from coilbook.intake.questions import Question, QuestionBook
from coilbook.intake.values import identity_key
from coilbook.records.message import say
from coilbook.records.vocabulary import Sex
from coilbook.records.when import PartialDate

#: names at least this alike (0 to 100) may be two spellings of one
_ALIKE = 86


class Identities:
    """Settles who every draft is; `settle` once with all drafts of all sheets in order."""

    def __init__(self, known: Known, book: QuestionBook, *, several_tabs: bool) -> None:
        self._book = book
        self._several_tabs = several_tabs
        self._exact = {animal.keeper_id: animal for animal in known.animals}
        self._known = {identity_key(animal.keeper_id): animal for animal in known.animals}
        self._seen: dict[str, Draft] = {}
        self._named: dict[str, list[Draft]] = {}
        self._taken: set[str] = set(self._known)
        self._next_number = 1

    def settle(self, drafts: Sequence[Draft]) -> None:
        """Give every draft its id, the draft it belongs to, or the animal of the collection it is."""
        self._taken.update(identity_key(draft.keeper_id or draft.name) for draft in drafts)
        for draft in drafts:
            if not draft.keeper_id and not self._give_id(draft):
                continue
            self._place(draft)

    def _give_id(self, draft: Draft) -> bool:
        if draft.name:
            draft.keeper_id = draft.name
            return True
        answer = self._ask(draft, no_id_question(self._new_number(peek=True)), f"row {draft.row.number}")
        if answer == "number":
            draft.keeper_id = self._new_number()
            return True
        if answer == LEAVE_OUT:
            self._leave_out(draft)
        return False

    def _new_number(self, *, peek: bool = False) -> str:
        number = self._next_number
        while identity_key(f"N-{number}") in self._taken:
            number += 1
        if not peek:
            self._next_number = number + 1
        return f"N-{number}"

    def _place(self, draft: Draft) -> None:
        key = identity_key(draft.keeper_id)
        first = self._seen.get(key)
        if first is not None:
            self._again(draft, first)
            return
        if self._several_tabs and draft.keeper_id == draft.name and self._is_other_spelling(draft):
            return
        known = self._exact.get(draft.keeper_id) or self._known.get(key)
        if known is not None and not draft.withheld:
            self._in_collection(draft, known)
        self._seen[identity_key(draft.keeper_id)] = draft
        if draft.name:
            self._named.setdefault(draft.name.casefold()[:1], []).append(draft)

    def _again(self, draft: Draft, first: Draft) -> None:
        if draft.withheld:
            return
        alike = _agree(draft, first.name, first.sex, first.hatched)
        if draft.sheet != first.sheet and alike:
            answer = self._ask(draft, same_on_tabs_question(), draft.keeper_id)
        else:
            question = same_id_question(
                f"same-id|{draft.sheet}|{draft.row.number}|{draft.keeper_id}",
                keeper_id=draft.keeper_id,
                other=say("row {row} ({tab})", row=str(first.row.number), tab=first.sheet),
                new_id=self._free_id(draft.keeper_id),
                alike=alike,
            )
            answer = self._ask(draft, question, draft.keeper_id)
        if answer == MERGE:
            draft.into = first
            if first.withheld:
                draft.withhold()
        elif answer == SEPARATE:
            self._separate(draft)
        elif answer == LEAVE_OUT:
            self._leave_out(draft)

    def _in_collection(self, draft: Draft, known: KnownAnimal) -> None:
        if _agree(draft, known.name, known.sex, known.hatched):
            answer = self._ask(draft, in_collection_question(), draft.keeper_id)
        else:
            question = same_id_question(
                f"known-id|{draft.keeper_id}",
                keeper_id=draft.keeper_id,
                other=say("your collection"),
                new_id=self._free_id(draft.keeper_id),
                alike=False,
            )
            answer = self._ask(draft, question, draft.keeper_id)
        if answer == MERGE:
            draft.existing = known.id
        elif answer == SEPARATE:
            self._separate(draft)
        elif answer == LEAVE_OUT:
            self._leave_out(draft)

    def _separate(self, draft: Draft) -> None:
        draft.keeper_id = self._free_id(draft.keeper_id)
        key = identity_key(draft.keeper_id)
        self._taken.add(key)
        self._seen[key] = draft

    def _free_id(self, keeper_id: str) -> str:
        number = 2
        while identity_key(f"{keeper_id} ({number})") in self._taken:
            number += 1
        return f"{keeper_id} ({number})"

    def _is_other_spelling(self, draft: Draft) -> bool:
        """True when the row was settled as (or waits to be) another spelling of a name on another tab."""
        from rapidfuzz import fuzz, process  # on first use

        name = draft.name.casefold()
        others = self._named.get(name[:1], [])
        near = process.extract(
            name, [other.name.casefold() for other in others], scorer=fuzz.ratio, score_cutoff=_ALIKE, limit=5
        )
        for _, _, at in near:
            other = others[at]
            if other.sheet == draft.sheet:
                continue
            if not _agree(draft, "", other.sex, other.hatched):
                continue
            question = spelling_question(
                f"spelling|{draft.name}|{other.name}", name=draft.name, other=other.name, where=other.sheet
            )
            answer = self._ask(draft, question, draft.name)
            if answer == SEPARATE:
                continue
            if answer == MERGE:
                draft.into = other
            return True
        return False

    def _ask(self, draft: Draft, question: Question, example: str) -> str | None:
        answer = self._book.ask(question.key, lambda: question, example)
        if answer is None:
            draft.wait(question.key)
            draft.withhold()
        return answer

    def _leave_out(self, draft: Draft) -> None:
        draft.reason = say("{animal} was left out, as you answered; the row is kept as text.", animal=draft.label)
        draft.withhold()


def _agree(draft: Draft, name: str, sex: Sex | None, hatched: PartialDate | None) -> bool:
    """True when nothing speaks against one animal: sex, hatch date, name."""
    unsexed = (None, Sex.UNSEXED)
    if draft.sex not in unsexed and sex not in unsexed and draft.sex is not sex:
        return False
    if draft.hatched and hatched and (draft.hatched.last < hatched.first or hatched.last < draft.hatched.first):
        return False
    if draft.name and name and draft.name.casefold() != name.casefold():
        from rapidfuzz import fuzz  # on first use

        return bool(fuzz.ratio(draft.name.casefold(), name.casefold()) >= _ALIKE)
    return True
