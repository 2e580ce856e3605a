"""Taking acts back: an undo is an act of its own, so it can be taken back too, also after a restart."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.operations.ancestry import refuse_rings
from coilbook.operations.doubled import warn_of_doubles
from coilbook.operations.feeding import refuse_untaken_come_back
from coilbook.operations.health_at_hand import refuse_past_the_end, refuse_two_quarantines
from coilbook.operations.moving import refuse_elsewhere
from coilbook.records.changes import Outcome
from coilbook.records.ids import ActId
from coilbook.records.message import Message, Refusal, say
from coilbook.records.stored_message import from_stored
from coilbook.records.vocabulary import Act
from coilbook.storage import journal, restore
from coilbook.storage.act import ActInHand
from coilbook.storage.collection import Collection

#: acts that no undo takes back, with the reason
FINAL = {Act.ERASE_PERSON: "A person who was erased stays erased."}


class RestsOn(Refusal):
    """Later acts rest on the one to undo: `acts`, newest first, can be taken back together with it."""

    def __init__(self, message: Message, acts: Sequence[ActId], told: Sequence[Message]) -> None:
        super().__init__(message)
        self.acts = tuple(acts)
        self.told = tuple(told)


def undo_act(collection: Collection, *, act: ActId, together: bool = False) -> Outcome[ActId]:
    """Take one act back; with `together` also the later acts that rest on it, all in one act.

    Raises `RestsOn` naming those later acts when there are any and `together` is not said.
    """
    if _kind_of(collection, act) is Act.RESTORE:
        return _undo_restore(collection, act, together)
    with collection.act(Act.UNDO, undoes=[act]) as hand:
        if act >= hand.id:
            raise Refusal(say("That act is not in the journal."))
        first = _told(hand, act)
        if journal.is_undone(hand.db, act):
            raise Refusal(say("That was taken back already: {what}.", what=first))
        _refuse_final(hand, act)
        later = journal.resting_on(hand.db, act)
        if later and not together:
            told = [_told(hand, a) for a in later]
            raise RestsOn(_rests_sentence(first, told), later, told)
        for one in later:
            _refuse_final(hand, one)
        hand.set_undoes([*later, act])
        for one in [*later, act]:
            journal.apply_inverse(hand.db, one)
        _refuse_impossible_parents(hand, [*later, act])
        refuse_elsewhere(hand)
        refuse_two_quarantines(hand)
        refuse_past_the_end(hand)
        refuse_untaken_come_back(hand)
        warn_of_doubles(hand)
        if later:
            hand.tell(
                say("undone with {n} later act: {what}", "undone with {n} later acts: {what}", n=len(later), what=first)
            )
        elif again := journal.undone_by(hand.db, act):
            hand.tell(say("done again: {what}", what=_told(hand, again[-1])))
        else:
            hand.tell(say("undone: {what}", what=first))
    return hand.outcome(Act.UNDO, act)


def _refuse_impossible_parents(hand: ActInHand, undone: Sequence[ActId]) -> None:
    """What came back may name as a parent an animal that was made a descendant in the meantime."""
    sql = "SELECT 1 FROM change WHERE act = ? AND tbl IN ('animal', 'sire') AND op <> 'I' LIMIT 1"
    if any(hand.rows(sql, (one,)) for one in undone):
        refuse_rings(hand)


def _kind_of(collection: Collection, act: ActId) -> Act | None:
    row = collection.read_one("SELECT kind FROM act WHERE id = ?", (act,))
    return Act(row[0]) if row else None


def _undo_restore(collection: Collection, act: ActId, together: bool) -> Outcome[ActId]:
    """Restore what stood before a restore; everything done since rests on it and goes into a backup first."""
    rows = collection.read("SELECT id, detail, kind FROM act WHERE id > ? AND in_force = 1 ORDER BY id DESC", (act,))
    told = [from_stored(detail) if detail else say("{act}", act=Act(kind)) for _, detail, kind in rows]
    what = say("the restore")
    if rows and not together:
        raise RestsOn(_rests_sentence(what, told), [ActId(row[0]) for row in rows], told)
    changes = restore.undo_restore(collection, act)
    return Outcome(act, changes, Act.UNDO, say("undone: {what}; what stood before is back", what=what))


def last_act(collection: Collection) -> ActId | None:
    """The newest act in force that Undo would take back: not itself an undo."""
    row = collection.read_one(
        "SELECT max(id) FROM act WHERE in_force = 1 AND undoes IS NULL AND kind <> ?", (Act.ERASE_PERSON.value,)
    )
    return ActId(row[0]) if row and row[0] is not None else None


def undo_last(collection: Collection) -> Outcome[ActId]:
    """Take the newest act back."""
    newest = last_act(collection)
    if newest is None:
        raise Refusal(say("There is nothing to undo."))
    return undo_act(collection, act=newest)


def redo_last(collection: Collection) -> Outcome[ActId]:
    """Take the newest undo back that was not done again yet, as long as nothing new was done since."""
    sql = "SELECT id, undoes FROM act WHERE in_force = 1 AND id < ? ORDER BY id DESC LIMIT 1"
    row = collection.read_one(sql, (1 << 62,))
    while row is not None and row[1] is not None:
        if not _did_again(collection, ActId(row[1])):
            return undo_act(collection, act=ActId(row[0]))
        row = collection.read_one(sql, (row[0],))
    raise Refusal(say("There is nothing to do again."))


def _did_again(collection: Collection, undone: ActId) -> bool:
    """True for an act that took `undone` back and thereby did something again: an undo, or an undo of a redo."""
    again = False
    row = collection.read_one("SELECT undoes FROM act WHERE id = ?", (undone,))
    while row is not None and row[0] is not None:
        again = not again
        row = collection.read_one("SELECT undoes FROM act WHERE id = ?", (row[0],))
    return again


def _told(hand: ActInHand, act: ActId) -> Message:
    rows = hand.rows("SELECT detail, kind FROM act WHERE id = ?", (act,))
    if not rows:
        raise Refusal(say("That act is not in the journal."))
    detail, kind = rows[0]
    return from_stored(detail) if detail else say("{act}", act=Act(kind))


def _refuse_final(hand: ActInHand, act: ActId) -> None:
    kind = hand.rows("SELECT kind FROM act WHERE id = ?", (act,))[0][0]
    if kind in FINAL:
        raise Refusal(say(FINAL[Act(kind)]))


def _rests_sentence(first: Message, told: Sequence[Message]) -> Message:
    return say(
        "{n} later act rests on this one ({what}). Undo them together?",
        "{n} later acts rest on this one ({what}). Undo them together?",
        n=len(told),
        what=first,
    )
