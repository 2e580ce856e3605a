"""Boxes, clutches and eggs read from the book, many at once in a handful of queries."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import Any

from coilbook.reads.egg_rows import (
    BoxLooked,
    BoxNowRow,
    ClutchNow,
    Deed,
    EggLooked,
    EggMove,
    EggNow,
    Hatched,
    IncubatorNow,
    OpenDoubt,
    Parent,
    PhotoTaken,
)
from coilbook.records.egg_vocabulary import (
    ClutchMass,
    Dents,
    DoubtKind,
    EggDeed,
    HatchEvent,
    Lid,
    Medium,
    Outcome,
    Veins,
    Verdict,
)
from coilbook.records.ids import AnimalId, ClutchId, DoubtId, EggBoxId, EggId, IncubatorId
from coilbook.records.vocabulary import Precision, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

_PART = 500


def incubators(collection: Collection) -> tuple[IncubatorNow, ...]:
    """Every incubator, by name."""
    rows = collection.read("SELECT id, name, set_tenths, shelves, per_shelf, note FROM incubator ORDER BY name, id")
    return tuple(
        IncubatorNow(
            IncubatorId(i), str(n), s, tuple(str(shelves).split("\n")) if shelves else ("",), int(p), str(note)
        )
        for i, n, s, shelves, p, note in rows
    )


def boxes_in_use(collection: Collection) -> tuple[BoxNowRow, ...]:
    """Every box that was not emptied, by incubator, shelf and place."""
    rows = collection.read("SELECT id FROM egg_box WHERE emptied IS NULL ORDER BY incubator_id, shelf, spot, id")
    return boxes(collection, [EggBoxId(i) for (i,) in rows])


def boxes_of_clutches(collection: Collection, wanted: Sequence[ClutchId]) -> tuple[EggBoxId, ...]:
    """Every box in which eggs of these clutches lie or lay, emptied ones too."""
    lie = _many(collection, "SELECT DISTINCT box_id FROM egg WHERE box_id IS NOT NULL AND clutch_id IN", wanted)
    sql = "SELECT DISTINCT d.box_id FROM egg_done d JOIN egg e ON e.id = d.egg_id WHERE d.box_id IS NOT NULL"
    lay = _many(collection, f"{sql} AND e.clutch_id IN", wanted)
    return tuple(sorted({EggBoxId(box) for (box,) in (*lie, *lay)}))


def boxes(collection: Collection, wanted: Sequence[EggBoxId]) -> tuple[BoxNowRow, ...]:
    """These boxes with their clutches and all that was done, in the order asked for."""
    ids = list(dict.fromkeys(wanted))
    heads = _by(
        _many(
            collection,
            "SELECT b.id, b.label, b.incubator_id, coalesce(i.name, ''), b.shelf, b.spot, b.set_up, b.medium, b.dry_dg,"
            " b.water_dg, b.start_dg, b.lid, b.emptied, b.note FROM egg_box b"
            " LEFT JOIN incubator i ON i.id = b.incubator_id WHERE b.id IN",
            ids,
        )
    )
    # an egg that was moved on still belongs to the clutch this box holds
    held = _many(collection, "SELECT DISTINCT box_id, clutch_id FROM egg WHERE box_id IN", ids)
    found = {c.id: c for c in clutches(collection, [ClutchId(c) for _, c in held])}
    in_box: dict[int, list[ClutchNow]] = defaultdict(list)
    for box, clutch in held:
        in_box[box].append(found[ClutchId(clutch)])
    looks, waters = _looks_and_waters(collection, ids)
    deeds = _deeds_of_boxes(collection, ids)
    doubts, settled = _doubts(collection, ids)
    pictures = _photos(collection, "box_id", ids)
    moves = _moves(collection, ids)
    made = [
        _box(
            heads[box][0],
            tuple(sorted(in_box[box], key=lambda c: c.label)),
            looks[box],
            waters[box],
            tuple(deeds[box]),
            tuple(doubts[box]),
        )
        for box in ids
        if box in heads
    ]
    return tuple(
        replace(box, photos=tuple(pictures.get(box.id, ())), moves=moves[box.id], settled=tuple(settled[box.id]))
        for box in made
    )


def _looks_and_waters(
    collection: Collection, ids: Sequence[int]
) -> tuple[dict[int, tuple[BoxLooked, ...]], dict[int, tuple[tuple[str, int], ...]]]:
    looks = _grouped(
        _many(
            collection,
            "SELECT box_id, at, fine, total_dg, lid, eggs_dg, drops_under_lid, smell, note FROM box_look"
            " WHERE box_id IN",
            ids,
            "ORDER BY at, id",
        )
    )
    sql = "SELECT box_id, at, added_dg FROM box_water WHERE box_id IN"
    waters = _grouped(_many(collection, sql, ids, "ORDER BY at, id"))
    return (
        {box: tuple(_box_look(row) for row in looks[box]) for box in ids},
        {box: tuple((str(at), int(added)) for _, at, added in waters[box]) for box in ids},
    )


def clutches(collection: Collection, wanted: Iterable[ClutchId]) -> tuple[ClutchNow, ...]:
    """These clutches with parents and eggs, in the order asked for."""
    ids = list(dict.fromkeys(wanted))
    heads = _by(
        _many(
            collection,
            "SELECT c.id, c.label, c.dam_id, a.keeper_id, a.sex, a.genetics, c.laid, c.laid_precision,"
            " c.laid_doubt_days, c.mass_dg, c.mass_kind, c.maternal, c.note FROM clutch c"
            " LEFT JOIN animal a ON a.id = c.dam_id WHERE c.id IN",
            ids,
        )
    )
    sires = _grouped(
        _many(
            collection,
            "SELECT s.clutch_id, a.id, a.keeper_id, a.sex, a.genetics, s.percent FROM clutch_sire s"
            " JOIN animal a ON a.id = s.sire_id WHERE s.clutch_id IN",
            ids,
            "ORDER BY s.percent DESC, s.id",
        )
    )
    eggs: dict[int, list[EggNow]] = defaultdict(list)
    for egg in _eggs(collection, ids):
        eggs[egg.clutch].append(egg)
    return tuple(_clutch(heads[c][0], sires[c], tuple(eggs[c])) for c in ids if c in heads)


def _eggs(collection: Collection, of_clutches: Sequence[int]) -> list[EggNow]:
    rows = _many(
        collection,
        "SELECT e.id, e.clutch_id, c.label, e.number, e.box_id, e.x, e.y, e.mass_dg, e.stuck,"
        " (SELECT max(d.at) FROM egg_done d WHERE d.egg_id = e.id AND d.what = 'removed'),"
        " e.length_mm, e.width_mm, e.up_mark, e.twin_suspected, e.note"
        " FROM egg e JOIN clutch c ON c.id = e.clutch_id WHERE e.clutch_id IN",
        of_clutches,
        "ORDER BY e.clutch_id, e.number",
    )
    ids = [int(row[0]) for row in rows]
    looks = _grouped(
        _many(
            collection,
            "SELECT egg_id, at, verdict, veins, dents, thin_shell, wet, mould, turned, mass_dg, note FROM egg_look"
            " WHERE egg_id IN",
            ids,
            "ORDER BY at, id",
        )
    )
    steps = _grouped(
        _many(
            collection,
            "SELECT egg_id, twin, event, at, not_yet_at, assisted FROM hatching WHERE egg_id IN",
            ids,
            "ORDER BY at, id",
        )
    )
    young = _grouped(
        _many(
            collection,
            "SELECT h.egg_id, a.id, a.keeper_id FROM hatchling h JOIN animal a ON a.id = h.animal_id WHERE h.egg_id IN",
            ids,
            "ORDER BY h.twin",
        )
    )
    pictures = _photos(collection, "egg_id", ids)
    made = [_egg(row, looks[row[0]], steps[row[0]], young[row[0]]) for row in rows]
    return [replace(egg, photos=tuple(pictures.get(egg.id, ()))) for egg in made]


def _moves(collection: Collection, ids: Sequence[int]) -> dict[int, tuple[EggMove, ...]]:
    """Every move of an egg out of each box or into it. A deed knows the box an egg left; the next one of the same egg,
    or where it lies now, says where it went. An egg separated in its own box did not move."""
    rows = collection.read(
        "SELECT d.egg_id, e.number, d.at, d.away_dg, d.box_id, e.box_id FROM egg_done d JOIN egg e ON e.id = d.egg_id"
        " WHERE d.what IN ('moved', 'separated') ORDER BY d.egg_id, d.at, d.id"
    )
    found: dict[int, list[EggMove]] = {box: [] for box in ids}
    for row, after in zip_longest(rows, rows[1:]):
        egg, number, at, mass, out_of, now_in = row
        into = after[4] if after is not None and after[0] == egg else now_in
        for box in {out_of, into} & found.keys() if out_of != into else ():
            found[box].append(EggMove(EggId(egg), number, str(at), mass, out_of, into))
    return {box: tuple(moves) for box, moves in found.items()}


def _photos(collection: Collection, column: str, ids: Sequence[int]) -> dict[int, list[PhotoTaken]]:
    """Pictures of eggs or boxes, oldest first."""
    sql = f"SELECT {column}, at, sha256, ending, caption, before_id FROM photo WHERE {column} IN"
    found: dict[int, list[PhotoTaken]] = defaultdict(list)
    for about, at, sha256, ending, caption, before in _many(collection, sql, ids, "ORDER BY at, id"):
        found[about].append(PhotoTaken(str(at), str(sha256), str(ending), str(caption), before))
    return found


def _egg(row: Sequence[Any], looks: list[Any], steps: list[Any], young: list[Any]) -> EggNow:
    return EggNow(
        id=EggId(row[0]),
        clutch=ClutchId(row[1]),
        clutch_label=str(row[2]),
        number=int(row[3]),
        box=row[4],
        x=row[5],
        y=row[6],
        mass_dg=row[7],
        stuck=bool(row[8]),
        looks=tuple(_egg_look(look) for look in looks),
        hatching=tuple(Hatched(str(t), HatchEvent(e), str(at), n, bool(a)) for _, t, e, at, n, a in steps),
        removed_at=row[9],
        young=tuple((AnimalId(a), str(name)) for _, a, name in young),
        length_mm=row[10],
        width_mm=row[11],
        up_mark=_yes(row[12]),
        twin_suspected=bool(row[13]),
        note=str(row[14]),
    )


def _egg_look(row: Sequence[Any]) -> EggLooked:
    return EggLooked(
        at=str(row[1]),
        verdict=Verdict(row[2]),
        veins=Veins(row[3]),
        dents=Dents(row[4]),
        thin_shell=_yes(row[5]),
        wet=_yes(row[6]),
        mould=_yes(row[7]),
        turned=_yes(row[8]),
        mass_dg=row[9],
        note=str(row[10]),
    )


def _yes(value: int | None) -> bool | None:
    return None if value is None else bool(value)


def _box_look(row: Sequence[Any]) -> BoxLooked:
    return BoxLooked(str(row[1]), bool(row[2]), row[3], Lid(row[4]), row[5], _yes(row[6]), _yes(row[7]), str(row[8]))


def _clutch(row: Sequence[Any], sires: list[Any], eggs: tuple[EggNow, ...]) -> ClutchNow:
    dam = Parent(AnimalId(row[2]), str(row[3]), Sex(row[4]), str(row[5])) if row[2] is not None else None
    return ClutchNow(
        id=ClutchId(row[0]),
        label=str(row[1]),
        dam=dam,
        sires=tuple(Parent(AnimalId(a), str(k), Sex(s), str(g), int(p)) for _, a, k, s, g, p in sires),
        laid=PartialDate(dt.date.fromisoformat(row[6]), Precision(row[7])),
        doubt_days=int(row[8]),
        mass_dg=row[9],
        mass_kind=ClutchMass(row[10]),
        maternal=bool(row[11]),
        note=str(row[12]),
        eggs=eggs,
    )


def _box(
    row: Sequence[Any],
    held: tuple[ClutchNow, ...],
    looks: tuple[BoxLooked, ...],
    waters: tuple[tuple[str, int], ...],
    deeds: tuple[Deed, ...],
    doubts: tuple[OpenDoubt, ...],
) -> BoxNowRow:
    return BoxNowRow(
        id=EggBoxId(row[0]),
        label=str(row[1]),
        incubator=row[2],
        incubator_name=str(row[3]),
        shelf=row[4],
        spot=row[5],
        set_up=dt.date.fromisoformat(row[6]),
        medium=Medium(row[7]),
        dry_dg=row[8],
        water_dg=row[9],
        start_dg=row[10],
        lid=Lid(row[11]),
        emptied=_day(row[12]),
        note=str(row[13]),
        clutches=held,
        looks=looks,
        waters=waters,
        deeds=deeds,
        doubts=doubts,
    )


def _deeds_of_boxes(collection: Collection, ids: Sequence[int]) -> dict[int, list[Deed]]:
    rows = _many(
        collection,
        "SELECT d.box_id, d.id, d.at, d.egg_id, e.number, d.what, d.how, d.why, d.away_dg, d.came_of_it, d.seen_at"
        " FROM egg_done d LEFT JOIN egg e ON e.id = d.egg_id WHERE d.box_id IN",
        ids,
        "ORDER BY d.at, d.id",
    )
    found: dict[int, list[Deed]] = defaultdict(list)
    for box, ident, at, egg, number, what, how, why, away, came, seen in rows:
        found[box].append(Deed(ident, str(at), egg, number, EggDeed(what), how, why, away, Outcome(came), seen))
    return found


def _doubts(
    collection: Collection, ids: Sequence[int]
) -> tuple[dict[int, list[OpenDoubt]], dict[int, list[OpenDoubt]]]:
    """Doubts about each box and what lies in it: those still open, and those settled."""
    still: dict[int, list[OpenDoubt]] = defaultdict(list)
    settled: dict[int, list[OpenDoubt]] = defaultdict(list)
    wanted = set(ids)
    for doubt in doubts(collection, settled=True):
        if doubt.box in wanted and doubt.box is not None:
            (still if doubt.settled_on is None else settled)[doubt.box].append(doubt)
    return still, settled


def doubts(collection: Collection, *, settled: bool = False) -> tuple[OpenDoubt, ...]:
    """Open doubts, the one to look at first on top; with `settled` those that were settled as well."""
    where = "" if settled else "WHERE d.settled_on IS NULL"
    rows = collection.read(
        "SELECT d.id, d.kind, coalesce(a.keeper_id, c.label || '-' || e.number, b.label, k.label, ''),"
        " coalesce(d.box_id, e.box_id, (SELECT max(x.box_id) FROM egg x WHERE x.clutch_id = d.clutch_id)), d.egg_id,"
        " d.asked_on, d.question, d.candidates, d.settles_by, d.look_again, d.settled_on, d.answer, d.settled_by,"
        " d.animal_id"
        " FROM doubt d LEFT JOIN animal a ON a.id = d.animal_id LEFT JOIN egg e ON e.id = d.egg_id"
        " LEFT JOIN clutch c ON c.id = e.clutch_id LEFT JOIN egg_box b ON b.id = d.box_id"
        f" LEFT JOIN clutch k ON k.id = d.clutch_id {where}"
        " ORDER BY d.settled_on IS NOT NULL, coalesce(d.look_again, '9'), d.asked_on, d.id"
    )
    return tuple(
        OpenDoubt(
            DoubtId(r[0]), DoubtKind(r[1]), str(r[2]), r[3], r[4], dt.date.fromisoformat(r[5]), str(r[6]), str(r[7]),
            str(r[8]), _day(r[9]), _day(r[10]), str(r[11]), str(r[12]), r[13],
        )
        for r in rows
    )  # fmt: skip


def _day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None


def _many(collection: Collection, sql: str, ids: Sequence[int], tail: str = "") -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]] = []
    for start in range(0, len(ids), _PART):
        part = ids[start : start + _PART]
        found += collection.read(f"{sql} ({','.join('?' * len(part))}) {tail}", part)
    return found


def _grouped(rows: list[tuple[Any, ...]]) -> dict[int, list[tuple[Any, ...]]]:
    found: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for row in rows:
        found[row[0]].append(row)
    return found


def _by(rows: list[tuple[Any, ...]]) -> dict[int, list[tuple[Any, ...]]]:
    return dict(_grouped(rows))
