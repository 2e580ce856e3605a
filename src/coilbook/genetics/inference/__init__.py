"""Exact inference over pedigrees, one locus at a time: `solve` answers a `Problem`.

Sets of possible genotypes are pushed through the pedigree to a fixed point (`masks`); young without young of their own
are folded into one table a mating (`network`, `numbers`, `broods`); what is left is summed out along a tree of tables
(`order`, `layout`, `tree`; the large ones in `cliques` and `clique_passes`). `join` weighs doubtful sires
over all loci (`selectors`, `forced`, `weighing`, `joined`, `worlds`).
"""

from coilbook.genetics.inference.attempt import WIDTH_LIMIT, Structure
from coilbook.genetics.inference.engine import Solved, solve
from coilbook.genetics.inference.families import BrokenPedigree, check
from coilbook.genetics.inference.joined import Joined, JoinedLocus, join
from coilbook.genetics.inference.laws import Cancelled
from coilbook.genetics.inference.selectors import unrecorded
from coilbook.genetics.inference.together import solve_all
from coilbook.genetics.inference.worlds import Worlds, worlds

__all__ = [
    "WIDTH_LIMIT",
    "BrokenPedigree",
    "Cancelled",
    "Joined",
    "JoinedLocus",
    "Solved",
    "Structure",
    "Worlds",
    "check",
    "join",
    "solve",
    "solve_all",
    "unrecorded",
    "worlds",
]
