"""What a keeper answers to a question that a genetics text raises: kept by the word or the text, and remembered."""

from __future__ import annotations

from collections.abc import Mapping

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.catalogue import LineWord
from coilbook.genetics.notation_reader import ANSWERS_KEPT_UNDER
from coilbook.genetics.own_entries import own_line
from coilbook.genetics.statement import Flag, FlagKind, Reading
from coilbook.records.changes import Outcome
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import Act, OwnKind
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.tables import ImportAnswer, OwnGene


def answer_label(collection: Collection, *, animal: AnimalId, key: str, answer: str) -> Outcome[str]:
    """Answer an open question of an animal's genetics text: `key` is the flag's, `answer` the value of a choice.

    It holds for every text with the same word or the same wording. A word for a line of a gene becomes an entry of the
    keeper's catalogue. Raises `Refusal` where the text asks that no more.
    """
    reading, species = _reading(collection, animal)
    flag = next((one for one in reading.questions if one.key == key), None)
    choice = next((one for one in flag.options if one.value == answer), None) if flag is not None else None
    if flag is None or choice is None:
        raise Refusal(say("The text asks that no more; it was changed, or answered elsewhere."))
    with collection.act(Act.ANSWER_LABEL) as act:
        remember_answers(act, {f"{ANSWERS_KEPT_UNDER}{key}": answer})
        line = _line(reading, flag)
        if line is not None and answer == "line":
            _keep_line(act, line, species)
        act.tell(say("{question} {answer}", question=flag.message, answer=choice.message))
    return act.outcome(Act.ANSWER_LABEL, answer)


def _reading(collection: Collection, animal: AnimalId) -> tuple[Reading, str]:
    book = book_of(collection)
    herd = book.current().herd_of(animal)
    row = collection.read_one("SELECT species FROM animal WHERE id = ?", (animal,))
    if herd is None or row is None:
        raise Refusal(say("There is no catalogue of this animal's species."))
    label = herd.rows.labels[herd.rows.label[herd.rows.place[animal]]]
    return book.reading_of(label, herd.inputs.catalogue), str(row[0])


def _line(reading: Reading, flag: Flag) -> LineWord | None:
    """The line a question is about, where it is about a keeper's word for one."""
    if flag.kind is not FlagKind.LINE:
        return None
    return next((one for one in reading.lines if flag.key == f"line|{one.of}|{_plain(one.words)}"), None)


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())


def _keep_line(act: ActInHand, line: LineWord, species: str) -> None:
    sql = "SELECT id FROM own_gene WHERE species = ? AND kind = ? AND key = ?"
    if not act.rows(sql, (species, OwnKind.LINE.value, line.key)):
        act.insert(OwnGene, species=species, kind=OwnKind.LINE.value, key=line.key, body=own_line(line).text)


def remember_answers(act: ActInHand, answers: Mapping[str, str]) -> None:
    """Keep answers under their keys; one given before is replaced."""
    kept = {str(k): (int(row), str(a)) for row, k, a in act.rows("SELECT id, fingerprint, answer FROM import_answer")}
    for key, answer in answers.items():
        row, before = kept.get(key, (0, ""))
        if not row:
            act.insert(ImportAnswer, fingerprint=key, answer=answer)
        elif before != answer:
            act.update(ImportAnswer, row, answer=answer)
