"""Where the cards, lines and marks of a family picture stand, in plain pixels: one geometry for screen and paper.

Laws, which the tests hold it to: no card on another, no line through a card it does not belong to, no disc on the odds
of a parent nor a line through them unless that parent has lines above and below, two lines never run along one another
upright, every parent right of its young, and with `before` the order of what was there stays; only a clutch that has
grown to a block gathers where its first stood.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from coilbook.drawing.family import Certainty, FamilyPicture
from coilbook.drawing.layered import inserted, ordered, placed
from coilbook.drawing.pedigree_lines import Gap, gap_of
from coilbook.drawing.pedigree_nodes import Nodes, NodeSizes


@dataclass(frozen=True, slots=True)
class CardSize:
    """Sizes in pixels: a card, the place of an unknown parent, and the room between them."""

    width: int = 200
    height: int = 92
    unknown_height: int = 40
    #: between the parents of one animal
    pair_gap: int = 8
    #: between others
    gap: int = 24
    #: least room between columns
    column_gap: int = 44
    #: the room a "possible 66%" takes beside its line
    word_width: int = 84
    #: and how high it stands
    word_height: int = 11
    #: between upright lines, and between the ends of lines at one card
    track: int = 8
    #: between the two ends of a loop
    loop_gap: int = 32
    #: heights by column from the left, where they are not all `height`
    heights: tuple[int, ...] = ()
    #: cells of a block of clutch mates: height, room between, how many side by side
    cell_height: int = 22
    cell_gap: int = 3
    cells_across: int = 2


#: cards of the whole collection's map
MAP_SIZE = CardSize(width=132, height=44, pair_gap=8, gap=12, column_gap=36, track=6, loop_gap=6)


@dataclass(frozen=True, slots=True)
class Card:
    """An animal, or (key below 0) the place of an unknown parent; `column` counts from the left."""

    key: int
    column: int
    x: int
    y: int
    width: int
    height: int

    @property
    def middle(self) -> int:
        """Half way down."""
        return self.y + self.height // 2


@dataclass(frozen=True, slots=True)
class Wire:
    """Straight pieces of a line of descent: `points` joined one to the next; whose young, which parent (0: shared)."""

    points: tuple[tuple[int, int], ...]
    certainty: Certainty
    young: tuple[int, ...]
    parent: int = 0


@dataclass(frozen=True, slots=True)
class Word:
    """The chance of a possible parent: the words end at `x` and stand on `y`."""

    x: int
    y: int
    percent: int


@dataclass(frozen=True, slots=True)
class LoopMark:
    """A disc with a number where a loop ends, middle at (x, y)."""

    x: int
    y: int
    number: int
    key: int


@dataclass(frozen=True)
class PedigreeLayout:
    """Everything that is drawn. `column_x` the left edge of each column; `order` the keys of each, downwards."""

    cards: tuple[Card, ...]
    wires: tuple[Wire, ...]
    words: tuple[Word, ...]
    loops: tuple[LoopMark, ...]
    column_x: tuple[int, ...]
    width: int
    height: int
    order: tuple[tuple[int, ...], ...] = ()
    by_key: Mapping[int, Card] = field(default_factory=dict)
    #: the boxes of blocks of clutch mates, by their first key
    blocks: Mapping[int, Card] = field(default_factory=dict)


def lay_out(picture: FamilyPicture, size: CardSize, before: Sequence[Sequence[int]] | None = None) -> PedigreeLayout:
    """Lay a family out. `before` are columns of keys whose order is kept (`PedigreeLayout.order` of an earlier one)."""
    nodes = Nodes(picture, _node_sizes(picture, size))
    layers = nodes.layers()
    columns = inserted(layers, nodes.known(before)) if before is not None else ordered(layers)
    upper = placed(layers, columns)
    gaps = [gap_of(nodes.trunks(column, upper), size.track) for column in range(len(columns) - 1)]
    column_x = [0]
    for gap in gaps:
        column_x.append(column_x[-1] + size.width + _room(gap, nodes, size))
    boxes = [
        Card(nodes.key[node], number, column_x[number], upper[node], size.width, nodes.height(node))
        for number, column in enumerate(columns)
        for node in column
        if node < nodes.real
    ]
    cards = tuple(card for box in boxes for card in _cells(box, picture.together(box.key), size))
    blocks = {box.key: box for box in boxes if box.key in picture.clutches}
    wires, words = _lines(gaps, column_x, nodes, size)
    wires += _brackets(picture, blocks)
    return PedigreeLayout(
        cards=cards,
        wires=tuple(wires),
        words=tuple(words),
        loops=tuple(
            LoopMark(card.x - size.track * 2, card.middle, picture.loops[card.key], card.key)
            for card in cards
            if card.key in picture.loops
        ),
        column_x=tuple(column_x),
        width=column_x[-1] + size.width,
        height=max((card.y + card.height for card in cards), default=0),
        order=tuple(
            tuple(key for n in column if n < nodes.real for key in picture.together(nodes.key[n])) for column in columns
        ),
        by_key={card.key: card for card in cards},
        blocks=blocks,
    )


def _node_sizes(picture: FamilyPicture, size: CardSize) -> NodeSizes:
    heights = tuple(size.heights[n] if n < len(size.heights) else size.height for n in range(len(picture.columns)))
    cells = (size.cell_height, size.cell_gap, size.cells_across)
    return NodeSizes(heights, size.unknown_height, size.pair_gap, size.gap, size.track, size.loop_gap, cells)


def _cells(box: Card, keys: Sequence[int], size: CardSize) -> Iterator[Card]:
    """A box as the cards of those in it, row by row."""
    if len(keys) == 1:
        yield box
        return
    width = (box.width - size.cell_gap * (size.cells_across - 1)) // size.cells_across
    for number, key in enumerate(keys):
        row, place = divmod(number, size.cells_across)
        x = box.x + place * (width + size.cell_gap)
        yield Card(key, box.column, x, box.y + row * (size.cell_height + size.cell_gap), width, size.cell_height)


def _brackets(picture: FamilyPicture, blocks: Mapping[int, Card]) -> list[Wire]:
    """An upright along the right edge of each block, where the line of its clutch begins."""
    found: list[Wire] = []
    done = set[int]()
    for mating in picture.matings:
        for key in mating.young:
            if key in blocks and key not in done:
                done.add(key)
                box = blocks[key]
                x = box.x + box.width
                found.append(Wire(((x, box.y), (x, box.y + box.height)), mating.certainty, picture.together(key)))
    return found


def _room(gap: Gap, nodes: Nodes, size: CardSize) -> int:
    """How wide a gap must be for its upright lines and words."""
    return max(size.column_gap, size.track * (gap.tracks + 3) + _word_room(gap, nodes, size))


def _word_room(gap: Gap, nodes: Nodes, size: CardSize) -> int:
    """The room of the words of a gap, with that of a disc where one stands before the card of a possible parent."""
    if not gap.words:
        return 0
    doubtful = (end for trunk in gap.trunks if trunk.certainty is Certainty.POSSIBLE for end in trunk.right)
    return size.word_width + (_disc_room(size) if any(nodes.has_disc(end.node) for end in doubtful) else 0)


def _disc_room(size: CardSize) -> int:
    """From a card to the far edge of its disc."""
    return size.track * 4


def _lines(gaps: Sequence[Gap], column_x: Sequence[int], nodes: Nodes, size: CardSize) -> tuple[list[Wire], list[Word]]:
    """Every line in its pieces: from the young, upright, to each parent; and the chances beside doubtful ones."""
    wires, words = [], []
    for number, gap in enumerate(gaps):
        edge = column_x[number] + size.width
        room = column_x[number + 1] - edge - _word_room(gap, nodes, size)
        first = edge + (room - size.track * (gap.tracks - 1)) // 2
        heights = [end.y for trunk in gap.trunks for end in trunk.right]
        for trunk, track in zip(gap.trunks, gap.track):
            x = first + size.track * track
            sure, young = trunk.certainty, trunk.young
            for end in trunk.left:
                start = edge if end.node < nodes.real else column_x[number]
                wires.append(Wire(((start, end.y), (x, end.y)), sure, young))
            if trunk.bottom > trunk.top:
                wires.append(Wire(((x, trunk.top), (x, trunk.bottom)), sure, young))
            for end in trunk.right:
                wires.append(Wire(((x, end.y), (column_x[number + 1], end.y)), sure, young, nodes.key[end.node]))
                if sure is Certainty.POSSIBLE and end.node < nodes.real:
                    right = column_x[number + 1] - (_disc_room(size) if nodes.has_disc(end.node) else 4)
                    words.append(Word(right, _base(end.y, heights, size), end.percent))
    return wires, words


def _base(y: int, heights: Sequence[int], size: CardSize) -> int:
    """Where the words of a line at `y` stand: over it, or under it where another line would strike them out."""
    over, under = y - size.track // 2, y + size.word_height
    struck = any(over - size.word_height < other < y for other in heights)
    free = not any(y < other <= under for other in heights)
    return under if struck and free else over
