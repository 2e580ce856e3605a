"""What the species, this collection and this female together say of an interval.

days = middle + collection + incubator + female + season, each part normal (of the logarithm for waiting times). The
collection's, the incubator's and the female's parts are learned from every interval on record, from the first on; how
wide females and seasons spread is learned as well, starting from the profile with its own doubt, so that the answer is
a mixture of bells and not one bell. With the spread held at the profile's it is the weighted mean of the handbooks:
n x/s2 + m/t2 over n/s2 + 1/t2.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coilbook.husbandry.day_curve import DayCurve, bell_curve, waiting_curve
from coilbook.husbandry.figures import Interval
from coilbook.husbandry.profile import Incubation, IntervalProfile, Shape
from coilbook.husbandry.warmth import EggTemperature, days_at, sd_from_temperature

#: widths tried for the spread
_NODES = 9
#: values of q10 tried for eggs
_Q10_NODES = 7
#: an interval is a slip of a date, not history, when it is further off than this many times the claimed range
_SLIP = 2.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PastInterval:
    """An interval on record: whose (any key of the female), how long, how unsure; for eggs how warm, and `where` they
    lay (any key of the incubator, None while not known)."""

    interval: Interval
    whose: Hashable
    days: float
    doubt: float = 0.0
    temperature: EggTemperature | None = None
    where: Hashable = None


@dataclass(frozen=True, slots=True)
class Blend:
    """An interval as it is expected: its curve in days, and what went into it.

    `species_days` the profile's middle (at the eggs' temperature), `days` the middle expected now; `own` and `others`
    count the intervals used, `here` those of the same incubator, `left_out` those taken for slips.
    """

    curve: DayCurve
    species_days: float
    days: float
    own: int
    others: int
    left_out: tuple[PastInterval, ...]
    here: int = 0


@dataclass(frozen=True, slots=True)
class _Model:
    """The parts of an interval, and history less the middle, on the scale on which they are normal.

    `base` is the middle on that scale, `extra` a standard deviation that history cannot shrink, `fit` the part of the
    history's log likelihood that the change of scale brings.
    """

    middle: float
    base: float
    collection: float
    incubator: float
    female: float
    season: float
    extra: float
    doubt: float
    values: Floats
    variances: Floats
    fit: float


def blend(
    profile: IntervalProfile,
    past: Sequence[PastInterval],
    whose: Hashable = None,
    *,
    incubation: Incubation | None = None,
    temperature: EggTemperature | None = None,
    where: Hashable = None,
) -> Blend:
    """The interval expected of `whose`, from `past` intervals of this kind of the whole collection.

    `incubation` and `temperature` are given for the days of incubation only: history is carried to that temperature,
    under several values of q10, of which the history favours those that fit it. `where` the eggs lie: an incubator
    has a part of its own, learned from what hatched in it.
    """
    normal = profile.shape is Shape.NORMAL
    # a waiting time has a long tail of its own: what is slow there is no slip
    least, most = profile.claimed[0] / _SLIP, profile.claimed[1] * (_SLIP if normal else 2 * _SLIP)
    used = [p for p in past if least <= p.days <= most]
    models, shares = _models(profile, used, incubation, temperature)
    owners, places = [p.whose for p in used], [p.where for p in used]
    if profile.incubator > 0 and used:
        parts = [_crossed(model, owners, places, whose, where) for model in models]
    else:
        parts = [_predictive(model, owners, whose) for model in models]
    fits = np.concatenate([np.log(share) + fit for share, (fit, _, _) in zip(shares, parts)])
    weights = np.exp(fits - fits.max())
    means = np.concatenate([m.base + mean for m, (_, mean, _) in zip(models, parts)])
    sds = np.concatenate([sd for _, _, sd in parts])
    curve = (bell_curve if normal else waiting_curve)(weights, means, sds)
    own = sum(owner == whose for owner in owners) if whose is not None else 0
    return Blend(
        curve=curve,
        species_days=models[len(models) // 2].middle,
        days=curve.mean if normal else curve.quantile(0.5),
        own=own,
        others=len(used) - own,
        left_out=tuple(p for p in past if not least <= p.days <= most),
        here=sum(place == where for place in places) if where is not None else 0,
    )


def _models(
    profile: IntervalProfile,
    used: Sequence[PastInterval],
    incubation: Incubation | None,
    temperature: EggTemperature | None,
) -> tuple[list[_Model], Floats]:
    """One model, or for eggs one for each value of q10, with their shares."""
    if incubation is None or temperature is None:
        return [_plain(profile, used)], np.ones(1)
    nodes, shares = _bell_nodes(_Q10_NODES)
    values = [max(1.05, incubation.q10 + incubation.q10_sd * float(z)) for z in nodes]
    return [_warm(profile, used, replace(incubation, q10=q10), temperature) for q10 in values], shares


def _plain(profile: IntervalProfile, past: Sequence[PastInterval]) -> _Model:
    """History as it stands."""
    days, doubts = _arrays(past)
    log = profile.shape is Shape.LOG
    return _Model(
        middle=profile.middle,
        base=float(np.log(profile.middle)) if log else profile.middle,
        collection=profile.collection,
        incubator=profile.incubator,
        female=profile.female,
        season=profile.season,
        extra=0.0,
        doubt=profile.doubt,
        values=np.log(days / profile.middle) if log else days - profile.middle,
        variances=(doubts / days) ** 2 if log else doubts**2,
        fit=0.0,
    )


def _warm(
    profile: IntervalProfile, past: Sequence[PastInterval], incubation: Incubation, temperature: EggTemperature
) -> _Model:
    """History and profile carried to a temperature by one value of q10."""
    middle = days_at(temperature.celsius, profile.middle, incubation.reference_c, incubation)
    factor = middle / profile.middle
    days, doubts = _arrays(past)
    unknown = EggTemperature(incubation.reference_c, incubation.doubt.unknown)
    warmths = [p.temperature or unknown for p in past]
    factors = np.array([days_at(temperature.celsius, 1.0, w.celsius, incubation) for w in warmths], np.float64)
    carried = days * factors
    unsure = np.array([sd_from_temperature(float(d), w, incubation) for d, w in zip(carried, warmths)], np.float64)
    return _Model(
        middle=middle,
        base=middle,
        collection=profile.collection * factor,
        incubator=profile.incubator * factor,
        female=profile.female * factor,
        season=profile.season * factor,
        extra=sd_from_temperature(middle, temperature, incubation),
        doubt=profile.doubt,
        values=carried - middle,
        variances=(doubts * factors) ** 2 + unsure**2,
        # days were written at their own temperature: their odds there are those here times the stretch
        fit=float(np.log(factors).sum()),
    )


def _arrays(past: Sequence[PastInterval]) -> tuple[Floats, Floats]:
    return np.array([p.days for p in past], np.float64), np.array([p.doubt for p in past], np.float64)


@lru_cache(maxsize=4)
def _bell_nodes(count: int) -> tuple[Floats, Floats]:
    """Points of a standard bell and their weights (Gauss and Hermite), which sum to one."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(count)
    return nodes, weights / weights.sum()


