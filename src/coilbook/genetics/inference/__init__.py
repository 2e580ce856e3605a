"""Exact inference over pedigrees, one locus at a time: `solve` answers a `Problem`.

Sets of possible genotypes are pushed through the pedigree to a fixed point (`masks`); young without young of their own
are folded into one table a mating (`network`, `numbers`, `broods`); what is left is summed out along a tree of tables
(`order`, `layout`, `tree`; the large ones in `cliques` and `clique_passes`).
"""

from coilbook.genetics.inference.attempt import WIDTH_LIMIT, Structure
from coilbook.genetics.inference.engine import Solved, solve
from coilbook.genetics.inference.families import BrokenPedigree, check
from coilbook.genetics.inference.laws import Cancelled
from coilbook.genetics.inference.together import solve_all

__all__ = ["WIDTH_LIMIT", "BrokenPedigree", "Cancelled", "Solved", "Structure", "check", "solve", "solve_all"]
