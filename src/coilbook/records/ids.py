"""Typed ids: whole numbers given once by the collection and never used again."""

from __future__ import annotations

from typing import NewType

AnimalId = NewType("AnimalId", int)
PlaceId = NewType("PlaceId", int)
PersonId = NewType("PersonId", int)
FeedingId = NewType("FeedingId", int)
WeightId = NewType("WeightId", int)
ShedId = NewType("ShedId", int)
PhotoId = NewType("PhotoId", int)
FindingId = NewType("FindingId", int)
IncubatorId = NewType("IncubatorId", int)
EggBoxId = NewType("EggBoxId", int)
ClutchId = NewType("ClutchId", int)
EggId = NewType("EggId", int)
PlanId = NewType("PlanId", int)
StayId = NewType("StayId", int)
DoubtId = NewType("DoubtId", int)
CourseId = NewType("CourseId", int)
ActId = NewType("ActId", int)
