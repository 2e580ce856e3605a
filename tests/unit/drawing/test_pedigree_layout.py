"""The laws of a family picture, on any family: right generations, nothing on anything, each line its own, stable."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coilbook.drawing.family import Certainty, FamilyPicture, Member, tree_of, whole_families
from coilbook.drawing.family_map import APART, set_out
from coilbook.drawing.layered import Layers, crossings, ordered, placed
from coilbook.drawing.pedigree_layout import MAP_SIZE, Card, CardSize, PedigreeLayout, lay_out

SIZE = CardSize()
SIZES = st.sampled_from([SIZE, MAP_SIZE])


def family(*rows: tuple[int, int | None, tuple[tuple[int, int], ...]]) -> dict[int, Member]:
    return {key: Member(key, dam, sires) for key, dam, sires in rows}


@st.composite
def families(draw: st.DrawFn, most: int = 24) -> dict[int, Member]:
    members: dict[int, Member] = {}
    for key in range(1, draw(st.integers(1, most)) + 1):
        dam = draw(st.one_of(st.none(), st.integers(1, key - 1))) if key > 1 else None
        others = [k for k in range(1, key) if k != dam]
        count = min(draw(st.sampled_from([0, 1, 1, 1, 2, 3])), len(others))
        sires = draw(st.permutations(others))[:count] if count else []
        percents = {0: (), 1: (draw(st.sampled_from([100, 100, 70])),), 2: (66, 34), 3: (50, 30, 20)}[count]
        members[key] = Member(key, dam, tuple(zip(sires, percents)))
    return members


def check(picture: FamilyPicture, layout: PedigreeLayout, members: dict[int, Member], size: CardSize) -> None:
    blocks = set(layout.blocks)
    inside = {key for head in blocks for key in picture.together(head)}
    nothing_on_anything([c for c in layout.cards if c.key not in inside] + list(layout.blocks.values()), size)
    cells_fill_their_blocks(picture, layout, size)
    by_key = layout.by_key
    everyone = {one for column in picture.columns for key in column for one in picture.together(key)}
    assert len(by_key) == len(layout.cards) == len(everyone)
    for mating in picture.matings:
        for parent, _ in mating.parents:
            for young in mating.young:
                assert by_key[parent].column > by_key[young].column
    lines_keep_clear_of_cards(layout)
    uprights_keep_apart(layout)
    every_line_is_drawn(picture, layout)
    words_can_be_read(layout, size)
    for card in layout.cards:
        assert card.x >= 0 and card.x + card.width <= layout.width and card.y >= 0
        assert card.y + card.height <= layout.height


def cells_fill_their_blocks(picture: FamilyPicture, layout: PedigreeLayout, size: CardSize) -> None:
    for head, box in layout.blocks.items():
        cells = [layout.by_key[key] for key in picture.together(head)]
        assert len(cells) >= 3
        for cell in cells:
            assert box.x <= cell.x and cell.x + cell.width <= box.x + box.width and cell.column == box.column
            assert box.y <= cell.y and cell.y + cell.height <= box.y + box.height
        for one, other in combinations(cells, 2):
            beside = abs(one.x - other.x) >= one.width + size.cell_gap
            assert beside or abs(one.y - other.y) >= one.height + size.cell_gap


def nothing_on_anything(cards: Sequence[Card], size: CardSize) -> None:
    columns: dict[int, list[Card]] = {}
    for card in cards:
        columns.setdefault(card.x, []).append(card)
    for column in columns.values():
        for above, below in pairwise(sorted(column, key=lambda c: c.y)):
            assert below.y - above.y - above.height >= size.pair_gap
    for left, right in pairwise(sorted(columns)):
        assert right - left >= size.width + size.column_gap


def lines_keep_clear_of_cards(layout: PedigreeLayout) -> None:
    for wire in layout.wires:
        (x0, y0), (x1, y1) = wire.points
        for card in layout.cards:
            inside = max(x0, x1) > card.x and min(x0, x1) < card.x + card.width
            assert not (inside and max(y0, y1) > card.y and min(y0, y1) < card.y + card.height)


def uprights_keep_apart(layout: PedigreeLayout) -> None:
    uprights = [w for w in layout.wires if w.points[0][0] == w.points[1][0]]
    for one, other in combinations(uprights, 2):
        if one.points[0][0] == other.points[0][0]:
            (_, a0), (_, a1) = one.points
            (_, b0), (_, b1) = other.points
            assert a1 < b0 or b1 < a0


def words_can_be_read(layout: PedigreeLayout, size: CardSize) -> None:
    """No disc on the odds of a possible parent; a line strikes them out only between two others of that parent."""
    level = [w.points for w in layout.wires if w.points[0][1] == w.points[1][1] and w.parent]
    for word in layout.words:
        for disc in layout.loops:
            aside = disc.x - word.x >= size.track or word.x - size.word_width - disc.x >= size.track
            assert aside or abs(disc.y - (word.y - size.word_height // 2)) > size.track + size.word_height
        beside = [y for (_, y), (x1, _) in level if 0 <= x1 - word.x <= size.track * 4]
        struck = [y for y in beside if word.y - size.word_height < y < word.y]
        own = min((y for y in beside if y not in struck), key=lambda y: abs(y - word.y), default=None)
        assert own is not None
        if struck:
            assert any(y < own for y in beside) and any(y > own for y in beside)


def every_line_is_drawn(picture: FamilyPicture, layout: PedigreeLayout) -> None:
    """From each young's right edge one walks along pieces of the line to each of its parents' left edge."""
    pieces = {
        sure: [_spots(w.points) for w in layout.wires if w.certainty is sure]
        for sure in {mating.certainty for mating in picture.matings}
    }
    for mating in picture.matings:
        for young in mating.young:
            card = layout.blocks.get(young, layout.by_key[young])
            edge = {(card.x + card.width, y) for y in range(card.y, card.y + card.height)}
            reached = _walk(edge, pieces[mating.certainty])
            for parent, _ in mating.parents:
                there = layout.by_key[parent]
                assert reached & {(there.x, y) for y in range(there.y, there.y + there.height)}


def _walk(start: set[tuple[int, int]], pieces: list[set[tuple[int, int]]]) -> set[tuple[int, int]]:
    """Every spot reached along pieces that touch."""
    reached, left = set(start), pieces
    while touching := [piece for piece in left if piece & reached]:
        left = [piece for piece in left if not piece & reached]
        reached |= set().union(*touching)
    return reached


def _spots(points: tuple[tuple[int, int], ...]) -> set[tuple[int, int]]:
    (x0, y0), (x1, y1) = points
    return {(x, y) for x in range(min(x0, x1), max(x0, x1) + 1) for y in range(min(y0, y1), max(y0, y1) + 1)}


@given(families(), SIZES, st.integers(1, 8), st.integers(0, 4), st.data())
@settings(max_examples=200, deadline=None)
def test_any_tree_keeps_the_laws(
    members: dict[int, Member], size: CardSize, back: int, forward: int, data: st.DataObject
) -> None:
    focus = data.draw(st.sampled_from(sorted(members)))
    picture = tree_of(members, focus, back, forward)
    layout = lay_out(picture, size)
    check(picture, layout, members, size)
    assert layout.by_key[focus].column == picture.focus_column
    for place, parent in picture.unknown.items():
        assert layout.by_key[place].height == size.unknown_height
        assert (members[parent.of].dam is None) if parent.dam else not members[parent.of].sires


@given(families(), SIZES)
@settings(max_examples=80, deadline=None)
def test_any_map_keeps_the_laws_and_its_families_apart(members: dict[int, Member], size: CardSize) -> None:
    pictures = whole_families(members)
    shown = [one for picture in pictures for column in picture.columns for k in column for one in picture.together(k)]
    related = {m.key for m in members.values() if m.parents} | {p for m in members.values() for p in m.parents}
    assert sorted(shown) == sorted(related)
    home = {
        one: n
        for n, picture in enumerate(pictures)
        for column in picture.columns
        for k in column
        for one in picture.together(k)
    }
    for picture in pictures:
        check(picture, lay_out(picture, size), members, size)
    for member in members.values():
        assert len({home[key] for key in (member.key, *member.parents) if key in home}) <= 1


@given(families(most=14), st.data())
@settings(max_examples=80, deadline=None)
def test_one_animal_more_moves_no_other_to_another_place_in_the_order(
    members: dict[int, Member], data: st.DataObject
) -> None:
    new = max(members) + 1
    dam, sire = (data.draw(st.one_of(st.none(), st.sampled_from(sorted(members)))) for _ in range(2))
    sires = ((sire, 100),) if sire is not None and sire != dam else ()
    after = {**members, new: Member(new, dam, sires)}
    for before in whole_families(members):
        old = lay_out(before, MAP_SIZE)
        keys = {k for column in old.order for k in column}
        picture = next(
            p for p in whole_families(after) if any(o in keys for c in p.columns for k in c for o in p.together(k))
        )
        layout = lay_out(picture, MAP_SIZE, old.order)
        check(picture, layout, after, MAP_SIZE)
        moved = {layout.by_key[k].column - old.by_key[k].column for k in keys}
        assert len(moved) == 1
        for old_column, by in ((column, moved.copy().pop()) for column in old.order):
            number = old.by_key[old_column[0]].column + by
            block = {one: head for head in old.blocks for one in before.together(head)}
            # a clutch that has grown to a block gathers where its first stood; within a block there is no order to keep
            gathered = {one for head in layout.blocks for one in picture.together(head)} - set(block)
            place = {k: n for n, k in enumerate(layout.order[number])}
            for above, below in combinations([k for k in old_column if k not in gathered], 2):
                assert block.get(above, above) == block.get(below, below) or place[above] < place[below]


@given(families(), st.data())
@settings(max_examples=100, deadline=None)
def test_sorting_never_makes_more_crossings_and_keeps_every_node(
    members: dict[int, Member], data: st.DataObject
) -> None:
    columns = [[0, 1, 2, 3], [4, 5, 6], [7, 8, 9, 10]]
    right: list[list[int]] = [[] for _ in range(11)]
    left: list[list[int]] = [[] for _ in range(11)]
    for here, there in pairwise(columns):
        for node in here:
            for other in data.draw(st.lists(st.sampled_from(there), unique=True)):
                right[node].append(other)
                left[other].append(node)
    layers = Layers(columns, left, right, [40] * 11, lambda _a, _b: 8)
    found = ordered(layers)
    assert [sorted(column) for column in found] == columns
    assert crossings(found, right) <= crossings(columns, right)
    upper = placed(layers, found)
    assert min(upper) == 0
    for column in found:
        for above, below in pairwise(column):
            assert upper[below] - upper[above] >= 48


def test_crossings_by_hand() -> None:
    assert crossings([[0, 1], [2, 3]], [[3], [2], [], []]) == 1
    assert crossings([[0, 1], [2, 3]], [[2, 3], [2, 3], [], []]) == 1
    assert crossings([[0, 1, 2], [3, 4, 5]], [[5], [4], [3], [], [], []]) == 3
    assert crossings([[0, 1], [2, 3]], [[2], [3], [], []]) == 0


#: a half-sib loop with a doubtful sire: numbers as in the animals' ids
NAMED = family(
    (1, None, ()), (2, None, ()), (3, None, ()), (4, None, ()), (5, None, ()),
    (6, 2, ((1, 100),)), (7, 5, ((3, 66), (4, 34))), (8, None, ()), (9, 7, ((6, 100),)), (10, 8, ((6, 100),)),
    (11, 10, ((9, 100),)),
)  # fmt: skip


def test_a_loop_is_drawn_once_and_marked() -> None:
    picture = tree_of(NAMED, 11, 3, 0)
    layout = lay_out(picture, SIZE)
    assert picture.loops == {6: 1}
    assert [mark.number for mark in layout.loops] == [1]
    shared = layout.by_key[6]
    entries = sorted({p[1] for w in layout.wires if w.parent == 6 for p in w.points if p[0] == shared.x})
    assert [b - a for a, b in pairwise(entries)] == [32]
    assert [layout.by_key[key].column for key in (11, 9, 10, 7, 6, 8, 3, 1)] == [0, 1, 1, 2, 2, 2, 3, 3]
    assert {(p.of, p.dam) for p in picture.unknown.values()} == {(8, False), (8, True)}
    assert sorted(word.percent for word in layout.words) == [34, 66]
    dashed = {w.parent for w in layout.wires if w.certainty is Certainty.POSSIBLE and w.parent}
    assert dashed == {3, 4}
    # sires above dams, and nothing crosses
    assert layout.by_key[9].y < layout.by_key[10].y
    assert layout.by_key[3].y < layout.by_key[5].y


def test_an_ancestor_reached_in_two_generations_stands_in_the_farther_one() -> None:
    back_cross = family((1, None, ()), (2, None, ()), (3, 2, ((1, 100),)), (4, 3, ((1, 100),)))
    picture = tree_of(back_cross, 4, 3, 0)
    layout = lay_out(picture, SIZE)
    assert [layout.by_key[key].column for key in (4, 3, 1)] == [0, 1, 2]
    assert picture.loops == {1: 1}


def test_full_sibs_as_parents_share_one_number() -> None:
    sibs = family((1, None, ()), (2, None, ()), (3, 2, ((1, 100),)), (4, 2, ((1, 100),)), (5, 4, ((3, 100),)))
    assert tree_of(sibs, 5, 3, 0).loops == {1: 1, 2: 1}


def test_a_full_tree_of_ancestors_has_no_crossing() -> None:
    level, members = [1], {}
    at = 2
    for _ in range(5):
        above = []
        for key in level:
            members[key] = Member(key, at + 1, ((at, 100),))
            above += [at, at + 1]
            at += 2
        level = above
    members |= {key: Member(key) for key in level}
    layout = lay_out(tree_of(members, 1, 5, 0), SIZE)
    assert len(layout.cards) == 63
    uprights = [w.points for w in layout.wires if w.points[0][0] == w.points[1][0]]
    flats = [w.points for w in layout.wires if w.points[0][1] == w.points[1][1]]
    for (x, top), (_, bottom) in uprights:
        for (left, y), (right, _) in flats:
            assert not (left < x < right and top < y < bottom)


def test_a_bought_mate_stands_beside_its_first_mate() -> None:
    line = family((1, None, ()), (2, None, ()), (3, 2, ((1, 100),)), (4, None, ()), (5, 3, ((4, 100),)))
    (picture,) = whole_families(line)
    assert [set(c) for c in picture.columns] == [{5}, {3, 4}, {1, 2}]


def test_descendants_stand_to_the_left() -> None:
    picture = tree_of(NAMED, 6, 1, 2)
    assert picture.focus_column == 2
    layout = lay_out(picture, SIZE)
    assert [layout.by_key[key].column for key in (11, 9, 10, 6, 1, 2)] == [0, 1, 1, 2, 3, 3]


@pytest.mark.parametrize("count", [2000])
def test_a_large_family_is_laid_out(count: int) -> None:
    """Every card of it stands somewhere; the benchmark measures how long that takes."""
    import random

    chance = random.Random(4)
    members = {key: Member(key) for key in range(1, 101)}
    for key in range(101, count + 1):
        low = max(1, key - 400)
        dam, sire = chance.sample(range(low, key), 2)
        dam, sire = dam - dam % 7 or 1, sire - sire % 23 or 2
        members[key] = Member(key, dam, ((sire, 100),) if sire != dam else ())
    layouts = [lay_out(picture, MAP_SIZE) for picture in whole_families(members)]
    assert sum(len(layout.cards) for layout in layouts) > count // 2


@given(st.lists(st.tuples(st.integers(132, 900), st.integers(44, 900)), max_size=12))
def test_families_on_the_map_stand_apart(sizes: list[tuple[int, int]]) -> None:
    layouts = [PedigreeLayout((), (), (), (), (), width, height) for width, height in sizes]
    found = set_out(layouts)
    assert [one.layout for one in found.families] == layouts
    for one, other in combinations(found.families, 2):
        beside = one.x + one.layout.width + APART <= other.x or other.x + other.layout.width + APART <= one.x
        below = one.y + one.layout.height + APART <= other.y or other.y + other.layout.height + APART <= one.y
        assert beside or below
    for one in found.families:
        assert one.x + one.layout.width <= found.width and one.y + one.layout.height <= found.height


def test_young_of_a_clutch_without_young_stand_in_one_block() -> None:
    """Five clutch mates, one of whom bred: she keeps a card of her own, the others share a block."""
    rows = [(key, 2, ((1, 100),)) for key in range(3, 8)]
    members = family((1, None, ()), (2, None, ()), *rows, (8, None, ()), (9, 7, ((8, 100),)))
    (picture,) = whole_families(members)
    assert picture.clutches == {3: (3, 4, 5, 6)}
    layout = lay_out(picture, MAP_SIZE)
    assert layout.blocks[3].height == 2 * MAP_SIZE.cell_height + MAP_SIZE.cell_gap
    assert layout.by_key[7].height == MAP_SIZE.height
    assert layout.by_key[7].column == layout.by_key[6].column
    assert any(wire.young == (3, 4, 5, 6) for wire in layout.wires)


def test_a_clutch_that_grows_to_three_gathers_where_its_first_stood() -> None:
    """Two loose young of one sire with another's between them; a third makes them a block, the rest stays in order."""
    rows = [(3, None, ((1, 100),)), (4, 2, ((1, 100),)), (5, None, ((1, 100),))]
    (before,) = whole_families(family((1, None, ()), (2, None, ()), *rows))
    order = (*lay_out(before, MAP_SIZE).order[:-1], (1, 2))
    (picture,) = whole_families(family((1, None, ()), (2, None, ()), *rows, (6, None, ((1, 100),))))
    layout = lay_out(picture, MAP_SIZE, order)
    check(picture, layout, {}, MAP_SIZE)
    assert picture.clutches == {3: (3, 5, 6)}
    assert set(layout.order[0]) == {3, 4, 5, 6}


def test_a_clutch_mate_that_breeds_leaves_the_block_and_nothing_else_moves() -> None:
    rows = [(key, 2, ((1, 100),)) for key in range(3, 8)]
    before = family((1, None, ()), (2, None, ()), *rows, (8, None, ()))
    (old_picture,) = whole_families(before)
    old = lay_out(old_picture, MAP_SIZE)
    (picture,) = whole_families({**before, 9: Member(9, 3, ((8, 100),))})
    layout = lay_out(picture, MAP_SIZE, old.order)
    check(picture, layout, before, MAP_SIZE)
    assert picture.clutches == {4: (4, 5, 6, 7)}
    old_column = list(old.order[old.by_key[3].column])
    assert [k for k in layout.order[layout.by_key[3].column] if k in old.by_key] == old_column