def _predictive(model: _Model, owners: Sequence[Hashable], whose: Hashable) -> tuple[Floats, Floats, Floats]:
    """For each width of the spread: logarithm of its weight, and mean and standard deviation of the new interval."""
    nodes, weights = _bell_nodes(_NODES)
    width, prior = np.exp(model.doubt * nodes), np.log(weights)
    female, season = (model.female * width) ** 2, (model.season * width) ** 2
    if len(owners) == 0:
        spread = model.collection**2 + model.incubator**2 + female + season + model.extra**2
        return prior, np.zeros_like(width), np.sqrt(spread)
    groups = {owner: number for number, owner in enumerate(dict.fromkeys(owners))}
    of = np.array([groups[owner] for owner in owners])
    member = np.zeros((len(owners), len(groups)))
    member[np.arange(len(owners)), of] = 1
    variance = season[:, None] + model.variances[None, :]
    precision = (1 / variance) @ member
    mean = (model.values / variance) @ member / precision
    between = female[:, None] + 1 / precision
    total = 1 / model.collection**2 + (1 / between).sum(1)
    centre = (mean / between).sum(1) / total
    within = (model.values[None, :] - mean[:, of]) ** 2 / variance
    fit = prior + model.fit - 0.5 * (
        np.log(variance).sum(1) + within.sum(1) + np.log(precision).sum(1) + np.log(between).sum(1)
        + (mean**2 / between).sum(1) - centre**2 * total + np.log(total) + 2 * np.log(model.collection)
    )  # fmt: skip
    own = groups.get(whose) if whose is not None else None
    hers = precision[:, own] if own is not None else np.zeros_like(width)
    known = 1 / (1 / female + hers)
    share = known / female
    pulled = share * centre + (known * hers * mean[:, own] if own is not None else 0)
    spread = known + share**2 / total + season + model.extra**2
    return fit, pulled, np.sqrt(spread)


