"""The words of the notation itself, apart from genes (job.md 10.2)."""

from __future__ import annotations

HET = frozenset({"het", "hets", "heterozygous", "hetero"})
POSSIBLE_HET = frozenset({"ph"})
POSSIBLE = frozenset({
    "poss", "possible", "possibly", "pos", "posible", "posib", "maybe", "prob", "probable", "probably", "perhaps",
})  # fmt: skip
SUPER = frozenset({"super", "sup", "homo", "homozygous"})
VISUAL = frozenset({"visual", "vis"})
#: what does not go together with "het" before one gene
SHOWN = SUPER | VISUAL
PROVEN = frozenset({"proven"})
#: behind "not": what has not been proven
PROVE = frozenset({"prove", "proved", "proving"})
#: "proven breeder": that it has bred proves no gene
BREEDERS = frozenset({"breeder", "breeders", "producer", "adult"})
#: what follows is said of a relative, not of the animal
RELATIVES = frozenset({
    "from", "sire", "sired", "dam", "dad", "mom", "mum", "mother", "father", "sibling", "siblings", "brother", "sister",
    "parent", "parents", "produced", "mate", "mates", "mated",
})  # fmt: skip
NOT = frozenset({"not", "no", "non"})
#: what denies the gene behind it, as "not" does
DENIED = NOT | {"without", "neither", "nor"}
#: "double het" and so on: how many genes follow
COUNTED = {"dh": 2, "th": 3, "qh": 4}
COUNTED_LONG = {"double": 2, "dbl": 2, "triple": 3, "quad": 4, "2x": 2, "3x": 3, "4x": 4}
NORMAL = frozenset({"normal", "norm", "wildtype", "wt", "classic", "normals"})
FILLER = frozenset({"and", "with", "w", "for"})
MALE, FEMALE = frozenset({"male"}), frozenset({"female"})
LINE = "line"
#: "male maker": on which chromosome a male carries a gene, not the sex of the animal
MAKER = frozenset({"maker", "makers"})

KEYWORDS = frozenset(
    HET | POSSIBLE_HET | POSSIBLE | SUPER | VISUAL | PROVEN | NORMAL | FILLER | MALE | FEMALE | {*COUNTED, LINE}
)
#: what may follow a bare number for it to be a percentage, and what goes on before a gene
BEFORE_GENE = HET | POSSIBLE_HET | POSSIBLE | frozenset(COUNTED) | frozenset(COUNTED_LONG)
OR, GOES_ON = "or", BEFORE_GENE | SUPER
#: numbers that are percentages without their sign, before "het" and its like
BARE_PERCENTAGES = frozenset({"100", "66", "50", "33", "25"})
#: fractions that stand for a percentage before "het"
FRACTIONS = {("2", "3"): 66, ("1", "2"): 50, ("1", "3"): 33, ("1", "4"): 25}
#: the one misspelling of a word too short to be looked up
HET_MISSPELLED = frozenset({"hte", "eht", "hey", "heet", "hett"})
#: what a number stands before where it is said of a carried gene
AFTER_PERCENT = BEFORE_GENE | HET_MISSPELLED | {"h"}
#: single letters and the like for a word of the notation, where a gene follows
SHORT = {"s": "super", "sp": "super", "spr": "super", "h": "het", "hom": "homo"}
#: words of the notation that are written in one with the gene
GLUED = ("super", "poss", "het", "dh", "ph", "th")
#: words no gene's name may begin with, since they are said of the gene that follows
NEVER_FIRST = HET | POSSIBLE_HET | POSSIBLE | NOT | PROVEN | frozenset(COUNTED) | frozenset({"x"})
