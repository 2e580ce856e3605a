"""Waits around a meal. All `common practice` among keepers, from memory: people differ."""

from __future__ import annotations

#: a second offer within this many hours of a taken meal is asked about
AGAIN_HOURS = 20
#: after a regurgitation nothing is offered for this many days (10 to 14)
HOLD_DAYS = 10
#: an animal entered as in blue and never as shed or clear is taken to be through with it after this many days
BLUE_DAYS = 21
#: an offer younger than this belongs to the round at hand; an older one that is still open waits for its close
ROUND_HOURS = 6
#: a round that runs past midnight still belongs to the evening before, until this hour
DAY_TURNS_AT = 4
#: a result entered while an offer this old stands open is asked which of the two it is of
STILL_OPEN_DAYS = 3
