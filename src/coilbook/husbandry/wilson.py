"""How far a share counted in few cases can be trusted."""

from __future__ import annotations

from statistics import NormalDist


def wilson(successes: int, n: int, level: float = 0.9) -> tuple[float, float]:
    """Wilson's score interval of a share, 0 to 1; all of it without cases (Wilson 1927, J. Am. Stat. Assoc. 22:209,
    from memory). Raises ValueError when more succeeded than there were.

    >>> [round(edge, 2) for edge in wilson(6, 7)]
    [0.55, 0.97]
    """
    if not 0 <= successes <= n:
        raise ValueError(f"{successes} of {n}")
    if n == 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf(0.5 + level / 2)
    share, spread = successes / n, z * z / n
    centre = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * (share * (1 - share) / n + spread / (4 * n)) ** 0.5
    return max(0.0, centre - half), min(1.0, centre + half)
