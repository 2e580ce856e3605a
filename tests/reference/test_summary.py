"""The kept summary of every animal against a slow recomputation by hand, under random acts and their undoing."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from random import Random
from typing import Any

import pytest

from coilbook.derived import summary
from coilbook.records.ids import ActId
from coilbook.records.vocabulary import Act
from coilbook.records.when import moment_text
from coilbook.storage import journal, tables
from coilbook.storage.collection import Collection

NOW = dt.datetime(2026, 3, 29, 8, 31, tzinfo=dt.UTC)
COLUMNS = (
    "animal, weight_dg, weight_at, curve, taken_at, offered_at, offered_result, refused_since, pending, next_due,"
    " shed_at, blue_at, search"
)


def kept(collection: Collection) -> dict[int, dict[str, Any]]:
    rows = collection.read(f"SELECT {COLUMNS} FROM animal_now")
    return {row[0]: dict(zip(COLUMNS.replace(" ", "").split(","), row)) for row in rows}


def table(collection: Collection, name: str) -> list[dict[str, Any]]:
    columns = tables.column_names(tables.RECORDS_BY_NAME[name])
    rows = collection.read(f'SELECT {", ".join(columns)} FROM "{name}" ORDER BY id')
    return [dict(zip(columns, row)) for row in rows]


def by_hand(collection: Collection) -> dict[int, dict[str, Any]]:
    """Every column from every row of every table, one animal at a time."""
    rows = {name: table(collection, name) for name in tables.RECORDS_BY_NAME}
    animals = {a["id"]: a for a in rows["animal"]}
    places = {p["id"]: p for p in rows["place"]}
    interval = next((int(s["value"]) for s in rows["setting"] if s["name"] == "default_interval_days"), 10)
    spewed = {r["feeding_id"] for r in rows["regurgitation"]}
    answer = {}
    for number, animal in animals.items():
        mine = {n: [r for r in rows[n] if r.get("animal_id") == number] for n in rows}
        meals = sorted(mine["feeding"], key=lambda f: (f["at"], f["id"]))
        last_kept = -1
        for place, meal in enumerate(meals):
            if meal["result"] in ("taken", "taken_late") and meal["id"] not in spewed:
                last_kept = place
        offers = [m for m in meals if m["result"] != "not_offered"]
        weights = sorted((w for w in mine["weight"] if not w["doubted"]), key=lambda w: (w["at"], w["id"]))
        sheds = sorted(mine["shed"], key=lambda s: (s["at"], s["id"]))
        due = None
        if offers and animal["status"] == "here":
            days = animal["interval_days"] or interval
            due = (dt.date.fromisoformat(offers[-1]["at"][:10]) + dt.timedelta(days=days)).isoformat()
        answer[number] = {
            "animal": number,
            "weight_dg": weights[-1]["mass_dg"] if weights else None,
            "weight_at": weights[-1]["at"] if weights else None,
            "curve": curve(weights),
            "taken_at": meals[last_kept]["at"] if last_kept >= 0 else None,
            "offered_at": offers[-1]["at"] if offers else None,
            "offered_result": offers[-1]["result"] if offers else None,
            "refused_since": sum(m["result"] in ("refused", "struck") for m in meals[last_kept + 1 :]),
            "pending": sum(m["result"] == "pending" for m in meals),
            "next_due": due,
            "shed_at": max((s["at"] for s in sheds if s["kind"] not in ("blue", "clear")), default=None),
            "blue_at": sheds[-1]["at"] if sheds and sheds[-1]["kind"] == "blue" else None,
            "search": words(animal, mine, animals, places),
        }
    return answer


def curve(weights: list[dict[str, Any]]) -> str:
    if not weights:
        return ""
    newest = dt.date.fromisoformat(weights[-1]["at"][:10])
    first = (newest.replace(year=newest.year - 1)).isoformat()
    year = [w for w in weights if w["at"][:10] >= first]
    chosen, seen = [], set()
    for place, weight in enumerate(year):
        stretch = place if len(year) <= 24 else place * 23 // (len(year) - 1)
        if stretch not in seen:
            seen.add(stretch)
            chosen.append(f"{dt.date.fromisoformat(weight['at'][:10]).toordinal()}:{weight['mass_dg']}")
    return " ".join(chosen)


def words(animal: dict[str, Any], mine: Any, animals: Any, places: Any) -> str:
    parts = [animal["keeper_id"], animal["name"], animal["genetics"]]
    if animal["place_id"]:
        parts.append(places[animal["place_id"]]["label"])
    for parent in [animal["dam_id"]] * bool(animal["dam_id"]) + [s["sire_id"] for s in mine["sire"]]:
        parts += [animals[parent]["keeper_id"], animals[parent]["name"]]
    parts += [c["text"] for c in mine["claim"]] + [t["word"] for t in mine["tag"]] + [n["text"] for n in mine["note"]]
    parts += [animal[c] for c in ("microchip", "temperament", "holdback", "feeding_note")]
    return "\n".join(parts).casefold()


class Keeper:
    """Does random acts on a real collection."""

    def __init__(self, collection: Collection, seed: int) -> None:
        self.collection, self.chance = collection, Random(seed)

    def pick(self, name: str) -> int | None:
        ids = [i for (i,) in self.collection.read(f'SELECT id FROM "{name}"')]
        return self.chance.choice(ids) if ids else None

    def moment(self) -> str:
        return moment_text(NOW - dt.timedelta(hours=self.chance.randrange(24 * 700)))

    def step(self) -> None:
        doings = [self.feed, self.feed, self.feed, self.weigh, self.weigh, self.shed, self.write, self.edit, self.add]
        doings += [self.drop, self.regurgitate, self.undo, self.setting, self.rename, self.shift, self.parents]
        self.chance.choice(doings)()

    def add(self) -> None:
        with self.collection.act(Act.ADD_ANIMAL) as act:
            place = act.insert(tables.Place, name="t", label=f"R{self.chance.randrange(10**9)}")
            act.insert(tables.Animal, keeper_id=f"F-{self.chance.randrange(99)}Ä", genetics="Größe", place_id=place)

    def feed(self) -> None:
        if animal := self.pick("animal"):
            result = self.chance.choice([*tables.v.FeedingResult])
            with self.collection.act(Act.OFFER_FEEDING) as act:
                act.insert(tables.Feeding, animal_id=animal, at=self.moment(), result=str(result))

    def weigh(self) -> None:
        if animal := self.pick("animal"):
            with self.collection.act(Act.WEIGH) as act:
                for _ in range(self.chance.choice([1, 1, 40])):
                    doubted = int(self.chance.random() < 0.2)
                    mass = self.chance.randrange(500, 30000)
                    act.insert(tables.Weight, animal_id=animal, at=self.moment(), mass_dg=mass, doubted=doubted)

    def shed(self) -> None:
        if animal := self.pick("animal"):
            with self.collection.act(Act.SHED) as act:
                kind = str(self.chance.choice([*tables.v.ShedKind]))
                act.insert(tables.Shed, animal_id=animal, at=self.moment(), kind=kind)

    def write(self) -> None:
        if animal := self.pick("animal"):
            with self.collection.act(Act.WRITE_NOTE) as act:
                act.insert(tables.Note, animal_id=animal, at=self.moment(), text=self.chance.choice("ABCÖ"))
                act.insert(tables.Tag, animal_id=animal, word="Keep")
                act.insert(tables.Claim, animal_id=animal, text="Poss HET clown")

    def edit(self) -> None:
        if animal := self.pick("animal"):
            with self.collection.act(Act.EDIT_ANIMAL) as act:
                status = self.chance.choice(["here", "sold", "loan"])
                days = self.chance.choice([None, 7, 14])
                act.update(tables.Animal, animal, status=status, interval_days=days, name=self.chance.choice("ab"))

    def drop(self) -> None:
        name = self.chance.choice(["feeding", "weight", "shed", "note", "tag", "claim", "regurgitation", "sire"])
        row = self.pick(name)
        held = name == "feeding" and self.collection.read("SELECT 1 FROM regurgitation WHERE feeding_id = ?", (row,))
        if row and not held:
            with self.collection.act(Act.REMOVE_ENTRY) as act:
                act.delete(tables.RECORDS_BY_NAME[name], row)

    def regurgitate(self) -> None:
        rows = self.collection.read("SELECT id, animal_id FROM feeding WHERE result LIKE 'taken%'")
        if rows:
            meal, animal = self.chance.choice(rows)
            with self.collection.act(Act.REGURGITATION) as act:
                act.insert(tables.Regurgitation, animal_id=animal, feeding_id=meal, at=self.moment())

    def undo(self) -> None:
        newest = self.collection.read("SELECT max(id) FROM act WHERE in_force = 1")
        if newest[0][0]:
            with self.collection.act(Act.UNDO, undoes=[ActId(newest[0][0])]) as act:
                journal.apply_inverse(act.db, ActId(newest[0][0]))

    def setting(self) -> None:
        with self.collection.act(Act.CHANGE_SETTING) as act:
            act.db.execute_sql("DELETE FROM setting WHERE name = 'default_interval_days'")
            if self.chance.random() < 0.7:
                act.insert(tables.Setting, name="default_interval_days", value=str(self.chance.randrange(5, 20)))

    def rename(self) -> None:
        if place := self.pick("place"):
            with self.collection.act(Act.EDIT_PLACE) as act:
                act.update(tables.Place, place, label=f"Q{self.chance.randrange(10**9)}")

    def shift(self) -> None:
        """An entry written to the wrong animal is given to the right one."""
        name = self.chance.choice(["feeding", "weight", "shed", "note"])
        row, animal = self.pick(name), self.pick("animal")
        if row and animal:
            with self.collection.act(Act.EDIT_ENTRY) as act:
                act.update(tables.RECORDS_BY_NAME[name], row, animal_id=animal)

    def parents(self) -> None:
        child, dam, sire = self.pick("animal"), self.pick("animal"), self.pick("animal")
        if child and dam and sire:
            with self.collection.act(Act.SET_PARENTS) as act:
                act.update(tables.Animal, child, dam_id=dam)
                act.insert(tables.Sire, animal_id=child, sire_id=sire)


@pytest.mark.parametrize("seed", range(4))
def test_the_summary_follows_every_act_and_its_undoing(tmp_path: Path, seed: int) -> None:
    with Collection.create(tmp_path / "room", lambda: NOW) as collection:
        summary.attach(collection)
        keeper = Keeper(collection, seed)
        for _ in range(3):
            keeper.add()
        for _ in range(60):
            keeper.step()
            assert kept(collection) == by_hand(collection)
        assert summary.is_current(collection)
        with collection.writing() as db:
            summary.rebuild(db)
        assert kept(collection) == by_hand(collection)


def test_a_large_act_and_its_undo_are_followed_as_a_whole(tmp_path: Path) -> None:
    with Collection.create(tmp_path / "room", lambda: NOW) as collection:
        summary.attach(collection)
        keeper = Keeper(collection, 9)
        keeper.add()
        with collection.act(Act.IMPORT) as act:
            rows = [(f"J-{n}", "clown") for n in range(journal.LISTED_ROWS + 10)]
            act.insert_many(tables.Animal, ("keeper_id", "genetics"), rows)
            act.insert_many(
                tables.Weight, ("animal_id", "at", "mass_dg"), [(n, "2026-01-01T10:00", 800) for n in (2, 3)]
            )
        assert act.changes.everything
        assert kept(collection) == by_hand(collection)
        with collection.act(Act.UNDO, undoes=[act.id]) as back:
            journal.apply_inverse(back.db, act.id)
        assert len(kept(collection)) == 1
        assert kept(collection) == by_hand(collection)


def test_a_collection_written_without_the_summary_is_rebuilt_when_it_is_attached(tmp_path: Path) -> None:
    with Collection.create(tmp_path / "room", lambda: NOW) as collection:
        assert summary.is_current(collection)
        Keeper(collection, 1).add()
        assert not summary.is_current(collection)
        summary.attach(collection)
        assert summary.is_current(collection)
        assert kept(collection) == by_hand(collection)
