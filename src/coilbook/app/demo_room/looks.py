"""Looks of the demo's young, drawn from their parents the way eggs draw them.

Only what the demo needs: single-dose genes, recessives, and the percentage a not-visual young carries on paper, rounded
down (common practice). What the program itself knows of genetics lives elsewhere.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass, field

SINGLE_DOSE = ("Pastel", "Enchi", "Fire", "Leopard", "Yellow Belly", "Gravel", "Butter", "Lesser", "Orange Dream")
RECESSIVE = ("Axanthic (line B)", "Albino", "Clown", "Ghost", "Piebald")
_LOWER = {name: name[0].lower() + name[1:] for name in RECESSIVE}
_HET = re.compile(r"(?:(\d+)% )?het (" + "|".join(re.escape(_LOWER[n]) for n in RECESSIVE) + ")")


@dataclass(slots=True)
class Genes:
    """Doses an animal really has, and the chance on paper that a not-visual one carries a recessive."""

    doses: dict[str, int] = field(default_factory=dict)
    paper: dict[str, float] = field(default_factory=dict)


def read_looks(text: str, chance: random.Random) -> Genes:
    """Genes behind a genetics text of the recipe; for a possible het the truth is drawn."""
    genes = Genes()
    for percent, low in _HET.findall(text):
        name = next(n for n in RECESSIVE if _LOWER[n] == low)
        genes.paper[name] = int(percent) / 100 if percent else 1.0
        genes.doses[name] = int(chance.random() < genes.paper[name])
    seen = _HET.sub("", text)
    for name in SINGLE_DOSE:
        if name in seen:
            genes.doses[name] = 2 if f"Super {name}" in seen else 1
    for name in RECESSIVE:
        if name in seen:
            genes.doses[name] = 2
    return genes


def hatch_genes(dam: Genes, sire: Genes, chance: random.Random) -> Genes:
    """The genes of one egg."""
    young = Genes()
    for name in (*SINGLE_DOSE, *RECESSIVE):
        doses = sum(chance.random() < parent.doses.get(name, 0) / 2 for parent in (dam, sire))
        young.doses[name] = doses
        if name in RECESSIVE and doses < 2:
            young.paper[name] = _on_paper(dam, sire, name)
    return young


def least_on_paper(young: Genes, dam: Genes, sire: Genes) -> None:
    """Where several sires are possible, only what each of them would have given is written."""
    for name, found in young.paper.items():
        young.paper[name] = min(found, _on_paper(dam, sire, name))


def _on_paper(dam: Genes, sire: Genes, name: str) -> float:
    left, right = _paper_gamete(dam, name), _paper_gamete(sire, name)
    return (left + right - 2 * left * right) / (1 - left * right) if left * right < 1 else 0.0


def _paper_gamete(parent: Genes, name: str) -> float:
    return 1.0 if parent.doses.get(name, 0) == 2 else parent.paper.get(name, 0.0) / 2


def written(genes: Genes) -> str:
    """The genetics text of an animal: looks first, then what it carries or may carry."""
    words = [("Super " if genes.doses.get(n) == 2 else "") + n for n in SINGLE_DOSE if genes.doses.get(n)]
    words += [n for n in RECESSIVE if genes.doses.get(n) == 2]
    carried = [n for n in RECESSIVE if genes.doses.get(n, 0) < 2]
    words += [f"het {_LOWER[n]}" for n in carried if genes.paper.get(n, 0) > 0.999]
    words += [f"{int(genes.paper[n] * 100)}% het {_LOWER[n]}" for n in carried if 0.01 < genes.paper.get(n, 0) <= 0.999]
    return " ".join(words) or "normal"
