"""How many eggs a clutch has and how many of them hatch, as laws; and how the keeper's own clutches move them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import comb, exp, lgamma

import numpy as np

from coilbook.genetics.states import Floats


@dataclass(frozen=True, slots=True)
class HatchRate:
    """The chance of a good egg to hatch, of those whose genotype lets them: genotypes that cannot are not in it.

    One rate a clutch, drawn from a beta law of mean `mean` and weight `eggs`: how much clutches differ, and how many
    eggs of the keeper's own count as much as the mean. Every egg by itself at exactly `mean` where `eggs` is None.
    """

    mean: float
    eggs: float | None = None

    def __post_init__(self) -> None:
        if not 0 < self.mean <= 1 or (self.eggs is not None and self.eggs <= 0):
            raise ValueError("a hatch rate lies above 0 and up to 1")

    def hatching(self, laid: int) -> Floats:
        """(laid + 1,) the law of how many of `laid` good eggs would hatch."""
        counts = range(laid + 1)
        if self.eggs is None or self.mean == 1:
            return np.array([comb(laid, k) * self.mean**k * (1 - self.mean) ** (laid - k) for k in counts])
        a, b = self.mean * self.eggs, (1 - self.mean) * self.eggs
        return np.array([comb(laid, k) * exp(_beta(k + a, laid - k + b) - _beta(a, b)) for k in counts])

    def after(self, hatched: int, good: float) -> HatchRate:
        """The rate once `hatched` of `good` eggs of the keeper's own have hatched; clutches go on to differ as before.

        Of eggs some of whose genotypes cannot hatch, `good` is how many were expected to be able to.

        Raises ValueError for a fixed rate.
        """
        if self.eggs is None:
            raise ValueError("a fixed rate does not learn")
        return HatchRate((self.mean * self.eggs + hatched) / (self.eggs + good), self.eggs)


def _beta(a: float, b: float) -> float:
    """The logarithm of the beta function."""
    return lgamma(a) + lgamma(b) - lgamma(a + b)


@dataclass(frozen=True)
class ClutchLaw:
    """`eggs[n]` the chance of n good eggs in a clutch (they sum to 1), and the rate at which they hatch."""

    eggs: Mapping[int, float]
    rate: HatchRate

    def __post_init__(self) -> None:
        if min(self.eggs) < 0 or abs(sum(self.eggs.values()) - 1) > 1e-9:
            raise ValueError("the chances of the clutch sizes do not sum to 1")

    @cached_property
    def hatching(self) -> Floats:
        """(n + 1,) the law of how many eggs of a clutch would hatch if their genotype lets them."""
        law = np.zeros(max(self.eggs) + 1)
        for size, chance in self.eggs.items():
            law[: size + 1] += chance * self.rate.hatching(size)
        return law

    def none(self, each: Floats) -> Floats:
        """The chance that a whole clutch has none, where a hatching egg is one with chance `each` (any shape)."""
        return np.asarray(np.polynomial.polynomial.polyval(1 - each, self.hatching))

    def after(
        self, clutches: Iterable[tuple[int, int]], *, weight: float, able: Iterable[float] | None = None
    ) -> ClutchLaw:
        """The law after the keeper's own clutches, each (good eggs, hatched); `weight`: the clutches this one is worth.

        Sizes never seen keep their share of the weight (a Dirichlet law); the rate's mean learns egg by egg. `able`: of
        each clutch's good eggs, how many had a genotype that can hatch, where that is not all of them.
        """
        own = list(clutches)
        counts = {size: chance * weight for size, chance in self.eggs.items()}
        for good, _ in own:
            counts[good] = counts.get(good, 0.0) + 1
        fit = [good for good, _ in own] if able is None else list(able)
        could = sum(max(able_to, hatched) for able_to, (_, hatched) in zip(fit, own, strict=True))
        rate = self.rate.after(sum(hatched for _, hatched in own), could)
        total = weight + len(own)
        return ClutchLaw({size: count / total for size, count in sorted(counts.items())}, rate)
