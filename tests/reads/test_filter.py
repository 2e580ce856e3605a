"""The typed filter on a real collection: what each term leaves, alone and combined, and what it says."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from coilbook.operations.animals import AnimalDetails, add_animal, tag
from coilbook.operations.care import record_shed, write_note
from coilbook.operations.departures import die, lend, lose, sell
from coilbook.operations.feeding import offer_feeding, record_regurgitation
from coilbook.operations.places import add_rack
from coilbook.operations.undo import undo_last
from coilbook.reads.filter import Filtered, filtered, in_order
from coilbook.reads.filter_next import completions
from coilbook.reads.filter_text import TermState
from coilbook.reads.herd import Herd, load
from coilbook.reads.herd_columns import YoungKnown
from coilbook.reads.herd_snapshot import keep, kept_herd, open_herd
from coilbook.reads.standing import STATES, State, states
from coilbook.records.ids import AnimalId, PlaceId
from coilbook.records.quantities import Mass, MassUnit
from coilbook.records.vocabulary import FeedingResult, Precision, Sex, ShedKind
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection
from tests.operations.conftest import Clock, book, clock

__all__ = ["book", "clock"]

TODAY = dt.date(2026, 3, 29)


def _year(number: int) -> PartialDate:
    return PartialDate(dt.date(number, 1, 1), Precision.YEAR)


class Herdbook:
    """Nine invented animals: every term of the filter finds somebody and leaves somebody out."""

    def __init__(self, book: Collection, clock: Clock) -> None:
        self.book, self.clock = book, clock
        for name, quarantine in (("R1", False), ("R2", False), ("QT", True)):
            add_rack(book, name=name, rows=("A",), columns=3, quarantine=quarantine)
        self.slots = {label: PlaceId(i) for i, label in book.read("SELECT id, label FROM place WHERE kind = 'slot'")}
        self.ids: dict[str, AnimalId] = {}
        self._living()
        self._gone()

    def add(self, keeper_id: str, sex: Sex, slot: str = "", grams: str = "", **more: object) -> AnimalId:
        details = AnimalDetails(keeper_id=keeper_id, sex=sex, **more)  # type: ignore[arg-type]
        mass = Mass(int(float(grams) * 10)) if grams else None
        made = add_animal(self.book, details=details, place=self.slots.get(slot), weight=mass).value
        self.ids[keeper_id] = made
        return made

    def offer(self, keeper_id: str, days_ago: int, result: FeedingResult) -> None:
        at = self.clock.now - dt.timedelta(days=days_ago)
        offer_feeding(self.book, animal=self.ids[keeper_id], result=result, at=at)

    def _living(self) -> None:
        dam = self.add("F-014", Sex.FEMALE, "R1-A1", "1842", genetics="Enchi 66% het clown", hatched=_year(2022))
        self.add("F-022", Sex.FEMALE, "R2-A1", "870", genetics="Albino", hatched=_year(2023))
        self.add("M-03", Sex.MALE, "R1-A2", "880", genetics="Clown", hatched=_year(2021))
        self.add("J-22", Sex.UNSEXED, "", "84.5", name="Ösp", hatched=PartialDate(dt.date(2025, 6, 14)))
        self.add("F-050", Sex.FEMALE, "QT-A1", "1500", sex_percent=80, dam_id=dam)
        for days, result in ((40, "taken"), (20, "refused"), (10, "struck")):
            self.offer("F-014", days, FeedingResult(result))
        self.offer("M-03", 40, FeedingResult.TAKEN)
        self.offer("M-03", 30, FeedingResult.NOT_OFFERED)
        self.offer("F-022", 5, FeedingResult.TAKEN)
        self.offer("J-22", 0, FeedingResult.PENDING)
        record_shed(self.book, animal=self.ids["F-050"], kind=ShedKind.BLUE)
        tag(self.book, animals=[dam], word="Keep back")
        write_note(self.book, animal=self.ids["M-03"], text="Shy eater, tail first")

    def _gone(self) -> None:
        for keeper_id, turn in (("F-031", sell), ("M-09", die), ("F-040", lend), ("M-11", lose)):
            turn(self.book, animal=self.add(keeper_id, Sex(("fe" if keeper_id[0] == "F" else "") + "male"), "", "900"))


@pytest.fixture
def room(book: Collection, clock: Clock) -> Herdbook:
    return Herdbook(book, clock)


@pytest.fixture
def herd(room: Herdbook) -> Herd:
    return load(room.book)


Left = Callable[[str], list[str]]


@pytest.fixture
def left(room: Herdbook, herd: Herd) -> Left:
    """Keeper's ids a line leaves, in the order of ids."""
    names = {number: name for name, number in room.ids.items()}

    def ask(text: str) -> list[str]:
        found = filtered(herd, text, TODAY)
        return [names[AnimalId(i)] for i in in_order(herd, found.mask, "animal").tolist()]

    return ask


