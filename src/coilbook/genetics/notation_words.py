"""The words of the notation itself, apart from genes (job.md 10.2)."""

from __future__ import annotations

HET = frozenset({"het", "hets", "heterozygous", "hetero"})
POSSIBLE_HET = frozenset({"ph"})
POSSIBLE = frozenset({"poss", "possible", "possibly", "pos", "posible", "posib", "maybe"})
SUPER = frozenset({"super", "sup", "homo", "homozygous"})
VISUAL = frozenset({"visual", "vis"})
PROVEN = frozenset({"proven"})
NOT = frozenset({"not", "no", "non"})
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
#: numbers that are percentages without their sign, before "het" and its like
BARE_PERCENTAGES = frozenset({"100", "66", "50", "33", "25"})
#: fractions that stand for a percentage before "het"
FRACTIONS = {("2", "3"): 66, ("1", "2"): 50, ("1", "3"): 33, ("1", "4"): 25}
#: the one misspelling of a word too short to be looked up
HET_MISSPELLED = frozenset({"hte", "eht", "hey", "heet", "hett"})
#: words no gene's name may begin with, since they are said of the gene that follows
NEVER_FIRST = HET | POSSIBLE_HET | POSSIBLE | NOT | PROVEN | frozenset(COUNTED) | frozenset({"x"})
