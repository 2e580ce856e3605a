"""The invented collection: the same from the same seed, whole, true to the figures the pictures show."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from coilbook.app.demo import build_demo, demo_clock, ready_demo
from coilbook.app.demo_room.cast import gather
from coilbook.app.demo_room.recipe import load_recipe
from coilbook.operations.care import write_note
from coilbook.operations.settings import settings_of
from coilbook.reads.eggs_now import eggs_now
from coilbook.reads.season import season_page
from coilbook.records.ids import AnimalId
from coilbook.records.message import Refusal
from coilbook.storage.check import check
from coilbook.storage.collection import Collection
from coilbook.storage.tables import RECORD_TABLES, table_name
from tests.barred_genes import BARRED


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("demo") / "room"
    build_demo(place)
    return place


@pytest.fixture(scope="module")
def demo(folder: Path) -> Iterator[Collection]:
    with Collection.open(folder, demo_clock(folder)) as collection:
        yield collection


def digest(collection: Collection) -> str:
    """Every row of every record table, the acts and the codes, as one hash."""
    found = hashlib.sha256()
    names = [table_name(m) for m in RECORD_TABLES] + ["act", "change", "code"]
    for name in names:
        for row in collection.read(f'SELECT * FROM "{name}" ORDER BY id'):
            found.update(repr(row).encode())
    return found.hexdigest()


def test_the_same_seed_gives_the_same_collection(demo: Collection, tmp_path: Path) -> None:
    build_demo(tmp_path / "again")
    with Collection.open(tmp_path / "again", demo.clock) as again:
        assert digest(again) == digest(demo)


def test_another_seed_gives_another_past() -> None:
    recipe = load_recipe()
    other = dataclasses.replace(recipe, seed=recipe.seed + 1)
    assert [c.looks for c in gather(recipe)] != [c.looks for c in gather(other)]


def test_it_is_whole(demo: Collection) -> None:
    assert check(demo).findings == ()


def test_it_is_about_180_animals_over_four_seasons(demo: Collection) -> None:
    counts = dict(demo.read("SELECT status, count(*) FROM animal GROUP BY status"))
    assert 160 <= counts["here"] <= 200
    assert counts["sold"] >= 20 and counts["dead"] >= 4 and counts["lost"] >= 1 and counts["outside"] >= 3
    assert counts["loan"] == 1
    years = {str(first)[:4] for (first,) in demo.read("SELECT hatched FROM animal WHERE keeper_id LIKE '2%-%'")}
    assert years == {"2023", "2024", "2025", "2026"}
    (entries,) = demo.read(
        "SELECT (SELECT count(*) FROM feeding) + (SELECT count(*) FROM weight) + (SELECT count(*) FROM shed)"
    )
    assert entries[0] > 15_000


def test_nobody_shares_a_slot_and_nobody_gone_has_one(demo: Collection) -> None:
    assert demo.read("SELECT place_id FROM animal WHERE place_id IS NOT NULL GROUP BY 1 HAVING count(*) > 1") == []
    assert demo.read("SELECT keeper_id FROM animal WHERE status <> 'here' AND place_id IS NOT NULL") == []
    in_cups = "SELECT animal_id FROM hatchling h JOIN animal a ON a.id = h.animal_id WHERE a.hatched >= '2026'"
    sql = f"SELECT keeper_id FROM animal WHERE status = 'here' AND place_id IS NULL AND id NOT IN ({in_cups})"
    assert demo.read(sql) == []


def test_no_barred_gene_stands_anywhere(demo: Collection) -> None:
    for model in RECORD_TABLES:
        rows = demo.read(f'SELECT * FROM "{table_name(model)}"')
        assert BARRED.found_in(str(value) for row in rows for value in row) == set()


def weights_of(demo: Collection, keeper_id: str) -> list[tuple[str, int, int]]:
    return [
        (str(at)[:10], int(mass), int(doubted))
        for at, mass, doubted in demo.read(
            "SELECT w.at, w.mass_dg, w.doubted FROM weight w JOIN animal a ON a.id = w.animal_id"
            " WHERE a.keeper_id = ? ORDER BY w.at",
            (keeper_id,),
        )
    ]


def test_the_figures_of_the_stories_are_there(demo: Collection) -> None:
    # S2 of the job: two fasts, one alarm, and a slip of the finger
    sorrel = weights_of(demo, "F-014")
    assert ("2026-02-10", 21_400, 0) in sorrel and sorrel[-1] == ("2026-03-22", 19_850, 0)
    ember = weights_of(demo, "M-07")
    assert ("2026-01-12", 870, 1) in ember and ("2026-01-12", 8_700, 0) in ember
    assert ember[-1] == ("2026-02-22", 7_650, 0)
    young = weights_of(demo, "J-22")
    assert [w[1] for w in young[-2:]] == [4_120, 3_710]
    refused = demo.read(
        "SELECT n.refused_since FROM animal_now n JOIN animal a ON a.id = n.animal WHERE a.keeper_id = 'F-014'"
    )
    assert refused == [(5,)]


def test_doubts_and_returns_are_in_it(demo: Collection) -> None:
    assert demo.read("SELECT count(*) FROM animal WHERE sex_percent < 100")[0][0] >= 3
    assert demo.read("SELECT count(*) FROM animal WHERE sex = 'unsexed'")[0][0] >= 3
    assert demo.read("SELECT group_concat(percent) FROM sire GROUP BY animal_id HAVING count(*) = 2")[0] == ("70,30",)
    assert demo.read("SELECT count(*) FROM departure WHERE kind = 'returned'")[0][0] == 1
    assert demo.read("SELECT count(*) FROM regurgitation WHERE feeding_id IS NOT NULL")[0][0] >= 3
    said = {text for (text,) in demo.read("SELECT text FROM claim")}
    assert "66% het clown" in said and "pastel pos het pied" in said


def test_the_round_of_tonight_is_at_hand(demo: Collection) -> None:
    rows = demo.read(
        "SELECT p.label, f.result FROM feeding f JOIN animal a ON a.id = f.animal_id JOIN place p ON p.id = a.place_id"
        " WHERE f.at >= '2026-03-29T12:00'"
    )
    assert {label.split("-")[0] for label, _ in rows} == {"R1", "R2"}
    assert sum(result == "pending" for _, result in rows) == 20
    assert ("R1-A4", "not_offered") in rows and ("R2-A1", "taken") in rows


def test_no_young_is_older_than_its_dam(demo: Collection) -> None:
    wrong = demo.read(
        "SELECT y.keeper_id FROM animal y JOIN animal d ON d.id = y.dam_id"
        " WHERE y.hatched <= date(d.hatched, '+2 years')"
    )
    assert wrong == []


def test_nothing_happens_before_an_animal_came_or_after_today(demo: Collection) -> None:
    for table in ("feeding", "weight", "shed", "sign_seen"):
        late = demo.read(f"SELECT count(*) FROM {table} WHERE at > '2026-03-29T20:14'")
        early = demo.read(f"SELECT count(*) FROM {table} t JOIN animal a ON a.id = t.animal_id WHERE t.at < a.hatched")
        assert (late[0][0], early[0][0]) == (0, 0), table


def test_a_recipe_that_fails_leaves_no_collection(tmp_path: Path) -> None:
    recipe = load_recipe()
    stays = [{"male": "M-99", "female": "F-014", "from": dt.date(2026, 3, 1), "to": dt.date(2026, 3, 2)}]
    broken = dataclasses.replace(recipe, lines={**recipe.lines, "stays": stays})
    with pytest.raises(KeyError):
        build_demo(tmp_path / "room", recipe=broken)
    assert not (tmp_path / "room").exists()


def test_a_second_start_opens_the_same_and_fresh_sets_it_aside(folder: Path, tmp_path: Path) -> None:
    place = tmp_path / "mine"
    assert ready_demo(place) == place
    with Collection.open(place, demo_clock(place)) as mine:
        write_note(mine, text="Mine.", animal=AnimalId(1))
        before = mine.clock()
    assert ready_demo(place) == place
    # the clock never goes back behind what was written
    assert demo_clock(place)() >= before.replace(microsecond=0)
    with Collection.open(place, demo_clock(place)) as mine:
        assert mine.read("SELECT count(*) FROM note WHERE text = 'Mine.'") == [(1,)]
    ready_demo(place, fresh=True)
    with Collection.open(place, demo_clock(place)) as anew:
        assert anew.read("SELECT count(*) FROM note WHERE text = 'Mine.'") == [(0,)]
    with Collection.open(tmp_path / "mine-before-1", demo_clock(place)) as aside:
        assert aside.read("SELECT count(*) FROM note WHERE text = 'Mine.'") == [(1,)]


def test_a_folder_with_other_things_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "a.txt").write_text("not ours", encoding="utf-8")
    with pytest.raises(Refusal):
        build_demo(tmp_path / "letters")
    assert (tmp_path / "letters" / "a.txt").read_text(encoding="utf-8") == "not ours"


def test_a_second_clutch_and_photographed_eggs_are_in_it(demo: Collection) -> None:
    """What the tour of the screens is to show."""
    today = demo.clock().date()
    page = season_page(demo, today, settings_of(demo))
    (again,) = [line for line in page.females if line.season.earlier]
    assert again.keeper_id == "F-004" and again.season.ovulation is not None
    assert [one.laying.label for one in again.season.earlier if one.laying is not None] == ["26-01"]
    assert [forecast.event.value for forecast in again.windows] == ["pre_lay_shed", "laying", "pip"]
    now = eggs_now(demo, dt.datetime.combine(today, dt.time(20)))
    pictured = [(egg.number, photo.caption) for clutch in now.clutches for egg in clutch.eggs for photo in egg.photos]
    assert [number for number, _ in pictured] == [2, 5, 5] and "veins all round" in dict(pictured).values()
    for (name,) in demo.read("SELECT sha256 FROM photo WHERE egg_id IS NOT NULL"):
        assert any(file.stem == name for file in (demo.folder / "photos").rglob("*"))