@dataclass(frozen=True, slots=True)
class _Shared:
    """The collection's part and the incubators', worked out from the history, for each width of the spread.

    `centre` and `cover` their means and covariances, `fit` the logarithm of the history's likelihood; `shrink`, `told`
    and `seen` by width and female: how far her own clutches count, what they say, and in which incubators.
    """

    centre: Floats
    cover: Floats
    fit: Floats
    shrink: Floats
    told: Floats
    seen: Floats


def _shared(model: _Model, female: Floats, season: Floats, member: Floats, parts: Floats, unknown: Floats) -> _Shared:
    """Every female summed out of her own clutches first, so that it costs what the clutches cost and not their cube.

    `member` has a row a female, `parts` a row a clutch with a one for the collection and for its incubator.
    """
    weight = 1 / (season[:, None] + (model.variances + unknown)[None, :])
    values = weight * model.values
    precision, told = weight @ member.T, values @ member.T
    seen = np.einsum("wn,gn,nk->wgk", weight, member, parts, optimize=True)
    shrink = female[:, None] / (1 + female[:, None] * precision)
    spread = np.array([model.collection] + [model.incubator] * (parts.shape[1] - 1))
    inner = np.einsum("wn,nk,nl->wkl", weight, parts, parts, optimize=True) + np.diag(spread**-2.0)
    inner -= np.einsum("wg,wgk,wgl->wkl", shrink, seen, seen, optimize=True)
    right = values @ parts - np.einsum("wg,wgk->wk", shrink * told, seen)
    cover = np.linalg.inv(inner)
    centre = np.einsum("wkl,wl->wk", cover, right)
    square = (values * model.values).sum(1) - (shrink * told**2).sum(1) - (right * centre).sum(1)
    size = np.log1p(female[:, None] * precision).sum(1) - np.log(weight).sum(1) + np.linalg.slogdet(inner)[1]
    # the size of the prior is the same for every width and every q10 but for the change of scale
    fit = -0.5 * (square + size) - np.log(spread).sum()
    return _Shared(centre, cover, fit, shrink, told, seen)


def _crossed(
    model: _Model, owners: Sequence[Hashable], places: Sequence[Hashable], whose: Hashable, where: Hashable
) -> tuple[Floats, Floats, Floats]:
    """As `_predictive`, of females and incubators at once: one female's eggs lay in several, one holds several's.

    An incubator that is not known is another each time: it widens that clutch alone.
    """
    nodes, weights = _bell_nodes(_NODES)
    width, prior = np.exp(model.doubt * nodes), np.log(weights)
    female, season = (model.female * width) ** 2, (model.season * width) ** 2
    rooms = {place: k for k, place in enumerate(dict.fromkeys(p for p in places if p is not None), start=1)}
    groups = {owner: k for k, owner in enumerate(dict.fromkeys(owners))}
    parts, member = np.zeros((len(owners), 1 + len(rooms))), np.zeros((len(groups), len(owners)))
    parts[:, 0] = 1
    for row, (owner, place) in enumerate(zip(owners, places, strict=True)):
        member[groups[owner], row] = 1
        if place is not None:
            parts[row, rooms[place]] = 1
    unknown = np.array([model.incubator**2 if place is None else 0.0 for place in places])
    known = _shared(model, female, season, member, parts, unknown)
    towards = np.zeros((len(width), 1 + len(rooms)))
    towards[:, 0] = 1
    if where in rooms:
        towards[:, rooms[where]] = 1
    mean, left = np.zeros_like(width), female
    if whose is not None and whose in groups:
        own = groups[whose]
        left = known.shrink[:, own]
        towards -= left[:, None] * known.seen[:, own]
        mean = left * known.told[:, own]
    away = 0.0 if where in rooms else model.incubator**2
    spread = np.einsum("wk,wkl,wl->w", towards, known.cover, towards) + left + away + season + model.extra**2
    return prior + model.fit + known.fit, mean + (towards * known.centre).sum(1), np.sqrt(spread)
