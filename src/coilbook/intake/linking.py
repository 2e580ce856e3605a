"""Ties the drafts together: places, parents, and rows put into one animal."""

from __future__ import annotations

from collections.abc import Sequence

from coilbook.intake.draft import Draft, merged
from coilbook.intake.places import Called, ParentBook, PlaceBook, split_pairing
from coilbook.intake.planned import Known, PlannedAnimal, PlannedNote, PlannedParent
from coilbook.intake.values import identity_key
from coilbook.records.message import say
from coilbook.records.vocabulary import Sex, Status


def place_drafts(drafts: Sequence[Draft], known: Known) -> None:
    """Settle where each animal sits, and say when two come to sit in one slot."""
    book = PlaceBook(known.places)
    sitting: dict[tuple[object, str, str, str], Draft] = {}
    for draft in drafts:
        if draft.withheld or not (draft.room or draft.rack or draft.slot):
            continue
        place = book.plan(draft.room, draft.rack, draft.slot)
        draft.place = place
        if place is None or not place.slot or draft.status not in (None, Status.HERE) or draft.into is not None:
            continue
        key = (place.existing, place.room.casefold(), identity_key(place.rack), identity_key(place.slot))
        other = sitting.setdefault(key, draft)
        if other is not draft:
            draft.warnings += (
                say(
                    "{animal} and {other} are both in {place}.",
                    animal=draft.label,
                    other=other.label,
                    place=" ".join(part for part in (place.rack, place.slot) if part),
                ),
            )


def link_parents(drafts: Sequence[Draft], known: Known) -> None:
    """Find every dam and sire in the sheet or the collection; the others will be outside animals."""
    written = [draft for draft in drafts if not draft.withheld]
    book = _parent_book(written, known)
    sexes: dict[str, Sex] = {identity_key(a.keeper_id): a.sex for a in known.animals}
    sexes.update({identity_key(draft.keeper_id): draft.sex for draft in written if draft.sex is not None})
    for draft in written:
        if draft.parents_text:
            _read_pairing(draft, sexes)
        if draft.dam_text:
            draft.dam = book.find(draft.dam_text, Sex.MALE)
            if draft.dam is None:
                _leave_open(draft, "Dam", draft.dam_text)
        if draft.sire_text:
            draft.sire = book.find_several(draft.sire_text, Sex.FEMALE) or ()
            if not draft.sire:
                _leave_open(draft, "Sire", draft.sire_text)
        if draft.dam or draft.sire:
            _check(draft, sexes)
    _open_rings(written)


def _parent_book(written: Sequence[Draft], known: Known) -> ParentBook:
    ids: dict[str, Called] = {}
    names: dict[str, list[Called]] = {}
    for draft in written:
        root = draft.into or draft
        called = Called(root.keeper_id, root.sex or draft.sex or Sex.UNSEXED)
        ids[identity_key(draft.keeper_id)] = called
        if draft.name:
            names.setdefault(identity_key(draft.name), []).append(called)
    return ParentBook(ids, names, known)


def _leave_open(draft: Draft, parent: str, text: str) -> None:
    """Keep a parent whose name several animals share as words: to guess would be worse than not to know."""
    told = "{animal}: several animals are called '{name}', so it was kept as a note. Write the id there."
    draft.warnings += (say(told, animal=draft.label, name=text),)
    draft.notes += (PlannedNote(f"{parent}: {text}"),)
    draft.text_kept = True


def _read_pairing(draft: Draft, sexes: dict[str, Sex]) -> None:
    pair = split_pairing(draft.parents_text)
    if pair is None:
        draft.text_kept = True
        return
    dam, sire = pair
    if sexes.get(identity_key(dam)) is Sex.MALE or sexes.get(identity_key(sire)) is Sex.FEMALE:
        dam, sire = sire, dam
    draft.dam_text = draft.dam_text or dam
    draft.sire_text = draft.sire_text or sire


def _check(draft: Draft, sexes: dict[str, Sex]) -> None:
    own = identity_key(draft.keeper_id)
    parents = [(draft.dam, Sex.MALE)] if draft.dam else []
    parents.extend((parent, Sex.FEMALE) for parent in draft.sire)
    for parent, wrong in parents:
        assert parent is not None
        key = identity_key(parent.keeper_id)
        if key == own:
            draft.warnings += (
                say("{animal} is named as its own parent; that was kept as a note.", animal=draft.label),
            )
            _drop(draft, parent)
        elif sexes.get(key) is wrong:
            draft.warnings += (
                say(
                    "{animal}: {parent} is {sex}, which its place as a parent contradicts.",
                    animal=draft.label,
                    parent=parent.keeper_id,
                    sex=wrong,
                ),
            )


def _open_rings(drafts: Sequence[Draft]) -> None:
    """Take away each parent that would make an animal its own ancestor; the first rows of the sheet are believed."""
    above: dict[str, set[str]] = {}
    for draft in drafts:
        own = identity_key((draft.into or draft).keeper_id)
        for parent in (draft.dam, *draft.sire) if draft.dam else draft.sire:
            key = identity_key(parent.keeper_id)
            if _is_above(above, own, key):
                draft.warnings += (
                    say(
                        "{animal}: {parent} descends from it by other rows; as its parent it was kept as a note.",
                        animal=draft.label,
                        parent=parent.keeper_id,
                    ),
                )
                _drop(draft, parent)
            else:
                above.setdefault(own, set()).add(key)


def _is_above(above: dict[str, set[str]], wanted: str, start: str) -> bool:
    """True when `wanted` is `start` or among its ancestors so far."""
    seen, front = {start}, [start]
    while front:
        fresh = above.get(front.pop(), set()) - seen
        seen |= fresh
        front += fresh
    return wanted in seen


def _drop(draft: Draft, parent: PlannedParent) -> None:
    if draft.dam is parent:
        draft.dam = None
        draft.notes += (PlannedNote(f"Dam: {parent.text}"),)
    else:
        draft.sire = tuple(other for other in draft.sire if other is not parent)
        draft.notes += (PlannedNote(f"Sire: {parent.text}"),)


def gather(drafts: Sequence[Draft]) -> tuple[PlannedAnimal, ...]:
    """The animals of all drafts in the order of the sheet, rows of one animal put together."""
    animals: list[PlannedAnimal] = []
    for draft in drafts:
        if draft.withheld or draft.into is not None:
            continue
        members = draft.freeze()
        draft.animals = tuple(range(len(animals), len(animals) + len(members)))
        animals.extend(members)
    for draft in drafts:
        if draft.withheld or draft.into is None:
            continue
        root = draft.into
        while root.into is not None:
            root = root.into
        if not root.animals:  # its row waits for an answer of its own
            draft.withhold()
            continue
        at = root.animals[0]
        animals[at] = merged(animals[at], draft.freeze()[0])
        draft.animals = (at,)
    return tuple(animals)
