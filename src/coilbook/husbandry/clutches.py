"""How many good eggs a clutch has and how many of them hatch, before the keeper has clutches of his own."""

from __future__ import annotations

#: chances of 3 to 9 good eggs, mean 6: common practice (captive clutches 6 to 8, range 1 to 15 with slugs; a wild
#: mean of 8.1, range 4 to 15, is published: Gorzula, Nsiah and Oduro 1997, CITES Secretariat survey)
GOOD_EGGS = {3: 0.05, 4: 0.12, 5: 0.20, 6: 0.26, 7: 0.20, 8: 0.12, 9: 0.05}
#: share of good eggs that hatch: common practice, no published number found
HATCH_RATE = 0.88
#: how many eggs of the keeper's own it takes to count as much as that rate: from memory
HATCH_RATE_EGGS = 10.0
#: how many clutches of his own it takes to count as much as those sizes: from memory
CLUTCHES_WORTH = 4.0
