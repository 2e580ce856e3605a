"""Random acts of a keeper on a small family, over every kind of inheritance: what is kept must hold after each."""

from __future__ import annotations

import datetime as dt
from random import Random

from coilbook.operations.animals import AnimalDetails, add_animal, add_claim, delete_animal, edit_animal, set_parents
from coilbook.operations.findings import FindingDetails, add_finding, correct_finding, retract_finding
from coilbook.operations.own_genes import keep_own_gene
from coilbook.operations.undo import undo_act, undo_last
from coilbook.records.ids import ActId, AnimalId, FindingId
from coilbook.records.message import Refusal, say
from coilbook.records.vocabulary import FindingKind, OwnKind, Sex
from coilbook.records.when import PartialDate
from coilbook.storage.collection import Collection

#: an invented gene whose two doses do not hatch, and what the keeper may correct it to
LANTERN = """[[gene]]
key = "lantern"
name = "Lantern"
inheritance = "incomplete dominant"
two_lethal = {lethal}
"""
#: words of each locus: recessive, series, incomplete dominant, lethal, and one on the sex chromosomes
WORDS = {
    "clown": ["", "Clown", "het clown", "66% het clown", "50% het clown", "pos het clown", "proven het clown"],
    "TYR": ["", "Albino", "Toffee", "Toffino", "het albino", "66% het toffee", "50% het candy", "albino candy"],
    "pastel": ["", "Pastel", "super Pastel", "poss super pastel", "Pastel?", "60% pastel?"],
    "yellow belly complex": ["", "yellow belly", "Ivory", "Highway", "gravel", "asphalt"],
    "lantern": ["", "Lantern"],
    "coral glow": ["", "Coral Glow", "super coral glow"],
    "axanthic": ["", "axanthic line b", "het axanthic line b", "66% het line c axanthic"],
}
GENES = {"clown": ["clown"], "TYR": ["albino", "toffee", "candy"], "pastel": ["pastel"],
         "yellow belly complex": ["yellow belly", "gravel"], "lantern": ["lantern"],
         "coral glow": ["coral glow"], "axanthic": ["axanthic"]}  # fmt: skip
LOOKS = {
    "clown": [("clown",), ("",)],
    "TYR": [("albino",), ("toffee",), ("albino", "toffee"), ("",)],
    "pastel": [("pastel",), ("super pastel",), ("pastel", "super pastel"), ("",)],
    "yellow belly complex": [("yellow belly",), ("gravel",), ("yellow belly + gravel",), ("",)],
    "lantern": [("lantern",), ("",)],
    "coral glow": [("coral glow",), ("super coral glow",), ("",)],
    "axanthic": [("axanthic",), ("",)],
}


