"""People: who keeps, helps, sells and buys; and forgetting one of them on request."""

from __future__ import annotations

import json
import re
import shutil
from enum import Enum

from coilbook.operations import own_words
from coilbook.operations.asks import Asks, Choice
from coilbook.records.changes import Outcome
from coilbook.records.ids import PersonId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.stored_message import from_stored, stored
from coilbook.records.vocabulary import Act, PersonRole
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection
from coilbook.storage.layout import CACHE
from coilbook.storage.tables import Person

ERASED = "erased"


def add_person(
    collection: Collection, *, name: str, role: PersonRole = PersonRole.OTHER, contact: str = "", note: str = ""
) -> Outcome[PersonId]:
    """Somebody the book speaks of."""
    with collection.act(Act.ADD_PERSON) as act:
        row = write_person(act, name, role, contact, note)
        act.tell(say("{person} added", person=" ".join(name.split())))
    return act.outcome(Act.ADD_PERSON, row)


def write_person(act: ActInHand, name: str, role: PersonRole, contact: str = "", note: str = "") -> PersonId:
    """The row of a person, inside an act."""
    plain = " ".join(name.split())
    if not plain:
        raise Refusal(say("A person needs a name."))
    return PersonId(act.insert(Person, name=plain, role=role.value, contact=contact.strip(), note=note.strip()))


def person_named(act: ActInHand, person: PersonId | None, name: str, role: PersonRole) -> PersonId | None:
    """Somebody known by id or by name, else somebody new by that name in this role; None when nobody was named."""
    plain = " ".join(name.split())
    if person is not None or not plain:
        return person
    known = act.rows("SELECT id FROM person WHERE name = ? COLLATE NOCASE ORDER BY active DESC, id LIMIT 1", (plain,))
    return PersonId(known[0][0]) if known else write_person(act, plain, role)


def edit_person(
    collection: Collection,
    *,
    person: PersonId,
    name: str | None = None,
    role: PersonRole | None = None,
    contact: str | None = None,
    note: str | None = None,
    active: bool | None = None,
) -> Outcome[PersonId]:
    """Correct what is known of a person; `active=False` takes them off the lists to choose from."""
    with collection.act(Act.EDIT_PERSON) as act:
        old = _name_of(act, person)
        values: dict[str, object] = {}
        if name is not None:
            if not name.strip():
                raise Refusal(say("A person needs a name."))
            values["name"] = " ".join(name.split())
        values |= {"role": role.value} if role is not None else {}
        values |= {"contact": contact.strip()} if contact is not None else {}
        values |= {"note": note.strip()} if note is not None else {}
        values |= {"active": int(active)} if active is not None else {}
        if values:
            act.update(Person, person, **values)
        act.tell(say("{person} changed", person=old))
    return act.outcome(Act.EDIT_PERSON, person)


def erase_person(collection: Collection, *, person: PersonId, words: bool | None = None) -> Outcome[PersonId]:
    """Forget a person on request: name, contact and note go from the book and from the journal too.

    Where the name stands in the keeper's own words, now or before a correction, raises `Asks`: with `words` it goes
    from there as well. This one act is not undone by design. Original import files and backups made before still hold
    the name; the outcome says so.
    """
    with collection.act(Act.ERASE_PERSON) as act:
        name = _name_of(act, person)
        act.update(Person, person, name=ERASED, contact="", note="", active=0)
        for one in _scrub_journal(act, person, name):
            if words is None:
                _ask_of_words(act, one)
            elif words:
                own_words.take_out(act, one, ERASED)
        act.warn(say("Backups made before and the original import files may still hold the name."))
        if left := len(own_words.in_book(act, name)):
            act.warn(say(_STILL_THERE, _STILL_THERE_MANY, n=left))
        act.tell(say("a person was erased"))
    # the kept list of animals holds their notes; it is made anew
    shutil.rmtree(collection.folder / CACHE, ignore_errors=True)
    return act.outcome(Act.ERASE_PERSON, person)


_STILL_THERE = "{n} entry still holds the name in the keeper's own words."
_STILL_THERE_MANY = "{n} entries still hold the name in the keeper's own words."


def _ask_of_words(act: ActInHand, name: str) -> None:
    now, before = len(own_words.in_book(act, name)), len(own_words.in_journal(act, name))
    if now or before:
        raise Asks(
            say(
                "The name '{name}' stands in your own words too: in {now} entries as they are and {before} as they were"
                " before a correction. Forget it there as well?",
                name=name,
                now=now,
                before=before,
            ),
            (Choice(say("There too"), {"words": True}), Choice(say("Leave my words"), {"words": False})),
        )


def _name_of(act: ActInHand, person: PersonId) -> str:
    rows = act.rows("SELECT name FROM person WHERE id = ?", (person,))
    if not rows:
        raise Refusal(say("That person is no longer in the book."))
    return str(rows[0][0])


def _scrub_journal(act: ActInHand, person: PersonId, name: str) -> list[str]:
    """Take a person out of the journal; gives every name they went by."""
    names = {name}
    for change, before in act.rows(
        "SELECT id, before FROM change WHERE tbl = 'person' AND row = ? AND before IS NOT NULL", (person,)
    ):
        row = json.loads(before)
        names.add(str(row["name"]))
        row |= {"name": ERASED, "contact": "", "note": ""}
        act.run("UPDATE change SET before = ? WHERE id = ?", (own_words.stored_row(row), change))
    act.run("UPDATE act SET person_name = ? WHERE person = ?", (ERASED, person))
    known = sorted(names - {ERASED, ""})
    for one in known:
        _scrub_words(act, one)
    return known


def _scrub_words(act: ActInHand, name: str) -> None:
    """Take a name out of what acts said of themselves: where it stands as a word, not inside another one."""
    alone, sql = own_words.alone(name), "SELECT id, detail FROM act WHERE instr(lower(detail), ?) > 0"
    for row, detail in act.rows(sql, (own_words.seed_of(name),)):
        told = from_stored(detail)
        if alone.search(str(told)):
            act.run("UPDATE act SET detail = ? WHERE id = ?", (stored(_without(told, alone)), row))


def _without(message: Message, name: re.Pattern[str]) -> Message:
    """The message without the name, also in messages it holds; ids of animals are never taken for a name."""
    values: dict[str, object] = {}
    for key, value in message.values.items():
        if isinstance(value, Message):
            values[key] = _without(value, name)
        else:
            is_name = isinstance(value, str) and not isinstance(value, Enum) and key != "animal"
            values[key] = name.sub(ERASED, str(value)) if is_name else value
    return say(message.text, message.plural, **values)