HERE = ["F-014", "F-022", "F-050", "J-22", "M-03"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", HERE),
        ("female", ["F-014", "F-022", "F-050"]),
        ("Females", ["F-014", "F-022", "F-050"]),
        ("male", ["M-03"]),
        ("unsexed", ["J-22"]),
        ("over 1500 g", ["F-014"]),
        ("over 1499.9g", ["F-014", "F-050"]),
        ("over 1.5kg", ["F-014"]),
        (">1.4 kg", ["F-014", "F-050"]),
        ("under 100 g", ["J-22"]),
        ("under 2 lb", ["F-022", "J-22", "M-03"]),
        ("in R1", ["F-014", "M-03"]),
        ("in r1-a2", ["M-03"]),
        ("in R1 or R2", ["F-014", "F-022", "M-03"]),
        ("no place", ["J-22"]),
        ("in quarantine", ["F-050"]),
        ("in blue", ["F-050"]),
        ("hatched 2023", ["F-022"]),
        ("hatched 2022 or 2023", ["F-014", "F-022"]),
        ("hatched before 2022", ["M-03"]),
        ("hatched after 2022", ["F-022", "J-22"]),
        ("hatched since 2022", ["F-014", "F-022", "J-22"]),
        ("hatched June 2025", ["J-22"]),
        ("hatched 2025-06-14", ["J-22"]),
        ("hatched unknown", ["F-050"]),
        ("last meal over 30 days", ["F-014"]),
        ("last meal over 5 weeks", ["F-014"]),
        ("last meal under 10 d", ["F-022"]),
        ("not offered over 14 days", ["F-050", "M-03"]),
        ("not offered over 45 days", ["F-050"]),
        ("no meal", ["F-050", "J-22"]),
        ("due", ["F-014", "M-03"]),
        ("pending", ["J-22"]),
        ("tag keep back", ["F-014"]),
        ('tag "keep back"', ["F-014"]),
        ("clown", ["F-014", "M-03"]),
        ("CLOWN not het", ["M-03"]),
        ("f-014", ["F-014", "F-050"]),
        ("ösp", ["J-22"]),
        ('"shy eater"', ["M-03"]),
        ("eater shy", ["M-03"]),
        ('"eater shy"', []),
        ("female or unsexed", ["F-014", "F-022", "F-050", "J-22"]),
        ("not female", ["J-22", "M-03"]),
        ("not in R1", ["F-022", "F-050", "J-22"]),
        ("female over 1000 g in R1", ["F-014"]),
        ("sold", ["F-031"]),
        ("dead", ["M-09"]),
        ("loan", ["F-040"]),
        ("on loan", ["F-040"]),
        ("lost", ["M-11"]),
        ("sold or dead", ["F-031", "M-09"]),
        ("not sold", HERE),
        ("all", ["F-014", "F-022", "F-031", "F-040", "F-050", "J-22", "M-03", "M-09", "M-11"]),
        ("all not sold", ["F-014", "F-022", "F-040", "F-050", "J-22", "M-03", "M-09", "M-11"]),
        ("all male", ["M-03", "M-09", "M-11"]),
    ],
)
def test_a_line_leaves(left: Left, text: str, expected: list[str]) -> None:
    assert left(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "fem",
        "uns",
        "over",
        "over ",
        "under 1",
        "in",
        "in R",
        "in r1 or",
        "hatched",
        "hatched 20",
        "hatched before",
        "last",
        "last me",
        "last meal",
        "last meal over",
        "not",
        "not ",
        "tag",
        "tag ke",
        'tag "keep b',
        "no",
        "in bl",
    ],
)
def test_half_typed_terms_leave_the_list_as_it_is(herd: Herd, text: str) -> None:
    found = filtered(herd, text, TODAY)
    whole = filtered(herd, text.split(" or")[0] if " or" in text else "", TODAY)
    assert found.typing
    assert found.count == whole.count