class RandomActs:
    """A keeper who enters, corrects and takes back things without sense; `loci` are those the words are about."""

    def __init__(self, book: Collection, seed: int, loci: tuple[str, ...], most: int = 9) -> None:
        self.book, self.chance, self.loci, self.most = book, Random(seed), loci, most
        self.count = 0
        if "lantern" in loci:
            keep_own_gene(book, kind=OwnKind.GENE, key="lantern", body=LANTERN.format(lethal="true"))
        for _ in range(5):
            self.add()

    @property
    def ids(self) -> list[AnimalId]:
        """The animals there are."""
        return [AnimalId(int(row[0])) for row in self.book.read("SELECT id FROM animal ORDER BY id")]

    def one(self) -> AnimalId:
        """Any of them."""
        return self.chance.choice(self.ids)

    def text(self) -> str:
        """A genetics text, now and then one that says nothing or is not understood to its end."""
        if self.chance.random() < 0.25:
            return self.chance.choice(["", "normal", "normal", "Blorpfen"])
        words = [self.chance.choice(WORDS[key]) for key in self.loci if self.chance.random() < 0.6]
        self.chance.shuffle(words)
        return ", ".join(word for word in words if word) or "normal"

    def step(self) -> str:
        """One act; its name. What the program refuses is no act."""
        acts = {
            self.label: 4, self.find: 4, self.claim: 2, self.parents: 5, self.undo: 2, self.undo_any: 3, self.add: 2,
            self.sex: 1, self.correct: 2, self.retract: 1, self.delete: 1, self.gene: 1,
        }  # fmt: skip
        (act,) = self.chance.choices(list(acts), list(acts.values()))
        try:
            act()
        except Refusal:
            return f"{act.__name__} refused"
        return act.__name__

    def add(self) -> None:
        """One more animal, while there is room."""
        if len(self.ids) >= self.most:
            return
        self.count += 1
        sex = self.chance.choice([Sex.FEMALE, Sex.MALE, Sex.UNSEXED])
        add_animal(
            self.book,
            details=AnimalDetails(
                keeper_id=f"A-{self.count}",
                sex=sex,
                sex_percent=self.chance.choice([100, 80]),
                genetics=self.text(),
                hatched=PartialDate(dt.date(2025, 8, self.chance.choice([1, 2]))),
            ),
        )

    def label(self) -> None:
        edit_animal(self.book, animal=self.one(), details=AnimalDetails(genetics=self.text()))

    def sex(self) -> None:
        details = AnimalDetails(
            sex=self.chance.choice([Sex.FEMALE, Sex.MALE, Sex.UNSEXED]), sex_percent=self.chance.choice([100, 70])
        )
        edit_animal(self.book, animal=self.one(), details=details)

    def _details(self) -> FindingDetails:
        locus = self.chance.choice(self.loci)
        gene = self.chance.choice(GENES[locus])
        if locus == "axanthic":
            locus = gene = self.chance.choice(["axanthic (line b)", "axanthic (line d)"])
        looks = (gene,) if locus not in LOOKS else self.chance.choice(LOOKS[locus])
        kind = self.chance.choice([k for k in FindingKind if k is not FindingKind.RETRACTED])
        ppm = self.chance.choice([0, 10_000, 300_000])
        if kind in (FindingKind.SEEN, FindingKind.NOT_SEEN):
            ppm = self.chance.choice([1_000_000, 600_000])
        return FindingDetails(
            kind=kind, locus=locus, gene=gene, looks=looks,
            copies=self.chance.choice([0, 1, 2]), ppm=ppm,
        )  # fmt: skip

    def find(self) -> None:
        add_finding(self.book, animal=self.one(), details=self._details())

    def _finding(self) -> FindingId:
        rows = self.book.read("SELECT id FROM finding")
        if not rows:
            raise Refusal(say("There is none."))
        return FindingId(int(self.chance.choice(rows)[0]))

    def correct(self) -> None:
        correct_finding(self.book, finding=self._finding(), details=self._details())

    def retract(self) -> None:
        retract_finding(self.book, finding=self._finding())

    def claim(self) -> None:
        add_claim(self.book, animal=self.one(), text=self.text() or "het clown")

    def parents(self) -> None:
        animal = self.one()
        dams = self.book.read("SELECT id FROM animal WHERE sex <> 'male' AND id <> ?", (animal,))
        sires = self.book.read("SELECT id FROM animal WHERE sex <> 'female' AND id <> ?", (animal,))
        dam = AnimalId(int(self.chance.choice(dams)[0])) if dams and self.chance.random() < 0.85 else None
        males = [AnimalId(int(row[0])) for row in sires]
        self.chance.shuffle(males)
        shares = self.chance.choice([(100,), (100,), (100,), (60, 40), (50, 30), (70,), ()])
        listed = dict(zip(males, shares, strict=False))
        if len(listed) < len(shares):
            listed = dict.fromkeys(listed, 100)
        set_parents(
            self.book, animal=animal, dam=dam, sires=listed, each_own=len(listed) > 1 and self.chance.random() < 0.5
        )

    def undo(self) -> None:
        undo_last(self.book)

    def undo_any(self) -> None:
        """Some act of late, with what rests on it; an undo too, which does it again."""
        acts = self.book.read("SELECT id FROM act ORDER BY id DESC LIMIT 12")
        undo_act(self.book, act=ActId(int(self.chance.choice(acts)[0])), together=True)

    def delete(self) -> None:
        delete_animal(self.book, animal=self.one())

    def gene(self) -> None:
        if "lantern" in self.loci:
            body = LANTERN.format(lethal=self.chance.choice(["true", "false"]))
            keep_own_gene(self.book, kind=OwnKind.GENE, key="lantern", body=body)
