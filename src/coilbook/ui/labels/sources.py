"""Where the rows of the label queue come from, for every kind of label, and what each kind is called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from coilbook.labels.stock import LabelKind
from coilbook.reads import egg_label_rows as eggs
from coilbook.reads import label_rows as read
from coilbook.reads.label_rows import LabelRow
from coilbook.records.ids import AnimalId, EggBoxId, PlaceId
from coilbook.ui.desk import Desk

#: a source of the queue that is neither everything nor a rack
SELECTION = "selection"
EVERYTHING = "everything"


@dataclass(frozen=True, slots=True)
class KindWords:
    """What a kind is called: in the list, one and many of it, and all of it."""

    name: str
    one: str
    many: str
    everything: str


KIND_WORDS: dict[LabelKind, KindWords] = {
    LabelKind.CAGE_CARD: KindWords("Cage card", "{n} cage card", "{n} cage cards", "All animals"),
    LabelKind.SLOT: KindWords("Slot label", "{n} slot label", "{n} slot labels", "All racks"),
    LabelKind.EGG_BOX: KindWords("Egg box", "{n} egg-box label", "{n} egg-box labels", "All boxes with eggs"),
    LabelKind.EGG_BOX_LID: KindWords("Egg-box lid", "{n} lid label", "{n} lid labels", "All boxes with eggs"),
    LabelKind.CUP: KindWords("Hatchling cup", "{n} cup label", "{n} cup labels", "All in cups"),
}
_OF_BOXES = (LabelKind.EGG_BOX, LabelKind.EGG_BOX_LID)
_OF_ANIMALS = (LabelKind.CAGE_CARD, LabelKind.CUP)
_OF_RACKS = (LabelKind.CAGE_CARD, LabelKind.SLOT)


def by_rack(kind: LabelKind) -> bool:
    """Whether labels of a kind can be taken rack by rack."""
    return kind in _OF_RACKS


def file_words(kind: LabelKind) -> str:
    """The name of a run's PDF."""
    return KIND_WORDS[kind].many.format(n="").strip()


@dataclass
class Sources:
    """What the queue was filled with: which kind, from where, and what was selected for it."""

    desk: Desk
    kind: LabelKind = LabelKind.CAGE_CARD
    source: object = SELECTION
    animals: list[AnimalId] = field(default_factory=list)
    slots: list[PlaceId] = field(default_factory=list)
    boxes: list[EggBoxId] = field(default_factory=list)

    def take(self, target: dict[str, object]) -> bool:
        """Take what a screen sent: animals, slots, boxes, lids or cups; False when it sent none of them."""
        for name, kind in (
            ("animals", LabelKind.CAGE_CARD), ("slots", LabelKind.SLOT), ("boxes", LabelKind.EGG_BOX),
            ("lids", LabelKind.EGG_BOX_LID), ("cups", LabelKind.CUP),
        ):  # fmt: skip
            wanted = target.get(name)
            if isinstance(wanted, Sequence):
                self.kind, self.source = kind, SELECTION
                self._select([int(one) for one in wanted])
                return True
        return False

    def _select(self, ids: list[int]) -> None:
        if self.kind in _OF_BOXES:
            self.boxes = [EggBoxId(one) for one in ids]
        elif self.kind is LabelKind.SLOT:
            self.slots = [PlaceId(one) for one in ids]
        else:
            self.animals = [AnimalId(one) for one in ids]

    def choose_kind(self, kind: LabelKind) -> None:
        """Cards of the same animals' slots become their labels, and the other way round; other kinds start empty."""
        book, before = self.desk.collection, self.kind
        if self.source == SELECTION and kind is LabelKind.SLOT and before in _OF_ANIMALS:
            self.slots = read.slots_of_animals(book, self.animals)
        elif self.source == SELECTION and kind in _OF_ANIMALS and before is LabelKind.SLOT:
            self.animals = read.animals_of_slots(book, self.slots)
        if isinstance(self.source, int) and not by_rack(kind):
            self.source = EVERYTHING
        self.kind = kind

    def drop(self, row: LabelRow) -> None:
        """A row was taken out of the queue."""
        self.animals = [a for a in self.animals if a != row.animal]
        self.slots = [s for s in self.slots if s != row.slot]
        self.boxes = [b for b in self.boxes if b != row.box]

    def rows(self) -> list[LabelRow]:
        """The rows of the queue."""
        book, style, kind = self.desk.collection, self.desk.style, self.kind
        rack = PlaceId(self.source) if isinstance(self.source, int) else None
        whole = rack is not None or self.source == EVERYTHING
        if kind in _OF_BOXES:
            wanted = eggs.boxes_with_eggs(book) if whole else self.boxes
            lids = kind is LabelKind.EGG_BOX_LID
            return eggs.box_label_rows(book, wanted, self.desk.clock().date(), style, lids=lids)
        if kind is LabelKind.SLOT:
            return read.slot_label_rows(book, read.all_slots(book, rack) if whole else self.slots)
        if kind is LabelKind.CUP:
            return eggs.cup_label_rows(book, eggs.cups(book) if whole else self.animals, style)
        return read.cage_card_rows(book, read.animals_here(book, rack) if whole else self.animals)
