"""Values that are printed elsewhere, asked of the program itself: entered as texts and acts, read as screens do.

Sources: the tables are arithmetic from Mendel's law and Bayes' rule (facts 5.2 and 5.3; job 4.1, 4.2, 4.4 and the
scenarios S4, S5, S9, marked as computed there); the sex-linked expectation is that of Mallery & Carrillo 2016,
Phyllomedusa 15, with the recombination of the catalogue. Each row carries the exact fraction the printed figure rounds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from tests.derived.family import Family, s5

from coilbook.derived.genetics_book import book_of
from coilbook.genetics.wish import wish_for
from coilbook.operations.finding_typed import enter_typed
from coilbook.reads.outlook import Asked, Pairing, read_outlook
from coilbook.reads.outlook_genetics import kept_genetics
from coilbook.storage.collection import Collection

#: (told, exact, what the program says)
Row = tuple[str, Fraction, float]

THIRDS, HALF = Fraction(2, 3), Fraction(1, 2)
TEXT = {Fraction(1): "100% het clown", THIRDS: "66% het clown", HALF: "50% het clown", Fraction(0): "normal"}
#: job 4.1: dam, sire, non-visual young that carry
POSSIBLE_HETS = (
    ("100% het clown", "100% het clown", "2/3"), ("100% het clown", "normal", "1/2"), ("Clown", "normal", "1"),
    ("Clown", "100% het clown", "1"), ("66% het clown", "normal", "1/3"), ("50% het clown", "normal", "1/4"),
    ("66% het clown", "100% het clown", "3/5"), ("50% het clown", "100% het clown", "4/7"),
    ("66% het clown", "66% het clown", "1/2"), ("66% het clown", "50% het clown", "5/11"),
    ("50% het clown", "50% het clown", "2/5"), ("66% het clown", "Clown", "1"), ("50% het clown", "Clown", "1"),
)  # fmt: skip
#: job 4.2: what she is claimed, her mate, how many young none of which shows it
PROVING = (
    *((THIRDS, "Clown", n) for n in (4, 5, 6, 7, 10)), *((THIRDS, "100% het clown", n) for n in (6, 8, 10, 14)),
    (HALF, "Clown", 5), (HALF, "100% het clown", 8),
)  # fmt: skip


def carries(family: Family, name: str, gene: str, copies: int = 1) -> float:
    """The chance of at least so many copies, with evidence."""
    found = book_of(family.book).current().view(family.ids[name], gene)
    assert found is not None
    view, place = found
    held = view.states.copies(view.states.locus.allele_index(gene)) >= copies
    return float(view.law(place)[held].sum())


def possible_hets(book: Collection) -> Iterator[Row]:
    """Job 4.1 and facts 5.2, with evidence and on paper."""
    family = Family(book)
    for number, (dam, sire, exact) in enumerate(POSSIBLE_HETS):
        family.add(f"F-{number}", dam)
        family.add(f"M-{number}", sire)
        young = family.add(f"J-{number}", "normal", dam=f"F-{number}", sire=f"M-{number}")
        told = f"{dam} x {sire}"
        yield told, Fraction(exact), carries(family, f"J-{number}", "clown")
        paper = book_of(book).current().paper(young, "clown")
        assert paper is not None
        yield f"{told}, on paper", Fraction(exact), float(paper.carrier)


def proving_out(book: Collection) -> Iterator[Row]:
    """Job 4.2 and facts 5.3: a possible het after n young that do not show it."""
    family = Family(book)
    for number, (prior, mate, n) in enumerate(PROVING):
        family.add(f"F-{number}", TEXT[prior])
        family.add(f"M-{number}", mate)
        names = " ".join(f"J-{number}-{egg}" for egg in range(n))
        family.young(names, "normal", dam=f"F-{number}", sire=f"M-{number}")
        missed = (HALF if mate == "Clown" else Fraction(3, 4)) ** n
        yield (
            f"{prior} x {mate}, {n} normal",
            prior * missed / (prior * missed + 1 - prior),
            carries(family, f"F-{number}", "clown"),
        )


def at_least_one(book: Collection) -> Iterator[Row]:
    """Job 4.4 and S9: at least one Clown of six, what each parent is being settled once for the clutch."""
    family = Family(book)
    pairs = ((THIRDS, None), (THIRDS, HALF), (THIRDS, THIRDS))
    for number, (dam, sire) in enumerate(pairs):
        her, him = family.add(f"F-{number}", TEXT[dam]), family.add(f"M-{number}", TEXT[sire] if sire else "Clown")
        genetics = kept_genetics(book, "ball_python")
        asked = Asked(6, wish_for(genetics.catalogue, dict.fromkeys(["clown"])))
        odds = read_outlook(book, genetics, Pairing(her, ((him, 100),)), asked)
        assert odds.wish is not None
        missed = HALF**6 if sire is None else Fraction(3, 4) ** 6
        exact = dam * (sire or 1) * (1 - missed)
        yield f"{dam} x {sire or 'visual'}, one of six", exact, odds.wish.parts.overall


def scenario_s5(book: Collection) -> Iterator[Row]:
    """Before; after 2 visuals and 4 others; and the line of D-05 after a visual from D-20."""
    family = Family(book)
    s5(family)
    yield "S5 D-12 before", THIRDS, carries(family, "D-12", "piebald")
    yield "S5 young of 2024 before", Fraction(1, 3), carries(family, "24-1", "piebald")
    family.young("25-1 25-2", "Piebald", dam="D-12", sire="M-15")
    family.young("25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15")
    for name, exact in (("D-12", 1), ("24-1", HALF), ("24-6", HALF), ("D-13", THIRDS), ("25-3", 1)):
        yield f"S5 {name} after two visuals", Fraction(exact), carries(family, name, "piebald")
    family.add("25-9", "Piebald", dam="D-20", sire="M-15")
    for name, exact in (("D-05", 1), ("D-20", 1), ("D-21", HALF), ("D-22", HALF)):
        yield f"S5 {name} after a visual from D-20", Fraction(exact), carries(family, name, "piebald")


def scenario_s5_none(book: Collection) -> Iterator[Row]:
    """0 of 6: D-12 3.0%, young of 2024 1.5%."""
    family = Family(book)
    s5(family)
    family.young("25-1 25-2 25-3 25-4 25-5 25-6", "normal", dam="D-12", sire="M-15")
    yield "S5 D-12 after 0 of 6", Fraction(1, 33), carries(family, "D-12", "piebald")
    yield "S5 young of 2024 after 0 of 6", Fraction(1, 66), carries(family, "24-3", "piebald")


def scenario_s4(book: Collection) -> Iterator[Row]:
    """Egg 6: Clown, enchi yes, pastel 60%; at 16 months six young, all Enchi, none Pastel."""
    family = Family(book)
    family.add("M-1", "Pastel Enchi 100% het clown")
    family.add("F-1", "Enchi 100% het clown")
    family.add("M-6", "Clown", dam="F-1", sire="M-1")
    for typed in ("enchi yes", "pastel 60%"):
        enter_typed(book, animal=family.ids["M-6"], text=typed)
    yield "S4 pastel", Fraction(3, 5), carries(family, "M-6", "pastel")
    yield "S4 super enchi", Fraction(1, 3), carries(family, "M-6", "enchi", copies=2)
    family.add("F-9", "normal")
    family.young("J-1 J-2 J-3 J-4 J-5 J-6", "Enchi", dam="F-9", sire="M-6")
    yield "S4 super enchi after six", Fraction(32, 33), carries(family, "M-6", "enchi", copies=2)
    lean = Fraction(3, 5) / 64
    yield "S4 pastel after six", lean / (lean + Fraction(2, 5)), carries(family, "M-6", "pastel")
    yield "S4 the parents", Fraction(1), carries(family, "F-1", "enchi")


def sex_linked(book: Collection) -> Iterator[Row]:
    """Mallery & Carrillo 2016: a male with it from his sire hands it to sons, from his dam to daughters; t = 5%."""
    family = Family(book)
    t = Fraction(1, 20)
    family.add("M-0", "Coral Glow")
    family.add("F-0", "Coral Glow")
    family.add("F-1", "normal")
    family.add("M-9", "normal")
    family.add("M-2", "Coral Glow", dam="F-0", sire="M-9")
    family.add("M-3", "", dam="F-1", sire="M-2")
    family.add("F-3", "", dam="F-1", sire="M-2")
    yield "son of a female maker", t, carries(family, "M-3", "coral glow")
    yield "daughter of a female maker", 1 - t, carries(family, "F-3", "coral glow")
    family.add("M-4", "Coral Glow", dam="F-1", sire="M-0")
    family.add("M-5", "", dam="F-1", sire="M-4")
    family.add("F-5", "", dam="F-1", sire="M-4")
    yield "son of a male maker", 1 - t, carries(family, "M-5", "coral glow")
    yield "daughter of a male maker", t, carries(family, "F-5", "coral glow")
    # a bought male: 1/2 on either chromosome; his son M-4 showed it, so the Y has it with 1 - t
    family.add("F-6", "", dam="F-1", sire="M-0")
    yield "sister of a son with it", (1 - t) * t + t * (1 - t), carries(family, "F-6", "coral glow")


TABLES: dict[str, Callable[[Collection], Iterator[Row]]] = {
    "possible hets (job 4.1; facts 5.2)": possible_hets,
    "proving out (job 4.2; facts 5.3)": proving_out,
    "at least one in six (job 4.4; S9)": at_least_one,
    "S4": scenario_s4,
    "S5, two visuals": scenario_s5,
    "S5, none of six": scenario_s5_none,
    "sex-linked (Mallery & Carrillo 2016)": sex_linked,
}