def test_every_term_tells_what_it_left(herd: Herd) -> None:
    found = filtered(herd, "female over 1000 g in R1", TODAY)
    assert [(t.term.words, t.count) for t in found.terms] == [("female", 3), ("over 1000 g", 2), ("in R1", 1)]
    assert (found.count, found.among) == (1, 5)
    spans = ["female over 1000 g in R1"[t.term.start : t.term.end] for t in found.terms]
    assert spans == ["female", "over 1000 g", "in R1"]


def test_the_count_before_all_terms_takes_in_those_away_when_asked(herd: Herd) -> None:
    assert filtered(herd, "all", TODAY).among == 9


def _told(found: Filtered) -> str:
    return " ".join(str(message) for message in found.messages)


@pytest.mark.parametrize(
    ("text", "sentence", "count"),
    [
        ("in R9 female", "R9 is not a place here; nearest R1.", 0),
        ("tag zebra", "No animal has the tag 'zebra'.", 0),
        ("over 30 days female", "'over 30 days' of what?", 3),
        ("over 99 kg female", "over 25 kg", 3),
    ],
)
def test_what_is_not_as_thought_is_told(herd: Herd, text: str, sentence: str, count: int) -> None:
    found = filtered(herd, text, TODAY)
    assert sentence in _told(found)
    assert found.count == count
    assert any(t.term.state is TermState.UNKNOWN for t in found.terms)


def test_a_bare_number_is_in_the_keepers_unit(herd: Herd) -> None:
    assert filtered(herd, "over 60", TODAY, MassUnit.OUNCE).count == 1
    assert filtered(herd, "over 4", TODAY, MassUnit.POUND_OUNCE).count == 1
    assert filtered(herd, "over 1.6", TODAY, MassUnit.KILOGRAM).count == 1
    assert filtered(herd, "over 60", TODAY, MassUnit.GRAM).count == 5


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("fem", "female"),
        ("female ov", "female over 1500 g"),
        ("in R", "in R1"),
        ("in r1 or r", "in r1 or R1"),
        ("last", "last meal over 30 days"),
        ("not of", "not offered over 14 days"),
        ("tag k", "tag keep back"),
        ("female", "female over 1500 g"),
        ("female over 1500 g", "female over 1500 g last meal over 30 days"),
    ],
)
def test_a_line_completes_itself(herd: Herd, text: str, first: str) -> None:
    ways = completions(herd, text, TODAY)
    assert ways[0].casefold() == first.casefold()
    assert all(way.casefold().startswith(text.casefold()) for way in ways)


def test_every_completion_is_understood(herd: Herd) -> None:
    herd.young = YoungKnown(herd.ids[:1], herd.ids[1:2])
    for text in ("f", "o", "u", "h", "l", "n", "t", "i", "d", "s", "in ", "tag ", "not ", "hatched "):
        for way in completions(herd, text, TODAY):
            assert all(t.term.state is TermState.UNDERSTOOD for t in filtered(herd, way, TODAY).terms), way


def test_columns_sort_with_the_unknown_last_either_way(room: Herdbook, herd: Herd) -> None:
    names = {number: name for name, number in room.ids.items()}
    mask = filtered(herd, "", TODAY).mask

    def order(column: str, descending: bool = False) -> list[str]:
        return [names[AnimalId(i)] for i in in_order(herd, mask, column, descending=descending).tolist()]

    assert order("animal", True) == HERE[::-1]
    assert order("weight") == ["J-22", "F-022", "M-03", "F-050", "F-014"]
    assert order("weight", True) == ["F-014", "F-050", "M-03", "F-022", "J-22"]
    assert order("taken") == ["F-014", "M-03", "F-022", "F-050", "J-22"]
    assert order("taken", True) == ["F-022", "F-014", "M-03", "F-050", "J-22"]
    assert order("place") == ["F-014", "M-03", "F-022", "F-050", "J-22"]
    assert order("genetics") == ["F-022", "M-03", "F-014", "F-050", "J-22"]


