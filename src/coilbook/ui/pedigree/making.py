"""From the book to a scene: what was asked for, and everything that answers it, made off the window's thread."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import Enum
from typing import Any

from coilbook.drawing.family import FamilyPicture, tree_of, whole_families
from coilbook.drawing.family_map import set_out
from coilbook.drawing.pedigree_layout import MAP_SIZE, CardSize, lay_out
from coilbook.reads.kin import Inbreeding, Kin
from coilbook.reads.pedigree import CardFacts, FamilyLines, card_facts, family_lines
from coilbook.reads.pedigree_genes import Gene, GeneWords, gene_service
from coilbook.ui.pedigree.scene import Scene

#: generations of a tree: how many by default, and the bounds of the choice
BACK, LEAST, MOST = 3, 1, 8
#: animals on one map: more would hold the window at each repaint
MOST_DRAWN = 6_000


class Kind(Enum):
    """What of the family is shown."""

    ANCESTORS = "ancestors"
    DESCENDANTS = "descendants"
    BOTH = "both"
    MAP = "map"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the keeper wants to see; `animal` None only on the map."""

    kind: Kind = Kind.ANCESTORS
    animal: int | None = None
    generations: int = BACK
    gene: str = ""
    #: text scale, since cards grow with their words
    scale: float = 1.0

    @property
    def back(self) -> int:
        """Generations of ancestors."""
        return 0 if self.kind is Kind.DESCENDANTS else self.generations

    @property
    def forward(self) -> int:
        """Generations of descendants."""
        return self.generations if self.kind in (Kind.DESCENDANTS, Kind.BOTH) else 0


@dataclass(frozen=True)
class Book:
    """What of the collection is kept between trees: everyone's parents and everyone's kinship."""

    lines: FamilyLines
    kin: Kin


@dataclass(frozen=True)
class Made:
    """A tree or map, ready to be shown."""

    wanted: Wanted
    book: Book
    scene: Scene
    facts: Mapping[int, CardFacts]
    #: F of every animal in view
    inbreeding: Mapping[int, float]
    #: of the animal the tree is of
    of_animal: Inbreeding | None
    pictures: Sequence[FamilyPicture] = ()
    #: families too large for the map, by how many animals they have
    too_large: tuple[int, ...] = ()
    genes: tuple[Gene, ...] = ()
    gene_words: Mapping[int, GeneWords] = field(default_factory=dict)


def make(collection: Any, wanted: Wanted, book: Book | None, before: Made | None) -> Made:
    """Read and lay out what is wanted; `before` is what is shown now, whose order a map keeps."""
    if book is None:
        lines = family_lines(collection)
        book = Book(lines, Kin(lines))
    if wanted.kind is not Kind.MAP and wanted.animal not in book.lines.members:
        wanted = replace(wanted, kind=Kind.MAP, animal=None)
    too_large: tuple[int, ...] = ()
    if wanted.kind is Kind.MAP:
        scene, pictures, too_large = _map(book, wanted, before)
    else:
        scene, pictures = _tree(book, wanted)
    animals = scene.animals
    return Made(
        wanted=wanted,
        book=book,
        scene=scene,
        facts=card_facts(collection, animals),
        inbreeding={animal: book.kin.coefficient(animal) for animal in animals},
        of_animal=None
        if wanted.kind is Kind.MAP or not wanted.animal
        else book.kin.inbreeding(wanted.animal, max(wanted.generations, 1)),
        pictures=pictures,
        too_large=too_large,
    )


def with_genes(collection: Any, made: Made, cancelled: Callable[[], bool] = lambda: False) -> Made:
    """The same with the genes there are and the words of the chosen one; may have to compute them."""
    service = gene_service(collection, cancelled)
    if service is None:
        return replace(made, wanted=replace(made.wanted, gene=""))
    genes = service.genes()
    chosen = made.wanted.gene if any(gene.key == made.wanted.gene for gene in genes) else ""
    words = service.gene_words(chosen, made.scene.animals) if chosen else {}
    return replace(made, wanted=replace(made.wanted, gene=chosen), genes=genes, gene_words=words)


def scaled(size: CardSize, scale: float) -> CardSize:
    """Sizes at another text scale."""
    plain = [f.name for f in fields(CardSize) if f.name != "heights"]
    return CardSize(**{name: round(getattr(size, name) * scale) for name in plain})


def _tree(book: Book, wanted: Wanted) -> tuple[Scene, tuple[FamilyPicture, ...]]:
    picture = tree_of(book.lines.members, wanted.animal or 0, wanted.back, wanted.forward)
    size = scaled(CardSize(), wanted.scale)
    return Scene([(lay_out(picture, size), 0, 0)], size, [picture]), (picture,)


def _drawable(pictures: Sequence[FamilyPicture]) -> tuple[tuple[FamilyPicture, ...], tuple[int, ...]]:
    """The families that fit on one map together, the larger first; and the sizes of those that do not."""
    chosen: list[FamilyPicture] = []
    left_out: list[int] = []
    room = MOST_DRAWN
    for picture in pictures:
        count = sum(len(picture.together(key)) for column in picture.columns for key in column)
        if count <= room:
            room -= count
            chosen.append(picture)
        else:
            left_out.append(count)
    return tuple(chosen), tuple(left_out)


def _map(book: Book, wanted: Wanted, before: Made | None) -> tuple[Scene, tuple[FamilyPicture, ...], tuple[int, ...]]:
    size = scaled(MAP_SIZE, wanted.scale)
    pictures, too_large = _drawable(whole_families(book.lines.members))
    kept: dict[int, Sequence[Sequence[int]]] = {}
    if before is not None and before.wanted.kind is Kind.MAP:
        for order in before.scene.orders:
            for column in order:
                kept |= dict.fromkeys(column, order)
    layouts = []
    for picture in pictures:
        orders = [kept[key] for column in picture.columns for key in column if key in kept]
        # where two families have become one, the larger keeps its order
        largest = max(orders, key=lambda one: sum(map(len, one))) if orders else None
        layouts.append(lay_out(picture, size, largest))
    found = set_out(layouts)
    return Scene([(one.layout, one.x, one.y) for one in found.families], size, pictures), pictures, too_large
