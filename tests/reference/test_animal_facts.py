"""Facts of an animal's page against slow, obviously right counting, and the page against the stored rows themselves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coilbook.derived import summary
from coilbook.operations.animals import AnimalDetails, add_animal, set_parents
from coilbook.operations.feeding import record_regurgitation
from coilbook.operations.people import add_person
from coilbook.reads.animal_facts import fast_facts, kept_meals, shed_facts, weight_facts
from coilbook.reads.animal_page import animal_page
from coilbook.reads.animal_rows import Meal, ShedSeen, Weighing
from coilbook.records.ids import AnimalId, FeedingId, ShedId, WeightId
from coilbook.records.message import Refusal
from coilbook.records.vocabulary import (
    Act,
    FeedingResult,
    PersonRole,
    PreyState,
    Sex,
    ShedKind,
    Sign,
    WeightTag,
)
from coilbook.storage.collection import Collection
from coilbook.storage.tables import Feeding, Note, Shed, SignSeen, Weight

TODAY = dt.date(2026, 3, 29)
FIRST = dt.date(2024, 1, 1)
ZONE = dt.timezone(dt.timedelta(hours=2))

days = st.integers(0, (TODAY - FIRST).days)


def _at(day: int) -> str:
    return f"{(FIRST + dt.timedelta(days=day)).isoformat()}T20:00"


@st.composite
def meals(draw: st.DrawFn) -> tuple[Meal, ...]:
    drawn = sorted(
        draw(st.lists(st.tuples(days, st.sampled_from(FeedingResult), st.booleans()), max_size=25)), key=lambda m: m[0]
    )
    return tuple(
        Meal(FeedingId(n), _at(d), result, None, "rat", PreyState.FROZEN_THAWED, None, 1, "", kept)
        for n, (d, result, kept) in enumerate(drawn)
    )


@st.composite
def weights(draw: st.DrawFn) -> tuple[Weighing, ...]:
    drawn = sorted(
        draw(st.lists(st.tuples(days, st.integers(100, 30_000), st.booleans()), max_size=25)), key=lambda w: w[0]
    )
    return tuple(
        Weighing(WeightId(n), _at(d), mass, WeightTag.UNSAID, doubted, "") for n, (d, mass, doubted) in enumerate(drawn)
    )


def _day(at: str) -> dt.date:
    return dt.date.fromisoformat(at[:10])


@given(meals(), weights())
def test_the_fast_is_counted_from_the_last_meal_kept(offers: tuple[Meal, ...], weighed: tuple[Weighing, ...]) -> None:
    facts = fast_facts(offers, weighed, TODAY)
    last, refused, offered = None, [], None
    for meal in offers:
        if meal.result in (FeedingResult.TAKEN, FeedingResult.TAKEN_LATE) and meal.kept:
            last, refused = meal, []
        elif meal.result in (FeedingResult.REFUSED, FeedingResult.STRUCK):
            refused.append(meal)
        if meal.result is not FeedingResult.NOT_OFFERED:
            offered = meal
    assert facts.meal == last
    assert list(facts.refused) == refused
    assert facts.last_offer == offered
    assert facts.days == ((TODAY - _day(last.at)).days if last else None)
    assert facts.not_offered == ((TODAY - _day(offered.at)).days if offered else None)


@given(meals(), weights())
def test_the_trend_compares_only_weights_that_count(offers: tuple[Meal, ...], weighed: tuple[Weighing, ...]) -> None:
    facts = weight_facts(weighed, offers)
    good = [w for w in weighed if not w.doubted]
    if not good:
        assert facts is None
        return
    assert facts is not None and facts.now == good[-1]
    now, day = good[-1], _day(good[-1].at)
    month = [w for w in good[:-1] if _day(w.at) <= day - dt.timedelta(days=30)]
    assert (facts.short.then if facts.short else None) == (month[-1] if month else None)
    year = [w for w in good[:-1] if _day(w.at) >= day - dt.timedelta(days=365)]
    assert (facts.highest.then.mass_dg if facts.highest else None) == max((w.mass_dg for w in year), default=None)
    kept = kept_meals(offers)
    before = [w for w in good[:-1] if kept and _day(w.at) <= _day(kept[-1].at)]
    if kept and before and day > _day(kept[-1].at):
        assert facts.since_meal is not None and facts.since_meal.then == before[-1]
        exact = (now.mass_dg / before[-1].mass_dg - 1) * 1000
        assert abs(facts.since_meal.permille - exact) <= 0.5 + 1e-9
    else:
        assert facts.since_meal is None


@given(st.lists(st.tuples(days, st.sampled_from(ShedKind)), max_size=15).map(lambda s: sorted(s, key=lambda x: x[0])))
def test_the_own_interval_is_the_middle_of_the_last_four_gaps(drawn: list[tuple[int, ShedKind]]) -> None:
    sheds = tuple(ShedSeen(ShedId(n), _at(d), kind, "") for n, (d, kind) in enumerate(drawn))
    facts = shed_facts(sheds)
    done = [d for d, kind in drawn if kind not in (ShedKind.BLUE, ShedKind.CLEAR)]
    gaps = sorted([b - a for a, b in pairwise(done)][-4:])
    assert facts.interval == (gaps[(len(gaps) - 1) // 2] if gaps else None)
    assert (facts.shortest, facts.longest) == ((gaps[0], gaps[-1]) if gaps else (None, None))
    assert (facts.last is None) == (not done)


# --- the page against the stored rows -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    folder: Path = tmp_path_factory.mktemp("facts") / "book"
    collection = Collection.create(folder, lambda: dt.datetime(2026, 3, 29, 20, 14, tzinfo=ZONE))
    summary.attach(collection)
    for name in ("Wren", "Teo"):
        add_person(collection, name=name, role=PersonRole.KEEPER)
    random = Random(4)
    animals = [
        add_animal(
            collection, details=AnimalDetails(keeper_id=f"J-{n:02}", sex=Sex.FEMALE if n % 2 else Sex.MALE)
        ).value
        for n in range(8)
    ]
    for animal in animals:
        collection.at_keyboard(None, random.choice(("Wren", "Teo")))
        _fill(collection, animal, random)
    set_parents(collection, animal=animals[2], dam=animals[1], sires={animals[0]: 100})
    set_parents(collection, animal=animals[3], dam=animals[1], sires={animals[0]: 100})
    set_parents(collection, animal=animals[4], dam=animals[1], sires={animals[0]: 70, animals[6]: 30})
    yield collection
    collection.close()


def _fill(collection: Collection, animal: AnimalId, random: Random) -> None:
    def some(count: int) -> list[str]:
        return [_at(random.randrange(800)) for _ in range(count)]

    with collection.act(Act.OFFER_RACK) as act:
        results = [r.value for r in FeedingResult]
        act.insert_many(
            Feeding, ("animal_id", "at", "result"), [(animal, at, random.choice(results)) for at in some(40)]
        )
        rows = [(animal, at, random.randrange(500, 9000), random.randrange(2)) for at in some(20)]
        act.insert_many(Weight, ("animal_id", "at", "mass_dg", "doubted"), rows)
        kinds = [k.value for k in ShedKind]
        act.insert_many(Shed, ("animal_id", "at", "kind"), [(animal, at, random.choice(kinds)) for at in some(12)])
        signs = [s.value for s in Sign]
        act.insert_many(SignSeen, ("animal_id", "at", "sign"), [(animal, at, random.choice(signs)) for at in some(5)])
        act.insert_many(Note, ("animal_id", "at", "text"), [(animal, at, f"word {at}") for at in some(3)])
    record_regurgitation(collection, animal=animal)


def _ids(collection: Collection) -> list[AnimalId]:
    return [AnimalId(i) for (i,) in collection.read("SELECT id FROM animal ORDER BY id")]


def test_the_page_says_what_the_summary_of_the_collection_says(book: Collection) -> None:
    for animal in _ids(book):
        page = animal_page(book, animal)
        columns = "weight_dg, weight_at, taken_at, offered_at, refused_since, pending, shed_at"
        now = book.read_one(f"SELECT {columns} FROM animal_now WHERE animal = ?", (animal,))
        assert now is not None
        fast, weight, shed = (
            fast_facts(page.meals, page.weights, TODAY),
            weight_facts(page.weights, page.meals),
            shed_facts(page.sheds),
        )
        assert weight is not None
        assert (weight.now.mass_dg, weight.now.at) == now[:2]
        assert (fast.meal.at if fast.meal else None) == now[2]
        assert (fast.last_offer.at if fast.last_offer else None) == now[3]
        assert len(fast.refused) == now[4]
        assert sum(m.result is FeedingResult.PENDING for m in page.meals) == now[5]
        assert (shed.last.at if shed.last else None) == now[6]


def test_every_stored_row_of_an_animal_stands_in_its_timeline_once(book: Collection) -> None:
    tables = ("feeding", "weight", "shed", "sign_seen", "note", "regurgitation", "move", "cleaning", "photo", "claim")
    tables += ("departure", "acquisition", "label_print")
    for animal in _ids(book):
        entries = animal_page(book, animal).entries
        stored = {(t, r) for t in tables for (r,) in book.read(f"SELECT id FROM {t} WHERE animal_id = ?", (animal,))}
        assert sorted((e.table, e.row) for e in entries) == sorted(stored)
        times = [e.at or "" for e in entries]
        assert times == sorted(times, reverse=True)


def test_each_entry_names_who_entered_it_first(book: Collection) -> None:
    for animal in _ids(book):
        for entry in animal_page(book, animal).entries:
            row = book.read_one(
                "SELECT a.person_name FROM change c JOIN act a ON a.id = c.act"
                " WHERE c.tbl = ? AND c.row = ? ORDER BY c.id",
                (entry.table, entry.row),
            )
            assert row is not None and entry.who == row[0] != ""


def test_siblings_are_full_only_when_both_parents_are_sure(book: Collection) -> None:
    ids = _ids(book)
    child, brother, doubtful = (animal_page(book, ids[n]).family for n in (2, 3, 4))
    assert (child.full_siblings, child.half_siblings) == (1, 1) == (brother.full_siblings, brother.half_siblings)
    assert (doubtful.full_siblings, doubtful.half_siblings) == (0, 2)
    assert [s.percent for s in doubtful.sires] == [70, 30]
    sire = animal_page(book, ids[0]).family
    assert [(y.id, y.percent) for y in sorted(sire.young, key=lambda y: y.id)] == [
        (ids[2], 100),
        (ids[3], 100),
        (ids[4], 70),
    ]
    assert {y.id for y in animal_page(book, ids[1]).family.young} == set(ids[2:5])


class _Listening:
    """A collection that keeps what it was asked."""

    def __init__(self, collection: Collection) -> None:
        self._collection = collection
        self.asked: list[tuple[str, Sequence[object]]] = []

    def read(self, sql: str, values: Sequence[object] = ()) -> list[tuple[object, ...]]:
        self.asked.append((sql, values))
        return self._collection.read(sql, values)

    def read_one(self, sql: str, values: Sequence[object] = ()) -> tuple[object, ...] | None:
        self.asked.append((sql, values))
        return self._collection.read_one(sql, values)


def test_no_query_of_the_page_walks_through_a_whole_table(book: Collection) -> None:
    listening = _Listening(book)
    animal_page(listening, _ids(book)[4])  # type: ignore[arg-type]
    assert len(listening.asked) > 10
    for sql, values in listening.asked:
        steps = [str(step[3]) for step in book.read(f"EXPLAIN QUERY PLAN {sql}", values)]
        # a part of this very query, or the list of ids it was given, is no table
        small = ("SCAN (subquery", "SCAN CONSTANT", "SCAN json_each", "SCAN above")
        walked = [s for s in steps if s.startswith("SCAN") and not s.startswith(small)]
        assert not walked, (sql, steps)


def test_an_animal_that_is_not_in_the_book_is_said_plainly(book: Collection) -> None:
    with pytest.raises(Refusal, match="no longer in the book"):
        animal_page(book, AnimalId(999))