def test_one_state_stands_for_each_animal(room: Herdbook, herd: Herd) -> None:
    record_regurgitation(room.book, animal=room.ids["F-022"])
    herd.advance(room.book)
    codes = states(herd, TODAY)
    said = {name: STATES[int(codes[herd.row_of(number)])] for name, number in room.ids.items()}
    assert said == {
        "F-014": State.FAST, "F-022": State.REGURGITATED, "M-03": State.NOT_OFFERED, "J-22": State.PENDING,
        "F-050": State.QUARANTINE, "F-031": State.SOLD, "M-09": State.DEAD, "F-040": State.LOAN, "M-11": State.LOST,
    }  # fmt: skip


def _same(one: Herd, other: Herd) -> None:
    assert {name: column.tolist() for name, column in one.columns.items()} == {
        name: column.tolist() for name, column in other.columns.items()
    }
    assert one.texts.all() == other.texts.all()
    assert one.order.tolist() == other.order.tolist()
    assert {w: h for w, h in one.tags.items() if h} == {w: h for w, h in other.tags.items() if h}
    assert one.places.labels == other.places.labels
    for column in ("animal", "genetics", "place", "weight"):
        assert one.sorted_order(column).tolist() == other.sorted_order(column).tolist()


def test_the_herd_follows_acts_and_their_undoing_as_if_read_anew(room: Herdbook, herd: Herd) -> None:
    acts: list[Callable[[], object]] = [
        lambda: room.add("A-001", Sex.MALE, "R2-A2", "500", genetics="Zebra"),
        lambda: tag(room.book, animals=[room.ids["M-03"]], word="show"),
        lambda: write_note(room.book, animal=room.ids["M-03"], text="Grünes Wasser"),
        lambda: room.offer("F-022", 0, FeedingResult.TAKEN),
        lambda: sell(room.book, animal=room.ids["F-014"]),
        lambda: add_rack(room.book, name="R0", rows=("A",), columns=2),
    ]
    for act in acts:
        act()
        herd.advance(room.book)
        _same(herd, load(room.book))
    for _ in acts:
        undo_last(room.book)
        herd.advance(room.book)
        _same(herd, load(room.book))


def test_a_snapshot_opens_as_the_same_herd_and_catches_up(room: Herdbook, herd: Herd) -> None:
    assert kept_herd(room.book) is None
    keep(room.book, herd)
    opened = kept_herd(room.book)
    assert opened is not None
    _same(opened, herd)
    room.add("Q-1", Sex.FEMALE, "R2-A3", "700", genetics="Gravel")
    later = kept_herd(room.book)
    assert later is not None
    _same(later, load(room.book))


@pytest.mark.parametrize("damage", [b"", b"not an archive", None])
def test_a_damaged_snapshot_is_passed_over(room: Herdbook, herd: Herd, damage: bytes | None) -> None:
    keep(room.book, herd)
    file: Path = room.book.folder / "cache" / "herd.npz"
    file.write_bytes(file.read_bytes()[:2000] if damage is None else damage)
    assert kept_herd(room.book) is None
    _same(open_herd(room.book), herd)


def test_a_snapshot_of_another_past_is_passed_over(room: Herdbook, herd: Herd) -> None:
    """A restored backup may have given the same act number to something else."""
    keep(room.book, herd)
    with room.book.writing() as db:
        db.execute_sql("UPDATE act SET at = '2020-01-01T00:00:00Z' WHERE id = (SELECT max(id) FROM act)")
        db.execute_sql("UPDATE animal_now SET weight_dg = 7")
    assert kept_herd(room.book) is None
    assert herd.is_far_behind(room.book)
    assert herd.advance(room.book) is None
    _same(herd, load(room.book))


@pytest.mark.parametrize(
    "text", ["last meal over ² days", "not offered under ²", "hatched ²²²²", "hatched 2023 or ²²²²", "over ²"]
)
def test_signs_that_look_like_digits_are_no_numbers(herd: Herd, text: str) -> None:
    for end in range(len(text) + 1):
        filtered(herd, text[:end], TODAY)
        filtered(herd, text[:end] + " female", TODAY)
    with_signs, with_letters = (filtered(herd, one, TODAY) for one in (text, text.replace("²", "z")))
    assert [one.term.state for one in with_signs.terms] == [one.term.state for one in with_letters.terms]
    assert with_signs.mask.tolist() == with_letters.mask.tolist()
